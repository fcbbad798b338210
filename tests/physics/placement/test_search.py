"""The judgement of a placement by hand from the field, what is known of rooms, and the cost of a search."""

import dataclasses

import numpy as np
import pytest

from service.physics.placement.candidates import Grid, pairs_across_m
from service.physics.placement.search import HEAD_M, grid_terms, least_separation_m
from service.physics.placement.single import PlacementJudge
from service.physics.room.wave_field import Box, box_wavenumbers, pressure_ratio
from tests.physics.placement import rooms
from tests.physics.placement.oracles import fitting, judge_placement

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


def judged(setting, grid):
    """Judgements of every candidate by the judge of the service."""
    judge, found = PlacementJudge(setting), grid.candidates()
    return [
        judge.judge(
            speakers_m=speakers_m,
            axes=rooms.axes_of(setting, grid, speakers_m=speakers_m, seat_m=seat_m),
            lead_m=seat_m,
        )
        for speakers_m, seat_m in zip(found.speakers_m, found.seats_m, strict=True)
    ]


def numbers(judgement):
    """All parts of a judgement as columns."""
    bass = dataclasses.asdict(judgement.bass)
    rest = {name: value for name, value in dataclasses.asdict(judgement).items() if name != "bass"}
    return np.stack([*bass.values(), *rest.values()], axis=1)


def test_a_head_at_the_wall_stays_in_the_room():
    """An ear 2 cm from the back wall is judged where the head fits."""
    judge, speakers_m = PlacementJudge(setting()), grid().speakers_m[0, 0]
    near, inside = (
        judge.judge(speakers_m=speakers_m, axes=np.zeros((2, 3)), lead_m=np.array([x, 2.05, 1.1]))
        for x in (5.38, 5.299)
    )
    assert near.bass.bass_unevenness_db == pytest.approx(inside.bass.bass_unevenness_db, abs=1e-9)


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
    here = np.concatenate([numbers(each) for each in judged(setting(), grid(axis_y_m=1.7))])
    there = setting(beta=mirrored)
    absorption = there.treble_absorption[[0, 1, 3, 2, 4, 5]]
    there = dataclasses.replace(there, treble_absorption=absorption)
    turned_over = np.concatenate([numbers(each) for each in judged(there, grid(axis_y_m=4.1 - 1.7))])
    np.testing.assert_allclose(turned_over, here, atol=1e-6)


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
        both = [[float(found.bass.bass_unevenness_db[0]) for found in judged(each, grid())] for each in (room, other)]
        changed[low_hz] = np.abs(np.subtract(*both)).max()
    assert changed[70.0] == 0
    assert changed[20.0] > 0.5


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
