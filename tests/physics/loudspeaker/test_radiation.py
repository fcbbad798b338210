"""Radiation: pattern and index of a piston against integrals over its disc and over its pattern; dipoles."""

import math

import numpy as np
import pytest
from scipy import integrate, special

from service.physics.checks import OutOfRangeError
from service.physics.loudspeaker import radiation
from tests.published import Published

SPEED_M_S = 343.2

FIRST_ZERO = Published(
    printed="3.8317",
    unit="-",
    source="Abramowitz and Stegun, Handbook of Mathematical Functions (from memory)",
    where="first positive zero of J1",
    inputs={},
)


def test_piston_first_null():
    # k a sin(theta) = 3.8317 at 40 degrees; the ratio must change sign within half a printed digit
    x = float(FIRST_ZERO.printed)
    ka = (x + np.array([-5e-5, 5e-5])) / math.sin(math.radians(40.0))
    frequency_hz = ka * SPEED_M_S / (2.0 * math.pi * 0.1)
    before, after = radiation.piston_directivity_ratio(
        frequency_hz, radius_m=0.1, angle_deg=40.0, speed_of_sound_m_s=SPEED_M_S
    )
    assert before > 0 > after


@pytest.mark.parametrize("angle_deg", [10.0, 35.0, 80.0])
def test_piston_pattern_is_the_sum_over_its_surface(angle_deg):
    # mean over the disc of e^(j k x sin(theta)): strips of length 2 sqrt(a^2 - x^2)
    radius_m, frequency_hz = 0.083, 6300.0
    k_sin = 2 * np.pi * frequency_hz / SPEED_M_S * math.sin(math.radians(angle_deg))
    surface, _ = integrate.quad(
        lambda x: math.cos(k_sin * x) * 2.0 * math.sqrt(radius_m**2 - x**2), -radius_m, radius_m
    )
    ratio = radiation.piston_directivity_ratio(
        frequency_hz, radius_m=radius_m, angle_deg=angle_deg, speed_of_sound_m_s=SPEED_M_S
    )
    assert ratio == pytest.approx(surface / (math.pi * radius_m**2), abs=1e-7)


def test_piston_is_one_on_its_axis_and_everywhere_in_the_bass():
    on_axis = radiation.piston_directivity_ratio(
        np.array([20.0, 15e3]), radius_m=0.1, angle_deg=0.0, speed_of_sound_m_s=SPEED_M_S
    )
    np.testing.assert_allclose(on_axis, 1.0, atol=1e-12)
    bass = radiation.piston_directivity_ratio(
        20.0, radius_m=0.1, angle_deg=np.array([30.0, 60.0, 90.0]), speed_of_sound_m_s=SPEED_M_S
    )
    assert np.all((bass < 1.0) & (bass > 0.999))


@pytest.mark.parametrize("ka", [0.02, 0.0999, 0.1001, 0.7, 2.0, 6.08, 12.0])
def test_piston_index_is_the_integral_of_its_pattern(ka):
    # DI = 10 lg(4 pi / integral of the squared pattern over the front half space)
    def ring(theta):
        x = ka * math.sin(theta)
        return (2.0 * special.jv(1, x) / x) ** 2 * math.sin(theta) if x else 0.0

    rings, _ = integrate.quad(ring, 0.0, math.pi / 2.0, epsabs=1e-12, limit=200)
    radius_m = 0.2
    frequency_hz = ka * SPEED_M_S / (2.0 * math.pi * radius_m)
    index_db = radiation.piston_directivity_index_db(frequency_hz, radius_m=radius_m, speed_of_sound_m_s=SPEED_M_S)
    assert index_db == pytest.approx(10.0 * math.log10(2.0 / rings), abs=1e-6)


def test_piston_index_by_hand_at_a_zero_of_the_bessel_function():
    # J1(2 k a) = 0 at 2 k a = 3.8317: DI = 20 lg 1.91585 = 5.6473 dB
    frequency_hz = 1.91585 * SPEED_M_S / (2.0 * math.pi * 0.083)
    index_db = radiation.piston_directivity_index_db(frequency_hz, radius_m=0.083, speed_of_sound_m_s=SPEED_M_S)
    assert index_db == pytest.approx(5.6473, abs=5e-4)


def test_piston_index_has_its_limits():
    # half space in the bass; 20 lg(k a) in the treble, where the reflection term has died away
    frequency_hz = np.array([0.001, 20.0, 60e3])
    bass_db, low_db, treble_db = radiation.piston_directivity_index_db(
        frequency_hz, radius_m=0.05, speed_of_sound_m_s=SPEED_M_S
    )
    assert bass_db == pytest.approx(10.0 * math.log10(2.0), abs=1e-9)
    assert bass_db < low_db < bass_db + 0.01
    assert treble_db == pytest.approx(20.0 * math.log10(2 * math.pi * 60e3 * 0.05 / SPEED_M_S), abs=0.05)


def test_dipole_index_is_the_integral_of_a_cosine():
    # mean of cos^2 over the sphere: half the integral of cos^2 sin from 0 to pi
    mean, _ = integrate.quad(lambda theta: 0.5 * math.cos(theta) ** 2 * math.sin(theta), 0.0, math.pi)
    assert pytest.approx(-10.0 * math.log10(mean), abs=1e-9) == radiation.DIPOLE_DIRECTIVITY_INDEX_DB
    assert pytest.approx(4.77, abs=0.005) == radiation.DIPOLE_DIRECTIVITY_INDEX_DB


@pytest.mark.parametrize(("distance_m", "expected_db"), [(1.0, 4.57), (3.0, 0.82)])
def test_dipole_near_field_by_hand(distance_m, expected_db):
    # 40 Hz: k = 0.73231 /m; 10 lg(1 + 1 / 0.73231^2) = 10 lg 2.8647, 10 lg(1 + 1 / 2.1969^2) = 10 lg 1.2072
    gain_db = radiation.dipole_near_field_gain_db(40.0, distance_m=distance_m, speed_of_sound_m_s=SPEED_M_S)
    assert gain_db == pytest.approx(expected_db, abs=0.005)


def test_dipole_near_field_agrees_with_two_close_sources():
    frequency_hz, distance_m, apart_m = np.array([25.0, 90.0, 400.0]), 0.8, 1e-4
    k = 2.0 * np.pi * frequency_hz / SPEED_M_S
    near, far = distance_m - apart_m / 2.0, distance_m + apart_m / 2.0
    pressure = np.exp(-1j * k * near) / near - np.exp(-1j * k * far) / far
    far_field = k * apart_m / distance_m  # |2 sin(k D / 2)| / r of two close sources
    gain_db = radiation.dipole_near_field_gain_db(frequency_hz, distance_m=distance_m, speed_of_sound_m_s=SPEED_M_S)
    np.testing.assert_allclose(gain_db, 20.0 * np.log10(np.abs(pressure) / far_field), atol=1e-4)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"frequency_hz": 0.0}, "frequency_hz"),
        ({"radius_m": -0.1}, "radius_m"),
        ({"speed_of_sound_m_s": math.nan}, "speed_of_sound_m_s"),
        ({"angle_deg": 91.0}, "angle_deg"),
        ({"angle_deg": -1.0}, "angle_deg"),
    ],
)
def test_piston_refusals(change, name):
    arguments = {"radius_m": 0.1, "angle_deg": 30.0, "speed_of_sound_m_s": 340.0} | change
    frequency_hz = arguments.pop("frequency_hz", 1e3)
    with pytest.raises(OutOfRangeError, match=name):
        radiation.piston_directivity_ratio(frequency_hz, **arguments)
    if "angle_deg" not in change:
        del arguments["angle_deg"]
        with pytest.raises(OutOfRangeError, match=name):
            radiation.piston_directivity_index_db(frequency_hz, **arguments)


def test_dipole_near_field_refusals():
    with pytest.raises(OutOfRangeError, match="frequency_hz"):
        radiation.dipole_near_field_gain_db(0.0, distance_m=1.0, speed_of_sound_m_s=343.0)
    with pytest.raises(OutOfRangeError, match="distance_m"):
        radiation.dipole_near_field_gain_db(40.0, distance_m=0.0, speed_of_sound_m_s=343.0)
    with pytest.raises(OutOfRangeError, match="speed_of_sound_m_s"):
        radiation.dipole_near_field_gain_db(40.0, distance_m=1.0, speed_of_sound_m_s=-1.0)
