"""The wave field of a box: against two independent methods, the laws it must obey, and its edges."""

import numpy as np
import pytest

from service.physics.room import wave_field
from service.physics.room.wave_field import (
    AxisSum,
    Box,
    box_wavenumbers,
    field_terms,
    pressure_ratio,
    uniform_loss_per_m,
)
from tests.physics.room.galerkin import galerkin_pressure

C = 343.2
UNEQUAL = (0.012, 0.03, 0.05, 0.2, 0.11, 0.02)
MONOPOLE = (0.0, 0.0, 0.0)


def box(
    *, dimensions_m=(6.0, 4.4, 2.6), beta=UNEQUAL, frequency_hz=(20.0, 31.5, 50.0, 90.0, 160.0, 300.0), loss_per_m=0.0
):
    k = box_wavenumbers(frequency_hz, speed_of_sound_m_s=C)
    admittance = np.repeat(np.array(beta, dtype=float)[:, None], len(k), axis=1)
    return Box(dimensions_m=dimensions_m, admittance_ratio=admittance, wavenumber_per_m=k, loss_per_m=loss_per_m)


def field(room, source_m, seat_m, axis=MONOPOLE):
    return pressure_ratio(room, sources_m=[source_m], axes=[axis], seats_m=[seat_m])[0, 0]


def db(pressure):
    return 20 * np.log10(np.abs(pressure))


def image_sum(room, source_m, seat_m, *, axis=None, nepers):
    """Plain sum of images of a rigid box at complex k, until each further image is weaker by `nepers`."""
    k = room.wavenumber_per_m - 1j * room.loss_per_m
    reach_m = nepers / room.loss_per_m
    shifts = [
        2 * length * np.arange(-n, n + 1) for length in room.dimensions_m for n in [int(reach_m / (2 * length)) + 1]
    ]
    shift_m = np.stack(np.meshgrid(*shifts, indexing="ij"), -1).reshape(-1, 3)
    total = np.zeros(len(k), dtype=complex)
    for signs in np.ndindex(2, 2, 2):
        mirror = 1 - 2 * np.array(signs)
        away = np.array(seat_m) - (shift_m + mirror * np.array(source_m))
        r = np.linalg.norm(away, axis=1)
        away, r = away[r < reach_m], r[r < reach_m]
        for i, wavenumber in enumerate(k):
            wave = np.exp(-1j * wavenumber * r) / r
            if axis is not None:
                wave *= (1j * wavenumber + 1 / r) * (away @ (mirror * np.array(axis))) / r / (1j * wavenumber.real)
            total[i] += wave.sum()
    return total


@pytest.mark.parametrize(
    ("source_m", "seat_m"),
    [
        ((0.9, 1.2, 0.9), (4.0, 2.2, 1.1)),
        ((0.9, 1.2, 0.9), (0.9, 3.1, 1.1)),  # seat at the source's x
        ((5.2, 0.3, 0.4), (1.1, 0.6, 2.2)),
        ((2.0, 2.0, 1.0), (2.2, 2.1, 1.1)),  # closer than the near-field limit on every axis
        ((2.0, 2.0, 1.0), (2.0, 2.02, 1.0)),
        ((0.08, 0.1, 0.05), (0.2, 0.05, 0.12)),  # both in a corner
    ],
)
@pytest.mark.parametrize("axis", [None, (np.cos(0.4), np.sin(0.4), 0.0)])
def test_uniform_damping_equals_a_converged_sum_of_images(source_m, seat_m, axis):
    room = box(beta=(0,) * 6, loss_per_m=uniform_loss_per_m(reverberation_time_s=0.35, speed_of_sound_m_s=C))
    expected = image_sum(room, source_m, seat_m, axis=axis, nepers=14.0)
    found = field(room, source_m, seat_m, axis or MONOPOLE)
    np.testing.assert_allclose(found, expected, rtol=0.003, atol=1e-4)


@pytest.mark.parametrize(
    ("dimensions_m", "beta", "source_m", "seat_m", "size"),
    [
        ((6.0, 4.4, 2.6), UNEQUAL, (0.9, 1.2, 0.9), (4.0, 2.2, 1.1), (36, 32, 28)),
        ((5.4, 4.1, 2.5), (0.638, 0.1, 0.02, 0.4, 0.3, 0.05), (1.1, 1.0, 0.9), (1.1, 2.9, 1.2), (40, 36, 30)),
        ((7.6, 5.3, 2.8), (0.638, 0.638, 0.638, 0.638, 0.05, 0.2), (1.3, 1.4, 0.9), (1.4, 1.45, 1.0), (44, 38, 32)),
        (
            (10.0, 7.5, 4.0),
            (0.02, 0.1, 0.03, 0.06, 0.25, 0.04),
            (1.5, 2.0, 1.2),
            (6.4, 3.6, 1.3),
            (46, 42, 34),
        ),  # 300 m3
        ((2.2, 1.7, 2.1), (0.01, 0.02, 0.03, 0.01, 0.2, 0.02), (0.7, 0.6, 0.8), (1.6, 1.1, 1.2), (28, 26, 28)),
    ],
)
def test_unequal_walls_equal_a_galerkin_solution(dimensions_m, beta, source_m, seat_m, size):
    frequency_hz = (15.0, 42.0, 97.0, 180.0, 300.0)
    room = box(dimensions_m=dimensions_m, beta=beta, frequency_hz=frequency_hz)
    expected = [
        galerkin_pressure(
            dimensions_m=dimensions_m,
            admittance_ratio=beta,
            wavenumber_per_m=k,
            source_m=source_m,
            seat_m=seat_m,
            size=size,
        )
        for k in room.wavenumber_per_m
    ]
    found = field(room, source_m, seat_m)
    assert np.abs(db(found) - db(expected)).max() < 0.02
    assert np.abs(np.angle(found / expected)).max() < 0.003


def test_source_power_equals_power_absorbed_by_the_walls(monkeypatch):
    # Green's theorem for p at k: -4 pi Im p(source) = k * integral of beta |p|^2 over the walls: nothing is created
    # or lost. Im p is 2 where |p| is 100 (1 cm from the source), so the sum over products is taken further than usual.
    monkeypatch.setattr(wave_field, "_MARGIN_MONOPOLE", 14.0)
    source_m, room = (1.3, 1.1, 0.8), box(frequency_hz=(35.0, 80.0, 150.0))
    radiated = -2 * np.pi * (field(room, source_m, (1.31, 1.1, 0.8)) + field(room, source_m, (1.29, 1.1, 0.8))).imag
    nodes, weights = np.polynomial.legendre.leggauss(24)
    absorbed = 0.0
    for i, beta in enumerate(UNEQUAL):
        normal, (first, second) = i // 2, [a for a in range(3) if a != i // 2]
        points = np.zeros((24, 24, 3))
        points[..., normal] = room.dimensions_m[normal] * (i % 2)
        points[..., first] = ((nodes + 1) / 2 * room.dimensions_m[first])[:, None]
        points[..., second] = ((nodes + 1) / 2 * room.dimensions_m[second])[None, :]
        area = np.outer(weights, weights) * room.dimensions_m[first] * room.dimensions_m[second] / 4
        p = pressure_ratio(room, sources_m=[source_m], axes=[MONOPOLE], seats_m=points.reshape(-1, 3))[:, 0]
        absorbed = absorbed + beta * (area.reshape(-1, 1) * np.abs(p) ** 2).sum(axis=0)
    assert (radiated > 0).all()
    np.testing.assert_allclose(room.wavenumber_per_m * absorbed, radiated, rtol=2e-3)


def test_reciprocity():
    room, a, b = box(), (0.9, 1.2, 0.9), (4.0, 2.9, 1.7)
    np.testing.assert_allclose(field(room, a, b), field(room, b, a), rtol=1e-10)


@pytest.mark.parametrize("axis", [MONOPOLE, (0.6, 0.8, 0.0)])
def test_mirror_image_room_gives_the_same_field(axis):
    a, b = (0.9, 1.2, 0.9), (4.0, 2.9, 1.7)
    mirrored = tuple(UNEQUAL[i] for i in (0, 1, 3, 2, 4, 5))
    a_mirrored, b_mirrored = ((x, 4.4 - y, z) for x, y, z in (a, b))
    found = field(box(beta=mirrored), a_mirrored, b_mirrored, (axis[0], -axis[1], 0.0))
    np.testing.assert_allclose(found, field(box(), a, b, axis), rtol=1e-9)


@pytest.mark.parametrize("order", [(1, 0, 2), (2, 1, 0), (1, 2, 0)])
def test_axes_permuted_change_nothing(order):
    # The closed form then runs along another wall pair: an inner check of the whole sum.
    dimensions_m, a, b = (6.0, 4.4, 2.6), (0.9, 1.2, 0.9), (4.0, 3.9, 1.9)
    beta = tuple(UNEQUAL[2 * i + side] for i in order for side in (0, 1))
    size, a_swapped, b_swapped = (tuple(point[i] for i in order) for point in (dimensions_m, a, b))
    swapped = field(box(dimensions_m=size, beta=beta), a_swapped, b_swapped)
    np.testing.assert_allclose(swapped, field(box(), a, b), rtol=1e-9)


@pytest.mark.parametrize("forced", [0, 1, 2])
def test_each_closed_form_axis_gives_the_same_field(forced):
    room, a, b = box(), np.array([[0.9, 1.2, 0.4]]), np.array([[3.2, 3.1, 1.9]])
    axis_sum = AxisSum(room.dimensions_m, room.admittance_ratio, room.wavenumber_per_m, axis=forced, highest_per_m=13.0)
    found = axis_sum.field(sources_m=a, axes=None, seats_m=b)[0]
    assert np.abs(db(found) - db(field(room, a[0], b[0]))).max() < 1e-3


def test_scaled_room():
    # Twice the size at half the frequency: the same ratios, and 1 m is half as far: 6.02 dB less.
    a, b = np.array([0.9, 1.2, 0.9]), np.array([4.0, 2.2, 1.1])
    large = box(dimensions_m=(12.0, 8.8, 5.2), frequency_hz=(10.0, 15.75, 25.0, 45.0, 80.0, 150.0))
    np.testing.assert_allclose(
        field(large, 2 * a, 2 * b), field(box(), a, b) / 2, rtol=5e-4
    )  # 0.004 dB: the truncation


def test_rigid_limit_is_the_pressure_of_a_compliance_at_low_frequency():
    # Far below the first mode a nearly rigid room is a spring: p = 4 pi / (-k^2 V), here at 1 Hz (first mode 28.6 Hz).
    room = box(beta=(1e-9,) * 6, frequency_hz=(1.0,))
    k, volume_m3 = room.wavenumber_per_m[0], 6.0 * 4.4 * 2.6
    assert field(room, (0.9, 1.2, 0.9), (4.0, 2.2, 1.1))[0] == pytest.approx(-4 * np.pi / (k**2 * volume_m3), rel=0.01)


def test_rigid_limit_is_continuous():
    frequency_hz = (20.0, 61.0, 133.0)
    nearly, rigid = (box(beta=(b,) * 6, frequency_hz=frequency_hz) for b in (1e-7, 0.0))
    a, b = (0.9, 1.2, 0.9), (4.0, 2.2, 1.1)
    np.testing.assert_allclose(field(nearly, a, b), field(rigid, a, b), rtol=1e-3)


@pytest.mark.parametrize("distance_m", [0.01, 0.03, 0.1])
def test_close_to_the_source_the_field_tends_to_free_field(distance_m):
    # What the walls add is bounded, 1/r is not: at 1 cm 40 dB above the level at 1 m.
    room, source_m = box(beta=(0.2,) * 6), np.array([2.9, 2.1, 1.2])
    seat_m = source_m + distance_m * np.array([0.48, 0.6, 0.64])
    free = np.exp(-1j * room.wavenumber_per_m * distance_m) / distance_m
    assert np.abs(field(room, source_m, seat_m) - free).max() < 3.0
    assert np.abs(db(field(room, source_m, seat_m)) - db(free)).max() < 26 * distance_m


def test_phase_is_that_of_a_wave_from_the_source():
    # exp(-j k r) / r: at 1 cm the phase of free field is -k r; at 1 m and 100 Hz it would be -104.90 degrees.
    assert np.degrees(-2 * np.pi * 100 / C) == pytest.approx(-104.90, abs=0.01)
    room, source_m = box(frequency_hz=(100.0,)), (2.9, 2.1, 1.2)
    assert abs(np.angle(field(room, source_m, (2.91, 2.1, 1.2))[0])) < 0.05


def test_truncation_at_random_places():
    # Twice the margin of evanescent products must change nothing that can be heard or read: 0.03 dB at worst.
    rng = np.random.default_rng(7)
    room = box(frequency_hz=np.geomspace(20, 300, 30))
    inside = np.array(room.dimensions_m) - 0.4
    sources_m, seats_m = (0.2 + rng.random((12, 3)) * inside for _ in range(2))
    for axes in (np.zeros((12, 3)), np.tile([0.8, -0.6, 0.0], (12, 1))):
        found = pressure_ratio(room, sources_m=sources_m, axes=axes, seats_m=seats_m)
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(wave_field, "_MARGIN_MONOPOLE", 16.0)
            patch.setattr(wave_field, "_MARGIN_DIPOLE", 20.0)
            converged = pressure_ratio(room, sources_m=sources_m, axes=axes, seats_m=seats_m)
        assert np.abs(found - converged).max() / np.abs(converged).mean() < 0.003


def test_dipole_is_the_derivative_with_respect_to_the_source():
    room, a, b, step_m = box(), np.array([1.4, 1.2, 0.9]), (4.0, 2.2, 1.1), 1e-3
    axis = np.array([0.6, 0.8, 0.0])
    slope = (field(room, a + step_m * axis, b) - field(room, a - step_m * axis, b)) / (2 * step_m)
    np.testing.assert_allclose(field(room, a, b, axis), slope / (1j * room.wavenumber_per_m), rtol=1e-4)


def test_dipole_near_field_close_to_the_source():
    # cos(theta) (1 + 1/(j k r)) exp(-j k r) / r: at 0.05 m on axis the walls hardly count.
    room, source_m, r = box(beta=(0.2,) * 6, frequency_hz=(40.0, 200.0)), (2.9, 2.1, 1.2), 0.05
    k = room.wavenumber_per_m
    free = (1 + 1 / (1j * k * r)) * np.exp(-1j * k * r) / r
    np.testing.assert_allclose(field(room, source_m, (2.95, 2.1, 1.2), (1.0, 0.0, 0.0)), free, rtol=0.02)


def test_dipole_along_the_length_does_not_excite_pure_width_modes():
    # First width mode at 39.0 Hz; seat and source off the nodes of every other low mode; all walls equal.
    room = box(beta=(0.005,) * 6, frequency_hz=(C / 8.8,))
    source_m, seat_m = (3.0, 0.5, 1.3), (4.6, 0.5, 1.3)
    along, across = (np.abs(field(room, source_m, seat_m, axis))[0] for axis in ((1, 0, 0), (0, 1, 0)))
    assert across > 3 * along


def test_middle_of_the_length_hears_no_odd_length_mode():
    # At the first length mode, 28.6 Hz, the seat in the middle of two equal end walls is in its node.
    room = box(beta=(0.005,) * 6, frequency_hz=(C / 12,))
    node, end = (np.abs(field(room, (0.5, 2.2, 0.9), (x, 2.2, 1.1)))[0] for x in (3.0, 5.5))
    assert end > 5 * node


def test_field_is_the_same_in_chunks_of_frequencies_and_pairs():
    room, sources_m = box(), np.array([(0.8, 1.0, 0.9), (0.9, 3.5, 0.7)])
    seats_m = np.array([(3.2, 2.2, 1.1), (0.9, 1.1, 1.0), (4.8, 0.4, 2.2)])
    axes = np.array([MONOPOLE, (0.6, 0.8, 0.0)])
    whole = pressure_ratio(room, sources_m=sources_m, axes=axes, seats_m=seats_m)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(wave_field, "_CHUNK_ELEMENTS", 200)
        chunked = pressure_ratio(room, sources_m=sources_m, axes=axes, seats_m=seats_m)
    np.testing.assert_allclose(chunked, whole, rtol=1e-8)  # Newton's method ends a step earlier in some chunks


def test_no_frequency_no_field():
    found = pressure_ratio(box(frequency_hz=()), sources_m=[(1, 1, 1)], axes=[MONOPOLE], seats_m=[(3, 2, 1), (3, 1, 1)])
    assert found.shape == (2, 1, 0)


def test_terms_are_products_times_frequencies_for_every_pair_and_once_more():
    # 3 m apart along x: products up to 7 / 3 = 2.333 per metre (k is next to nothing) across pi and pi metres, that is
    # a^2 + b^2 <= 5.44: (0,0) (0,1) (0,2) (1,0) (1,1) (1,2) (2,0) (2,1) = 8; two seats and two frequencies.
    room = box(dimensions_m=(5.0, np.pi, np.pi), frequency_hz=(1.0, 1.1))
    seats_m = [(4.0, 1.0, 1.2), (4.0, 2.0, 1.2)]
    assert field_terms(room, sources_m=[(1.0, 1.5, 1.0)], axes=[MONOPOLE], seats_m=seats_m) == 8 * (2 + 1) * 2
    # a dipole is kept up to 10 / 3 = 3.333: a^2 + b^2 <= 11.1 adds (2,2) (0,3) (3,0) (1,3) (3,1) = 13
    assert field_terms(room, sources_m=[(1.0, 1.5, 1.0)], axes=[(1.0, 0, 0)], seats_m=seats_m) == 13 * (2 + 1) * 2
