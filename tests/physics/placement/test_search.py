"""The search: a grid judged at once equals its candidates judged one by one, and what is known of rooms comes out."""

import dataclasses
import tracemalloc

import numpy as np
import pytest

from service.physics.placement import search
from service.physics.placement.candidates import Grid, fitting, pairs_across_m, plan_geometry
from service.physics.placement.search import (
    HEAD_M,
    grid_terms,
    judge_grid,
    judge_placement,
    least_separation_m,
)
from service.physics.room.wave_field import Box, box_wavenumbers, pressure_ratio
from tests.physics.placement import rooms

C = 343.2
UNEQUAL = (0.02, 0.04, 0.03, 0.12, 0.08, 0.02)
ONE_SEAT = np.zeros((1, 3))
SOFA = np.array([[0.0, 0.0, 0.0], [0.0, -0.65, 0.0], [0.1, 0.65, -0.05]])


def setting(*, beta=UNEQUAL, low_hz=45.0, points=4, **more):
    return rooms.setting(beta=beta, low_hz=low_hz, points=points, **more)


def grid(*, front_m=(0.6, 1.0, 1.5), spacing_m=(1.8, 2.3), seat_x_m=(2.7, 3.1, 4.2), axis_y_m=2.05, facing_rad=None):
    speakers_m = pairs_across_m(front_m=front_m, spacing_m=spacing_m, axis_y_m=axis_y_m, speaker_z_m=0.9)
    seats_m = np.array([(x_m, axis_y_m, 1.1) for x_m in seat_x_m])
    allowed = fitting(
        speakers_m=speakers_m,
        seats_m=seats_m,
        least_depth_m=1.1,
        angle_range_deg=(20.0, 100.0),
        distance_range_m=(0.0, 9.0),
    )
    return Grid(speakers_m=speakers_m, seats_m=seats_m, facing_rad=facing_rad, allowed=allowed)


def one_by_one(setting, grid):
    """Every candidate by `judge_placement`: the brute force."""
    candidates = grid.candidates()
    found = []
    for speakers_m, seat_m in zip(candidates.speakers_m, candidates.seats_m, strict=True):
        bearing = grid.facing_rad
        if bearing is None:
            bearing = plan_geometry(speakers_m, seat_m).bearing_rad
        axes = np.stack([np.cos(bearing), np.sin(bearing), 0 * bearing], axis=1) * setting.dipole
        found.append(judge_placement(setting, speakers_m=speakers_m, axes=axes, lead_m=seat_m))
    return found


def numbers(judgement):
    """All parts of a judgement as columns."""
    bass = dataclasses.asdict(judgement.bass)
    rest = {name: value for name, value in dataclasses.asdict(judgement).items() if name != "bass"}
    return np.stack([*bass.values(), *rest.values()], axis=1)


def assert_judged_alike(setting, grid):
    """0.01 dB, or 0.05 dB where a head point lies in a null."""
    expected = np.concatenate([numbers(judgement) for judgement in one_by_one(setting, grid)])
    difference = np.abs(numbers(judge_grid(setting, grid)) - expected)
    assert difference.max() < 0.05
    assert np.median(difference, axis=0).max() < 0.01


@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
@pytest.mark.parametrize("seat_offsets_m", [ONE_SEAT, SOFA], ids=["one seat", "sofa"])
def test_grid_equals_candidates_judged_one_by_one(dipole, seat_offsets_m):
    assert_judged_alike(setting(dipole=dipole, seat_offsets_m=seat_offsets_m), grid())


def test_off_the_axis_of_the_room():
    assert_judged_alike(setting(), grid(axis_y_m=1.6))


@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
def test_speakers_that_stay_turned_and_stand_at_unlike_places(dipole):
    """Unlike distances from the front wall, heights and directions: each speaker is a field of its own."""
    speakers_m = np.array([[[(0.7, 1.0, 0.8), (0.95, 3.2, 1.0)]]])
    seats_m = np.array([(x_m, 2.1, 1.1) for x_m in (2.6, 3.3, 4.9)])
    standing = Grid(
        speakers_m=speakers_m,
        seats_m=seats_m,
        facing_rad=np.array([0.5, -0.2]),
        allowed=np.ones((1, 1, 3), dtype=bool),
    )
    assert_judged_alike(setting(dipole=dipole), standing)


def test_a_single_speaker():
    speakers_m = np.array([[[(x_m, 2.05, 0.9)] for x_m in (0.6, 1.1)]])
    seats_m = np.array([(x_m, 2.05, 1.1) for x_m in (2.7, 3.3)])
    mono = Grid(speakers_m=speakers_m, seats_m=seats_m, facing_rad=None, allowed=np.ones((1, 2, 2), dtype=bool))
    assert_judged_alike(setting(), mono)


def test_a_head_at_the_wall_stays_in_the_room():
    """An ear 2 cm from the back wall is judged where the head fits, in the grid and alone."""
    at_wall = grid(seat_x_m=(5.38,))
    assert_judged_alike(setting(), at_wall)
    room = setting()
    near, inside = (
        judge_placement(
            room, speakers_m=at_wall.speakers_m[0, 0], axes=np.zeros((2, 3)), lead_m=np.array([x, 2.05, 1.1])
        )
        for x in (5.38, 5.299)
    )
    assert near.bass.bass_unevenness_db == pytest.approx(inside.bass.bass_unevenness_db, abs=1e-9)


def test_chunks_change_nothing(monkeypatch):
    whole = numbers(judge_grid(setting(), grid()))
    monkeypatch.setattr(search, "_CHUNK_ELEMENTS", 1)  # one band at a time
    np.testing.assert_allclose(numbers(judge_grid(setting(), grid())), whole, atol=0.005)


def test_memory_is_bounded():
    """A large hall, 11 000 combinations, 160 frequencies: 2.8 GB as one array of complex pressures at seven points."""
    room = setting(dimensions_m=(20.0, 15.0, 6.0), low_hz=20.0, points=8)
    wide = grid(
        front_m=np.linspace(0.6, 4, 22), spacing_m=np.linspace(2, 6, 20), seat_x_m=np.linspace(2, 8, 25), axis_y_m=7.5
    )
    tracemalloc.start()
    try:
        judge_grid(room, wide)
        _, peak_bytes = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak_bytes < 200e6


def test_mean_over_the_head_is_of_energy():
    """By hand: the mean energy of seven points of the head and four frequencies of a band, then decibels."""
    room = setting()
    speakers_m, lead_m = np.array([(0.8, 1.0, 0.9), (0.8, 3.1, 0.9)]), np.array([3.4, 2.05, 1.1])
    field = pressure_ratio(room.box, sources_m=speakers_m, axes=np.zeros((2, 3)), seats_m=lead_m + np.array(HEAD_M))
    energy = np.abs(field[:, 0] + field[:, 1]) ** 2
    levels_db = 10 * np.log10(energy.reshape(7, -1, 4).mean(axis=(0, 2)))
    octaves = np.log2(room.bands.midbands_hz)
    slope = np.clip(np.polyfit(octaves, levels_db, 1)[0], -3, 0)
    deviation_db = levels_db - levels_db.mean() - slope * (octaves - octaves.mean())
    found = judge_placement(room, speakers_m=speakers_m, axes=np.zeros((2, 3)), lead_m=lead_m)
    assert found.bass.bass_unevenness_db == pytest.approx([np.sqrt(np.mean(deviation_db**2))], rel=1e-9)
    assert found.bass.deepest_hole_db == pytest.approx([deviation_db.min()], rel=1e-9)


def test_balance_against_the_middle_frequencies():
    """Middle level of a pair by hand: 10 lg(sum of 1 / r^2 + 0.6), r^2 = 2.6^2 + 1.05^2 + 0.2^2 = 7.9025 for both."""
    room = setting()
    speakers_m, lead_m = np.array([(0.8, 1.0, 0.9), (0.8, 3.1, 0.9)]), np.array([3.4, 2.05, 1.1])
    found = judge_placement(room, speakers_m=speakers_m, axes=np.zeros((2, 3)), lead_m=lead_m)
    middle_db = 10 * np.log10(2 * (1 / 7.9025 + 0.6))
    field = pressure_ratio(room.box, sources_m=speakers_m, axes=np.zeros((2, 3)), seats_m=lead_m + np.array(HEAD_M))
    energy = (np.abs(field.sum(axis=1)) ** 2).reshape(7, -1, 4).mean(axis=(0, 2))
    inside = (room.bands.midbands_hz >= 40) & (room.bands.midbands_hz <= 160)
    assert found.bass_balance_db == pytest.approx([10 * np.log10(energy[inside]).mean() - middle_db], abs=1e-9)


def test_spread_is_over_the_head_for_one_seat_and_over_the_seats_for_several():
    """By hand from the field: variance over seven ears, or over the mean energies of three heads, root of the mean."""
    speakers_m, lead_m = np.array([(0.8, 1.0, 0.9), (0.8, 3.1, 0.9)]), np.array([3.4, 2.05, 1.1])
    for offsets_m in (ONE_SEAT, SOFA):
        room = setting(seat_offsets_m=offsets_m)
        ears_m = (lead_m + offsets_m[:, None] + np.array(HEAD_M)).reshape(-1, 3)
        field = pressure_ratio(room.box, sources_m=speakers_m, axes=np.zeros((2, 3)), seats_m=ears_m).sum(axis=1)
        energy = (np.abs(field) ** 2).reshape(len(offsets_m), 7, -1, 4).mean(axis=3)
        alike = energy[0] if len(offsets_m) == 1 else energy.mean(axis=1)
        expected = np.sqrt((10 * np.log10(alike)).var(axis=0).mean())
        found = judge_placement(room, speakers_m=speakers_m, axes=np.zeros((2, 3)), lead_m=lead_m)
        assert found.seat_spread_db == pytest.approx([expected], rel=1e-9)


def test_balance_is_that_of_the_leading_seat():
    """Other seats change evenness and spread, not the balance."""
    speakers_m, lead_m = np.array([(0.8, 1.0, 0.9), (0.8, 3.1, 0.9)]), np.array([3.4, 2.05, 1.1])
    alone, sofa = (
        judge_placement(setting(seat_offsets_m=offsets_m), speakers_m=speakers_m, axes=np.zeros((2, 3)), lead_m=lead_m)
        for offsets_m in (ONE_SEAT, SOFA)
    )
    assert sofa.bass_balance_db == pytest.approx(alone.bass_balance_db, abs=1e-9)
    assert abs(sofa.bass.bass_unevenness_db[0] - alone.bass.bass_unevenness_db[0]) > 0.01


def test_mirror_image_room_is_judged_alike():
    mirrored = tuple(UNEQUAL[wall] for wall in (0, 1, 3, 2, 4, 5))
    here = numbers(judge_grid(setting(), grid(axis_y_m=1.7)))
    there = setting(beta=mirrored)
    absorption = there.treble_absorption[[0, 1, 3, 2, 4, 5]]
    there = dataclasses.replace(there, treble_absorption=absorption)
    np.testing.assert_allclose(numbers(judge_grid(there, grid(axis_y_m=4.1 - 1.7))), here, atol=1e-6)


# what is known of rooms ----------------------------------------------------------------------------------------------


def peak_over_neighbours_db(box_setting, speakers_m, lead_m, *, mode_hz, dipole=False):
    """Level at a mode's frequency above the mean of 8 % below and above it, in a room of little loss."""
    k = box_wavenumbers(np.array([0.92, 1.0, 1.08]) * mode_hz, speed_of_sound_m_s=C)
    box = Box(
        dimensions_m=box_setting.box.dimensions_m,
        admittance_ratio=np.full((6, 3), 0.003),
        wavenumber_per_m=k,
    )
    axes = np.tile([1.0, 0.0, 0.0], (len(speakers_m), 1)) * dipole
    field = pressure_ratio(box, sources_m=speakers_m, axes=axes, seats_m=[lead_m]).sum(axis=1)[0]
    level_db = 20 * np.log10(np.abs(field))
    return level_db[1] - level_db[[0, 2]].mean()


WIDTH_MODE_HZ = C / (2 * 4.1)  # 41.85 Hz; the first length mode is at 31.78 Hz, the first height mode at 68.6 Hz
LENGTH_MODE_HZ = C / (2 * 5.4)


def test_pair_on_the_axis_of_a_symmetric_room_excites_no_odd_width_mode():
    """Equal walls, the seat on the axis: the first width mode leaves no peak; with the seat off the axis neither, since
    the pair does not drive it; with one speaker it does."""
    room = setting()
    pair_m = np.array([(0.8, 0.9, 0.9), (0.8, 3.2, 0.9)])
    for seat_y_m in (2.05, 0.6):
        assert peak_over_neighbours_db(room, pair_m, (3.4, seat_y_m, 1.1), mode_hz=WIDTH_MODE_HZ) < 1.0
    assert peak_over_neighbours_db(room, pair_m[:1], (3.4, 0.6, 1.1), mode_hz=WIDTH_MODE_HZ) > 10.0


def test_middle_of_the_length_hears_no_odd_length_mode():
    pair_m, room = np.array([(0.8, 0.9, 0.9), (0.8, 3.2, 0.9)]), setting()
    assert peak_over_neighbours_db(room, pair_m, (2.7, 2.05, 1.1), mode_hz=LENGTH_MODE_HZ) < 1.0
    assert peak_over_neighbours_db(room, pair_m, (4.9, 2.05, 1.1), mode_hz=LENGTH_MODE_HZ) > 10.0


def test_dipole_along_the_length_excites_no_pure_width_mode():
    """One speaker off the axis: as a monopole it drives the first width mode, as a dipole along the length not."""
    room, speaker_m, seat_m = setting(), np.array([(1.6, 0.7, 0.9)]), (4.1, 0.7, 1.1)
    assert peak_over_neighbours_db(room, speaker_m, seat_m, mode_hz=WIDTH_MODE_HZ, dipole=True) < 1.0
    assert peak_over_neighbours_db(room, speaker_m, seat_m, mode_hz=WIDTH_MODE_HZ) > 10.0


def test_a_speaker_is_not_judged_below_its_low_limit():
    """Other walls below 70 Hz: the judgement of a 70 Hz speaker stays the same, that of a 20 Hz one does not."""
    changed = {}
    for low_hz in (20.0, 70.0):
        room = setting(low_hz=low_hz)
        assert room.bands.frequency_hz.min() > low_hz
        beta = room.box.admittance_ratio * np.where(room.bands.frequency_hz < 70, 8.0, 1.0)
        other = dataclasses.replace(room, box=dataclasses.replace(room.box, admittance_ratio=beta))
        both = [judge_grid(each, grid()).bass.bass_unevenness_db for each in (room, other)]
        changed[low_hz] = np.abs(both[0] - both[1]).max()
    assert changed[70.0] == 0
    assert changed[20.0] > 0.5


def test_exhaustive_optimum_is_the_best_of_all_candidates_judged_one_by_one():
    room, small = setting(dipole=True), grid(spacing_m=(1.8, 2.0, 2.4), seat_x_m=(2.7, 3.0, 3.3, 4.2))

    def weigh(each):
        return each.bass.bass_unevenness_db + 0.5 * each.bass.dips_db + 0.5 * each.seat_spread_db

    brute = np.array([float(weigh(judgement)[0]) for judgement in one_by_one(room, small)])
    assert np.argmin(weigh(judge_grid(room, small))) == np.argmin(brute)


# cost --------------------------------------------------------------------------------------------------------


def test_terms_are_modes_times_frequencies_times_places():
    # 1.37 m apart, 200 Hz at most: modes up to sqrt(3.66^2 + (7 / 1.37)^2) = 6.28 per metre, so that
    # 6.28 x 4.1 / pi = 8.2 and 6.28 x 2.5 / pi = 5.0 give 9 and 5 or 6 of them, the uniform one included
    here = setting(dimensions_m=(5.4, 4.1, 2.45))  # 6.28 x 2.45 / pi = 4.9: 5
    frequencies = len(here.box.wavenumber_per_m)
    places = 4 + 3 * 1 * 7  # four distances of the speakers, three seats of one head of seven points
    assert grid_terms(here, separation_m=1.37, fronts=4, seats=3) == 9 * 5 * frequencies * places
    sofa = setting(dimensions_m=(5.4, 4.1, 2.45), seat_offsets_m=SOFA)
    assert grid_terms(sofa, separation_m=1.37, fronts=4, seats=3) == 9 * 5 * frequencies * (4 + 3 * 3 * 7)


def test_least_separation_is_from_the_foremost_ear_to_the_speakers():
    # nearest pair allowed: speakers 1.5 m, seat 2.7 m from the wall; the head reaches 0.1 m further
    assert least_separation_m(setting(), grid()) == pytest.approx(2.7 - 1.5 - 0.1)
    ahead = np.array([[0.0, 0.0, 0.0], [-0.2, 0.6, 0.0]])
    assert least_separation_m(setting(seat_offsets_m=ahead), grid()) == pytest.approx(2.7 - 0.2 - 1.5 - 0.1)
