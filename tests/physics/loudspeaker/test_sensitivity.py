"""Sensitivity: printed level of one acoustic watt, hand sums, conservation of energy, refusals."""

import math

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.loudspeaker import sensitivity
from tests.published import Published

FULL_SPACE_SR = 4.0 * math.pi
HALF_SPACE_SR = 2.0 * math.pi
AIR_20_C_PA_S_M = 413.2  # density 1.2041 kg/m3 times 343.2 m/s

ONE_ACOUSTIC_WATT = [
    Published(
        printed="112.1",
        unit="dB",
        source="SMALL-1972",
        where="half space, density 1.18 kg/m3 and 345 m/s, as often quoted (from memory)",
        inputs={"characteristic_impedance_pa_s_m": 1.18 * 345.0, "solid_angle_sr": HALF_SPACE_SR},
    ),
    *(
        Published(
            printed=printed,
            unit="dB",
            source="10 lg(rho c W / (Omega r^2 p0^2)) by hand",
            where=f"rho c {impedance}, {name} space",
            inputs={"characteristic_impedance_pa_s_m": impedance, "solid_angle_sr": solid_angle},
        )
        for printed, impedance, name, solid_angle in (
            ("112.16", 413.2, "half", HALF_SPACE_SR),
            ("112.09", 407.1, "half", HALF_SPACE_SR),
            ("112.02", 400.0, "half", HALF_SPACE_SR),
            ("109.15", 413.2, "full", FULL_SPACE_SR),
            ("109.08", 407.1, "full", FULL_SPACE_SR),
            ("109.01", 400.0, "full", FULL_SPACE_SR),
        )
    ),
]


@pytest.mark.parametrize("row", ONE_ACOUSTIC_WATT, ids=lambda row: row.where)
def test_level_of_one_acoustic_watt(row):
    row.check(sensitivity.level_of_one_acoustic_watt_db(**row.inputs))


ROOT_EIGHT = "the hand value takes 2.83 V as the square root of 8; 2.83 V itself is 0.005 dB more"

FROM_VOLTAGE = [
    Published(
        printed=printed,
        unit="dB",
        source="87 dB - 10 lg(8 / Z), by hand",
        where=f"{impedance} ohm",
        inputs={"sensitivity_db_2v83_1m": 87.0, "impedance_ohm": impedance},
        tolerance=0.006,
        why_wider=ROOT_EIGHT,
    )
    for printed, impedance in (("83.990", 4.0), ("85.751", 6.0))
]


@pytest.mark.parametrize("row", FROM_VOLTAGE, ids=lambda row: row.where)
def test_sensitivity_from_voltage(row):
    inputs = dict(row.inputs)
    row.check(sensitivity.sensitivity_db_1w_1m_from_voltage(inputs.pop("sensitivity_db_2v83_1m"), **inputs))


def test_a_four_ohm_speaker_on_a_hundred_watts():
    # 88 dB - 10 lg(2.83^2 / 4) = 84.985; + 10 lg 100 = 104.985; - 20 lg 3.2 = 10.103 -> 94.882
    one_watt_db = sensitivity.sensitivity_db_1w_1m_from_voltage(88.0, impedance_ohm=4.0)
    level_db = sensitivity.free_field_level_db(one_watt_db, power_w=100.0, distance_m=3.2)
    assert level_db == pytest.approx(94.88, abs=0.005)


def test_free_field_level_by_hand():
    # 87 + 20 - 20 lg 3 = 107 - 9.542
    level_db = sensitivity.free_field_level_db(87.0, power_w=100.0, distance_m=3.0)
    assert level_db == pytest.approx(97.458, abs=5e-4)


def test_common_practice_a_pair_of_efficient_speakers_on_one_watt_passes_95_db():
    # common practice, no source: 103 dB, one watt a channel, 3 m; two channels of music add 3.01 dB.
    # Direct sound alone, so any furnished room gives more: 103 - 9.54 + 3.01 = 96.47
    one_db = sensitivity.free_field_level_db(103.0, power_w=1.0, distance_m=3.0)
    assert one_db + 10.0 * math.log10(2.0) > 95.0


def test_efficiency_of_a_directive_speaker_by_hand():
    # 98 - 4.5 - 109.149 = -15.649 dB -> 2.723 %
    highest_db = sensitivity.highest_possible_sensitivity_db(
        directivity_index_db=4.5, characteristic_impedance_pa_s_m=AIR_20_C_PA_S_M
    )
    assert 100.0 * 10.0 ** ((98.0 - highest_db) / 10.0) == pytest.approx(2.72, abs=0.005)


def test_half_space_efficiency_is_the_full_space_one_with_a_directivity_of_3_db():
    # 90 - 112.159 = -22.159 dB -> 0.608 %, the usual half-space sum
    highest_db = sensitivity.highest_possible_sensitivity_db(
        directivity_index_db=10.0 * math.log10(2.0), characteristic_impedance_pa_s_m=AIR_20_C_PA_S_M
    )
    assert 100.0 * 10.0 ** ((90.0 - highest_db) / 10.0) == pytest.approx(0.608, abs=5e-4)


@pytest.mark.parametrize("impedance_ohm", [2.0, 6.0, 16.0])
def test_the_two_conventions_are_inverse(impedance_ohm):
    one_watt_db = sensitivity.sensitivity_db_1w_1m_from_voltage(96.5, impedance_ohm=impedance_ohm)
    back_db = sensitivity.sensitivity_db_2v83_1m_from_power(one_watt_db, impedance_ohm=impedance_ohm)
    assert back_db == pytest.approx(96.5, abs=1e-12)


def test_a_lower_impedance_flatters_the_figure_for_a_voltage():
    impedances_ohm = np.array([4.0, 8.0, 16.0])
    by_impedance = sensitivity.sensitivity_db_2v83_1m_from_power(90.0, impedance_ohm=impedances_ohm)
    assert np.all(np.diff(by_impedance) < -3.0)
    assert by_impedance[1] == pytest.approx(90.0, abs=0.005)


def test_the_highest_possible_sensitivity_by_hand():
    highest_db = sensitivity.highest_possible_sensitivity_db(
        directivity_index_db=12.0, characteristic_impedance_pa_s_m=AIR_20_C_PA_S_M
    )
    assert highest_db == pytest.approx(121.15, abs=0.005)  # 109.149 + 12


def test_an_acoustic_watt_through_a_sphere_comes_back_from_its_pressure():
    level_db = sensitivity.level_of_one_acoustic_watt_db(
        characteristic_impedance_pa_s_m=AIR_20_C_PA_S_M, solid_angle_sr=1.7
    )
    mean_square_pa2 = (20e-6) ** 2 * 10.0 ** (level_db / 10.0)
    assert mean_square_pa2 / AIR_20_C_PA_S_M * 1.7 == pytest.approx(1.0, rel=1e-12)  # intensity times area, W


@pytest.mark.parametrize("bad", [0.0, -8.0, math.nan, math.inf])
def test_refuses_an_impossible_impedance(bad):
    with pytest.raises(OutOfRangeError, match="impedance_ohm"):
        sensitivity.sensitivity_db_1w_1m_from_voltage(88.0, impedance_ohm=bad)
    with pytest.raises(OutOfRangeError, match="impedance_ohm"):
        sensitivity.sensitivity_db_2v83_1m_from_power(88.0, impedance_ohm=bad)
    with pytest.raises(OutOfRangeError, match="characteristic_impedance_pa_s_m"):
        sensitivity.level_of_one_acoustic_watt_db(characteristic_impedance_pa_s_m=bad, solid_angle_sr=FULL_SPACE_SR)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"power_w": 0.0}, "power_w"),
        ({"power_w": math.inf}, "power_w"),
        ({"distance_m": -1.0}, "distance_m"),
    ],
)
def test_refuses_an_impossible_power_or_distance(change, name):
    with pytest.raises(OutOfRangeError, match=name):
        sensitivity.free_field_level_db(90.0, **({"power_w": 10.0, "distance_m": 3.0} | change))


@pytest.mark.parametrize("bad", [0.0, -1.0, 12.6, math.nan])
def test_refuses_a_solid_angle_that_does_not_exist(bad):
    with pytest.raises(OutOfRangeError, match="solid_angle_sr"):
        sensitivity.level_of_one_acoustic_watt_db(characteristic_impedance_pa_s_m=413.2, solid_angle_sr=bad)


def test_refuses_levels_that_are_not_finite():
    with pytest.raises(OutOfRangeError, match="sensitivity_db_2v83_1m"):
        sensitivity.sensitivity_db_1w_1m_from_voltage(math.nan, impedance_ohm=8.0)
    with pytest.raises(OutOfRangeError, match="sensitivity_db_1w_1m"):
        sensitivity.sensitivity_db_2v83_1m_from_power(math.inf, impedance_ohm=8.0)
    with pytest.raises(OutOfRangeError, match="sensitivity_db_1w_1m"):
        sensitivity.free_field_level_db(math.nan, power_w=1.0, distance_m=1.0)
    with pytest.raises(OutOfRangeError, match="directivity_index_db"):
        sensitivity.highest_possible_sensitivity_db(
            directivity_index_db=math.nan, characteristic_impedance_pa_s_m=413.2
        )
