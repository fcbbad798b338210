"""Heat in a voice coil: average power behind a peak power, resistance of warm copper, level that it costs."""

import numpy as np

from service.physics.checks import require_between, require_not_negative, require_positive
from service.physics.types import FloatLike, FloatOrArray

COPPER_TEMPERATURE_COEFFICIENT_PER_K = 0.00393
"""Rise of the resistance of annealed copper per kelvin, of its value at 20 degrees Celsius.
[NBS-HANDBOOK-100], [IEC-60028], both from memory."""


def average_power_w(*, sine_power_w: FloatLike, crest_factor_db: FloatLike) -> FloatOrArray:
    """Return the average power of a programme whose peaks just reach the peaks of a sine.

    Parameters
    ----------
    sine_power_w : float or array_like
        Power of the amplifier with a sine at clipping, at least 0. [W]
    crest_factor_db : float or array_like
        Peak above rms of the programme, at least 0; 3.01 for a sine, 12 to 20 for music. [dB]

    Returns
    -------
    float or ndarray
        Long-term average power. [W]

    Raises
    ------
    OutOfRangeError
        The power or the crest factor is below 0.

    Notes
    -----
    P = 2 P_sine 10^(-crest / 10): the peak power of a sine is twice its average. This, not the sine power,
    heats the voice coil and is to be compared with its long-term power.

    Examples
    --------
    >>> round(float(average_power_w(sine_power_w=50.0, crest_factor_db=20.0)), 6)   # 100 W of peak / 100
    1.0
    """
    require_not_negative(sine_power_w, name="sine_power_w")
    require_not_negative(crest_factor_db, name="crest_factor_db")
    return 2.0 * np.asarray(sine_power_w) * 10.0 ** (-np.asarray(crest_factor_db) / 10.0)


def temperature_rise_k(*, average_power_w: FloatLike, thermal_resistance_k_per_w: float) -> FloatOrArray:
    """Return how far a voice coil warms under a lasting power.

    Parameters
    ----------
    average_power_w : float or array_like
        Average electrical power turned into heat, at least 0. [W]
    thermal_resistance_k_per_w : float
        From voice coil to room, > 0. [K/W]

    Returns
    -------
    float or ndarray
        Final rise above the room, after the magnet has warmed as well. [K]

    Raises
    ------
    OutOfRangeError
        The power is below 0, or the thermal resistance is not greater than 0.

    Notes
    -----
    dT = P R_th. An upper bound: a warmer coil takes less power from a given voltage, and that is left out.
    """
    require_not_negative(average_power_w, name="average_power_w")
    require_positive(thermal_resistance_k_per_w, name="thermal_resistance_k_per_w")
    return np.asarray(average_power_w) * thermal_resistance_k_per_w


def resistance_ratio(*, temperature_rise_k: FloatLike) -> FloatOrArray:
    """Return the resistance of a copper winding re its value at 20 degrees Celsius.

    Parameters
    ----------
    temperature_rise_k : float or array_like
        Temperature above 20 degrees Celsius, -50 to 400. [K]

    Returns
    -------
    float or ndarray
        R(20 + dT) / R(20). [-]

    Raises
    ------
    OutOfRangeError
        The rise is outside -50 to 400 K.

    Notes
    -----
    1 + 0.00393 dT. The linear law serves copper from well below room temperature to that of a destroyed coil;
    the limits are ours.

    References
    ----------
    [NBS-HANDBOOK-100], [IEC-60028], the coefficient from memory.
    """
    require_between(temperature_rise_k, name="temperature_rise_k", low=-50.0, high=400.0)
    return 1.0 + COPPER_TEMPERATURE_COEFFICIENT_PER_K * np.asarray(temperature_rise_k)


def thermal_level_loss_db(
    *, temperature_rise_k: FloatLike, cold_resistance_ohm: float, series_resistance_ohm: float
) -> FloatOrArray:
    """Return how much quieter a loudspeaker on a voltage source is with a warm voice coil.

    Parameters
    ----------
    temperature_rise_k : float or array_like
        Temperature of the coil above 20 degrees Celsius, -50 to 400. [K]
    cold_resistance_ohm : float
        Resistance of the coil at 20 degrees Celsius, > 0. [ohm]
    series_resistance_ohm : float
        Everything else in the circuit that does not warm: amplifier, cable, and in effect the motional
        impedance, at least 0. [ohm]

    Returns
    -------
    float or ndarray
        Loss of level, positive when warmer. [dB]

    Raises
    ------
    OutOfRangeError
        The rise is outside -50 to 400 K, the cold resistance not above 0, or the series resistance below 0.

    Notes
    -----
    20 lg((R_hot + R_s) / (R_cold + R_s)): the pressure follows the current. The electrical power falls by
    half as many decibels. Near the peaks of impedance the motional part dominates and the loss nearly
    vanishes.

    References
    ----------
    [NBS-HANDBOOK-100], [IEC-60028], the coefficient from memory.
    """
    require_positive(cold_resistance_ohm, name="cold_resistance_ohm")
    require_not_negative(series_resistance_ohm, name="series_resistance_ohm")
    hot_resistance_ohm = cold_resistance_ohm * resistance_ratio(temperature_rise_k=temperature_rise_k)
    return 20.0 * np.log10((hot_resistance_ohm + series_resistance_ohm) / (cold_resistance_ohm + series_resistance_ohm))
