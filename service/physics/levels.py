"""Arithmetic of levels: sums, distance, a pair of channels, short and long sounds, peak and average."""

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import (
    OutOfRangeError,
    require_finite,
    require_not_negative,
    require_positive,
)
from service.physics.types import FloatLike, FloatOrArray

CREST_OF_SINE_DB = float(10.0 * np.log10(2.0))
"""Peak of a sine above its rms value, 3.0103 dB. Closed form."""

DECAY_EXPONENT = float(6.0 * np.log(10.0))
"""13.8155: energy falls as exp(-13.8155 t/T), 60 dB in the reverberation time T. Closed form."""

CORRELATED_BELOW_HZ = 120.0
"""Below it the two channels of a programme are taken as one. The upper end of the usual bass range, 80 to
120 Hz [ITU-R-BS-775]; taking all bass as common to both channels is common practice, no source."""

UNCORRELATED_ABOVE_HZ = 240.0
"""Above it the two channels are taken as unrelated; an octave above the other edge. Ours, no source."""


def sum_incoherent_db(levels_db: ArrayLike, *, axis: int = -1) -> FloatOrArray:
    """Return the level of the sum of unrelated sounds.

    Parameters
    ----------
    levels_db : array_like
        Levels against one reference, at least one along `axis`. [dB]
    axis : int
        The axis summed over; the last one unless told otherwise. [-]

    Returns
    -------
    float or ndarray
        Level of the summed energy. [dB]

    Raises
    ------
    OutOfRangeError
        A level is not finite, or there is none.

    Notes
    -----
    10 lg sum 10^(L/10).

    References
    ----------
    Definition of the level.
    """
    levels_db = np.asarray(require_finite(levels_db, name="levels_db"), dtype=float)
    if levels_db.size == 0:
        raise OutOfRangeError(name="levels_db", value=levels_db.tolist(), allowed="at least one level")
    return 10.0 * np.log10((10.0 ** (levels_db / 10.0)).sum(axis=axis))


def channel_correlation_ratio(frequency_hz: FloatLike) -> FloatOrArray:
    """Return the correlation between the two channels of a stereo programme.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequency, > 0. [Hz]

    Returns
    -------
    float or ndarray
        1 up to 120 Hz, 0 from 240 Hz, linear in the logarithm of frequency between. [-]

    Raises
    ------
    OutOfRangeError
        A frequency is not finite and positive.

    Notes
    -----
    A property of the programme, not of the room. A model: single recordings lie anywhere between 0 and 1.

    References
    ----------
    [ITU-R-BS-775] for the bass range; the shape is ours.
    """
    require_positive(frequency_hz, name="frequency_hz")
    return np.interp(np.log(frequency_hz), np.log([CORRELATED_BELOW_HZ, UNCORRELATED_ABOVE_HZ]), [1.0, 0.0])


def short_build_up_gain_db(*, window_s: FloatLike, reverberation_time_s: FloatLike) -> FloatOrArray:
    """Return how far the reverberant level of a short sound stays below that of a steady one.

    Parameters
    ----------
    window_s : float or array_like
        Length of the sound, or of the time within which its energy counts, > 0. [s]
    reverberation_time_s : float or array_like
        Time for a decay by 60 dB, > 0. [s]

    Returns
    -------
    float or ndarray
        Gain on the reverberant part, < 0. [dB]

    Raises
    ------
    OutOfRangeError
        A time is not finite and positive.

    Notes
    -----
    10 lg(1 - e^(-13.8155 t/T)): an exponential build-up, the mirror of the decay, that starts with the sound.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] for the exponential law.
    """
    window_s = np.asarray(require_positive(window_s, name="window_s"))
    require_positive(reverberation_time_s, name="reverberation_time_s")
    return 10.0 * np.log10(-np.expm1(-DECAY_EXPONENT * window_s / reverberation_time_s))


def peak_target_db(*, average_level_db: FloatLike, crest_factor_db: FloatLike) -> FloatOrArray:
    """Return the level of a sine whose peaks are as high as those of the programme.

    Parameters
    ----------
    average_level_db : float or array_like
        Unweighted average (energy-equivalent) level of the programme. [dB]
    crest_factor_db : float or array_like
        Peak of the programme above its rms value, >= 0. [dB]

    Returns
    -------
    float or ndarray
        Peak target, as the rms level of that sine. [dB]

    Raises
    ------
    OutOfRangeError
        An argument is not finite, or the crest factor is negative.

    Notes
    -----
    L_eq + crest - 3.01. The crest of the pressure itself is 3.01 dB above it.

    References
    ----------
    Definition of the crest factor.
    """
    average_level_db = np.asarray(require_finite(average_level_db, name="average_level_db"))
    return average_level_db + require_not_negative(crest_factor_db, name="crest_factor_db") - CREST_OF_SINE_DB


def average_from_peak_db(
    *, peak_target_db: FloatLike, crest_factor_db: FloatLike, a_weighted_offset_db: FloatLike
) -> FloatOrArray:
    """Return the A-weighted average level of a programme whose peaks just reach the target.

    Parameters
    ----------
    peak_target_db : float or array_like
        Peak target, as the rms level of a sine; see `peak_target_db`. [dB]
    crest_factor_db : float or array_like
        Peak of the programme above its rms value, >= 0. [dB]
    a_weighted_offset_db : float or array_like
        A-weighted minus unweighted level of its spectrum, mostly negative; see
        `weighting.a_weighted_offset_db`. [dB]

    Returns
    -------
    float or ndarray
        Average (energy-equivalent) level. [dB(A)]

    Raises
    ------
    OutOfRangeError
        An argument is not finite, or the crest factor is negative.

    Notes
    -----
    target - (crest - 3.01) + offset.

    References
    ----------
    Definition of the crest factor.

    Examples
    --------
    >>> level = average_from_peak_db(peak_target_db=100.0, crest_factor_db=15.0, a_weighted_offset_db=-2.6)
    >>> round(float(level), 1)   # 100 - 15 + 3.01 - 2.6
    85.4
    """
    peak_target_db = np.asarray(require_finite(peak_target_db, name="peak_target_db"))
    crest_factor_db = np.asarray(require_not_negative(crest_factor_db, name="crest_factor_db"))
    require_finite(a_weighted_offset_db, name="a_weighted_offset_db")
    return peak_target_db - (crest_factor_db - CREST_OF_SINE_DB) + a_weighted_offset_db
