"""Excursion: hand values, the acoustic-power form, a small breathing sphere, refusals."""

import math

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.loudspeaker.excursion import displacement_limited_level_db
from tests.published import Published

DENSITY_KG_M3 = 1.2041
SPEED_M_S = 343.2
FULL_SPACE_SR = 4.0 * math.pi
HALF_SPACE_SR = 2.0 * math.pi

TEN_INCH = {
    "driver_area_m2": 0.053,
    "peak_excursion_m": 0.005,
    "distance_m": 1.0,
    "air_density_kg_m3": DENSITY_KG_M3,
}

BY_HAND = [
    Published(
        printed=printed,
        unit="dB",
        source="sqrt(2) pi rho f^2 V_d / r into half space, by hand; full space is 6.02 dB less",
        where=f"265 cm3 peak, {frequency_hz:g} Hz, {name} space",
        inputs={"frequency_hz": frequency_hz, "solid_angle_sr": solid_angle} | TEN_INCH,
    )
    for printed, frequency_hz, name, solid_angle in (
        ("101.09", 40.0, "half", HALF_SPACE_SR),
        ("89.05", 20.0, "half", HALF_SPACE_SR),
        ("95.07", 40.0, "full", FULL_SPACE_SR),
    )
]


@pytest.mark.parametrize("row", BY_HAND, ids=lambda row: row.where)
def test_level_by_hand(row):
    inputs = dict(row.inputs)
    row.check(displacement_limited_level_db(inputs.pop("frequency_hz"), **inputs))


def test_volume_for_105_db_at_30_hz():
    # by hand: 738.7 cm3 peak into half space at 1 m (0.05 m2 x 14.774 mm)
    level_db = displacement_limited_level_db(
        30.0,
        driver_area_m2=0.05,
        peak_excursion_m=0.014774,
        distance_m=1.0,
        air_density_kg_m3=DENSITY_KG_M3,
        solid_angle_sr=HALF_SPACE_SR,
    )
    assert level_db == pytest.approx(105.0, abs=0.001)  # 0.05 cm3 of 738.7 is 0.0006 dB


def test_level_is_the_acoustic_power_form():
    # P = (4 pi^3 rho / c) f^4 V_d^2 into half space (78.2 mW here), spread over 2 pi r^2
    frequency_hz, volume_m3, distance_m = 40.0, 0.053 * 0.005, 2.5
    power_w = 4.0 * math.pi**3 * DENSITY_KG_M3 / SPEED_M_S * frequency_hz**4 * volume_m3**2
    assert power_w == pytest.approx(78.2e-3, abs=0.05e-3)
    mean_square_pa2 = power_w * DENSITY_KG_M3 * SPEED_M_S / (2.0 * math.pi * distance_m**2)
    level_db = displacement_limited_level_db(
        frequency_hz, solid_angle_sr=HALF_SPACE_SR, **(TEN_INCH | {"distance_m": distance_m})
    )
    assert level_db == pytest.approx(10.0 * math.log10(mean_square_pa2 / (20e-6) ** 2), abs=1e-9)


def test_level_agrees_with_a_small_breathing_sphere():
    # Exact field of a sphere of radius a, surface velocity u: p = j rho c u ka (a/r) e^(-jk(r-a)) / (1 + jka)
    radius_m, peak_m, frequency_hz, distance_m = 0.01, 1e-3, 50.0, 1.7
    omega = 2.0 * math.pi * frequency_hz
    ka = omega * radius_m / SPEED_M_S
    pressure = DENSITY_KG_M3 * SPEED_M_S * omega * peak_m * 1j * ka / (1.0 + 1j * ka) * radius_m / distance_m
    expected_db = 20.0 * math.log10(abs(pressure) / math.sqrt(2.0) / 20e-6)
    level_db = displacement_limited_level_db(
        frequency_hz,
        driver_area_m2=4.0 * math.pi * radius_m**2,
        peak_excursion_m=peak_m,
        distance_m=distance_m,
        air_density_kg_m3=DENSITY_KG_M3,
        solid_angle_sr=FULL_SPACE_SR,
    )
    assert level_db == pytest.approx(expected_db, abs=0.001)


def test_level_rises_12_db_an_octave_and_6_db_for_two_drivers():
    level_db = displacement_limited_level_db(np.array([30.0, 60.0]), solid_angle_sr=FULL_SPACE_SR, **TEN_INCH)
    assert level_db[1] - level_db[0] == pytest.approx(40.0 * math.log10(2.0), abs=1e-9)
    two_db = displacement_limited_level_db(30.0, solid_angle_sr=FULL_SPACE_SR, **(TEN_INCH | {"driver_area_m2": 0.106}))
    assert two_db - level_db[0] == pytest.approx(20.0 * math.log10(2.0), abs=1e-9)


@pytest.mark.parametrize(
    ("name", "bad"),
    [
        ("frequency_hz", 0.0),
        ("driver_area_m2", -0.1),
        ("peak_excursion_m", 0.0),
        ("distance_m", math.nan),
        ("air_density_kg_m3", 0.0),
        ("solid_angle_sr", 0.0),
        ("solid_angle_sr", 13.0),
    ],
)
def test_refusals(name, bad):
    arguments = {"frequency_hz": 40.0, "solid_angle_sr": FULL_SPACE_SR} | TEN_INCH | {name: bad}
    with pytest.raises(OutOfRangeError, match=name):
        displacement_limited_level_db(arguments.pop("frequency_hz"), **arguments)
