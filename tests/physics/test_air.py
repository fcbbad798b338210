"""Air: printed tables, ideal gas, scaling laws."""

import math

import numpy as np
import pytest

from service.physics import air
from service.physics.bands import OCTAVE_NOMINAL_HZ, octave_midbands_hz
from service.physics.checks import OutOfRangeError
from tests.published import Published
from tests.published_tables import published_rows

ROOM = {"temperature_c": 20.0, "relative_humidity_pct": 50.0, "pressure_kpa": 101.325}


def _exact_hz(nominal_hz):
    return float(octave_midbands_hz()[OCTAVE_NOMINAL_HZ.index(int(nominal_hz))])


def _air_of(row):
    return {
        "temperature_c": float(row["temperature_c"]),
        "relative_humidity_pct": float(row["relative_humidity_pct"]),
    }


def _table_2_cells():
    for row in published_rows("iso_9613_2_table_2"):
        for nominal_hz in OCTAVE_NOMINAL_HZ:
            where = f"Table 2, {row['temperature_c']} C, {row['relative_humidity_pct']} %, {nominal_hz} Hz"
            wider = {}
            if (row["temperature_c"], row["relative_humidity_pct"], nominal_hz) == ("15", "80", 1000):
                wider = {"tolerance": 0.06, "why_wider": "4.151 by the formula: rounded down in print"}
            inputs = {**_air_of(row), "frequency_hz": _exact_hz(nominal_hz)}
            yield Published(
                printed=row[str(nominal_hz)],
                unit="dB/km",
                source="ISO-9613-2",
                where=where,
                inputs=inputs,
                **wider,
            )


TABLE_1 = [
    Published(
        printed=row["attenuation_db_per_km"],
        unit="dB/km",
        source="ISO-9613-1",
        where=f"Table 1, {row['temperature_c']} C, {row['relative_humidity_pct']} %, {row['nominal_hz']} Hz",
        inputs={**_air_of(row), "frequency_hz": _exact_hz(row["nominal_hz"])},
    )
    for row in published_rows("iso_9613_1_table_1")
]


@pytest.mark.parametrize("row", [*TABLE_1, *_table_2_cells()], ids=lambda row: row.where)
def test_absorption_published(row):
    row.check(1000.0 * air.absorption_db_per_m(pressure_kpa=101.325, **row.inputs))


@pytest.mark.parametrize(("temperature_c", "expected_m_s"), [(0, 331.29), (10, 337.30), (25, 346.11), (30, 349.00)])
def test_speed_of_sound_is_the_square_root_law(temperature_c, expected_m_s):
    # ISO 9613-1, recomputed by hand: 343.2 sqrt(273.15 / 293.15) = 331.286 and so on
    assert air.speed_of_sound_m_s(temperature_c=temperature_c) == pytest.approx(expected_m_s, abs=0.01)


@pytest.mark.parametrize("temperature_c", [-20.0, 0.0, 20.0, 50.0])
def test_speed_of_sound_agrees_with_the_ideal_gas(temperature_c):
    # sqrt(gamma R T / M), gamma = 1.4; +0.035 m/s at 20 degrees
    ideal_m_s = math.sqrt(1.4 * 8.314462618 * (temperature_c + 273.15) / 0.0289647)
    assert air.speed_of_sound_m_s(temperature_c=temperature_c) == pytest.approx(ideal_m_s, abs=0.05)


def test_speed_of_sound_doubles_at_four_times_the_absolute_temperature():
    hot_c = 4.0 * (10.0 + 273.15) - 273.15
    ratio = air.speed_of_sound_m_s(temperature_c=hot_c) / air.speed_of_sound_m_s(temperature_c=10.0)
    assert ratio == pytest.approx(2.0, rel=1e-12)


@pytest.mark.parametrize(("temperature_c", "expected_kg_m3"), [(0.0, 1.2923), (20.0, 1.2041), (25.0, 1.1839)])
def test_density_is_that_of_an_ideal_gas(temperature_c, expected_kg_m3):
    # ideal gas, secondary transcription, recomputed: 101325 * 0.02896 / (8.3145 * 293.15) = 1.204
    calculated = air.density_kg_m3(temperature_c=temperature_c, pressure_kpa=101.325)
    assert calculated == pytest.approx(expected_kg_m3, abs=0.00015)


def test_density_is_proportional_to_pressure_and_inverse_to_temperature():
    at_sea = air.density_kg_m3(temperature_c=12.0, pressure_kpa=100.0)
    assert air.density_kg_m3(temperature_c=12.0, pressure_kpa=83.0) == pytest.approx(0.83 * at_sea, rel=1e-12)
    twice_k = 2.0 * (12.0 + 273.15) - 273.15
    assert air.density_kg_m3(temperature_c=twice_k, pressure_kpa=100.0) == pytest.approx(at_sea / 2.0, rel=1e-12)


@pytest.mark.parametrize(("temperature_c", "expected_pa_s_m"), [(0.0, 428.1), (20.0, 413.2)])
def test_characteristic_impedance(temperature_c, expected_pa_s_m):
    # rho c: 1.2923 * 331.29 = 428.1; 1.2041 * 343.2 = 413.2
    calculated = air.characteristic_impedance_pa_s_m(temperature_c=temperature_c, pressure_kpa=101.325)
    assert calculated == pytest.approx(expected_pa_s_m, abs=0.1)


def test_absorption_at_nominal_frequencies():
    # ISO 9613-1 formula, recomputed by hand: .004665 .009887 .029666 .105291 dB/m
    alpha = air.absorption_db_per_m([1000.0, 2000.0, 4000.0, 8000.0], **ROOM)
    assert alpha == pytest.approx([0.004665, 0.009887, 0.029666, 0.105291], rel=2e-4)


def test_energy_attenuation_is_the_exponent_of_the_level_loss():
    # after 250 m the level is 250 alpha lower and the energy e^(-250 m) of what it was
    m = air.energy_attenuation_per_m([0.0, 0.0137])
    assert m[0] == 0.0
    assert 10.0 * math.log10(math.exp(-250.0 * m[1])) == pytest.approx(-250.0 * 0.0137, rel=1e-12)


@pytest.mark.parametrize("bad", [-1e-3, math.nan, math.inf])
def test_energy_attenuation_refuses(bad):
    with pytest.raises(OutOfRangeError, match="absorption_db_per_m"):
        air.energy_attenuation_per_m(bad)


def test_absorption_scales_with_frequency_and_pressure_together():
    # the standard's formula at one vapour concentration: alpha / p depends on f / p alone
    one = air.absorption_db_per_m(900.0, temperature_c=17.0, relative_humidity_pct=30.0, pressure_kpa=60.0)
    two = air.absorption_db_per_m(1800.0, temperature_c=17.0, relative_humidity_pct=60.0, pressure_kpa=120.0)
    assert two == pytest.approx(2.0 * one, rel=1e-12)


def test_absorption_rises_with_frequency():
    alpha = air.absorption_db_per_m(np.geomspace(20.0, 20000.0, 40), **ROOM)
    assert np.all(np.diff(alpha) > 0.0)


def test_absorption_of_the_lowest_and_the_highest_frequencies_goes_with_the_square():
    # below and above both relaxations doubling the frequency gives 6.02 dB, factor 4
    for low_hz in (0.1, 1e8):
        alpha = air.absorption_db_per_m([low_hz, 2.0 * low_hz], **ROOM)
        assert alpha[1] / alpha[0] == pytest.approx(4.0, rel=1e-3)


def test_absorption_of_dry_air_is_finite():
    # h = 0: oxygen relaxes at 24 Hz, nitrogen at 9 Hz (20 C, one atmosphere), so at 1 kHz both are far past
    # their peaks; 1 / (f_r + f^2 / f_r) = f_r / (f_r^2 + f^2)
    oxygen = 0.01275 * math.exp(-2239.1 / 293.15) * 24.0 / (24.0**2 + 1e6)
    nitrogen = 0.1068 * math.exp(-3352.0 / 293.15) * 9.0 / (9.0**2 + 1e6)
    dry = air.absorption_db_per_m(1000.0, temperature_c=20.0, relative_humidity_pct=0.0, pressure_kpa=101.325)
    assert dry == pytest.approx(8.686e6 * (1.84e-11 + oxygen + nitrogen), rel=1e-9)


def test_absorption_keeps_the_shape_of_the_bands():
    frequency_hz = np.array([[100.0, 200.0, 400.0], [800.0, 1600.0, 3200.0]])
    assert air.absorption_db_per_m(frequency_hz, **ROOM).shape == (2, 3)


GOOD = {"frequency_hz": 1000.0, **ROOM}
BAD_ABSORPTION = [
    ("frequency_hz", [0.0, -1.0, math.nan, math.inf, [100.0, 0.0]]),
    ("temperature_c", [-20.1, 50.1, math.nan]),
    ("relative_humidity_pct", [-1.0, 100.1, math.inf]),
    ("pressure_kpa", [0.0, -5.0, math.nan, "101"]),
]


@pytest.mark.parametrize(("name", "value"), [(name, value) for name, values in BAD_ABSORPTION for value in values])
def test_absorption_refuses(name, value):
    with pytest.raises(OutOfRangeError, match=name):
        air.absorption_db_per_m(**{**GOOD, name: value})


@pytest.mark.parametrize("temperature_c", [-273.15, -300.0, math.nan, math.inf, None])
def test_gas_at_absolute_zero_is_refused(temperature_c):
    with pytest.raises(OutOfRangeError, match="temperature_c"):
        air.speed_of_sound_m_s(temperature_c=temperature_c)
    with pytest.raises(OutOfRangeError, match="temperature_c"):
        air.density_kg_m3(temperature_c=temperature_c, pressure_kpa=101.325)


@pytest.mark.parametrize("pressure_kpa", [0.0, -1.0, math.nan, math.inf])
def test_gas_without_pressure_is_refused(pressure_kpa):
    with pytest.raises(OutOfRangeError, match="pressure_kpa"):
        air.characteristic_impedance_pa_s_m(temperature_c=20.0, pressure_kpa=pressure_kpa)
