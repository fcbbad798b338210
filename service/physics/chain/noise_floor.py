"""Noise from printed ratios, the threshold of hearing of hum, dynamic range."""

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError, require_between, require_finite, require_positive
from service.physics.levels import sum_incoherent_db
from service.physics.types import FloatLike, FloatOrArray

HEARING_THRESHOLD_HUM_HZ = (50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0)
HEARING_THRESHOLD_HUM_DB = (44.0, 37.5, 31.5, 26.5, 22.1, 17.9, 14.4, 11.4, 8.6, 6.2)
"""Threshold of hearing of tones where hum is: free field, from the front, both ears. [ISO-389-7], from
memory."""


def noise_voltage_v(
    *, signal_to_noise_db: FloatLike, reference_power_w: FloatLike, load_ohm: FloatLike
) -> FloatOrArray:
    """Return the noise voltage at the output of an amplifier from its signal-to-noise ratio.

    Parameters
    ----------
    signal_to_noise_db : float or array_like
        Ratio as printed, weighted or not. [dB]
    reference_power_w : float or array_like
        Power that the ratio refers to, > 0: the full output, or 1 W. [W]
    load_ohm : float or array_like
        Load of that power, > 0. [ohm]

    Returns
    -------
    float or ndarray
        Noise voltage, rms, with the weighting of the ratio. [V]

    Raises
    ------
    OutOfRangeError
        The ratio is not finite, or the power or the load is not greater than 0.

    Notes
    -----
    sqrt(P R) 10^(-ratio / 20). Ratios of different references cannot be compared before this step: 100 dB re
    100 W is 80 dB re 1 W.

    Examples
    --------
    20 V, 100 dB down, in microvolts:

    >>> round(1e6 * float(noise_voltage_v(signal_to_noise_db=100.0, reference_power_w=50.0, load_ohm=8.0)), 6)
    200.0
    """
    require_finite(signal_to_noise_db, name="signal_to_noise_db")
    return _reference_voltage_v(reference_power_w, load_ohm) * 10.0 ** (-np.asarray(signal_to_noise_db) / 20.0)


def _reference_voltage_v(reference_power_w: FloatLike, load_ohm: FloatLike) -> FloatOrArray:
    power = np.asarray(require_positive(reference_power_w, name="reference_power_w"))
    return np.sqrt(power * require_positive(load_ohm, name="load_ohm"))


def tone_threshold_db(frequency_hz: FloatLike) -> FloatOrArray:
    """Return the threshold of hearing of a low tone.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequency, 50 to 400: the mains and its first harmonics. [Hz]

    Returns
    -------
    float or ndarray
        Threshold, free field, of an otologically normal young person. [dB]

    Raises
    ------
    OutOfRangeError
        A frequency is outside 50 to 400 Hz.

    Notes
    -----
    Table of the standard at third-octave frequencies, straight over lg f between them (120 Hz is none of
    them).

    References
    ----------
    [ISO-389-7], from memory.
    """
    low, high = HEARING_THRESHOLD_HUM_HZ[0], HEARING_THRESHOLD_HUM_HZ[-1]
    frequency = require_between(frequency_hz, name="frequency_hz", low=low, high=high)
    return np.interp(np.log(frequency), np.log(HEARING_THRESHOLD_HUM_HZ), HEARING_THRESHOLD_HUM_DB)


def dynamic_range_db(*, peak_level_db: float, noise_levels_db: ArrayLike) -> float:
    """Return the range between the highest clean level and all noise together.

    Parameters
    ----------
    peak_level_db : float
        Highest clean level at the seat. [dB]
    noise_levels_db : array_like, shape (n,)
        Levels of the noises at the seat, such as hiss and the room, weighted like the peak, at least one. [dB]

    Returns
    -------
    float
        Range. [dB]

    Raises
    ------
    OutOfRangeError
        A level is not finite, or there is no noise.

    Notes
    -----
    L_peak - 10 lg sum 10^(L_i / 10).

    Examples
    --------
    Two noises of 30 dB are 33.01 dB:

    >>> round(dynamic_range_db(peak_level_db=100.0, noise_levels_db=[30.0, 30.0]), 2)
    66.99
    """
    noises = np.atleast_1d(require_finite(noise_levels_db, name="noise_levels_db"))
    if not noises.size:
        raise OutOfRangeError(name="noise_levels_db", value=noise_levels_db, allowed="one level or more")
    return float(require_finite(peak_level_db, name="peak_level_db") - sum_incoherent_db(noises))
