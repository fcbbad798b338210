"""How the rise of temperature of a field coil grows with time, from the cold start."""

import numpy as np

from service.physics.chain.voice_coil import COPPER_TEMPERATURE_COEFFICIENT_PER_K
from service.physics.checks import OutOfRangeError, require_between, require_not_negative, require_positive
from service.physics.types import FloatArray, FloatLike, FloatOrArray

COPPER_SPECIFIC_HEAT_J_PER_KG_K = 385.0
"""Copper at 25 degrees Celsius. [CRC-HANDBOOK], from memory."""

IRON_SPECIFIC_HEAT_J_PER_KG_K = 450.0
"""Iron at 25 degrees Celsius. [CRC-HANDBOOK], from memory."""

HIGHEST_SETTLED_RISE_K = 400.0
"""A coil has burnt before. [ours]"""

_STEPS = 60
"""Of an iteration that gains a factor of 2 or more in each: far below rounding."""


def thermal_time_constant_s(*, copper_mass_kg: float, iron_mass_kg: float, thermal_resistance_k_per_w: float) -> float:
    """Return the time constant with which a field magnet warms at constant power.

    Parameters
    ----------
    copper_mass_kg : float
        Mass of the winding, > 0. [kg]
    iron_mass_kg : float
        Mass of the iron that warms with it, at least 0. [kg]
    thermal_resistance_k_per_w : float
        From the coil to the room, > 0. [K/W]

    Returns
    -------
    float
        Time constant. [s]

    Raises
    ------
    OutOfRangeError
        The mass of copper or the thermal resistance is not greater than 0, or the mass of iron is below 0.

    Notes
    -----
    R_th (385 m_copper + 450 m_iron): all at one temperature. A real coil runs ahead of its iron at first.

    References
    ----------
    [CRC-HANDBOOK] specific heats, from memory.

    Examples
    --------
    >>> thermal_time_constant_s(copper_mass_kg=2.0, iron_mass_kg=0.0, thermal_resistance_k_per_w=3.0)   # 3 x 770
    2310.0
    """
    require_positive(copper_mass_kg, name="copper_mass_kg")
    require_not_negative(iron_mass_kg, name="iron_mass_kg")
    require_positive(thermal_resistance_k_per_w, name="thermal_resistance_k_per_w")
    heat_capacity_j_per_k = (
        COPPER_SPECIFIC_HEAT_J_PER_KG_K * copper_mass_kg + IRON_SPECIFIC_HEAT_J_PER_KG_K * iron_mass_kg
    )
    return thermal_resistance_k_per_w * heat_capacity_j_per_k


def rise_on_constant_voltage_k(
    time_s: FloatLike, *, settled_rise_k: float, room_temperature_c: float, thermal_time_constant_s: float
) -> FloatOrArray:
    """Return how far a field coil on a constant voltage has warmed since it was switched on cold.

    Parameters
    ----------
    time_s : float or array_like
        Time since then, at least 0. [s]
    settled_rise_k : float
        Final rise above the room, > 0 and at most 400, from `field_coil.settled_at_constant_voltage`. [K]
    room_temperature_c : float
        Temperature around the magnet, -30 to 60. [degrees Celsius]
    thermal_time_constant_s : float
        At constant power, > 0, from `thermal_time_constant_s`. [s]

    Returns
    -------
    float or ndarray, shape of `time_s`
        Rise above the room. [K]

    Raises
    ------
    OutOfRangeError
        The time is below 0, the rise or the time constant not greater than 0, the rise above 400 K, or the
        room outside -30 to 60.

    Notes
    -----
    tau dd/dt = d_f (1 + a d_f) / (1 + a d) - d, d the rise and d_f its final value, has the closed form
    t / tau = -A ln(1 - d / d_f) - B ln(1 + a d / (1 + a d_f)), A = (1 + a d_f) / s, B = a d_f / s, s = 1 + 2 a
    d_f; it is turned round by iteration. Faster than at constant power, for the power is highest at the start.
    """
    rise_k, a, tau_s, time = _checked(time_s, settled_rise_k, room_temperature_c, thermal_time_constant_s)
    warm = a * rise_k
    stretch = (1.0 + 2.0 * warm) / (1.0 + warm)
    y = np.zeros_like(time)  # d = d_f (1 - e^-y)
    for _ in range(_STEPS):
        y = stretch * time / tau_s + warm / (1.0 + warm) * np.log1p(-np.expm1(-y) * warm / (1.0 + warm))
    return -np.expm1(-y) * rise_k


def rise_on_constant_current_k(
    time_s: FloatLike, *, settled_rise_k: float, room_temperature_c: float, thermal_time_constant_s: float
) -> FloatOrArray:
    """Return how far a field coil on a constant current has warmed since it was switched on cold.

    Parameters
    ----------
    time_s : float or array_like
        Time since then, at least 0. [s]
    settled_rise_k : float
        Final rise above the room, > 0 and at most 400, from `field_coil.settled_at_constant_current`. [K]
    room_temperature_c : float
        Temperature around the magnet, -30 to 60. [degrees Celsius]
    thermal_time_constant_s : float
        At constant power, > 0, from `thermal_time_constant_s`. [s]

    Returns
    -------
    float or ndarray, shape of `time_s`
        Rise above the room. [K]

    Raises
    ------
    OutOfRangeError
        The time is below 0, the rise or the time constant not greater than 0, the rise above 400 K, or the
        room outside -30 to 60.

    Notes
    -----
    d_f (1 - e^(-t / tau')), tau' = tau (1 + a d_f): slower than at constant power, and endless at the current
    where the coil never settles.
    """
    rise_k, a, tau_s, time = _checked(time_s, settled_rise_k, room_temperature_c, thermal_time_constant_s)
    return -np.expm1(-time / (tau_s * (1.0 + a * rise_k))) * rise_k


def _checked(
    time_s: FloatLike, settled_rise_k: float, room_temperature_c: float, thermal_time_constant_s: float
) -> tuple[float, float, float, FloatArray]:
    """Return rise, coefficient at the temperature of the room, time constant and times, refused by name."""
    time = np.asarray(require_not_negative(time_s, name="time_s"), dtype=float)
    require_positive(thermal_time_constant_s, name="thermal_time_constant_s")
    require_positive(settled_rise_k, name="settled_rise_k")
    if settled_rise_k > HIGHEST_SETTLED_RISE_K:
        allowed = f"at most {HIGHEST_SETTLED_RISE_K:g} K"
        raise OutOfRangeError(name="settled_rise_k", value=settled_rise_k, allowed=allowed)
    require_between(room_temperature_c, name="room_temperature_c", low=-30.0, high=60.0)
    re_20_c = 1.0 + COPPER_TEMPERATURE_COEFFICIENT_PER_K * (room_temperature_c - 20.0)
    return settled_rise_k, COPPER_TEMPERATURE_COEFFICIENT_PER_K / re_20_c, thermal_time_constant_s, time
