"""Warming of a field coil: time constant by hand, the differential equation solved anew, laws, refusals."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from service.physics.chain.field_coil_warming import (
    rise_on_constant_current_k,
    rise_on_constant_voltage_k,
    thermal_time_constant_s,
)
from service.physics.checks import OutOfRangeError

COIL = {"settled_rise_k": 85.0, "room_temperature_c": 27.0, "thermal_time_constant_s": 3600.0}
TIMES_S = np.array([0.0, 5.0, 600.0, 3600.0, 9000.0, 40e3])
A_27_C = 0.00393 / (1.0 + 0.00393 * 7.0)


def test_time_constant_by_hand():
    # 2.5 K/W x (385 x 1.2 + 450 x 4) = 2.5 x 2262 = 5655 s
    assert thermal_time_constant_s(
        copper_mass_kg=1.2, iron_mass_kg=4.0, thermal_resistance_k_per_w=2.5
    ) == pytest.approx(5655.0, rel=1e-12)


@pytest.mark.parametrize("rise_k", [10.0, 85.0, 390.0])
@pytest.mark.parametrize("kind", ["voltage", "current"])
def test_rise_solves_its_differential_equation(kind, rise_k):
    warm = A_27_C * rise_k
    if kind == "voltage":
        function, heat = rise_on_constant_voltage_k, lambda d: rise_k * (1.0 + warm) / (1.0 + A_27_C * d)
    else:
        function, heat = rise_on_constant_current_k, lambda d: rise_k / (1.0 + warm) * (1.0 + A_27_C * d)
    solution = solve_ivp(
        lambda t, d: (heat(d) - d) / 3600.0, (0.0, 40e3), [0.0], t_eval=TIMES_S, rtol=1e-10, atol=1e-10
    )
    rises_k = function(TIMES_S, **(COIL | {"settled_rise_k": rise_k}))
    np.testing.assert_allclose(rises_k, solution.y[0], rtol=1e-7, atol=1e-7)


def test_first_slope_by_hand():
    # constant voltage: d_f (1 + a d_f) / tau; constant current: d_f / (1 + a d_f) / tau
    warm = 1.0 + A_27_C * 85.0
    assert rise_on_constant_voltage_k(0.01, **COIL) == pytest.approx(0.01 * 85.0 * warm / 3600.0, rel=1e-4)
    assert rise_on_constant_current_k(0.01, **COIL) == pytest.approx(0.01 * 85.0 / warm / 3600.0, rel=1e-4)


def test_a_small_rise_is_a_plain_exponential():
    small = COIL | {"settled_rise_k": 1e-4}
    expected_k = 1e-4 * (1.0 - math.exp(-0.5))
    for function in (rise_on_constant_voltage_k, rise_on_constant_current_k):
        assert function(1800.0, **small) == pytest.approx(expected_k, rel=1e-5)


def test_voltage_warms_first_and_both_settle():
    on_voltage, on_current = (f(TIMES_S, **COIL) for f in (rise_on_constant_voltage_k, rise_on_constant_current_k))
    assert on_voltage[0] == on_current[0] == 0.0
    assert (np.diff(on_voltage) > 0).all()
    assert (on_voltage[1:-1] > on_current[1:-1]).all()
    assert rise_on_constant_voltage_k(1e6, **COIL) == pytest.approx(85.0, rel=1e-9)
    assert rise_on_constant_current_k(1e6, **COIL) == pytest.approx(85.0, rel=1e-9)


@pytest.mark.parametrize("function", [rise_on_constant_voltage_k, rise_on_constant_current_k])
@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"time_s": -1.0}, "time_s"),
        ({"settled_rise_k": 0.0}, "settled_rise_k must be greater"),
        ({"settled_rise_k": 401.0}, "settled_rise_k must be at most 400"),
        ({"room_temperature_c": 61.0}, "room_temperature_c"),
        ({"thermal_time_constant_s": 0.0}, "thermal_time_constant_s"),
    ],
)
def test_refusals(function, change, match):
    arguments = {"time_s": 60.0} | COIL | change
    with pytest.raises(OutOfRangeError, match=match):
        function(arguments.pop("time_s"), **arguments)


@pytest.mark.parametrize(
    "change", [{"copper_mass_kg": 0.0}, {"iron_mass_kg": -1.0}, {"thermal_resistance_k_per_w": 0.0}], ids=str
)
def test_time_constant_refusals(change):
    arguments = {"copper_mass_kg": 1.0, "iron_mass_kg": 1.0, "thermal_resistance_k_per_w": 1.0} | change
    with pytest.raises(OutOfRangeError, match=next(iter(change))):
        thermal_time_constant_s(**arguments)
