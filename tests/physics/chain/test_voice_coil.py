"""Voice coil: copper values, the cost of warmth by hand, laws, refusals."""

import math

import numpy as np
import pytest

from service.physics.chain import voice_coil
from service.physics.checks import OutOfRangeError
from tests.published import Published

COPPER = [
    Published(
        printed=printed,
        unit="-",
        source="NBS-HANDBOOK-100",
        where=f"1 + 0.00393 x {rise:g} K, constant from memory, recomputed by hand",
        inputs={"temperature_rise_k": rise},
    )
    for printed, rise in (("1.393", 100.0), ("1.786", 200.0), ("2.0000", 254.453))
]


@pytest.mark.parametrize("row", COPPER, ids=lambda row: row.where)
def test_resistance_of_warm_copper(row):
    row.check(voice_coil.resistance_ratio(**row.inputs))


def test_copper_doubles_at_274_degrees():
    # 20 + 1 / 0.00393 = 274.45
    assert voice_coil.resistance_ratio(temperature_rise_k=274.45 - 20.0) == pytest.approx(2.0, abs=5e-5)


def test_a_field_coil_from_20_to_40_degrees_by_hand():
    # common practice, no source: the magnet of a field-coil driver runs at about 40 degrees.
    # 1 + 0.00393 x 20 = 1.0786, so at constant voltage the current falls by 1 - 1/1.0786 = 7.3 %
    ratio = voice_coil.resistance_ratio(temperature_rise_k=20.0)
    assert 100.0 * (1.0 / ratio - 1.0) == pytest.approx(-7.3, abs=0.05)


def test_loss_of_a_coil_at_220_degrees():
    # 20 lg 1.786 = 5.04 dB of level; the electrical power falls by 10 lg 1.786 = 2.52 dB
    loss_db = voice_coil.thermal_level_loss_db(
        temperature_rise_k=200.0, cold_resistance_ohm=6.2, series_resistance_ohm=0.0
    )
    assert loss_db == pytest.approx(5.04, abs=0.005)
    assert loss_db / 2.0 == pytest.approx(2.52, abs=0.005)


def test_loss_behind_a_series_resistance_by_hand():
    # (6 x 1.393 + 2) / (6 + 2) = 10.358 / 8 = 1.29475 -> 2.2437 dB
    loss_db = voice_coil.thermal_level_loss_db(
        temperature_rise_k=100.0, cold_resistance_ohm=6.0, series_resistance_ohm=2.0
    )
    assert loss_db == pytest.approx(2.2437, abs=5e-5)


def test_music_from_eight_watts_hardly_warms_a_coil():
    # 8 W, crest 15 dB: 16 / 31.62 = 0.506 W; 6 K/W -> 3.0 K -> 20 lg 1.0119 = 0.10 dB
    average_w = voice_coil.average_power_w(sine_power_w=8.0, crest_factor_db=15.0)
    assert average_w == pytest.approx(0.506, abs=5e-4)
    rise_k = voice_coil.temperature_rise_k(average_power_w=average_w, thermal_resistance_k_per_w=6.0)
    assert rise_k == pytest.approx(3.0, abs=0.05)
    loss_db = voice_coil.thermal_level_loss_db(
        temperature_rise_k=rise_k, cold_resistance_ohm=6.2, series_resistance_ohm=0.0
    )
    assert loss_db == pytest.approx(0.10, abs=0.005)


def test_a_sine_is_its_own_average():
    # crest factor sqrt 2
    crest_db = 20.0 * math.log10(math.sqrt(2.0))
    average_w = voice_coil.average_power_w(sine_power_w=40.0, crest_factor_db=crest_db)
    assert average_w == pytest.approx(40.0, rel=1e-12)


def test_average_power_agrees_with_a_simulated_signal():
    # Gaussian noise cut at 4 times its rms: scaled so that its peak is that of a 10 W sine into 5 ohm
    rng = np.random.default_rng(7)
    noise = np.clip(rng.standard_normal(400_000), -4.0, 4.0)
    crest_db = 20.0 * np.log10(np.abs(noise).max() / np.sqrt(np.mean(noise**2)))
    voltage = noise / np.abs(noise).max() * np.sqrt(2.0 * 10.0 * 5.0)
    average_w = voice_coil.average_power_w(sine_power_w=10.0, crest_factor_db=crest_db)
    assert average_w == pytest.approx(np.mean(voltage**2) / 5.0, rel=1e-9)


def test_loss_grows_with_heat_and_shrinks_behind_a_series_resistance():
    rises_k = np.array([0.0, 40.0, 120.0])
    direct_db, behind_db = (
        voice_coil.thermal_level_loss_db(
            temperature_rise_k=rises_k, cold_resistance_ohm=5.6, series_resistance_ohm=series
        )
        for series in (0.0, 3.0)
    )
    assert direct_db[0] == behind_db[0] == 0.0
    assert np.all(np.diff(direct_db) > 0)
    assert np.all(behind_db[1:] < direct_db[1:])


@pytest.mark.parametrize("bad", [-51.0, 401.0, math.nan])
def test_refuses_temperatures_outside_the_linear_law(bad):
    with pytest.raises(OutOfRangeError, match="temperature_rise_k"):
        voice_coil.resistance_ratio(temperature_rise_k=bad)
    with pytest.raises(OutOfRangeError, match="temperature_rise_k"):
        voice_coil.thermal_level_loss_db(temperature_rise_k=bad, cold_resistance_ohm=6.0, series_resistance_ohm=0.5)


def test_refuses_impossible_resistances_and_powers():
    with pytest.raises(OutOfRangeError, match="cold_resistance_ohm"):
        voice_coil.thermal_level_loss_db(temperature_rise_k=10.0, cold_resistance_ohm=0.0, series_resistance_ohm=0.5)
    with pytest.raises(OutOfRangeError, match="series_resistance_ohm"):
        voice_coil.thermal_level_loss_db(temperature_rise_k=10.0, cold_resistance_ohm=6.0, series_resistance_ohm=-0.5)
    with pytest.raises(OutOfRangeError, match="sine_power_w"):
        voice_coil.average_power_w(sine_power_w=-1.0, crest_factor_db=12.0)
    with pytest.raises(OutOfRangeError, match="crest_factor_db"):
        voice_coil.average_power_w(sine_power_w=1.0, crest_factor_db=-0.1)
    with pytest.raises(OutOfRangeError, match="average_power_w"):
        voice_coil.temperature_rise_k(average_power_w=math.nan, thermal_resistance_k_per_w=5.0)
    with pytest.raises(OutOfRangeError, match="thermal_resistance_k_per_w"):
        voice_coil.temperature_rise_k(average_power_w=1.0, thermal_resistance_k_per_w=0.0)
