"""Levels of very many candidates at once against the solver of a single response, 0.01 dB at the most."""

import dataclasses

import numpy as np
import pytest

from service.physics.placement import bulk, bulk_blocks, bulk_field
from service.physics.placement.candidates import plan_geometry
from service.physics.room.wave_field import pressure_ratio
from tests.physics.placement.rooms import UNEQUAL, grid, setting, single_levels_db

SMALL = {"low_hz": 50.0, "points": 4}  # 12 bands: the thousand single responses take their time


def bulk_levels_db(setting, grid, *, workers=1):
    """Levels of every candidate, shape (seats, b, j, i, k), NaN where it is none."""
    found = np.full((len(setting.seat_offsets_m), len(setting.bands.midbands_hz), *grid.allowed.shape), np.nan)

    def keep(energies, places, allowed):
        found[:, :, *np.broadcast_arrays(*places)] = 10 * np.log10(energies)

    bulk.each_piece(setting, grid, judge=keep, workers=workers)
    found[:, :, ~grid.allowed] = np.nan
    return found


def some_of(grid, count, *, seed=3):
    candidates = np.argwhere(grid.allowed)
    return np.random.default_rng(seed).permutation(candidates)[:count]


def assert_is_single(setting, grid, *, count):
    levels_db = bulk_levels_db(setting, grid)
    for j, i, k in some_of(grid, count):
        for seat, offset_m in enumerate(setting.seat_offsets_m):
            expected_db = single_levels_db(setting, grid, (j, i, k), offset_m=offset_m)
            np.testing.assert_allclose(levels_db[seat, :, j, i, k], expected_db, atol=0.01)


def scattered(*, speakers=2, seed=4, size=(14, 13, 12), **more):
    """Unsymmetric pairs and seats off any axis, at random places."""
    rng = np.random.default_rng(seed)
    j, i, k = size
    across_m = np.sort(rng.uniform(0.35, 3.75, size=(j, speakers)), axis=1)
    seats_m = rng.uniform((2.7, 0.4, 0.95), (5.2, 3.7, 1.3), size=(k, 3))
    return grid(across_m=across_m, front_m=rng.uniform(0.35, 1.5, i), seats_m=seats_m, share=0.6, **more)


@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
def test_a_thousand_random_candidates_are_as_by_the_single_solver(dipole):
    here = scattered()
    assert here.count > 1000
    assert_is_single(setting(dipole=dipole, **SMALL), here, count=1000)


@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
@pytest.mark.parametrize("order", [(0, 1, 2), (1, 2, 0), (2, 0, 1)], ids=["length", "width", "height"])
def test_each_axis_of_the_room_may_have_the_closed_form(order, dipole):
    """The search runs in a room whose axes are renamed; the single solver in the room itself, by the axis it likes."""
    room = setting(dipole=dipole, dimensions_m=(5.4, 4.1, 3.0), **SMALL)
    walls = [2 * axis + side for axis in order for side in (0, 1)]
    renamed = dataclasses.replace(
        room,
        box=dataclasses.replace(
            room.box,
            dimensions_m=tuple(room.box.dimensions_m[axis] for axis in order),
            admittance_ratio=room.box.admittance_ratio[walls],
        ),
    )
    rng = np.random.default_rng(5)
    depth_m, breadth_m, height_m = renamed.box.dimensions_m
    here = grid(
        across_m=rng.uniform(0.3, breadth_m - 0.3, size=(6, 2)),
        front_m=rng.uniform(0.3, 0.7, 5),
        seats_m=rng.uniform((1.7, 0.3, 0.3), (depth_m - 0.2, breadth_m - 0.3, height_m - 0.3), size=(6, 3)),
        height_m=0.8,
    )
    levels_db = bulk_levels_db(renamed, here)
    itself = np.argsort(order)
    for j, i, k in some_of(here, 60):
        speakers_m, seat_m = here.speakers_m[j, i], here.seats_m[k]
        bearing_rad = plan_geometry(speakers_m, seat_m).bearing_rad
        axes = np.stack([np.cos(bearing_rad), np.sin(bearing_rad), 0 * bearing_rad], axis=1) * dipole
        field = pressure_ratio(
            room.box, sources_m=speakers_m[:, itself], axes=axes[:, itself], seats_m=[seat_m[itself]]
        ).sum(axis=1)[0]
        energy = (np.abs(field) ** 2).reshape(-1, room.bands.points).mean(axis=1)
        np.testing.assert_allclose(levels_db[0, :, j, i, k], 10 * np.log10(energy), atol=0.01)


@pytest.mark.parametrize(
    "here",
    [
        scattered(speakers=1, size=(5, 5, 6)),
        scattered(speakers=3, size=(5, 5, 6)),
        scattered(size=(5, 5, 6), facing_rad=np.array([0.5, -0.3])),
        grid(  # a chimney breast between them: unlike distances and heights
            across_m=[(0.7, 3.1), (0.9, 3.3)],
            front_m=[(0.5, 0.9), (0.7, 1.1), (1.3, 1.0)],
            seats_m=[(2.9, 2.0, 1.1), (3.6, 2.2, 1.1)],
            height_m=(0.8, 1.05),
        ),
        grid(  # mirrored in the line of all seats: one turn serves both
            across_m=[(1.1, 2.7), (0.8, 3.0)],
            front_m=[0.6, 1.1],
            seats_m=[(2.9, 1.9, 1.1), (3.6, 1.9, 1.0)],
        ),
    ],
    ids=["single", "three", "staying turned", "unlike", "mirrored"],
)
@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
def test_every_kind_of_set_up(here, dipole):
    assert_is_single(setting(dipole=dipole, **SMALL), here, count=40)


@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
def test_bass_sections_below_a_crossover(dipole):
    """Two tops and two bass sections, low on the floor and farther out, each with its own complex weight."""
    room = setting(dipole=dipole, **SMALL)
    slope = 1j * room.bands.frequency_hz / 110.0
    high, low = slope**2 / (1 + slope) ** 2, 1 / (1 + slope) ** 2
    room = dataclasses.replace(room, source_weights=np.stack([high, 0.9 * high, -1.3 * low, 1.1j * low]))
    here = grid(
        across_m=[(1.0, 3.0, 0.5, 3.6), (1.2, 2.8, 0.6, 3.5)],
        front_m=[(0.9, 0.9, 0.4, 0.4), (1.2, 1.2, 0.5, 0.5)],
        seats_m=[(2.9, 2.0, 1.1), (3.6, 2.2, 1.1)],
        height_m=(0.95, 0.95, 0.25, 0.25),
    )
    assert_is_single(room, here, count=8)


def test_one_weight_for_all_raises_every_level():
    """The fall of a dipole's path length, the same for both speakers: 6.02 dB down for half the pressure."""
    here, room = scattered(size=(3, 3, 3)), setting(dipole=True, **SMALL)
    quiet = dataclasses.replace(room, source_weights=np.full((1, len(room.bands.frequency_hz)), 0.5))
    fall_db = bulk_levels_db(room, here) - bulk_levels_db(quiet, here)
    np.testing.assert_allclose(fall_db[:, :, here.allowed], 20 * np.log10(2), atol=1e-3)


def test_several_seats_are_each_their_own():
    offsets_m = np.array([[0.0, 0.0, 0.0], [0.1, -0.5, 0.0], [-0.1, 0.4, -0.05]])
    here = scattered(size=(4, 4, 4))
    here.seats_m[:, 1] = np.linspace(1.2, 2.9, 4)  # all three heads keep clear of the walls
    here.seats_m[:, 0] = np.minimum(here.seats_m[:, 0], 5.0)
    assert_is_single(setting(seat_offsets_m=offsets_m, **SMALL), here, count=20)


@pytest.mark.parametrize("workers", [1, 2])
@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
def test_pieces_and_threads_change_nothing(monkeypatch, dipole, workers):
    room, here = setting(dipole=dipole, **SMALL), scattered()
    whole_db = bulk_levels_db(room, here)
    monkeypatch.setattr(bulk, "_PAIRS", 5)
    monkeypatch.setattr(bulk, "_PIECE", 9)
    monkeypatch.setattr(bulk_field, "_TABLE_BYTES", 60_000)
    monkeypatch.setattr(bulk_field, "_MOST_NEPER", 2.0)
    np.testing.assert_allclose(bulk_levels_db(room, here, workers=workers), whole_db, atol=0.003)


def test_many_places_across_are_made_of_few(monkeypatch):
    """Two speakers anywhere, each of 20 places: more rows than the combinations are found from."""
    places_m = np.linspace(0.4, 3.7, 20)
    across_m = np.stack(np.meshgrid(places_m, places_m, indexing="ij"), axis=-1).reshape(-1, 2)
    here = grid(across_m=across_m, front_m=[0.5, 0.9], seats_m=[(2.9, 2.0, 1.1), (3.6, 2.4, 1.1)])
    monkeypatch.setattr(bulk_blocks, "_MOST_ROWS", 64)
    assert_is_single(setting(dipole=True, **SMALL), here, count=60)


def test_mirror_image_rooms_give_mirror_image_levels():
    room = setting(**SMALL)
    mirrored = setting(beta=[UNEQUAL[wall] for wall in (0, 1, 3, 2, 4, 5)], **SMALL)
    here = scattered(size=(5, 5, 5))
    speakers_m, seats_m = here.speakers_m.copy(), here.seats_m.copy()
    speakers_m[..., 1], seats_m[:, 1] = 4.1 - speakers_m[..., 1], 4.1 - seats_m[:, 1]
    there = dataclasses.replace(here, speakers_m=speakers_m, seats_m=seats_m)
    np.testing.assert_allclose(bulk_levels_db(mirrored, there), bulk_levels_db(room, here), atol=0.003)


def test_a_long_hall_with_seats_among_the_speakers_stays_finite():
    """30 m, speakers anywhere along it and seats from 0.5 m behind each: e^(u x) would overflow single precision."""
    room = setting(dimensions_m=(30.0, 4.1, 2.5), **SMALL)
    front_m = np.array([0.4, 7.0, 14.0, 28.5])
    here = grid(across_m=[(1.0, 3.1)], front_m=front_m, seats_m=[(x, 2.0, 1.1) for x in (0.9, 7.6, 14.6, 29.2)])
    apart_m = here.seats_m[:, 0] - front_m[:, None]
    here = dataclasses.replace(here, allowed=(apart_m >= 0.5 - 1e-9)[None])
    levels_db = bulk_levels_db(room, here)
    assert np.isfinite(levels_db[:, :, here.allowed]).all()
    for j, i, k in np.argwhere(here.allowed):
        expected_db = single_levels_db(room, here, (j, i, k))
        np.testing.assert_allclose(levels_db[0, :, j, i, k], expected_db, atol=0.03)  # 0.5 m apart: truncation


# what is known of rooms ----------------------------------------------------------------------------------------------


def peak_over_neighbours_db(*, dipole, across_m, seat_m, mode_hz, beta=0.003, facing_rad=None):
    """Level at a mode's frequency above the mean of 8 % below and above it, in a room of little and equal loss."""
    room = setting(beta=[beta] * 6, dipole=dipole)
    bands = dataclasses.replace(
        room.bands, midbands_hz=mode_hz * np.array([0.92, 1.0, 1.08]), frequency_hz=np.zeros(12), points=4
    )
    k = np.repeat(2 * np.pi * bands.midbands_hz / room.speed_of_sound_m_s, 4)
    box = dataclasses.replace(room.box, wavenumber_per_m=k, admittance_ratio=np.full((6, 12), beta))
    here = grid(across_m=[across_m], front_m=[0.8], seats_m=[seat_m], facing_rad=facing_rad)
    below, at, above = bulk_levels_db(dataclasses.replace(room, bands=bands, box=box), here)[0, :, 0, 0, 0]
    return at - (below + above) / 2


WIDTH_MODE_HZ = 343.2 / (2 * 4.1)
LENGTH_MODE_HZ = 343.2 / (2 * 5.4)


def test_the_middle_of_the_length_hears_no_odd_length_mode():
    pair = {"dipole": False, "across_m": (0.9, 3.2), "mode_hz": LENGTH_MODE_HZ}
    assert peak_over_neighbours_db(seat_m=(2.7, 2.05, 1.1), **pair) < 1.0
    assert peak_over_neighbours_db(seat_m=(4.9, 2.05, 1.1), **pair) > 10.0


def test_a_pair_on_the_axis_of_a_symmetric_room_drives_no_odd_width_mode():
    """Neither on the axis nor off it; one of the two alone does."""
    for seat_y_m in (2.05, 0.6):
        place = {"dipole": False, "seat_m": (3.4, seat_y_m, 1.1), "mode_hz": WIDTH_MODE_HZ}
        assert peak_over_neighbours_db(across_m=(0.9, 3.2), **place) < 1.0
    assert peak_over_neighbours_db(across_m=(0.9,), **place) > 10.0


def test_a_dipole_along_the_length_drives_no_pure_width_mode():
    place = {"across_m": (0.7,), "seat_m": (4.1, 0.7, 1.1), "mode_hz": WIDTH_MODE_HZ}
    assert peak_over_neighbours_db(dipole=True, facing_rad=np.zeros(1), **place) < 1.0
    assert peak_over_neighbours_db(dipole=True, facing_rad=np.array([np.pi / 4]), **place) > 3.0
    assert peak_over_neighbours_db(dipole=False, **place) > 10.0
