"""The batched field of many placements against the solver of a single one, and the laws it must keep.

A pressure is compared re its own magnitude, or, in a null, re a tenth of the mean magnitude over all frequencies and
places: there 0.01 dB of the level means nothing.
"""

import numpy as np
import pytest

from service.physics.placement.grid_field import GridField
from service.physics.room.wave_field import Box, box_wavenumbers, pressure_ratio

C = 343.2
UNEQUAL = (0.012, 0.03, 0.05, 0.2, 0.11, 0.02)
RATIO_OF_0_01_DB = 10 ** (0.01 / 20) - 1
FREQUENCY_HZ = np.geomspace(20, 200, 24)


def room(*, dimensions_m=(6.0, 4.4, 2.6), beta=UNEQUAL, frequency_hz=FREQUENCY_HZ):
    k = box_wavenumbers(frequency_hz, speed_of_sound_m_s=C)
    admittance = np.repeat(np.array(beta, dtype=float)[:, None], len(k), axis=1)
    return Box(dimensions_m=dimensions_m, admittance_ratio=admittance, wavenumber_per_m=k)


def single(box, speakers_m, bearings_rad, ears_m):
    """Sum over the speakers (n, 3) at ears (c, 3), by the solver of one response; a bearing of None is a monopole."""
    axes = [(0, 0, 0) if b is None else (np.cos(b), np.sin(b), 0) for b in bearings_rad]
    return pressure_ratio(box, sources_m=speakers_m, axes=axes, seats_m=ears_m).sum(axis=1)


def assert_within_0_01_db(found, expected):
    floor = 0.1 * np.abs(expected).mean()
    assert (np.abs(found - expected) <= RATIO_OF_0_01_DB * np.maximum(np.abs(expected), floor)).all()


FRONT_M = np.array([0.55, 0.9, 1.3, 1.75])
ACROSS_M = np.array([[1.2, 3.2], [1.0, 3.4], [0.6, 3.9]])  # several spacings, one off the axis
SEAT_X_M = np.array([3.2, 3.85, 4.4, 5.7])


def batched(box, *, dipole, turned_rad, behind_m=0.0, seat_y_m=(2.2,), seat_z_m=1.1, across_m=ACROSS_M, least_m=1.2):
    field = GridField(
        box,
        source_x_m=FRONT_M,
        source_y_m=across_m,
        source_z_m=0.9,
        least_separation_m=least_m,
        dipole=dipole,
    )
    arrivals = field.arrivals(SEAT_X_M)
    every = np.ones((3, 4, 4), dtype=bool)
    found = field.pressure(
        arrivals,
        behind_m=behind_m,
        seat_y_m=seat_y_m,
        seat_z_m=seat_z_m,
        chosen=every,
        turned_rad=turned_rad.ravel(),
    )
    return found.reshape(*found.shape[:2], *every.shape)


@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
def test_every_candidate_equals_the_single_solver(dipole):
    """A grid with unequal walls, seats off the axis and at several heights, each speaker turned its own way."""
    box = room()
    rng = np.random.default_rng(11)
    turned = rng.uniform(-0.4, 0.8, size=(3, 4, 4))
    y_m, z_m, behind_m = (1.55, 2.6), 1.35, 0.1
    found = batched(box, dipole=dipole, turned_rad=turned, behind_m=behind_m, seat_y_m=y_m, seat_z_m=z_m)
    assert found.shape == (24, 2, 3, 4, 4)
    for j, i, k in np.ndindex(3, 4, 4):
        speakers_m = [(FRONT_M[i], y, 0.9) for y in ACROSS_M[j]]
        bearings = (turned[j, i, k], -turned[j, i, k]) if dipole else (None, None)
        ears_m = [(SEAT_X_M[k] + behind_m, y, z_m) for y in y_m]
        assert_within_0_01_db(found[:, :, j, i, k].T, single(box, speakers_m, bearings, ears_m))


@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
@pytest.mark.parametrize("seed", range(6))
def test_random_rooms_and_places_equal_the_single_solver(seed, dipole):
    rng = np.random.default_rng(seed)
    dimensions_m = tuple(rng.uniform((4.5, 2.8, 2.2), (11.0, 7.0, 3.4)))
    beta = 10 ** rng.uniform(-2.5, -0.3, size=6)
    box = room(dimensions_m=dimensions_m, beta=beta)
    length_m, width_m, _ = dimensions_m
    fronts_m, seats_m = rng.uniform(0.4, 0.3 * length_m, 5), rng.uniform(0.3 * length_m + 1.2, length_m - 0.2, 6)
    across_m = rng.uniform(0.3, width_m - 0.3, size=(4, 2))
    source_z_m, ear_y_m, ear_z_m = rng.uniform(0.5, 1.4), rng.uniform(0.3, width_m - 0.3), rng.uniform(0.8, 1.6)
    chosen = rng.random((4, 5, 6)) < 0.25
    turned = rng.uniform(-1.0, 1.0, size=chosen.sum())
    field = GridField(
        box,
        source_x_m=fronts_m,
        source_y_m=across_m,
        source_z_m=source_z_m,
        least_separation_m=seats_m.min() - fronts_m.max(),
        dipole=dipole,
    )
    found = field.pressure(
        field.arrivals(seats_m), behind_m=0.0, seat_y_m=[ear_y_m], seat_z_m=ear_z_m, chosen=chosen, turned_rad=turned
    )
    for n, (j, i, k) in enumerate(np.argwhere(chosen)):
        speakers_m = [(fronts_m[i], y, source_z_m) for y in across_m[j]]
        bearings = (turned[n], -turned[n]) if dipole else (None, None)
        expected = single(box, speakers_m, bearings, [(seats_m[k], ear_y_m, ear_z_m)])[0]
        assert_within_0_01_db(found[:, 0, n], expected)


@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
def test_mirror_image_room_gives_the_mirror_image(dipole):
    """Left and right walls, speakers and seat swapped: the same field. The first speaker is then the right one."""
    turned = np.full((3, 4, 4), 0.35)
    mirrored_beta = tuple(UNEQUAL[wall] for wall in (0, 1, 3, 2, 4, 5))
    here = batched(room(), dipole=dipole, turned_rad=turned, seat_y_m=(1.7,))
    there = batched(
        room(beta=mirrored_beta), dipole=dipole, turned_rad=-turned, seat_y_m=(4.4 - 1.7,), across_m=4.4 - ACROSS_M
    )
    np.testing.assert_allclose(there, here, rtol=1e-9)


def test_one_speaker_and_two_speakers_add_up():
    """The pair is the sum of its two speakers, each a field of its own."""
    box, turned = room(), np.full((3, 4, 4), 0.3)
    pair = batched(box, dipole=True, turned_rad=turned)
    left = batched(box, dipole=True, turned_rad=turned, across_m=ACROSS_M[:, :1])
    right = batched(box, dipole=True, turned_rad=-turned, across_m=ACROSS_M[:, 1:])
    np.testing.assert_allclose(left + right, pair, rtol=1e-9)


def test_a_dipole_turned_by_half_a_turn_changes_sign():
    box, turned = room(), np.full((3, 4, 4), 0.3)
    ahead = batched(box, dipole=True, turned_rad=turned)
    np.testing.assert_allclose(batched(box, dipole=True, turned_rad=turned + np.pi), -ahead, rtol=1e-9)


def test_an_ear_behind_the_seat_is_a_seat_farther_back():
    box, turned = room(), np.zeros((3, 4, 4))
    shifted = batched(box, dipole=False, turned_rad=turned, behind_m=0.1)
    field = GridField(
        box, source_x_m=FRONT_M, source_y_m=ACROSS_M, source_z_m=0.9, least_separation_m=1.2, dipole=False
    )
    expected = field.pressure(
        field.arrivals(SEAT_X_M + 0.1),
        behind_m=0.0,
        seat_y_m=(2.2,),
        seat_z_m=1.1,
        chosen=turned == 0,
        turned_rad=turned.ravel(),
    )
    np.testing.assert_allclose(shifted.reshape(expected.shape), expected, rtol=1e-9)


def test_a_long_hall_and_a_short_separation_stay_finite():
    """exp(u x) of the most evanescent product over 28 m must not overflow, for the combinations that are read."""
    box = room(dimensions_m=(30.0, 3.0, 2.5), frequency_hz=np.array([20.0, 200.0]))
    fronts_m, seats_m = np.array([0.4, 14.0, 28.9]), np.array([0.9, 14.5, 29.4])
    field = GridField(
        box,
        source_x_m=fronts_m,
        source_y_m=np.array([[1.5]]),
        source_z_m=0.9,
        least_separation_m=0.4,
        dipole=True,
    )
    found = field.pressure(
        field.arrivals(seats_m),
        behind_m=0.0,
        seat_y_m=(1.6,),
        seat_z_m=1.1,
        chosen=np.eye(3, dtype=bool)[None],
        turned_rad=np.zeros(3),
    )
    for n in range(3):
        expected = single(box, [(fronts_m[n], 1.5, 0.9)], [0.0], [(seats_m[n], 1.6, 1.1)])[0]
        assert np.abs(20 * np.log10(np.abs(found[:, 0, n] / expected))).max() < 0.05  # 0.5 m apart: truncation
