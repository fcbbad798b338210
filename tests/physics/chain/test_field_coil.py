"""Field coil: copper by the book, the settled state by hand and by repetition, the runaway current, refusals."""

import math

import numpy as np
import pytest

from service.physics.chain.field_coil import (
    coil_at_constant_current,
    coil_at_constant_voltage,
    copper_resistance_ohm,
    settled_at_constant_current,
    settled_at_constant_voltage,
)
from service.physics.chain.field_coil_flux import electrical_q_at_flux, flux_change_bound_db
from service.physics.chain.voice_coil import resistance_ratio
from service.physics.checks import OutOfRangeError
from tests.published import Published

# 100 ohm and 2 K/W in a room of 20 degrees. A rise of 100 K is 50 W into 139.3 ohm: 6965 V^2, 0.59911 A
HUNDRED_K = {"resistance_20c_ohm": 100.0, "room_temperature_c": 20.0, "thermal_resistance_k_per_w": 2.0}
UNEVEN = {"resistance_20c_ohm": 730.0, "room_temperature_c": 27.0, "thermal_resistance_k_per_w": 3.1}

COPPER = [
    Published(
        printed=printed,
        unit="ohm",
        source="NBS-HANDBOOK-100",
        where=f"coefficient 0.00393, from memory, by hand: 20 to {warm:g} degrees",
        inputs={"resistance_ohm": 1.0, "measured_at_c": 20.0, "temperature_c": warm},
    )
    for printed, warm in (("1.393", 120.0), ("1.786", 220.0))
]


@pytest.mark.parametrize("row", COPPER, ids=lambda row: row.where)
def test_copper(row):
    row.check(copper_resistance_ohm(**row.inputs))


def test_copper_measured_warm_by_hand():
    # 1.0786 at 40 and 0.9607 at 10 degrees: 54 x 1.0786 / 0.9607 = 60.627
    resistance = copper_resistance_ohm(resistance_ohm=54.0, measured_at_c=10.0, temperature_c=40.0)
    assert resistance == pytest.approx(60.627, abs=1e-3)
    back = copper_resistance_ohm(resistance_ohm=resistance, measured_at_c=40.0, temperature_c=10.0)
    assert back == pytest.approx(54.0, rel=1e-12)


def test_copper_is_that_of_voice_coils():
    rises = np.array([-30.0, 0.0, 55.0, 180.0])
    ratios = copper_resistance_ohm(resistance_ohm=1.0, measured_at_c=20.0, temperature_c=20.0 + rises)
    np.testing.assert_allclose(ratios, resistance_ratio(temperature_rise_k=rises), rtol=1e-12)


def test_twenty_degrees_more_on_a_constant_voltage():
    # 1 / 1.0786 = 0.92713: -7.3 %, 20 lg = -0.66 dB
    cold, warm = (
        coil_at_constant_voltage(voltage_v=80.0, resistance_20c_ohm=800.0, temperature_c=t) for t in (20.0, 40.0)
    )
    assert 100.0 * (warm.current_a / cold.current_a - 1.0) == pytest.approx(-7.3, abs=0.05)
    change_db = flux_change_bound_db(current_a=warm.current_a, reference_current_a=cold.current_a)
    assert change_db == pytest.approx(-0.66, abs=0.005)
    assert (cold.current_a, cold.power_w) == (pytest.approx(0.1), pytest.approx(8.0))
    assert warm.power_w == pytest.approx(8.0 / 1.0786, rel=1e-9)
    assert warm.voltage_v == pytest.approx(80.0, rel=1e-12)


def test_supply_for_a_constant_current_by_hand():
    # 0.2 A into 500 x 1.2358 (80 degrees) = 617.9 ohm: 123.58 V, 24.716 W
    warm = coil_at_constant_current(current_a=0.2, resistance_20c_ohm=500.0, temperature_c=80.0)
    assert warm.resistance_ohm == pytest.approx(617.9, abs=1e-9)
    assert warm.voltage_v == pytest.approx(123.58, abs=1e-9)
    assert warm.power_w == pytest.approx(24.716, abs=1e-9)
    assert warm.current_a == 0.2


def test_settled_state_by_hand():
    on_voltage = settled_at_constant_voltage(voltage_v=math.sqrt(6965.0), **HUNDRED_K)
    on_current = settled_at_constant_current(current_a=math.sqrt(50.0 / 139.3), **HUNDRED_K)
    for state in (on_voltage, on_current):
        assert state.temperature_c == pytest.approx(120.0, rel=1e-9)
        assert state.power_w == pytest.approx(50.0, rel=1e-9)
        assert state.resistance_ohm == pytest.approx(139.3, rel=1e-9)


def test_settled_state_agrees_with_repetition():
    for settle, at, drive in (
        (settled_at_constant_voltage, coil_at_constant_voltage, {"voltage_v": 140.0}),
        (settled_at_constant_current, coil_at_constant_current, {"current_a": 0.17}),
    ):
        temperature_c = 27.0
        for _ in range(300):
            state = at(**drive, resistance_20c_ohm=730.0, temperature_c=temperature_c)
            temperature_c = 27.0 + 3.1 * state.power_w
        settled = settle(**drive, **UNEVEN)
        assert settled.temperature_c == pytest.approx(temperature_c, rel=1e-9)
        assert settled.temperature_c > 60.0


def test_heat_in_is_heat_out():
    state = settled_at_constant_voltage(voltage_v=190.0, **UNEVEN)
    assert state.temperature_c - 27.0 == pytest.approx(3.1 * state.power_w, rel=1e-9)
    assert state.voltage_v == pytest.approx(190.0, rel=1e-12)


def test_a_constant_current_warms_more_than_a_constant_voltage_from_the_same_cold_state():
    on_voltage = settled_at_constant_voltage(voltage_v=60.0, **HUNDRED_K)
    on_current = settled_at_constant_current(current_a=0.6, **HUNDRED_K)
    without_change_c = 20.0 + 2.0 * 36.0
    assert on_voltage.temperature_c < without_change_c < on_current.temperature_c


def test_the_current_without_a_settled_state_is_refused():
    # 1 = 0.00393 x 2 x I^2 x 100: I = 1.128 A
    with pytest.raises(OutOfRangeError, match=r"current_a must be below 1.13 A, where the coil warms without end"):
        settled_at_constant_current(current_a=1.1280, **HUNDRED_K)
    with pytest.raises(OutOfRangeError, match="current_a must be such that the coil stays below 420"):
        settled_at_constant_current(current_a=1.1270, **HUNDRED_K)


def test_a_burnt_coil_is_refused():
    # 400 K: 400 (1 + 1.572) = 1028.8 = 2 V^2 / 100: V = 226.8
    with pytest.raises(OutOfRangeError, match="voltage_v must be such that the coil stays below 420"):
        settled_at_constant_voltage(voltage_v=227.0, **HUNDRED_K)
    assert settled_at_constant_voltage(voltage_v=226.5, **HUNDRED_K).temperature_c == pytest.approx(419.0, abs=1.0)


def test_flux_and_q_by_hand():
    # half of the flux: -6.02 dB, four times the electrical Q
    assert flux_change_bound_db(current_a=0.4, reference_current_a=0.8) == pytest.approx(-6.02, abs=5e-3)
    assert electrical_q_at_flux(electrical_q=0.3, flux_ratio=0.5) == pytest.approx(1.2, rel=1e-12)


def test_flux_changes_add_up():
    steps = [flux_change_bound_db(current_a=a, reference_current_a=b) for a, b in ((0.9, 1.0), (0.7, 0.9), (0.7, 1.0))]
    assert steps[0] + steps[1] == pytest.approx(steps[2], abs=1e-12)


COLD = {"resistance_20c_ohm": 100.0, "temperature_c": 20.0}


@pytest.mark.parametrize(
    ("function", "arguments", "name"),
    [
        (
            copper_resistance_ohm,
            {"resistance_ohm": 0.0, "measured_at_c": 20.0, "temperature_c": 30.0},
            "resistance_ohm",
        ),
        (
            copper_resistance_ohm,
            {"resistance_ohm": 1.0, "measured_at_c": -40.0, "temperature_c": 30.0},
            "measured_at_c",
        ),
        (
            copper_resistance_ohm,
            {"resistance_ohm": 1.0, "measured_at_c": 20.0, "temperature_c": 421.0},
            "temperature_c",
        ),
        (coil_at_constant_voltage, COLD | {"voltage_v": 0.0}, "voltage_v"),
        (coil_at_constant_voltage, COLD | {"voltage_v": 9.0, "resistance_20c_ohm": 0.0}, "resistance_20c_ohm"),
        (coil_at_constant_voltage, COLD | {"voltage_v": 9.0, "temperature_c": 500.0}, "temperature_c"),
        (coil_at_constant_current, COLD | {"current_a": -1.0}, "current_a"),
        (coil_at_constant_current, COLD | {"current_a": 1.0, "resistance_20c_ohm": 0.0}, "resistance_20c_ohm"),
        (settled_at_constant_voltage, HUNDRED_K | {"voltage_v": 0.0}, "voltage_v"),
        (settled_at_constant_voltage, HUNDRED_K | {"voltage_v": 9.0, "thermal_resistance_k_per_w": 0.0}, "thermal_res"),
        (settled_at_constant_current, HUNDRED_K | {"current_a": 0.0}, "current_a"),
        (settled_at_constant_current, HUNDRED_K | {"current_a": 0.1, "room_temperature_c": 430.0}, "room_temp"),
        (settled_at_constant_current, HUNDRED_K | {"current_a": 0.1, "resistance_20c_ohm": -1.0}, "resistance_20c"),
        (flux_change_bound_db, {"current_a": 0.0, "reference_current_a": 1.0}, "current_a"),
        (flux_change_bound_db, {"current_a": 1.0, "reference_current_a": 0.0}, "reference_current_a"),
        (electrical_q_at_flux, {"electrical_q": 0.0, "flux_ratio": 1.0}, "electrical_q"),
        (electrical_q_at_flux, {"electrical_q": 0.5, "flux_ratio": 0.0}, "flux_ratio"),
    ],
)
def test_refusals(function, arguments, name):
    with pytest.raises(OutOfRangeError, match=name):
        function(**arguments)
