"""Amplifier: ratings met, the fit by hand and against a library, rules for one rating, laws, refusals."""

import math

import numpy as np
import pytest

from service.physics.chain.amplifier import BEHAVIOURS, amplifier_model, power_into_w, voltage_into_v
from service.physics.checks import OutOfRangeError
from tests.published import Published


def _model(loads_ohm, powers_w, behaviour="voltage_source", current_limit_a=None):
    return amplifier_model(loads_ohm=loads_ohm, powers_w=powers_w, behaviour=behaviour, current_limit_a=current_limit_a)


# 30 W into 8 ohm and 45 W into 4 ohm: V 15.4919, 13.4164; 1/V 0.0645497, 0.0745356; slope per 1/R
# 0.0099859 / 0.125 = 0.0798869, intercept 0.0545639: V0 18.327, Rs 0.0798869 x 18.327 = 1.464.
FIT_BY_HAND = [
    Published(
        printed=printed,
        unit="W",
        source="V0 R / (R + Rs) through 30 W into 8 ohm and 45 W into 4 ohm, by hand",
        where=f"{load:g} ohm",
        inputs={"load_ohm": load},
    )
    for printed, load in (("36.2", 6.0), ("56.0", 2.0), ("17.6", 16.0), ("30.0", 8.0), ("45.0", 4.0))
]


@pytest.mark.parametrize("row", FIT_BY_HAND, ids=lambda row: row.where)
def test_power_of_a_fit_through_two_ratings(row):
    row.check(power_into_w(_model([8.0, 4.0], [30.0, 45.0]), **row.inputs))


def test_the_fit_has_its_open_circuit_voltage_and_resistance():
    model = _model([8.0, 4.0], [30.0, 45.0])
    assert model.open_circuit_voltage_v == pytest.approx(18.33, abs=0.005)
    assert model.supply_resistance_ohm == pytest.approx(1.464, abs=0.0005)
    assert model.rule == "fit_of_ratings"


def test_the_order_of_the_ratings_does_not_matter():
    assert _model([4.0, 8.0], [45.0, 30.0]) == _model([8.0, 4.0], [30.0, 45.0])


@pytest.mark.parametrize("behaviour", BEHAVIOURS)
@pytest.mark.parametrize(
    ("loads_ohm", "powers_w"),
    [
        ([8.0, 4.0], [30.0, 45.0]),
        ([32.0, 16.0], [2.0, 1.5]),
        ([8.0, 4.0], [100.0, 200.0]),
        ([32.0, 8.0], [2.0, 0.5]),
    ],
)
def test_two_ratings_are_met(loads_ohm, powers_w, behaviour):
    model = _model(loads_ohm, powers_w, behaviour)
    np.testing.assert_allclose(power_into_w(model, load_ohm=loads_ohm), powers_w, rtol=1e-9)


def test_three_ratings_of_one_supply_give_it_back():
    # V0 24 V, Rs 0.8 ohm: V 24 x 8 / 8.8, 24 x 4 / 4.8, 24 x 2 / 2.8
    loads = np.array([8.0, 4.0, 2.0])
    model = _model(loads, (24.0 * loads / (loads + 0.8)) ** 2 / loads)
    assert model.open_circuit_voltage_v == pytest.approx(24.0, rel=1e-9)
    assert model.supply_resistance_ohm == pytest.approx(0.8, rel=1e-9)


def test_three_ratings_are_fitted_by_least_squares():
    loads, powers = np.array([16.0, 8.0, 4.0]), np.array([17.0, 31.0, 45.0])
    slope, intercept = np.polyfit(1.0 / loads, 1.0 / np.sqrt(powers * loads), 1)
    model = _model(loads, powers)
    assert model.open_circuit_voltage_v == pytest.approx(1.0 / intercept, rel=1e-9)
    assert model.supply_resistance_ohm == pytest.approx(slope / intercept, rel=1e-9)


def test_a_transistor_amplifier_of_one_rating():
    # constant voltage above, 1.6 times the power for each halved load below: common practice, no source
    model = _model([8.0], [50.0])
    powers_w = power_into_w(model, load_ohm=[32.0, 16.0, 8.0, 4.0, 2.0])
    np.testing.assert_allclose(powers_w, [12.5, 25.0, 50.0, 80.0, 128.0], rtol=1e-12)
    assert model.rule == "voltage_source"


def test_a_valve_tap_of_one_rating():
    # P = P_r min(Z / Z_tap, Z_tap / Z)
    model = _model([8.0], [8.0], "matched_tap")
    np.testing.assert_allclose(power_into_w(model, load_ohm=[16.0, 8.0, 4.0]), [4.0, 8.0, 4.0], rtol=1e-12)
    assert model.rule == "matched_tap"


def test_a_headphone_amplifier_of_one_rating():
    # 2 W into 32 ohm: 8 V above, 0.25 A below: 64 / 64 = 1 W, 0.25^2 x 8 = 0.5 W
    model = _model([32.0], [2.0], "current_limited")
    np.testing.assert_allclose(power_into_w(model, load_ohm=[64.0, 8.0]), [1.0, 0.5], rtol=1e-12)
    assert model.rule == "current_limited"


def test_a_stated_current_takes_the_place_of_the_rated_one_in_a_headphone_amplifier():
    # 0.5 A rms into 8 ohm is 2 W; into 32 ohm the 8 V end first
    model = _model([32.0], [2.0], "current_limited", current_limit_a=0.5)
    np.testing.assert_allclose(power_into_w(model, load_ohm=[32.0, 8.0]), [2.0, 2.0], rtol=1e-12)


def test_a_stated_current_does_not_free_a_valve_tap_from_its_match():
    model = _model([8.0], [8.0], "matched_tap", current_limit_a=10.0)
    assert power_into_w(model, load_ohm=4.0) == pytest.approx(4.0, rel=1e-12)


def test_a_stated_current_caps_a_transistor_amplifier():
    # 5 A into 2 ohm: 50 W, where the fit has 56 W; 6 ohm is untouched
    capped, free = (_model([8.0, 4.0], [30.0, 45.0], current_limit_a=limit) for limit in (5.0, None))
    assert power_into_w(capped, load_ohm=2.0) == pytest.approx(50.0, rel=1e-12)
    assert power_into_w(capped, load_ohm=6.0) == power_into_w(free, load_ohm=6.0)


def test_ratings_whose_power_falls_are_not_continued_beyond_their_voltage_and_current():
    # 40 W and 24 W: 17.889 V at 8 ohm, 2.4495 A at 4 ohm. 320 V^2 / 16 = 20 W; 6 A^2 x 2 = 12 W
    model = _model([8.0, 4.0], [40.0, 24.0])
    np.testing.assert_allclose(power_into_w(model, load_ohm=[16.0, 2.0]), [20.0, 12.0], rtol=1e-12)
    assert model.rule == "fit_within_ratings"


@pytest.mark.parametrize("behaviour", ["matched_tap", "current_limited"])
def test_several_ratings_of_soft_amplifiers_are_not_continued(behaviour):
    # 13.4164 V / 4 ohm = 3.3541 A: 22.5 W into 2 ohm; 240 V^2 / 16 ohm = 15 W
    model = _model([8.0, 4.0], [30.0, 45.0], behaviour)
    np.testing.assert_allclose(power_into_w(model, load_ohm=[16.0, 2.0]), [15.0, 22.5], rtol=1e-12)
    assert power_into_w(model, load_ohm=6.0) == pytest.approx(36.2, abs=0.05)


def test_ratings_of_one_current_are_a_current_limit():
    # 2 W into 32 and 0.5 W into 8 ohm are both 0.25 A; printed as 0.51 W it is still the same amplifier
    for low_power_w in (0.5, 0.51):
        model = _model([32.0, 8.0], [2.0, low_power_w])
        assert model.rule == "current_limited"
        assert power_into_w(model, load_ohm=64.0) == pytest.approx(1.0, rel=1e-12)
        assert power_into_w(model, load_ohm=4.0) == pytest.approx(low_power_w / 2.0, rel=1e-12)


def test_small_falls_of_current_do_not_add_up_to_an_endless_voltage():
    # 2.6 and 2.9 % less current at each step, together more than rounding: the fit has no intercept
    model = _model([32.0, 16.0, 8.0], [0.25**2 * 32, 0.2435**2 * 16, 0.2365**2 * 8])
    assert model.rule == "current_limited"
    assert power_into_w(model, load_ohm=64.0) == pytest.approx(1.0, rel=1e-9)


def test_printed_rounding_is_taken_as_one_voltage():
    # 50 W into 8 and 101 W into 4 ohm: 20.00 and 20.10 V
    model = _model([8.0, 4.0], [50.0, 101.0])
    assert model.supply_resistance_ohm == 0.0
    assert voltage_into_v(model, load_ohm=6.0) == pytest.approx(20.05, abs=0.005)


def test_two_volts_83_is_one_watt_into_8_ohm():
    # 2.83^2 / 8 = 1.0011, 2.83^2 / 4 = 2.0022, by hand
    model = _model([8.0, 4.0], [2.83**2 / 8.0, 2.83**2 / 4.0])
    np.testing.assert_allclose(voltage_into_v(model, load_ohm=[8.0, 4.0, 100.0]), 2.83, rtol=1e-12)
    np.testing.assert_allclose(power_into_w(model, load_ohm=[8.0, 4.0]), [1.0011, 2.0022], atol=5e-5)


def test_rated_power_is_volts_squared_over_the_load():
    # IEC 60268-3 (from memory): 100 W into 8 ohm is 28.284 V rms
    assert voltage_into_v(_model([8.0], [100.0]), load_ohm=8.0) == pytest.approx(28.284, abs=5e-4)


@pytest.mark.parametrize(
    ("loads_ohm", "powers_w", "behaviour", "current_limit_a"),
    [
        ([8.0], [25.0], "voltage_source", None),
        ([8.0, 4.0], [30.0, 45.0], "voltage_source", 4.0),
        ([8.0], [8.0], "matched_tap", None),
        ([32.0], [2.0], "current_limited", 0.4),
        ([300.0, 32.0, 16.0], [0.3, 2.0, 1.5], "current_limited", None),
    ],
)
def test_voltage_never_rises_and_current_never_falls_as_the_load_falls(loads_ohm, powers_w, behaviour, current_limit_a):
    load_ohm = np.geomspace(0.5, 600.0, 200)
    voltage = voltage_into_v(_model(loads_ohm, powers_w, behaviour, current_limit_a), load_ohm=load_ohm)
    assert np.all(np.diff(voltage) >= -1e-12)
    assert np.all(np.diff(voltage / load_ohm) <= 1e-12)


def test_ten_times_the_power_scales_every_load_alike():
    small, large = _model([8.0, 4.0], [30.0, 45.0]), _model([8.0, 4.0], [300.0, 450.0])
    load_ohm = np.array([2.0, 3.3, 11.0])
    np.testing.assert_allclose(
        power_into_w(large, load_ohm=load_ohm), 10.0 * power_into_w(small, load_ohm=load_ohm), rtol=1e-12
    )


@pytest.mark.parametrize(
    ("loads_ohm", "powers_w", "allowed"),
    [
        ([8.0, 4.0], [30.0, 70.0], "voltage does not rise"),
        ([8.0, 4.0], [30.0, 13.0], "current does not fall"),
        ([16.0, 8.0, 4.0], [15.0, 30.0, 70.0], "voltage does not rise"),
    ],
)
def test_refuses_impossible_ratings(loads_ohm, powers_w, allowed):
    with pytest.raises(OutOfRangeError, match=f"powers_w must be such that the {allowed}"):
        _model(loads_ohm, powers_w)


@pytest.mark.parametrize(
    ("loads_ohm", "powers_w", "name"),
    [
        ([8.0, 8.0], [30.0, 40.0], "loads_ohm"),
        ([], [], "loads_ohm"),
        ([0.0], [30.0], "loads_ohm"),
        ([8.0, math.nan], [30.0, 40.0], "loads_ohm"),
        ([8.0], [0.0], "powers_w"),
        ([8.0, 4.0], [30.0], "powers_w"),
    ],
)
def test_refuses_ratings_that_are_no_ratings(loads_ohm, powers_w, name):
    with pytest.raises(OutOfRangeError, match=name):
        _model(loads_ohm, powers_w)


def test_refuses_an_unknown_behaviour():
    with pytest.raises(OutOfRangeError, match="behaviour must be one of voltage_source"):
        _model([8.0], [30.0], "class_x")


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, 1.8])
def test_refuses_a_current_below_what_the_ratings_need(bad):
    # 30 W into 8 ohm needs 1.936 A
    with pytest.raises(OutOfRangeError, match="current_limit_a"):
        _model([8.0], [30.0], current_limit_a=bad)


@pytest.mark.parametrize("function", [power_into_w, voltage_into_v])
@pytest.mark.parametrize("bad", [0.0, -8.0, math.inf])
def test_refuses_a_load_that_is_no_load(function, bad):
    with pytest.raises(OutOfRangeError, match="load_ohm"):
        function(_model([8.0], [30.0]), load_ohm=[4.0, bad])
