"""Frequency weightings A and C of sound level meters, and what they make of a spectrum."""

import numpy as np

from service.physics.bands import third_octave_midbands_hz, third_octave_power_ratios
from service.physics.checks import require_positive

LOW_POLE_HZ = 20.598997
"""Double pole at low frequencies, f1. [IEC-61672-1]"""

FIRST_A_POLE_HZ = 107.65265
"""Pole of the A weighting alone, f2. [IEC-61672-1]"""

SECOND_A_POLE_HZ = 737.86223
"""Pole of the A weighting alone, f3. [IEC-61672-1]"""

HIGH_POLE_HZ = 12194.217
"""Double pole at high frequencies, f4. [IEC-61672-1]"""


def _c_magnitude_squared(squared_hz):
    return (squared_hz / ((squared_hz + LOW_POLE_HZ**2) * (squared_hz + HIGH_POLE_HZ**2))) ** 2


def _a_magnitude_squared(squared_hz):
    extra = (squared_hz + FIRST_A_POLE_HZ**2) * (squared_hz + SECOND_A_POLE_HZ**2)
    return _c_magnitude_squared(squared_hz) * squared_hz**2 / extra


def _weighting_db(frequency_hz, magnitude_squared):
    squared_hz = np.square(np.asarray(require_positive(frequency_hz, name="frequency_hz"), dtype=float))
    return 10.0 * np.log10(magnitude_squared(squared_hz) / magnitude_squared(1.0e6))


def a_weighting_db(frequency_hz):
    """Return the A weighting.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequency, > 0. For a band its exact mid-band frequency. [Hz]

    Returns
    -------
    float or ndarray
        Gain of the weighting, 0 at 1 kHz. [dB]

    Raises
    ------
    OutOfRangeError
        A frequency is not finite and positive.

    Notes
    -----
    The C weighting times f^2 / (sqrt(f^2 + f2^2) sqrt(f^2 + f3^2)), normalised at 1 kHz by the formula itself
    and not by the rounded 2.000 dB of the standard.

    References
    ----------
    [IEC-61672-1], from a secondary transcription.
    """
    return _weighting_db(frequency_hz, _a_magnitude_squared)


def c_weighting_db(frequency_hz):
    """Return the C weighting.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequency, > 0. For a band its exact mid-band frequency. [Hz]

    Returns
    -------
    float or ndarray
        Gain of the weighting, 0 at 1 kHz. [dB]

    Raises
    ------
    OutOfRangeError
        A frequency is not finite and positive.

    Notes
    -----
    f4^2 f^2 / ((f^2 + f1^2) (f^2 + f4^2)), normalised at 1 kHz by the formula itself and not by the rounded
    0.062 dB of the standard.

    References
    ----------
    [IEC-61672-1], from a secondary transcription.
    """
    return _weighting_db(frequency_hz, _c_magnitude_squared)


def _weighted_offset_db(third_octave_levels_db, weighting_db):
    powers = third_octave_power_ratios(third_octave_levels_db)
    gains = 10.0 ** (weighting_db(third_octave_midbands_hz()) / 10.0)
    return 10.0 * np.log10((powers * gains).sum(axis=-1) / powers.sum(axis=-1))


def a_weighted_offset_db(third_octave_levels_db):
    """Return the A-weighted level of a spectrum minus its unweighted level.

    Parameters
    ----------
    third_octave_levels_db : array_like, shape (..., 31)
        Level in each third octave 20 Hz to 20 kHz, against any reference. [dB]

    Returns
    -------
    float or ndarray, shape (...)
        A-weighted minus unweighted; negative for music. [dB]

    Raises
    ------
    OutOfRangeError
        A level is not finite, or there are not 31 of them.

    Notes
    -----
    Each third is weighted at its exact mid-band frequency; both sums run over the same 31 thirds.

    References
    ----------
    [IEC-61672-1] for the weighting.
    """
    return _weighted_offset_db(third_octave_levels_db, a_weighting_db)


def c_weighted_offset_db(third_octave_levels_db):
    """Return the C-weighted level of a spectrum minus its unweighted level.

    Parameters
    ----------
    third_octave_levels_db : array_like, shape (..., 31)
        Level in each third octave 20 Hz to 20 kHz, against any reference. [dB]

    Returns
    -------
    float or ndarray, shape (...)
        C-weighted minus unweighted. [dB]

    Raises
    ------
    OutOfRangeError
        A level is not finite, or there are not 31 of them.

    Notes
    -----
    Each third is weighted at its exact mid-band frequency; both sums run over the same 31 thirds.

    References
    ----------
    [IEC-61672-1] for the weighting.
    """
    return _weighted_offset_db(third_octave_levels_db, c_weighting_db)
