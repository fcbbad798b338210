"""Sensitivity of a loudspeaker: its two conventions, the efficiency behind it, the highest that can exist."""

import math

import numpy as np

from service.physics.checks import require_between, require_finite, require_positive
from service.physics.constants import REFERENCE_PRESSURE_PA, TEST_VOLTAGE_V
from service.physics.types import FloatLike, FloatOrArray


def sensitivity_db_1w_1m_from_voltage(sensitivity_db_2v83_1m: FloatLike, *, impedance_ohm: FloatLike) -> FloatOrArray:
    """Return the sensitivity for 1 W of a loudspeaker whose sensitivity for 2.83 V is known.

    Parameters
    ----------
    sensitivity_db_2v83_1m : float or array_like
        On-axis free-field level at 1 m for 2.83 V. [dB]
    impedance_ohm : float or array_like
        Rated impedance, > 0. [ohm]

    Returns
    -------
    float or ndarray
        On-axis free-field level at 1 m for 1 W into the rated impedance. [dB]

    Raises
    ------
    OutOfRangeError
        The sensitivity is not finite, or the impedance is not greater than 0.

    Notes
    -----
    S(1 W) = S(2.83 V) - 10 lg(2.83^2 / Z). The voltage is taken as printed, 2.83 V; one watt into 8 ohm is
    2.8284 V, 0.005 dB less.

    References
    ----------
    [IEC-60268-5] refers the sensitivity to 1 W and 1 m.

    Examples
    --------
    >>> round(float(sensitivity_db_1w_1m_from_voltage(88.0, impedance_ohm=4.0)), 2)   # 88 - 10 lg 2.0022
    84.98
    """
    require_finite(sensitivity_db_2v83_1m, name="sensitivity_db_2v83_1m")
    return sensitivity_db_2v83_1m - _power_of_test_voltage_db(impedance_ohm)


def sensitivity_db_2v83_1m_from_power(sensitivity_db_1w_1m: FloatLike, *, impedance_ohm: FloatLike) -> FloatOrArray:
    """Return the sensitivity for 2.83 V of a loudspeaker whose sensitivity for 1 W is known.

    Parameters
    ----------
    sensitivity_db_1w_1m : float or array_like
        On-axis free-field level at 1 m for 1 W into the rated impedance. [dB]
    impedance_ohm : float or array_like
        Rated impedance, > 0. [ohm]

    Returns
    -------
    float or ndarray
        On-axis free-field level at 1 m for 2.83 V. [dB]

    Raises
    ------
    OutOfRangeError
        The sensitivity is not finite, or the impedance is not greater than 0.

    Notes
    -----
    The inverse of `sensitivity_db_1w_1m_from_voltage`.

    References
    ----------
    [IEC-60268-5] refers the sensitivity to 1 W and 1 m.
    """
    require_finite(sensitivity_db_1w_1m, name="sensitivity_db_1w_1m")
    return sensitivity_db_1w_1m + _power_of_test_voltage_db(impedance_ohm)


def _power_of_test_voltage_db(impedance_ohm: FloatLike) -> FloatOrArray:
    """Return the level re 1 W of 2.83 V into the impedance. [dB]"""
    impedance = np.asarray(require_positive(impedance_ohm, name="impedance_ohm"))
    return 10.0 * np.log10(TEST_VOLTAGE_V**2 / impedance)


def free_field_level_db(sensitivity_db_1w_1m: FloatLike, *, power_w: FloatLike, distance_m: FloatLike) -> FloatOrArray:
    """Return the on-axis level of one loudspeaker in free field.

    Parameters
    ----------
    sensitivity_db_1w_1m : float or array_like
        On-axis free-field level at 1 m for 1 W into the rated impedance. [dB]
    power_w : float or array_like
        Power into the rated impedance, > 0. [W]
    distance_m : float or array_like
        Distance from the loudspeaker, > 0. [m]

    Returns
    -------
    float or ndarray
        Sound pressure level re 20 uPa. [dB]

    Raises
    ------
    OutOfRangeError
        The sensitivity is not finite, or the power or the distance is not greater than 0.

    Notes
    -----
    L = S(1 W) + 10 lg P - 20 lg r. The far field of one source in still air; air absorption is left out.

    Examples
    --------
    >>> round(float(free_field_level_db(90.0, power_w=100.0, distance_m=10.0)), 6)   # 90 + 20 - 20
    90.0
    """
    require_finite(sensitivity_db_1w_1m, name="sensitivity_db_1w_1m")
    power = np.asarray(require_positive(power_w, name="power_w"))
    distance = np.asarray(require_positive(distance_m, name="distance_m"))
    return sensitivity_db_1w_1m + 10.0 * np.log10(power) - 20.0 * np.log10(distance)


def level_of_one_acoustic_watt_db(*, characteristic_impedance_pa_s_m: FloatLike, solid_angle_sr: float) -> FloatOrArray:
    """Return the level at 1 m of one acoustic watt spread evenly over a solid angle.

    Parameters
    ----------
    characteristic_impedance_pa_s_m : float
        Density of the air times the speed of sound, > 0. [Pa s/m]
    solid_angle_sr : float
        Solid angle into which the source radiates, > 0 and at most 4 pi (full space). [sr]

    Returns
    -------
    float
        Sound pressure level re 20 uPa. [dB]

    Raises
    ------
    OutOfRangeError
        The impedance is not greater than 0, or the solid angle is outside 0 to 4 pi.

    Notes
    -----
    L = 10 lg(rho c W / (Omega r^2 p0^2)) with W = 1 W, r = 1 m. At 20 degrees Celsius (413.2 Pa s/m) this is
    109.15 dB into full space and 112.16 dB into half space. The "112.1 dB" in print belongs to other air.

    References
    ----------
    [SMALL-1972] uses the half-space value with c = 345 m/s.
    """
    require_positive(characteristic_impedance_pa_s_m, name="characteristic_impedance_pa_s_m")
    require_positive(solid_angle_sr, name="solid_angle_sr")
    require_between(solid_angle_sr, name="solid_angle_sr", low=0.0, high=4.0 * math.pi)
    mean_square_pa2 = characteristic_impedance_pa_s_m / np.asarray(solid_angle_sr)  # of 1 W at 1 m
    return 10.0 * np.log10(mean_square_pa2 / REFERENCE_PRESSURE_PA**2)


def highest_possible_sensitivity_db(
    *, directivity_index_db: FloatLike, characteristic_impedance_pa_s_m: FloatLike
) -> FloatLike:
    """Return the sensitivity that a loudspeaker of 100 % efficiency would have.

    Parameters
    ----------
    directivity_index_db : float or array_like
        On-axis level above the mean over all directions of full space; 3.01 dB for even radiation into a
        half space. [dB]
    characteristic_impedance_pa_s_m : float
        Density of the air times the speed of sound, > 0. [Pa s/m]

    Returns
    -------
    float or ndarray
        On-axis level at 1 m for 1 W electrical. [dB]

    Raises
    ------
    OutOfRangeError
        The directivity index is not finite, or the impedance is not greater than 0.

    Notes
    -----
    The level of one acoustic watt into full space, plus the directivity index: conservation of energy.
    """
    require_finite(directivity_index_db, name="directivity_index_db")
    return directivity_index_db + level_of_one_acoustic_watt_db(
        characteristic_impedance_pa_s_m=characteristic_impedance_pa_s_m, solid_angle_sr=4.0 * math.pi
    )
