"""Frequency weighting A of sound level meters, and what it makes of a spectrum."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from service.physics.bands import third_octave_midbands_hz, third_octave_power_ratios
from service.physics.checks import require_positive
from service.physics.types import FloatLike, FloatOrArray

LOW_POLE_HZ = 20.598997
"""Double pole at low frequencies, f1. [IEC-61672-1]"""

FIRST_A_POLE_HZ = 107.65265
"""First pole between them, f2. [IEC-61672-1]"""

SECOND_A_POLE_HZ = 737.86223
"""Second pole between them, f3. [IEC-61672-1]"""

HIGH_POLE_HZ = 12194.217
"""Double pole at high frequencies, f4. [IEC-61672-1]"""


def _magnitude_squared(squared_hz: Any) -> Any:
    outer = (squared_hz / ((squared_hz + LOW_POLE_HZ**2) * (squared_hz + HIGH_POLE_HZ**2))) ** 2
    return outer * squared_hz**2 / ((squared_hz + FIRST_A_POLE_HZ**2) * (squared_hz + SECOND_A_POLE_HZ**2))


def a_weighting_db(frequency_hz: FloatLike) -> FloatOrArray:
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
    f4^2 f^4 / ((f^2 + f1^2) sqrt(f^2 + f2^2) sqrt(f^2 + f3^2) (f^2 + f4^2)), normalised at 1 kHz by the formula
    itself and not by the rounded 2.000 dB of the standard.

    References
    ----------
    [IEC-61672-1], from a secondary transcription.
    """
    squared_hz = np.square(np.asarray(require_positive(frequency_hz, name="frequency_hz"), dtype=float))
    return 10.0 * np.log10(_magnitude_squared(squared_hz) / _magnitude_squared(1.0e6))


def a_weighted_offset_db(third_octave_levels_db: ArrayLike) -> FloatOrArray:
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
    powers = third_octave_power_ratios(third_octave_levels_db)
    gains = 10.0 ** (a_weighting_db(third_octave_midbands_hz()) / 10.0)
    return 10.0 * np.log10((powers * gains).sum(axis=-1) / powers.sum(axis=-1))
