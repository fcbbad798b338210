"""Noise from printed ratios, hiss at a seat, hum against the threshold of hearing, dynamic range."""

import math

import numpy as np

from service.physics.chain.noise import HISS_OCTAVES_HZ, white_hiss_octaves_db
from service.physics.checks import OutOfRangeError, require_between, require_finite, require_positive

HEARING_THRESHOLD_HUM_HZ = (50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0)
HEARING_THRESHOLD_HUM_DB = (44.0, 37.5, 31.5, 26.5, 22.1, 17.9, 14.4, 11.4, 8.6, 6.2)
"""Threshold of hearing of tones where hum is: free field, from the front, both ears. [ISO-389-7], from
memory."""


def noise_voltage_v(*, signal_to_noise_db, reference_power_w, load_ohm):
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


def signal_to_noise_ratio_db(*, noise_voltage_v, reference_power_w, load_ohm):
    """Return the signal-to-noise ratio of an amplifier from the noise voltage at its output.

    Parameters
    ----------
    noise_voltage_v : float or array_like
        Noise voltage at the output, rms, > 0. [V]
    reference_power_w : float or array_like
        Power that the ratio shall refer to, > 0. [W]
    load_ohm : float or array_like
        Load of that power, > 0. [ohm]

    Returns
    -------
    float or ndarray
        Ratio, with the weighting of the voltage. [dB]

    Raises
    ------
    OutOfRangeError
        An argument is not greater than 0.

    Notes
    -----
    20 lg(sqrt(P R) / V_noise), the inverse of `noise_voltage_v`.
    """
    noise = np.asarray(require_positive(noise_voltage_v, name="noise_voltage_v"))
    return 20.0 * np.log10(_reference_voltage_v(reference_power_w, load_ohm) / noise)


def _reference_voltage_v(reference_power_w, load_ohm):
    power = np.asarray(require_positive(reference_power_w, name="reference_power_w"))
    return np.sqrt(power * require_positive(load_ohm, name="load_ohm"))


def hiss_octaves_at_seat_db(level_1m_dba, *, transfer_energy_ratio):
    """Return the octave levels of white hiss at a seat.

    Parameters
    ----------
    level_1m_dba : float or array_like
        A-weighted level of the hiss of one loudspeaker at 1 m in free field. [dB]
    transfer_energy_ratio : array_like, shape (4,) or (..., 4)
        Energy at the seat, direct and reverberant and of all loudspeakers, re that at 1 m of one, in each of
        `noise.HISS_OCTAVES_HZ`, > 0. [-]

    Returns
    -------
    ndarray, shape (..., 4)
        Unweighted level in each octave. [dB]

    Raises
    ------
    OutOfRangeError
        The level is not finite, a ratio is not greater than 0, or there are not four.

    Notes
    -----
    L + 10 lg(ratio), octave by octave; noise of different channels adds by energy. For the octaves see
    `noise.white_hiss_octaves_db`, for what hides it `noise.hiss_margin_db`.
    """
    ratio = np.asarray(require_positive(transfer_energy_ratio, name="transfer_energy_ratio"))
    if ratio.shape[-1:] != (len(HISS_OCTAVES_HZ),):
        allowed = f"one for each of {len(HISS_OCTAVES_HZ)} octaves"
        raise OutOfRangeError(name="transfer_energy_ratio", value=ratio.tolist(), allowed=allowed)
    return white_hiss_octaves_db(level_1m_dba) + 10.0 * np.log10(ratio)


def hum_at_seat_db(level_1m_db, *, transfer_energy_ratio):
    """Return the level of hum at a seat.

    Parameters
    ----------
    level_1m_db : float or array_like
        Level of the hum of one loudspeaker at 1 m in free field, from `noise.hum_level_db`. [dB]
    transfer_energy_ratio : float or array_like
        Energy at the seat re that at 1 m, in the octave of the hum, > 0. Hum of two channels on one mains is
        in step: the pair counts four times where both arrive alike. [-]

    Returns
    -------
    float or ndarray
        Level. [dB]

    Raises
    ------
    OutOfRangeError
        The level is not finite, or the ratio is not greater than 0.

    Notes
    -----
    L + 10 lg(ratio).
    """
    ratio = np.asarray(require_positive(transfer_energy_ratio, name="transfer_energy_ratio"))
    return require_finite(level_1m_db, name="level_1m_db") + 10.0 * np.log10(ratio)


def tone_threshold_db(frequency_hz):
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


def tone_margin_db(level_db, *, frequency_hz):
    """Return how far a hum stands above the threshold of hearing.

    Parameters
    ----------
    level_db : float or array_like
        Unweighted level of the tone at the ear. [dB]
    frequency_hz : float or array_like
        Its frequency, 50 to 400; 100 or 120 for most supplies. [Hz]

    Returns
    -------
    float or ndarray
        Margin; below 0 the tone is inaudible even in silence. [dB]

    Raises
    ------
    OutOfRangeError
        The level is not finite, or the frequency is outside 50 to 400 Hz.

    Notes
    -----
    Room noise hides more than this; it is left out, so that the margin errs on the side of hearing it. Each
    harmonic is compared by itself.

    References
    ----------
    [ISO-389-7], from memory.
    """
    return np.asarray(require_finite(level_db, name="level_db")) - tone_threshold_db(frequency_hz)


def dynamic_range_db(*, peak_level_db, noise_levels_db):
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
    total_db = 10.0 * math.log10((10.0 ** (noises / 10.0)).sum())
    return float(require_finite(peak_level_db, name="peak_level_db") - total_db)
