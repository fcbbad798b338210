"""Noise floor: ratios by hand, thresholds of the standard, energy sums, agreement with hiss and hum, refusals."""

import math

import numpy as np
import pytest

from service.physics.chain.noise import (
    HEARING_THRESHOLD_100_HZ_DB,
    hum_level_db,
    noise_level_dba,
    white_hiss_octaves_db,
)
from service.physics.chain.noise_floor import (
    dynamic_range_db,
    hiss_octaves_at_seat_db,
    hum_at_seat_db,
    noise_voltage_v,
    signal_to_noise_ratio_db,
    tone_margin_db,
    tone_threshold_db,
)
from service.physics.checks import OutOfRangeError
from tests.published import Published


def test_noise_voltage_by_hand():
    # 100 W into 8 ohm: 28.284 V; 100 dB below: 282.84 uV
    voltage_v = noise_voltage_v(signal_to_noise_db=100.0, reference_power_w=100.0, load_ohm=8.0)
    assert voltage_v == pytest.approx(282.84e-6, abs=5e-9)


def test_one_watt_is_another_reference():
    # the same amplifier: 100 dB re 100 W is 80 dB re 1 W
    for ratio_db, power_w in ((100.0, 100.0), (80.0, 1.0)):
        voltage_v = noise_voltage_v(signal_to_noise_db=ratio_db, reference_power_w=power_w, load_ohm=8.0)
        assert voltage_v == pytest.approx(282.84e-6, abs=5e-9)


def test_ratio_there_and_back():
    voltages = noise_voltage_v(signal_to_noise_db=[70.0, 93.0], reference_power_w=7.0, load_ohm=5.0)
    ratios_db = signal_to_noise_ratio_db(noise_voltage_v=voltages, reference_power_w=7.0, load_ohm=5.0)
    np.testing.assert_allclose(ratios_db, [70.0, 93.0], rtol=1e-12)


def test_level_at_one_metre_of_a_printed_ratio():
    # 103 dB for 2.83 V; 91 dB re 1 W into 8 ohm: 103 - 91 = 12 dB(A), 2.8284 for 2.83 V being 0.005 dB
    voltage_v = noise_voltage_v(signal_to_noise_db=91.0, reference_power_w=1.0, load_ohm=8.0)
    level_dba = noise_level_dba(sensitivity_db_2v83_1m=103.0, noise_voltage_v=voltage_v, distance_m=1.0)
    assert level_dba == pytest.approx(12.0, abs=0.006)


def test_hiss_at_a_seat():
    # ratios 0.1, 0.5, 1, 2: -10, -3.01, 0, +3.01 dB
    octaves_db = hiss_octaves_at_seat_db(14.0, transfer_energy_ratio=[0.1, 0.5, 1.0, 2.0])
    np.testing.assert_allclose(octaves_db - white_hiss_octaves_db(14.0), [-10.0, -3.0103, 0.0, 3.0103], atol=1e-4)


def test_hiss_in_free_field_follows_the_distance():
    at_3_m_dba = noise_level_dba(sensitivity_db_2v83_1m=100.0, noise_voltage_v=2e-4, distance_m=3.0)
    at_1_m_dba = noise_level_dba(sensitivity_db_2v83_1m=100.0, noise_voltage_v=2e-4, distance_m=1.0)
    octaves_db = hiss_octaves_at_seat_db(at_1_m_dba, transfer_energy_ratio=np.full(4, 1.0 / 9.0))
    np.testing.assert_allclose(octaves_db, white_hiss_octaves_db(at_3_m_dba), atol=1e-9)


def test_hum_at_a_seat():
    # 1 mV on 100 dB: 100 + 20 lg(0.001 / 2.83) = 30.96; two in step at twice the distance: 4 / 4
    level_db = hum_level_db(sensitivity_db_2v83_1m=100.0, hum_voltage_v=1e-3, distance_m=1.0)
    assert hum_at_seat_db(level_db, transfer_energy_ratio=4.0 / 4.0) == pytest.approx(30.96, abs=5e-3)
    assert hum_at_seat_db(level_db, transfer_energy_ratio=0.1) == pytest.approx(20.96, abs=5e-3)


THRESHOLDS = [
    Published(
        printed=printed,
        unit="dB",
        source="ISO-389-7",
        where=f"{frequency_hz:g} Hz, from memory",
        inputs={"frequency_hz": frequency_hz},
    )
    for printed, frequency_hz in (("44.0", 50.0), ("26.5", 100.0), ("22.1", 125.0), ("14.4", 200.0), ("6.2", 400.0))
]


@pytest.mark.parametrize("row", THRESHOLDS, ids=lambda row: row.where)
def test_threshold_of_hearing(row):
    row.check(tone_threshold_db(**row.inputs))


def test_threshold_at_120_hz_by_hand():
    # 26.5 - 4.4 x lg 1.2 / lg 1.25 = 26.5 - 4.4 x 0.8171 = 22.905
    assert tone_threshold_db(120.0) == pytest.approx(22.905, abs=1e-3)


def test_threshold_falls_and_agrees_with_the_one_beside_hum():
    frequency_hz = np.geomspace(50.0, 400.0, 40)
    assert (np.diff(tone_threshold_db(frequency_hz)) < 0).all()
    assert tone_threshold_db(100.0) == pytest.approx(HEARING_THRESHOLD_100_HZ_DB)


def test_tone_margin_by_hand():
    # 30.96 - 26.5 and 20 - 22.905
    np.testing.assert_allclose(tone_margin_db([30.96, 20.0], frequency_hz=[100.0, 120.0]), [4.46, -2.905], atol=1e-3)


def test_dynamic_range_by_hand():
    # 10 lg(10^2 + 10^3) = 30.41
    assert dynamic_range_db(peak_level_db=103.0, noise_levels_db=[20.0, 30.0]) == pytest.approx(72.59, abs=5e-3)


def test_more_noise_is_less_range():
    ranges = [dynamic_range_db(peak_level_db=100.0, noise_levels_db=n) for n in ([30.0], [30.0, 10.0], [30.0, 29.0])]
    assert ranges[0] == pytest.approx(70.0, abs=1e-12)
    assert ranges[0] > ranges[1] > ranges[2]


@pytest.mark.parametrize(
    ("function", "arguments", "match"),
    [
        (noise_voltage_v, {"signal_to_noise_db": math.nan, "reference_power_w": 1.0, "load_ohm": 8.0}, "signal_to"),
        (noise_voltage_v, {"signal_to_noise_db": 90.0, "reference_power_w": 0.0, "load_ohm": 8.0}, "reference_power_w"),
        (noise_voltage_v, {"signal_to_noise_db": 90.0, "reference_power_w": 1.0, "load_ohm": -8.0}, "load_ohm"),
        (
            signal_to_noise_ratio_db,
            {"noise_voltage_v": 0.0, "reference_power_w": 1.0, "load_ohm": 8.0},
            "noise_voltage_v",
        ),
        (dynamic_range_db, {"peak_level_db": math.inf, "noise_levels_db": [30.0]}, "peak_level_db"),
        (dynamic_range_db, {"peak_level_db": 100.0, "noise_levels_db": []}, "noise_levels_db must be one level"),
        (dynamic_range_db, {"peak_level_db": 100.0, "noise_levels_db": [math.nan]}, "noise_levels_db"),
    ],
)
def test_refusals(function, arguments, match):
    with pytest.raises(OutOfRangeError, match=match):
        function(**arguments)


def test_refusals_at_the_seat():
    with pytest.raises(OutOfRangeError, match="transfer_energy_ratio must be one for each of 4"):
        hiss_octaves_at_seat_db(14.0, transfer_energy_ratio=[1.0, 1.0, 1.0])
    with pytest.raises(OutOfRangeError, match="transfer_energy_ratio must be greater"):
        hiss_octaves_at_seat_db(14.0, transfer_energy_ratio=[1.0, 1.0, 1.0, 0.0])
    with pytest.raises(OutOfRangeError, match="level_dba"):
        hiss_octaves_at_seat_db(math.nan, transfer_energy_ratio=np.ones(4))
    with pytest.raises(OutOfRangeError, match="transfer_energy_ratio"):
        hum_at_seat_db(20.0, transfer_energy_ratio=-1.0)
    with pytest.raises(OutOfRangeError, match="level_1m_db"):
        hum_at_seat_db(math.inf, transfer_energy_ratio=1.0)
    with pytest.raises(OutOfRangeError, match="frequency_hz must be from 50 to 400"):
        tone_threshold_db(440.0)
    with pytest.raises(OutOfRangeError, match="level_db"):
        tone_margin_db(math.nan, frequency_hz=100.0)
