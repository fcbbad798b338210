"""Voltage, level and amplifier power for running a loudspeaker in with noise."""

import numpy as np

from service.physics.checks import require_between, require_finite, require_not_negative, require_positive
from service.physics.constants import TEST_VOLTAGE_V
from service.physics.types import FloatLike, FloatOrArray


def run_in_voltage_v(
    *, rated_noise_power_w: FloatLike, rated_impedance_ohm: FloatLike, share_ratio: FloatLike
) -> FloatOrArray:
    """Return the voltage of noise at a share of the rated noise power of a loudspeaker.

    Parameters
    ----------
    rated_noise_power_w : float or array_like
        Rated noise power, > 0. [W]
    rated_impedance_ohm : float or array_like
        Rated impedance, > 0. [ohm]
    share_ratio : float or array_like
        Share of that power, 0 to 1. [-]

    Returns
    -------
    float or ndarray
        Voltage, rms, as a true-rms meter reads it at the terminals. [V]

    Raises
    ------
    OutOfRangeError
        The power or the impedance is not greater than 0, or the share is outside 0 to 1.

    Notes
    -----
    sqrt(share P R): the rated noise power is defined by the voltage on the rated impedance.

    References
    ----------
    [IEC-60268-5] rated noise power.

    Examples
    --------
    >>> float(run_in_voltage_v(rated_noise_power_w=50.0, rated_impedance_ohm=8.0, share_ratio=0.25))   # sqrt(100)
    10.0
    """
    power = np.asarray(require_positive(rated_noise_power_w, name="rated_noise_power_w"))
    require_positive(rated_impedance_ohm, name="rated_impedance_ohm")
    share = np.asarray(require_between(share_ratio, name="share_ratio", low=0.0, high=1.0))
    return np.sqrt(share * power * rated_impedance_ohm)


def run_in_level_db(*, sensitivity_db_2v83_1m: FloatLike, voltage_v: FloatLike, distance_m: FloatLike) -> FloatOrArray:
    """Return the level of noise of a given voltage in front of one loudspeaker.

    Parameters
    ----------
    sensitivity_db_2v83_1m : float or array_like
        On-axis free-field level at 1 m for 2.83 V. [dB]
    voltage_v : float or array_like
        Voltage of the noise, rms, > 0. [V]
    distance_m : float or array_like
        Distance from the loudspeaker, > 0. [m]

    Returns
    -------
    float or ndarray
        Unweighted level in free field, of noise within the pass band. [dB]

    Raises
    ------
    OutOfRangeError
        The sensitivity is not finite, or the voltage or the distance is not greater than 0.

    Notes
    -----
    S(2.83 V) + 20 lg(V / 2.83 V) - 20 lg r. Two loudspeakers face to face and in opposite polarity cancel
    most of the bass; that is left out.
    """
    require_finite(sensitivity_db_2v83_1m, name="sensitivity_db_2v83_1m")
    voltage = np.asarray(require_positive(voltage_v, name="voltage_v"))
    require_positive(distance_m, name="distance_m")
    return sensitivity_db_2v83_1m + 20.0 * np.log10(voltage / TEST_VOLTAGE_V / distance_m)


def sine_power_for_noise_w(*, noise_power_w: FloatLike, crest_factor_db: FloatLike) -> FloatOrArray:
    """Return the sine power of an amplifier that passes noise without clipping its peaks.

    Parameters
    ----------
    noise_power_w : float or array_like
        Average power of the noise, at least 0. [W]
    crest_factor_db : float or array_like
        Peak above rms of the noise, at least 0; 6.02 for noise clipped at twice its rms. [dB]

    Returns
    -------
    float or ndarray
        Sine power at clipping. [W]

    Raises
    ------
    OutOfRangeError
        The power or the crest factor is below 0.

    Notes
    -----
    P_sine = P 10^(crest / 10) / 2, the inverse of `voice_coil.average_power_w`.

    Examples
    --------
    Peaks of twice the rms are four times the power, and half of that as a sine:

    >>> round(float(sine_power_for_noise_w(noise_power_w=10.0, crest_factor_db=6.0206)), 3)
    20.0
    """
    require_not_negative(noise_power_w, name="noise_power_w")
    require_not_negative(crest_factor_db, name="crest_factor_db")
    return np.asarray(noise_power_w) * 10.0 ** (np.asarray(crest_factor_db) / 10.0) / 2.0
