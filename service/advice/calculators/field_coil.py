"""Field coil: what its supply must give, what warming does to the flux, and how long it takes."""

import numpy as np

from service.advice import policy
from service.advice.answers.field_coil import (
    CoilOnSupplyAnswer,
    CoilStateAnswer,
    CoilWarmingAnswer,
    FieldCoilAnswer,
)
from service.advice.assumptions import Assumptions, Default
from service.advice.findings.cautions import caution
from service.advice.findings.finding import finding
from service.domain.errors import DomainError
from service.domain.limits import LIMITS
from service.domain.words import words
from service.physics.chain import field_coil as coil
from service.physics.chain import field_coil_flux, field_coil_warming
from service.physics.checks import OutOfRangeError

_SECONDS_PER_HOUR = 3600.0
_TIMES = 41
_TIME_CONSTANTS_SHOWN = 5.0
_WARM_SHARE = 0.95


def field_coil(request):
    """Answer POST /v1/field-coil.

    Parameters
    ----------
    request : FieldCoilRequest
        As told. [-]

    Returns
    -------
    FieldCoilAnswer

    Raises
    ------
    DomainError
        The coil would be colder warm than cold, or would warm without end.

    Notes
    -----
    The current or voltage that was told is that of the warm coil, for the flux is rated warm. The cold coil meets the
    same voltage or the same current, depending on the supply.
    """
    assume = Assumptions()
    ambient_c = assume.take(request.pointer("ambient_temperature_c"), request.ambient_temperature_c)
    usual = "constant_voltage" if request.current_a is None else "constant_current"
    default = Default(value=usual, why=words(f"assumptions.supply.{usual}"), source="ours")
    supply = assume.take(request.pointer("supply"), request.supply, default=default)
    at_20_c_ohm = float(
        coil.copper_resistance_ohm(
            resistance_ohm=request.cold_resistance_ohm, measured_at_c=ambient_c, temperature_c=20.0
        )
    )
    settled = _settled(request, at_20_c_ohm=at_20_c_ohm, ambient_c=ambient_c)
    warm_c = _warm_temperature_c(request, settled, ambient_c, assume)
    on_supplies = _on_supplies(request, at_20_c_ohm=at_20_c_ohm, cold_c=ambient_c, warm_c=warm_c)
    used = on_supplies[supply]
    rise_k = warm_c - ambient_c
    thermal_resistance_k_w = request.thermal_resistance_k_w
    if thermal_resistance_k_w is None and rise_k > 0:
        thermal_resistance_k_w = rise_k / used.warm.power_w
    warming = None
    if request.mass_kg is not None and rise_k > 0:
        warming = _warming(
            supply,
            used,
            rise_k=rise_k,
            thermal_resistance_k_w=thermal_resistance_k_w,
            mass_kg=request.mass_kg,
            at_20_c_ohm=at_20_c_ohm,
            assume=assume,
        )
    assume.add(None, {"flux_follows_current_ratio": 1.0}, why=words("assumptions.flux_bound"), source="ours")
    return FieldCoilAnswer(
        supply=supply,
        warm_resistance_ohm=used.warm.resistance_ohm,
        supply_voltage_v=used.warm.voltage_v,
        current_a=used.warm.current_a,
        power_w=used.warm.power_w,
        flux_change_constant_voltage_pct=on_supplies["constant_voltage"].flux_change_pct,
        **on_supplies,
        thermal_resistance_k_w=thermal_resistance_k_w,
        settled_temperature_c=None if settled is None else settled.temperature_c,
        warming=warming,
        findings=_findings(supply, on_supplies, settled=settled, warming=warming),
        cautions=_cautions(used),
        assumptions=assume.listed(),
    )


def _settled(request, *, at_20_c_ohm, ambient_c):
    """State in which the coil stops warming by the thermal resistance that was told, None without one.

    What was told of the coil holds warm, so that the same state follows whatever the supply keeps constant.
    """
    if request.thermal_resistance_k_w is None:
        return None
    facts = {
        "resistance_20c_ohm": at_20_c_ohm,
        "room_temperature_c": ambient_c,
        "thermal_resistance_k_per_w": request.thermal_resistance_k_w,
    }
    try:
        if request.current_a is None:
            state = coil.settled_at_constant_voltage(voltage_v=request.voltage_v, **facts)
        else:
            state = coil.settled_at_constant_current(current_a=request.current_a, **facts)
    except OutOfRangeError as error:
        raise _too_hot(request, facts) from error
    highest_c = LIMITS["warm_temperature_c"].maximum
    if request.warm_temperature_c is None and state.temperature_c > highest_c:
        raise DomainError(
            pointer=request.pointer("thermal_resistance_k_w"),
            code="too_hot",
            detail=words("refusals_calculators.no_winding_bears", temperature_c=state.temperature_c),
            given=request.thermal_resistance_k_w,
            allowed=words("refusals_calculators.coil_stays_below", highest_c=highest_c),
        )
    return state


def _too_hot(request, facts):
    """Return the refusal of a current or voltage at which the coil burns, or warms without end."""
    name, given = "voltage_v", request.voltage_v
    allowed = words("refusals_calculators.coil_stays_below", highest_c=coil.HIGHEST_TEMPERATURE_C)
    if request.current_a is not None:
        name, given = "current_a", request.current_a
        runaway_a = coil.runaway_current_a(**facts)
        if given >= runaway_a:
            allowed = words("refusals_calculators.runaway_current", current_a=float(f"{runaway_a:.3g}"))
    return DomainError(
        pointer=request.pointer(name),
        code="too_hot",
        detail=words("refusals_calculators.too_hot", name=name, allowed=allowed),
        given=given,
        allowed=allowed,
    )


def _warm_temperature_c(request, settled, ambient_c, assume):
    """Temperature of the warm coil, as told, by its thermal resistance, or usual. [degrees Celsius]"""
    warm_c = request.warm_temperature_c
    if warm_c is None and settled is not None:
        return settled.temperature_c
    low_k, usual_k, high_k = policy.FIELD_COIL_RISE_K
    default = Default(
        value=ambient_c + usual_k,
        why=words("assumptions.warm_temperature_c"),
        source="practice",
        spread=(ambient_c + low_k, ambient_c + high_k),
    )
    warm_c = assume.take(request.pointer("warm_temperature_c"), warm_c, default=default)
    if warm_c < ambient_c:
        raise DomainError(
            pointer=request.pointer("warm_temperature_c"),
            code="upside_down",
            detail=words("refusals_calculators.warm_below_ambient", warm_c=warm_c, ambient_c=ambient_c),
            given=warm_c,
            allowed=words("refusals_domain.at_least", least=ambient_c),
        )
    return warm_c


def _on_supplies(request, *, at_20_c_ohm, cold_c, warm_c):
    """The coil on both kinds of supply, cold and warm, by name of the supply."""
    if request.current_a is None:
        warm = coil.coil_at_constant_voltage(
            voltage_v=request.voltage_v, resistance_20c_ohm=at_20_c_ohm, temperature_c=warm_c
        )
    else:
        warm = coil.coil_at_constant_current(
            current_a=request.current_a, resistance_20c_ohm=at_20_c_ohm, temperature_c=warm_c
        )
    cold = {"resistance_20c_ohm": at_20_c_ohm, "temperature_c": cold_c}
    return {
        "constant_voltage": _on_supply(coil.coil_at_constant_voltage(voltage_v=warm.voltage_v, **cold), warm),
        "constant_current": _on_supply(coil.coil_at_constant_current(current_a=warm.current_a, **cold), warm),
    }


def _on_supply(cold, warm):
    flux_ratio = warm.current_a / cold.current_a
    return CoilOnSupplyAnswer(
        cold=_state(cold),
        warm=_state(warm),
        flux_change_pct=100 * (flux_ratio - 1),
        level_change_db=float(
            field_coil_flux.flux_change_bound_db(current_a=warm.current_a, reference_current_a=cold.current_a)
        ),
        electrical_q_change_pct=100
        * (float(field_coil_flux.electrical_q_at_flux(electrical_q=1.0, flux_ratio=flux_ratio)) - 1),
        highest_voltage_v=max(cold.voltage_v, warm.voltage_v),
        highest_current_a=max(cold.current_a, warm.current_a),
        highest_power_w=max(cold.power_w, warm.power_w),
    )


def _state(state):
    return CoilStateAnswer(
        temperature_c=state.temperature_c,
        resistance_ohm=state.resistance_ohm,
        voltage_v=state.voltage_v,
        current_a=state.current_a,
        power_w=state.power_w,
    )


def _warming(supply, used, *, rise_k, thermal_resistance_k_w, mass_kg, at_20_c_ohm, assume):
    """The way from cold to warm, for a magnet of a mass of which a usual share is copper."""
    low, share, high = policy.FIELD_COIL_COPPER_SHARE
    why = words("assumptions.copper_share")
    assume.add(None, {"copper_share_ratio": share}, why=why, source="ours", spread=(low, high))
    tau_s = field_coil_warming.thermal_time_constant_s(
        copper_mass_kg=share * mass_kg,
        iron_mass_kg=(1 - share) * mass_kg,
        thermal_resistance_k_per_w=thermal_resistance_k_w,
    )
    rise = {
        "constant_voltage": field_coil_warming.rise_on_constant_voltage_k,
        "constant_current": field_coil_warming.rise_on_constant_current_k,
    }[supply]
    facts = {
        "settled_rise_k": rise_k,
        "room_temperature_c": used.cold.temperature_c,
        "thermal_time_constant_s": tau_s,
    }
    # on a constant current the coil warms more slowly than its time constant, on a constant voltage faster
    slower = used.warm.resistance_ohm / used.cold.resistance_ohm if supply == "constant_current" else 1.0
    time_s = np.linspace(0.0, _TIME_CONSTANTS_SHOWN * tau_s * slower, _TIMES)
    temperature_c = used.cold.temperature_c + rise(time_s, **facts)
    resistance_ohm = coil.copper_resistance_ohm(
        resistance_ohm=at_20_c_ohm, measured_at_c=20.0, temperature_c=temperature_c
    )
    if supply == "constant_voltage":
        voltage_v = np.full(_TIMES, used.warm.voltage_v)
        current_a = voltage_v / resistance_ohm
    else:
        current_a = np.full(_TIMES, used.warm.current_a)
        voltage_v = current_a * resistance_ohm
    finely_s = np.linspace(0.0, time_s[-1], 50 * _TIMES)
    return CoilWarmingAnswer(
        thermal_time_constant_hours=tau_s / _SECONDS_PER_HOUR,
        warm_after_hours=float(np.interp(_WARM_SHARE * rise_k, rise(finely_s, **facts), finely_s)) / _SECONDS_PER_HOUR,
        time_hours=time_s / _SECONDS_PER_HOUR,
        temperature_c=temperature_c,
        resistance_ohm=resistance_ohm,
        voltage_v=voltage_v,
        current_a=current_a,
        power_w=voltage_v * current_a,
        level_change_db=field_coil_flux.flux_change_bound_db(
            current_a=current_a, reference_current_a=used.warm.current_a
        ),
    )


def _findings(supply, on_supplies, *, settled, warming):
    used, constant_voltage = on_supplies[supply], on_supplies["constant_voltage"]
    variant = None if supply == "constant_voltage" else supply
    found = [
        finding(
            "field_coil_supply",
            variant=variant,
            voltage_v=used.warm.voltage_v,
            current_a=used.warm.current_a,
            power_w=used.warm.power_w,
            cold_voltage_v=used.cold.voltage_v,
            cold_current_a=used.cold.current_a,
            cold_power_w=used.cold.power_w,
        ),
        finding(
            "flux_as_it_warms",
            variant=variant,
            flux_fall_pct=-constant_voltage.flux_change_pct,
            level_fall_db=-constant_voltage.level_change_db,
            electrical_q_rise_pct=constant_voltage.electrical_q_change_pct,
        ),
    ]
    if warming is not None:
        found.append(finding("field_coil_warm_after", warm_after_h=warming.warm_after_hours))
    if used.warm.temperature_c > policy.FIELD_COIL_HOT_FROM_C:
        found.append(
            finding(
                "field_coil_too_hot",
                temperature_c=used.warm.temperature_c,
                hot_from_c=policy.FIELD_COIL_HOT_FROM_C,
            )
        )
    if settled is not None:
        told_k = used.warm.temperature_c - used.cold.temperature_c
        settled_k = settled.temperature_c - used.cold.temperature_c
        if abs(settled_k - told_k) > policy.RISE_AGREES_RATIO * settled_k:
            found.append(
                finding(
                    "field_coil_temperatures_differ",
                    settled_temperature_c=settled.temperature_c,
                    warm_temperature_c=used.warm.temperature_c,
                )
            )
    return found


def _cautions(used):
    found = [caution("field_coil"), caution("mains")]
    if used.highest_voltage_v > policy.DANGEROUS_DIRECT_VOLTAGE_V:
        found.append(
            caution(
                "dangerous_direct_voltage",
                voltage_v=used.highest_voltage_v,
                dangerous_from_v=policy.DANGEROUS_DIRECT_VOLTAGE_V,
            )
        )
    if used.warm.temperature_c >= policy.HOT_TO_TOUCH_FROM_C:
        found.append(caution("hot_field_coil", temperature_c=used.warm.temperature_c))
    return [*found, caution("calculation")]
