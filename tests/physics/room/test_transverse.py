"""Modes across a wall pair: against an eigenvalue problem in Legendre polynomials, and by their own definition."""

import numpy as np
import pytest

from service.physics.room.transverse import transverse_modes
from tests.physics.room.galerkin import _Axis

C = 343.2


def modes(*, frequency_hz, beta0, beta1, length_m, count):
    k = 2 * np.pi * np.atleast_1d(frequency_hz) / C
    return transverse_modes(
        wavenumber_per_m=k,
        admittance_ratio_low=np.full(k.shape, beta0),
        admittance_ratio_high=np.full(k.shape, beta1),
        length_m=length_m,
        mode_count=count,
    )


@pytest.mark.parametrize(
    ("length_m", "beta0", "beta1"),
    [
        (8.0, 0.638, 0.638),
        (8.0, 0.638, 0.0),
        (8.0, 0.3, 0.3),
        (12.0, 0.638, 0.638),
        (4.4, 0.012, 0.1),
        (2.4, 0.5, 0.2),
    ],
)
def test_all_roots_are_those_of_the_eigenvalue_problem(length_m, beta0, beta1):
    # Legendre-Galerkin, 70 polynomials, converged to 1e-9 for the 20 lowest: another method, which cannot miss a root.
    axis = _Axis(length_m, 70, 80)
    for frequency_hz in np.geomspace(15, 300, 27):
        k = 2 * np.pi * frequency_hz / C
        squares, _ = axis.eigenpairs([1j * k * beta0, 1j * k * beta1])
        expected = np.sqrt(squares[np.argsort(squares.real)])
        expected = np.where(expected.real < 0, -expected, expected)
        expected = expected[np.argsort(expected.real)][:20]
        found = modes(
            frequency_hz=frequency_hz, beta0=beta0, beta1=beta1, length_m=length_m, count=20
        ).wavenumber_per_m[0]
        distance = np.abs(found[:, None] - expected)
        assert distance.min(axis=1).max() < 1e-7
        assert sorted(distance.argmin(axis=1)) == list(range(20))


def test_largest_room_with_the_most_absorbing_walls():
    # 30 m, admittance 1 and 0.3, 300 Hz: k beta L = 165. 220 polynomials are converged for the 60 lowest roots.
    length_m, k = 30.0, 2 * np.pi * 300.0 / C
    squares, _ = _Axis(length_m, 220, 240).eigenpairs([1j * k * 1.0, 1j * k * 0.3])
    expected = np.sqrt(squares)
    expected = np.where(expected.real < 0, -expected, expected)
    expected = expected[np.argsort(expected.real)][:60]
    found = modes(frequency_hz=300.0, beta0=1.0, beta1=0.3, length_m=length_m, count=60).wavenumber_per_m[0]
    distance = np.abs(found[:, None] - expected)
    assert distance.min(axis=1).max() < 1e-6
    assert sorted(distance.argmin(axis=1)) == list(range(60))


def test_no_two_roots_are_one_whatever_the_walls():
    # k beta L from 1e-6 to 300 on either wall, 80 modes each: every number of half-waves has a root of its own.
    rng = np.random.default_rng(5)
    strong = 10 ** rng.uniform(-6, np.log10(300), 400)
    found = transverse_modes(
        wavenumber_per_m=np.ones(400),
        admittance_ratio_low=strong,
        admittance_ratio_high=strong * rng.random(400) ** 3,
        length_m=1.0,
        mode_count=80,
    ).wavenumber_per_m
    apart = np.abs(found[:, :, None] - found[:, None, :]) + 9 * np.eye(80)
    assert apart.min() > 0.01


def test_wall_conditions_hold():
    # psi' = j k beta psi at 0 and psi' = -j k beta psi at L, the definition itself.
    frequency_hz, length_m = np.array([31.5, 125.0, 300.0]), 5.4
    found = modes(frequency_hz=frequency_hz, beta0=0.07, beta1=0.4, length_m=length_m, count=9)
    k = (2 * np.pi * frequency_hz / C)[:, None]
    shape, slope = found.shape([0.0, length_m]), found.slope_per_m([0.0, length_m])
    np.testing.assert_allclose(slope[0], 1j * k * 0.07 * shape[0], atol=1e-8)
    np.testing.assert_allclose(slope[1], -1j * k * 0.4 * shape[1], atol=1e-8)


def test_norm_is_the_integral_of_psi_squared():
    length_m = 3.7
    found = modes(frequency_hz=[40.0, 220.0], beta0=0.3, beta1=0.05, length_m=length_m, count=7)
    nodes, weights = np.polynomial.legendre.leggauss(80)
    shape = found.shape((nodes + 1) * length_m / 2)
    np.testing.assert_allclose(np.tensordot(weights * length_m / 2, shape**2, axes=1), found.norm_m, atol=1e-9)


def test_rigid_walls_give_half_waves():
    found = modes(frequency_hz=100.0, beta0=0.0, beta1=0.0, length_m=5.0, count=5)
    np.testing.assert_allclose(found.wavenumber_per_m[0], np.arange(5) * np.pi / 5.0, atol=1e-6)
    np.testing.assert_allclose(found.norm_m[0], [5.0, 2.5, 2.5, 2.5, 2.5], atol=1e-9)


def test_orthogonal_without_conjugation():
    length_m = 4.2
    found = modes(frequency_hz=180.0, beta0=0.5, beta1=0.12, length_m=length_m, count=6)
    nodes, weights = np.polynomial.legendre.leggauss(80)
    shape = found.shape((nodes + 1) * length_m / 2)[:, 0]
    gram = np.einsum("x,xm,xn->mn", weights * length_m / 2, shape, shape)
    np.testing.assert_allclose(gram - np.diag(np.diag(gram)), 0, atol=1e-9)
