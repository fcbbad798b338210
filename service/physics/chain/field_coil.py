"""Field coil of an electrodynamic magnet: resistance and power as it warms, and where it settles."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from service.physics.chain.voice_coil import COPPER_TEMPERATURE_COEFFICIENT_PER_K
from service.physics.checks import OutOfRangeError, require_between, require_positive
from service.physics.types import FloatLike, FloatOrArray

LOWEST_TEMPERATURE_C = -30.0
HIGHEST_TEMPERATURE_C = 420.0
"""Range of the linear law of copper, as for voice coils. [ours]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldCoilState:
    """A field coil at one temperature: what it takes from its supply."""

    temperature_c: float
    resistance_ohm: float
    voltage_v: float
    current_a: float
    power_w: float


def copper_resistance_ohm(
    *, resistance_ohm: FloatLike, measured_at_c: FloatLike, temperature_c: FloatLike
) -> FloatOrArray:
    """Return the resistance of a copper winding at another temperature than that of its measurement.

    Parameters
    ----------
    resistance_ohm : float or array_like
        Measured resistance, > 0. [ohm]
    measured_at_c : float or array_like
        Temperature of the winding when it was measured, -30 to 420. [degrees Celsius]
    temperature_c : float or array_like
        Temperature of the winding where it is wanted, -30 to 420. [degrees Celsius]

    Returns
    -------
    float or ndarray
        Resistance. [ohm]

    Raises
    ------
    OutOfRangeError
        The resistance is not greater than 0, or a temperature is outside -30 to 420.

    Notes
    -----
    R (1 + a (t - 20)) / (1 + a (t_0 - 20)), a = 0.00393 / K at 20 degrees Celsius.

    References
    ----------
    [NBS-HANDBOOK-100], [IEC-60028], the coefficient from memory.
    """
    resistance = np.asarray(require_positive(resistance_ohm, name="resistance_ohm"))
    warm = _re_20_c(temperature_c, "temperature_c")
    return resistance * warm / _re_20_c(measured_at_c, "measured_at_c")


def coil_at_constant_voltage(*, voltage_v: float, resistance_20c_ohm: float, temperature_c: float) -> FieldCoilState:
    """Return the state of a field coil on a constant voltage.

    Parameters
    ----------
    voltage_v : float
        Voltage of the supply, > 0. [V]
    resistance_20c_ohm : float
        Resistance at 20 degrees Celsius, > 0. [ohm]
    temperature_c : float
        Temperature of the coil, -30 to 420. [degrees Celsius]

    Returns
    -------
    FieldCoilState
        Current and power fall as the coil warms.

    Raises
    ------
    OutOfRangeError
        The voltage or the resistance is not greater than 0, or the temperature is outside -30 to 420.

    References
    ----------
    [NBS-HANDBOOK-100], [IEC-60028], the coefficient from memory.
    """
    require_positive(voltage_v, name="voltage_v")
    require_positive(resistance_20c_ohm, name="resistance_20c_ohm")
    resistance_ohm = resistance_20c_ohm * _re_20_c(temperature_c, "temperature_c")
    return _state(temperature_c, resistance_ohm, current_a=voltage_v / resistance_ohm)


def coil_at_constant_current(*, current_a: float, resistance_20c_ohm: float, temperature_c: float) -> FieldCoilState:
    """Return the state of a field coil on a constant current.

    Parameters
    ----------
    current_a : float
        Current of the supply, > 0. [A]
    resistance_20c_ohm : float
        Resistance at 20 degrees Celsius, > 0. [ohm]
    temperature_c : float
        Temperature of the coil, -30 to 420. [degrees Celsius]

    Returns
    -------
    FieldCoilState
        Its voltage is what the supply must reach with the coil warm; voltage and power rise as it warms.

    Raises
    ------
    OutOfRangeError
        The current or the resistance is not greater than 0, or the temperature is outside -30 to 420.

    References
    ----------
    [NBS-HANDBOOK-100], [IEC-60028], the coefficient from memory.
    """
    require_positive(current_a, name="current_a")
    require_positive(resistance_20c_ohm, name="resistance_20c_ohm")
    resistance_ohm = resistance_20c_ohm * _re_20_c(temperature_c, "temperature_c")
    return _state(temperature_c, resistance_ohm, current_a=current_a)


def settled_at_constant_voltage(
    *, voltage_v: float, resistance_20c_ohm: float, room_temperature_c: float, thermal_resistance_k_per_w: float
) -> FieldCoilState:
    """Return the state in which a field coil on a constant voltage stops warming.

    Parameters
    ----------
    voltage_v : float
        Voltage of the supply, > 0. [V]
    resistance_20c_ohm : float
        Resistance at 20 degrees Celsius, > 0. [ohm]
    room_temperature_c : float
        Temperature around the magnet, -30 to 420. [degrees Celsius]
    thermal_resistance_k_per_w : float
        From the coil to the room, > 0. [K/W]

    Returns
    -------
    FieldCoilState
        Always exists: a warmer coil takes less power.

    Raises
    ------
    OutOfRangeError
        An argument is not greater than 0, the room is outside -30 to 420, or the coil would pass 420 degrees.

    Notes
    -----
    The rise d solves d (1 + a d) = R_th V^2 / R_room, with a the coefficient and R_room the resistance at the
    temperature of the room: d = (sqrt(1 + 4 a R_th V^2 / R_room) - 1) / (2 a).
    """
    require_positive(voltage_v, name="voltage_v")
    drive_k, a = _drive(
        lambda resistance_ohm: voltage_v**2 / resistance_ohm,
        resistance_20c_ohm,
        room_temperature_c,
        thermal_resistance_k_per_w,
    )
    rise_k = 2.0 * drive_k / (math.sqrt(1.0 + 4.0 * a * drive_k) + 1.0)
    temperature_c = _settled_c(room_temperature_c + rise_k, name="voltage_v", value=voltage_v)
    return coil_at_constant_voltage(
        voltage_v=voltage_v, resistance_20c_ohm=resistance_20c_ohm, temperature_c=temperature_c
    )


def settled_at_constant_current(
    *, current_a: float, resistance_20c_ohm: float, room_temperature_c: float, thermal_resistance_k_per_w: float
) -> FieldCoilState:
    """Return the state in which a field coil on a constant current stops warming.

    Parameters
    ----------
    current_a : float
        Current of the supply, > 0. [A]
    resistance_20c_ohm : float
        Resistance at 20 degrees Celsius, > 0. [ohm]
    room_temperature_c : float
        Temperature around the magnet, -30 to 420. [degrees Celsius]
    thermal_resistance_k_per_w : float
        From the coil to the room, > 0. [K/W]

    Returns
    -------
    FieldCoilState

    Raises
    ------
    OutOfRangeError
        An argument is not greater than 0, the room is outside -30 to 420, or the current is so high that the
        coil warms without end or would pass 420 degrees.

    Notes
    -----
    The rise is d = R_th I^2 R_room / (1 - a R_th I^2 R_room). At and above a R_th I^2 R_room = 1 every kelvin
    brings more heat than it carries off.
    """
    require_positive(current_a, name="current_a")
    drive_k, a = _drive(
        lambda resistance_ohm: current_a**2 * resistance_ohm,
        resistance_20c_ohm,
        room_temperature_c,
        thermal_resistance_k_per_w,
    )
    if a * drive_k >= 1.0:
        runaway_a = runaway_current_a(
            resistance_20c_ohm=resistance_20c_ohm,
            room_temperature_c=room_temperature_c,
            thermal_resistance_k_per_w=thermal_resistance_k_per_w,
        )
        allowed = f"below {runaway_a:.3g} A, where the coil warms without end"
        raise OutOfRangeError(name="current_a", value=current_a, allowed=allowed)
    rise_k = drive_k / (1.0 - a * drive_k)
    temperature_c = _settled_c(room_temperature_c + rise_k, name="current_a", value=current_a)
    return coil_at_constant_current(
        current_a=current_a, resistance_20c_ohm=resistance_20c_ohm, temperature_c=temperature_c
    )


def runaway_current_a(
    *, resistance_20c_ohm: float, room_temperature_c: float, thermal_resistance_k_per_w: float
) -> float:
    """Return the constant current from which on a field coil warms without end.

    Parameters
    ----------
    resistance_20c_ohm, room_temperature_c, thermal_resistance_k_per_w : float
        As for `settled_at_constant_current`. [ohm, degrees Celsius, K/W]

    Returns
    -------
    float
        Current. [A]

    Raises
    ------
    OutOfRangeError
        A resistance is not greater than 0, or the room is outside -30 to 420.

    Notes
    -----
    I = 1 / sqrt(a R_th R_room), where a R_th I^2 R_room = 1.

    Examples
    --------
    >>> current = runaway_current_a(resistance_20c_ohm=100.0, room_temperature_c=20.0, thermal_resistance_k_per_w=2.0)
    >>> round(current, 3)  # 1 / sqrt(0.00393 x 2 x 100)
    1.128
    """
    drive_of_an_ampere_k, a = _drive(
        lambda resistance_ohm: resistance_ohm, resistance_20c_ohm, room_temperature_c, thermal_resistance_k_per_w
    )
    return 1.0 / math.sqrt(a * drive_of_an_ampere_k)


def _re_20_c(temperature_c: FloatLike, name: str) -> FloatOrArray:
    """Return the resistance of copper re its value at 20 degrees Celsius. [-]"""
    require_between(temperature_c, name=name, low=LOWEST_TEMPERATURE_C, high=HIGHEST_TEMPERATURE_C)
    return 1.0 + COPPER_TEMPERATURE_COEFFICIENT_PER_K * (np.asarray(temperature_c) - 20.0)


def _state(temperature_c: float, resistance_ohm: FloatLike, *, current_a: FloatLike) -> FieldCoilState:
    return FieldCoilState(
        temperature_c=float(temperature_c),
        resistance_ohm=float(resistance_ohm),
        voltage_v=float(current_a * resistance_ohm),
        current_a=float(current_a),
        power_w=float(current_a**2 * resistance_ohm),
    )


def _drive(
    power_w_of: Callable[[float], float],
    resistance_20c_ohm: float,
    room_temperature_c: float,
    thermal_resistance_k_per_w: float,
) -> tuple[float, float]:
    """Return the rise that the power of the cold coil would make, and the coefficient at that temperature."""
    require_positive(resistance_20c_ohm, name="resistance_20c_ohm")
    require_positive(thermal_resistance_k_per_w, name="thermal_resistance_k_per_w")
    re_20_c = float(_re_20_c(room_temperature_c, "room_temperature_c"))
    drive_k = thermal_resistance_k_per_w * power_w_of(resistance_20c_ohm * re_20_c)
    return drive_k, COPPER_TEMPERATURE_COEFFICIENT_PER_K / re_20_c


def _settled_c(temperature_c: float, *, name: str, value: float) -> float:
    if temperature_c > HIGHEST_TEMPERATURE_C:
        allowed = f"such that the coil stays below {HIGHEST_TEMPERATURE_C:g} degrees Celsius"
        raise OutOfRangeError(name=name, value=value, allowed=allowed)
    return temperature_c
