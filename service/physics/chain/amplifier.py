"""Power of an amplifier into any load, from its ratings at one or several loads."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError, require_positive
from service.physics.types import FloatArray, FloatLike, FloatOrArray

BEHAVIOURS = ("voltage_source", "matched_tap", "current_limited")
"""How an amplifier behaves beyond its ratings: a transistor amplifier, one tap of an output transformer, a
headphone amplifier."""

HALVED_LOAD_POWER_RATIO = 1.6
"""Power of a transistor amplifier into half of its rated load, re its rated power.
[practice] Common practice, no source."""

PRINTED_ROUNDING_RATIO = 0.03
"""Voltages or currents of printed ratings that differ by less than this count as equal: powers are printed
with two digits, which is up to 5 % of power or 2.5 % of voltage. [ours]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class AmplifierModel:
    """Highest clean sine voltage of an amplifier as a function of its load.

    Attributes
    ----------
    open_circuit_voltage_v : float
        Highest rms voltage without load. [V]
    supply_resistance_ohm : float
        How the supply sags under load; not the output impedance, which is far smaller. [ohm]
    sag_below_load_ohm : float or None
        Load below which the rule of thumb for one rating takes over: power times 1.6 for each halved load.
        [ohm]
    voltage_limit_v : float or None
        Highest rms voltage that any rating shows, where it is not safe to go beyond. [V]
    current_limit_a : float or None
        Highest rms current, None where no limit is known. [A]
    rule : str
        How the model was found: `voltage_source`, `matched_tap`, `current_limited` (one rating, or several
        that show one current), `fit_of_ratings` (continued beyond them) or `fit_within_ratings` (never
        beyond their highest voltage and current).
    """

    open_circuit_voltage_v: float
    supply_resistance_ohm: float
    sag_below_load_ohm: float | None
    voltage_limit_v: float | None
    current_limit_a: float | None
    rule: str


def amplifier_model(
    *, loads_ohm: ArrayLike, powers_w: ArrayLike, behaviour: str, current_limit_a: float | None
) -> AmplifierModel:
    """Return the model of an amplifier that meets its ratings.

    Parameters
    ----------
    loads_ohm : sequence of float
        Rated loads, > 0, each once. [ohm]
    powers_w : sequence of float
        Rated sine power into each load, > 0, at the clipping point or the rated distortion. [W]
    behaviour : str
        One of `BEHAVIOURS`.
    current_limit_a : float or None
        Highest rms current where the maker states it; None where it is not known. [A]

    Returns
    -------
    AmplifierModel
        For `power_into_w` and `voltage_into_v`.

    Raises
    ------
    OutOfRangeError
        A load or a power is not greater than 0, a load stands twice, the behaviour is unknown, the ratings
        are impossible (voltage rises, or current falls, as the load falls), or the current limit is below
        what the ratings need.

    Notes
    -----
    One rating. `voltage_source`: constant voltage above the rated load, and P(R / 2) = 1.6 P(R) below it
    (common practice, no source; 0.8 dB of standard uncertainty, ours). `matched_tap`: P = P_r times the
    lesser of Z / Z_tap and Z_tap / Z. `current_limited`: constant voltage above and constant current below
    the rated load; a stated current limit takes the place of that current.

    Several ratings: V(R) = V0 R / (R + R_s), that is 1 / V linear in 1 / R: exact through two, least
    squares for more. A `voltage_source` whose power does not fall with the load is continued beyond its
    ratings; the others stay within the highest voltage and current that a rating shows. Ratings of several
    taps are not one amplifier: give those of one tap.

    A rating holds at the load: the output impedance is already in it and must not be taken off again.

    References
    ----------
    [IEC-60268-3] rated power as V^2 / R at the rated distortion.

    Examples
    --------
    100 W into 8 ohm and 200 W into 4 ohm are 28.28 V without any sag:

    >>> stiff = amplifier_model(loads_ohm=[8.0, 4.0], powers_w=[100.0, 200.0], behaviour="voltage_source",
    ...                         current_limit_a=None)
    >>> round(float(power_into_w(stiff, load_ohm=16.0)), 6)
    50.0
    """
    if behaviour not in BEHAVIOURS:
        raise OutOfRangeError(name="behaviour", value=behaviour, allowed=f"one of {', '.join(BEHAVIOURS)}")
    loads = np.atleast_1d(require_positive(loads_ohm, name="loads_ohm"))
    powers = np.atleast_1d(require_positive(powers_w, name="powers_w"))
    if loads.ndim != 1 or not loads.size or np.unique(loads).size != loads.size:
        raise OutOfRangeError(name="loads_ohm", value=loads_ohm, allowed="one or more loads, each once")
    if powers.shape != loads.shape:
        raise OutOfRangeError(name="powers_w", value=powers_w, allowed="as many as loads_ohm")
    falling = np.argsort(-loads)
    loads, powers = loads[falling], powers[falling]
    voltages, currents = np.sqrt(powers * loads), np.sqrt(powers / loads)
    _refuse_impossible(powers_w, voltages=voltages, currents=currents)
    if current_limit_a is not None:
        require_positive(current_limit_a, name="current_limit_a")
        if current_limit_a < currents.max() * (1.0 - PRINTED_ROUNDING_RATIO):
            allowed = f"at least the {currents.max():.3g} A rms of the ratings"
            raise OutOfRangeError(name="current_limit_a", value=current_limit_a, allowed=allowed)
    if loads.size == 1:
        return _model_of_one_rating(loads[0], voltages[0], currents[0], behaviour, current_limit_a)
    return _model_of_several_ratings(loads, voltages, currents, behaviour, current_limit_a)


def _refuse_impossible(powers_w: ArrayLike, *, voltages: FloatArray, currents: FloatArray) -> None:
    """Refuse ratings, in the order of falling load, that no amplifier can have."""
    if (voltages[1:] > voltages[:-1] * (1.0 + PRINTED_ROUNDING_RATIO)).any():
        raise OutOfRangeError(
            name="powers_w", value=powers_w, allowed="such that the voltage does not rise as the load falls"
        )
    if (currents[1:] < currents[:-1] * (1.0 - PRINTED_ROUNDING_RATIO)).any():
        raise OutOfRangeError(
            name="powers_w", value=powers_w, allowed="such that the current does not fall as the load falls"
        )


def _model_of_one_rating(
    load: float, voltage: float, current: float, behaviour: str, current_limit_a: float | None
) -> AmplifierModel:
    sag_below_load_ohm = None
    if behaviour == "voltage_source":
        sag_below_load_ohm = float(load)
    elif behaviour == "matched_tap" or current_limit_a is None:
        current_limit_a = float(current)
    return AmplifierModel(
        open_circuit_voltage_v=float(voltage),
        supply_resistance_ohm=0.0,
        sag_below_load_ohm=sag_below_load_ohm,
        voltage_limit_v=None,
        current_limit_a=current_limit_a,
        rule=behaviour,
    )


def _model_of_several_ratings(
    loads: FloatArray, voltages: FloatArray, currents: FloatArray, behaviour: str, current_limit_a: float | None
) -> AmplifierModel:
    x, y = 1.0 / loads, 1.0 / voltages
    slope = ((x - x.mean()) * (y - y.mean())).sum() / ((x - x.mean()) ** 2).sum()  # R_s / V0
    intercept = y.mean() - slope * x.mean()  # 1 / V0
    if slope <= 0:  # one voltage, as far as printed powers tell
        slope, intercept = 0.0, y.mean()
    powers = voltages * currents
    power_falls = powers[-1] < powers[0] * (1.0 - 2.0 * PRINTED_ROUNDING_RATIO)
    within = behaviour != "voltage_source" or bool(power_falls)
    if within and current_limit_a is None:
        current_limit_a = float(currents.max())
    rule = "fit_within_ratings" if within else "fit_of_ratings"
    one_current = currents.max() <= currents.min() * (1.0 + PRINTED_ROUNDING_RATIO)
    if one_current or intercept <= 0:  # no fit has that: V0 would be endless
        slope, intercept, rule = 0.0, 1.0 / voltages.max(), "current_limited"
    return AmplifierModel(
        open_circuit_voltage_v=float(1.0 / intercept),
        supply_resistance_ohm=float(slope / intercept),
        sag_below_load_ohm=None,
        voltage_limit_v=float(voltages.max()) if within else None,
        current_limit_a=current_limit_a,
        rule=rule,
    )


def voltage_into_v(model: AmplifierModel, *, load_ohm: FloatLike) -> FloatOrArray:
    """Return the highest clean sine voltage of an amplifier into a load.

    Parameters
    ----------
    model : AmplifierModel
        From `amplifier_model`.
    load_ohm : float or array_like
        Resistive load, > 0. [ohm]

    Returns
    -------
    float or ndarray, shape of `load_ohm`
        Voltage, rms. [V]

    Raises
    ------
    OutOfRangeError
        A load is not greater than 0.

    Notes
    -----
    V0 R / (R + R_s), sagging by the rule of thumb below the rated load of a single rating, and never above
    the voltage limit or the current limit times the load.
    """
    load = np.asarray(require_positive(load_ohm, name="load_ohm"))
    voltage = model.open_circuit_voltage_v * load / (load + model.supply_resistance_ohm)
    if model.sag_below_load_ohm is not None:
        # P proportional to R^-lg2(1.6), so V = sqrt(P R) to R^((1 - lg2(1.6)) / 2)
        exponent = (1.0 - math.log2(HALVED_LOAD_POWER_RATIO)) / 2.0
        voltage = voltage * np.minimum(load / model.sag_below_load_ohm, 1.0) ** exponent
    if model.voltage_limit_v is not None:
        voltage = np.minimum(voltage, model.voltage_limit_v)
    if model.current_limit_a is not None:
        voltage = np.minimum(voltage, model.current_limit_a * load)
    return voltage


def power_into_w(model: AmplifierModel, *, load_ohm: FloatLike) -> FloatOrArray:
    """Return the highest clean sine power of an amplifier into a load.

    Parameters
    ----------
    model : AmplifierModel
        From `amplifier_model`.
    load_ohm : float or array_like
        Resistive load, > 0. [ohm]

    Returns
    -------
    float or ndarray, shape of `load_ohm`
        Power of a sine at clipping. [W]

    Raises
    ------
    OutOfRangeError
        A load is not greater than 0.

    Notes
    -----
    V^2 / R, V from `voltage_into_v`.
    """
    return voltage_into_v(model, load_ohm=load_ohm) ** 2 / np.asarray(load_ohm)
