"""Noise floor: ratios by hand, thresholds of the standard, energy sums, refusals."""

import math

import numpy as np
import pytest

from service.physics.chain.noise import noise_level_dba
from service.physics.chain.noise_floor import (
    dynamic_range_db,
    noise_voltage_v,
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


def test_level_at_one_metre_of_a_printed_ratio():
    # 103 dB for 2.83 V; 91 dB re 1 W into 8 ohm: 103 - 91 = 12 dB(A), 2.8284 for 2.83 V being 0.005 dB
    voltage_v = noise_voltage_v(signal_to_noise_db=91.0, reference_power_w=1.0, load_ohm=8.0)
    level_dba = noise_level_dba(sensitivity_db_2v83_1m=103.0, noise_voltage_v=voltage_v, distance_m=1.0)
    assert level_dba == pytest.approx(12.0, abs=0.006)


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


def test_threshold_falls():
    frequency_hz = np.geomspace(50.0, 400.0, 40)
    assert (np.diff(tone_threshold_db(frequency_hz)) < 0).all()


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
        (dynamic_range_db, {"peak_level_db": math.inf, "noise_levels_db": [30.0]}, "peak_level_db"),
        (dynamic_range_db, {"peak_level_db": 100.0, "noise_levels_db": []}, "noise_levels_db must be one level"),
        (dynamic_range_db, {"peak_level_db": 100.0, "noise_levels_db": [math.nan]}, "noise_levels_db"),
    ],
)
def test_refusals(function, arguments, match):
    with pytest.raises(OutOfRangeError, match=match):
        function(**arguments)


def test_no_threshold_beyond_the_table():
    with pytest.raises(OutOfRangeError, match="frequency_hz must be from 50 to 400"):
        tone_threshold_db(440.0)
