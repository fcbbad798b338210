"""Power of a source near walls: limits, minima and crossings recomputed from the closed form."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq, minimize_scalar

from service.physics.checks import OutOfRangeError
from service.physics.room.boundaries import boundary_power_gain_db, first_pressure_cancellation_hz

WAVELENGTH_M = 2.0
AT = {"frequency_hz": 171.6, "speed_of_sound_m_s": 343.2}


def gain_db(wavelengths, walls):
    """Equal distances to each wall, in wavelengths."""
    return float(
        boundary_power_gain_db(
            AT["frequency_hz"],
            distances_m=[wavelengths * WAVELENGTH_M] * walls,
            speed_of_sound_m_s=AT["speed_of_sound_m_s"],
        )
    )


@pytest.mark.parametrize(("walls", "limit_db"), [(0, 0.0), (1, 3.010), (2, 6.021), (3, 9.031)])
def test_on_the_walls_power_doubles_with_each(walls, limit_db):
    assert gain_db(0.0, walls) == pytest.approx(limit_db, abs=5e-4)
    assert gain_db(1e-4, walls) == pytest.approx(limit_db, abs=5e-4)


@pytest.mark.parametrize(
    ("walls", "place", "depth_db"), [(1, 0.3576, -1.064), (2, 0.3188, -2.857), (3, 0.2814, -11.365)]
)
def test_first_minimum(walls, place, depth_db):
    found = minimize_scalar(gain_db, args=(walls,), bounds=(0.15, 0.45), options={"xatol": 1e-7})
    assert found.x == pytest.approx(place, abs=5e-4)
    assert found.fun == pytest.approx(depth_db, abs=5e-3)


@pytest.mark.parametrize(("walls", "place"), [(1, 0.2500), (2, 0.2276), (3, 0.2054)])
def test_first_crossing_of_the_free_field(walls, place):
    assert brentq(gain_db, 0.1, 0.3, args=(walls,)) == pytest.approx(place, abs=5e-4)


def test_three_walls_by_hand():
    assert gain_db(0.30, 3) == pytest.approx(-9.533, abs=5e-3)
    found = boundary_power_gain_db(100.0, distances_m=[0.3, 0.6, 1.2], speed_of_sound_m_s=343.2)
    assert found == pytest.approx(2.084, abs=5e-3)


def test_one_wall_agrees_with_the_power_through_a_half_sphere():
    """|1 + exp(-j 2 k d cos t)|^2 over the half sphere, integrated; d = 0.7 m, 90 Hz."""
    k_d = 2 * np.pi * 90.0 / 343.2 * 0.7
    power = quad(lambda t: abs(1 + np.exp(-2j * k_d * np.cos(t))) ** 2 * np.sin(t) / 2, 0, np.pi / 2)[0]
    found = boundary_power_gain_db(90.0, distances_m=[0.7], speed_of_sound_m_s=343.2)
    assert found == pytest.approx(10 * np.log10(power), abs=1e-9)


def test_three_walls_agree_with_the_power_through_an_eighth_of_a_sphere():
    """The pressure of source and images is 8 cos(k x nx) cos(k y ny) cos(k z nz) in the direction n."""
    k, distances = 2 * np.pi * 120.0 / 343.2, np.array([0.35, 0.8, 1.1])
    cosines, weights = np.polynomial.legendre.leggauss(60)
    cosines, weights = (cosines + 1) / 2, weights / 2
    angles = np.pi / 2 * cosines
    nz, angle = np.meshgrid(cosines, angles, indexing="ij")
    n = np.stack([np.sqrt(1 - nz**2) * np.cos(angle), np.sqrt(1 - nz**2) * np.sin(angle), nz], axis=-1)
    power = ((8 * np.cos(k * distances * n).prod(axis=-1)) ** 2 * np.outer(weights, weights)).sum() / 8
    found = boundary_power_gain_db(120.0, distances_m=distances, speed_of_sound_m_s=343.2)
    assert found == pytest.approx(10 * np.log10(power), abs=1e-6)


def test_order_of_walls_does_not_matter_and_a_far_wall_does_not_count():
    given = {"frequency_hz": np.array([40.0, 160.0]), "speed_of_sound_m_s": 343.2}
    frequency_hz = given.pop("frequency_hz")
    one = boundary_power_gain_db(frequency_hz, distances_m=[0.3, 0.9, 1.4], **given)
    assert boundary_power_gain_db(frequency_hz, distances_m=[1.4, 0.3, 0.9], **given) == pytest.approx(one, abs=1e-12)
    near = boundary_power_gain_db(frequency_hz, distances_m=[0.3, 0.9], **given)
    assert boundary_power_gain_db(frequency_hz, distances_m=[0.3, 0.9, 1e5], **given) == pytest.approx(near, abs=1e-3)


def test_pressure_notch_is_not_the_power_minimum():
    # c / (4 d) = 343.2 / 2.4; the power minimum is at 0.3576 c / d = 204.5 Hz
    assert first_pressure_cancellation_hz(distance_m=0.6, speed_of_sound_m_s=343.2) == pytest.approx(143.0, abs=0.05)
    found = minimize_scalar(
        lambda f: float(boundary_power_gain_db(f, distances_m=[0.6], speed_of_sound_m_s=343.2)),
        bounds=(100.0, 260.0),
    )
    assert found.x == pytest.approx(204.5, abs=0.2)


@pytest.mark.parametrize(
    ("frequency_hz", "distances_m", "speed_of_sound_m_s", "name"),
    [
        (0.0, [1.0], 343.2, "frequency_hz"),
        (50.0, [-0.1], 343.2, "distances_m"),
        (50.0, [0.1] * 4, 343.2, "distances_m"),
        (50.0, 0.1, 343.2, "distances_m"),
        (50.0, [0.1], np.nan, "speed_of_sound_m_s"),
    ],
)
def test_refusals(frequency_hz, distances_m, speed_of_sound_m_s, name):
    with pytest.raises(OutOfRangeError, match=name):
        boundary_power_gain_db(frequency_hz, distances_m=distances_m, speed_of_sound_m_s=speed_of_sound_m_s)


def test_notch_refuses_a_source_in_the_wall():
    with pytest.raises(OutOfRangeError, match="distance_m"):
        first_pressure_cancellation_hz(distance_m=0.0, speed_of_sound_m_s=343.2)
