"""POST /v1/field-coil: supply, flux and warming, against hand sums with copper at 0.00393 per kelvin at 20 degrees."""

import math

import numpy as np
import pytest

from service.advice import policy
from service.advice.language.localise import said
from service.domain.errors import DomainError
from service.domain.field_coil import FieldCoilRequest
from tests.advice.bodies import ask, codes, numbers_that_are_not_finite

COIL = {"cold_resistance_ohm": 10.0, "voltage_v": 24.0, "warm_temperature_c": 60.0, "ambient_temperature_c": 20.0}
BY_CURRENT = {"cold_resistance_ohm": 10.0, "current_a": 1.5, "warm_temperature_c": 60.0, "ambient_temperature_c": 20.0}
WARMED = 1 + 0.00393 * 40  # 1.1572


def coil(base=COIL, **changes):
    posted = {name: value for name, value in {**base, **changes}.items() if value is not None}
    return ask("field-coil", posted)


def test_on_a_constant_voltage_by_hand():
    # 11.572 ohm warm; 24 / 11.572 = 2.07397 A, 49.775 W; cold 2.4 A, 57.6 W; flux -13.58 %; level 20 lg 1.1572
    answer = coil()
    assert answer.supply == "constant_voltage"
    assert answer.warm_resistance_ohm == pytest.approx(11.572, abs=1e-3)
    assert answer.supply_voltage_v == pytest.approx(24.0)
    assert (answer.current_a, answer.power_w) == (pytest.approx(2.07397, abs=1e-5), pytest.approx(49.775, abs=1e-3))
    assert answer.flux_change_constant_voltage_pct == pytest.approx(-13.585, abs=1e-3)
    used = answer.constant_voltage
    assert (used.cold.current_a, used.cold.power_w) == (pytest.approx(2.4), pytest.approx(57.6))
    assert used.level_change_db == pytest.approx(-1.268, abs=1e-3)
    assert used.electrical_q_change_pct == pytest.approx(33.911, abs=1e-3)  # 1.1572 squared
    assert (used.highest_current_a, used.highest_power_w) == (pytest.approx(2.4), pytest.approx(57.6))


def test_on_a_constant_current_by_hand():
    # 1.5 A: cold 15 V and 22.5 W, warm 17.358 V and 26.037 W; nothing changes but the voltage
    answer = coil(BY_CURRENT)
    assert answer.supply == "constant_current"
    assert (answer.supply_voltage_v, answer.power_w) == (pytest.approx(17.358), pytest.approx(26.037))
    used = answer.constant_current
    assert (used.cold.voltage_v, used.cold.power_w) == (pytest.approx(15.0), pytest.approx(22.5))
    assert (used.flux_change_pct, used.level_change_db, used.electrical_q_change_pct) == pytest.approx((0, 0, 0))
    assert used.highest_voltage_v == pytest.approx(17.358)
    assert answer.flux_change_constant_voltage_pct == pytest.approx(-13.585, abs=1e-3)


def test_twenty_to_forty_degrees():
    # by hand 1 + 0.00393 x 20 = 1.0786: current -7.29 %, -0.657 dB
    used = coil(warm_temperature_c=40.0).constant_voltage
    assert used.flux_change_pct == pytest.approx(-7.29, abs=0.005)
    assert used.level_change_db == pytest.approx(-0.657, abs=5e-4)


def test_the_resistance_holds_at_the_temperature_where_it_was_measured():
    # measured at 30: R(20) = 10 / 1.0393; at 60 11.572 / 1.0393 = 11.1344
    assert coil(ambient_temperature_c=30.0).warm_resistance_ohm == pytest.approx(11.1344, abs=1e-4)


def test_current_and_voltage_of_the_warm_coil_are_the_same_question():
    by_voltage, by_current = coil(), coil(BY_CURRENT, current_a=24.0 / (10 * WARMED), supply="constant_voltage")
    assert by_current.supply == "constant_voltage"
    assert by_current.supply_voltage_v == pytest.approx(24.0, rel=1e-12)
    assert by_current.constant_voltage == by_voltage.constant_voltage or by_current.constant_voltage.cold.current_a == (
        pytest.approx(by_voltage.constant_voltage.cold.current_a, rel=1e-12)
    )


def test_thermal_resistance_gives_the_temperature():
    # at the end rise = R_th x power: R_th 0.8 K/W
    answer = coil(warm_temperature_c=None, thermal_resistance_k_w=0.8)
    warm = answer.constant_voltage.warm
    assert warm.temperature_c - 20.0 == pytest.approx(0.8 * warm.power_w, rel=1e-9)
    assert answer.settled_temperature_c == pytest.approx(warm.temperature_c)
    assert "/warm_temperature_c" not in [taken.pointer for taken in answer.assumptions]


@pytest.mark.parametrize("base", [COIL, BY_CURRENT])
@pytest.mark.parametrize("supply", ["constant_voltage", "constant_current"])
def test_warming_runs_from_cold_to_warm(base, supply):
    answer = coil(base, supply=supply, mass_kg=8.0)
    warming, used = answer.warming, getattr(answer, supply)
    assert warming.temperature_c[0] == pytest.approx(20.0)
    assert warming.temperature_c[-1] == pytest.approx(60.0, abs=0.3)
    assert (np.diff(warming.temperature_c) > 0).all()
    for name in ("resistance_ohm", "voltage_v", "current_a", "power_w"):
        column = getattr(warming, name)
        assert column[0] == pytest.approx(getattr(used.cold, name))
        assert column[-1] == pytest.approx(getattr(used.warm, name), rel=5e-3)
    assert warming.level_change_db[0] == pytest.approx(-used.level_change_db, abs=1e-9)


def test_time_constant_and_time_to_warm_by_hand():
    # 8 kg, a fifth copper: 1.6 x 385 + 6.4 x 450 = 3496 J/K; R_th = 40 K / 26.037 W = 1.53627 K/W; tau 5370.8 s
    # constant current: tau' = 1.1572 tau, and 95 % after ln 20 = 2.99573 of it: 18 619 s = 5.172 h
    warming = coil(BY_CURRENT, mass_kg=8.0).warming
    assert warming.thermal_time_constant_hours == pytest.approx(5370.8 / 3600, rel=1e-4)
    assert warming.warm_after_hours == pytest.approx(WARMED * math.log(20) * 5370.8 / 3600, rel=1e-3)
    # on a constant voltage the power is highest at the start
    assert coil(BY_CURRENT, mass_kg=8.0, supply="constant_voltage").warming.warm_after_hours < warming.warm_after_hours


def test_a_coil_that_does_not_warm():
    answer = coil(warm_temperature_c=20.0, mass_kg=8.0)
    assert answer.flux_change_constant_voltage_pct == pytest.approx(0.0)
    assert answer.warming is None
    assert answer.thermal_resistance_k_w is None


def test_few_facts_and_what_is_assumed():
    answer = ask("field-coil", {"cold_resistance_ohm": 12.5, "voltage_v": 24})
    taken = {item.pointer: item.value for item in answer.assumptions if item.pointer}
    assert taken == {"/ambient_temperature_c": 20.0, "/supply": "constant_voltage", "/warm_temperature_c": 40.0}
    assert list(numbers_that_are_not_finite(answer)) == []


def test_cautions_where_they_apply():
    assert codes(coil(warm_temperature_c=47.0).cautions) == ["field_coil", "mains", "calculation"]
    assert "hot_field_coil" in codes(coil(warm_temperature_c=policy.HOT_TO_TOUCH_FROM_C).cautions)
    assert "dangerous_direct_voltage" not in codes(coil(voltage_v=60.0).cautions)
    assert "dangerous_direct_voltage" in codes(coil(voltage_v=60.1).cautions)


def test_findings_where_they_apply():
    assert codes(coil().findings) == ["field_coil_supply", "flux_as_it_warms"]
    assert "field_coil_warm_after" in codes(coil(mass_kg=5.0).findings)
    assert "field_coil_too_hot" in codes(coil(warm_temperature_c=106.0).findings)
    # 40 K at 49.8 W are 0.80 K/W: half as much again contradicts, a tenth does not
    assert "field_coil_temperatures_differ" in codes(coil(thermal_resistance_k_w=1.2).findings)
    assert "field_coil_temperatures_differ" not in codes(coil(thermal_resistance_k_w=0.88).findings)


@pytest.mark.parametrize(
    ("changes", "pointer", "code"),
    [
        ({"warm_temperature_c": 19.0}, "/warm_temperature_c", "upside_down"),
        # 1 / (0.00393 x 10 ohm x (5 A)^2) = 1.018 K/W: from there on the coil warms without end
        (
            {"voltage_v": None, "current_a": 5.0, "warm_temperature_c": None, "thermal_resistance_k_w": 1.02},
            "/current_a",
            "too_hot",
        ),
        ({"warm_temperature_c": None, "thermal_resistance_k_w": 9.0}, "/thermal_resistance_k_w", "too_hot"),
    ],
)
def test_what_cannot_be_is_refused(changes, pointer, code):
    with pytest.raises(DomainError) as refusal:
        coil(**changes)
    assert (refusal.value.pointer, refusal.value.code) == (pointer, code)
    assert refusal.value.allowed


def test_a_current_without_end_is_told_from_one_that_only_burns():
    # 1 / sqrt(0.00393 x 10 ohm x 2 K/W) = 3.567 A; a rise of 400 K needs a I^2 R 2 K/W = 1.572 / 2.572: 2.79 A
    facts = {"voltage_v": None, "warm_temperature_c": None, "thermal_resistance_k_w": 2.0}
    for current_a, allowed in (
        (3.58, "below 3.57 A, where the coil warms without end"),
        (3.55, "such that the coil stays below 420 degrees Celsius"),
    ):
        with pytest.raises(DomainError) as refusal:
            coil(**facts, current_a=current_a)
        assert said(refusal.value.allowed, "en") == allowed
        assert said(refusal.value.detail, "en") == f"with this thermal resistance current_a must be {allowed}."


def test_exactly_one_of_current_and_voltage():
    for facts in ({}, {"current_a": 1.0, "voltage_v": 10.0}):
        with pytest.raises(DomainError, match="current_or_voltage"):
            FieldCoilRequest(cold_resistance_ohm=10.0, **facts)
