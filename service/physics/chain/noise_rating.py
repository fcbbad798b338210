"""Noise rating curves of background noise, and the rating that belongs to an A-weighted level."""

import numpy as np

from service.physics.checks import require_between
from service.physics.frozen import frozen
from service.physics.levels import sum_incoherent_db
from service.physics.types import FloatArray, FloatLike, FloatOrArray
from service.physics.weighting import a_weighting_db

NOISE_RATING_OCTAVES_HZ = (31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000)
"""Octaves of the noise rating curves. [ISO-R-1996]"""

_NOISE_RATING_OFFSETS_DB = frozen(np.array([55.4, 35.5, 22.0, 12.0, 4.8, 0.0, -3.5, -6.1, -8.0]))
_NOISE_RATING_SLOPES = frozen(np.array([0.681, 0.790, 0.870, 0.930, 0.974, 1.0, 1.015, 1.025, 1.030]))
"""L = a + b NR in each octave. [ISO-R-1996], from memory; other constants at 63 Hz and 500 Hz are in
circulation."""

_A_WEIGHTED_GAINS_DB = frozen(np.asarray(a_weighting_db(1000.0 * 10.0 ** (0.3 * np.arange(-5, 4)))))
"""A weighting at the exact mid-bands of those octaves. [IEC-61672-1]"""


def noise_rating_octaves_db(noise_rating: FloatLike) -> FloatArray:
    """Return the octave levels of a noise rating curve.

    Parameters
    ----------
    noise_rating : float or array_like
        Noise rating NR, -20 to 130. [-]

    Returns
    -------
    ndarray, shape (..., 9)
        Level in each of `NOISE_RATING_OCTAVES_HZ`. [dB]

    Raises
    ------
    OutOfRangeError
        The rating is outside -20 to 130.

    Notes
    -----
    L = a + b NR in each octave. The curves are published from 0; below it the same lines are continued, so
    that very quiet rooms have one too.

    References
    ----------
    [ISO-R-1996], the constants from memory.

    Examples
    --------
    >>> round(float(noise_rating_octaves_db(25.0)[5]), 6)   # by definition NR is the level at 1 kHz
    25.0
    """
    rating = np.asarray(require_between(noise_rating, name="noise_rating", low=-20.0, high=130.0))
    return _NOISE_RATING_OFFSETS_DB + _NOISE_RATING_SLOPES * rating[..., None]


def noise_rating_level_dba(noise_rating: FloatLike) -> FloatOrArray:
    """Return the A-weighted level of noise that follows a noise rating curve in every octave.

    Parameters
    ----------
    noise_rating : float or array_like
        Noise rating NR, -20 to 130. [-]

    Returns
    -------
    float or ndarray
        A-weighted level, 31.5 Hz to 8 kHz. [dB]

    Raises
    ------
    OutOfRangeError
        The rating is outside -20 to 130.

    Notes
    -----
    Each octave is weighted at its exact mid-band frequency.

    References
    ----------
    [ISO-R-1996], the constants from memory; [IEC-61672-1] A weighting.
    """
    weighted_db = noise_rating_octaves_db(noise_rating) + _A_WEIGHTED_GAINS_DB
    return sum_incoherent_db(weighted_db)


def noise_rating_of_dba(level_dba: FloatLike) -> FloatOrArray:
    """Return the noise rating of noise of a given A-weighted level, shaped like its own rating curve.

    Parameters
    ----------
    level_dba : float or array_like
        A-weighted level, 5 to 130. [dB]

    Returns
    -------
    float or ndarray
        Noise rating NR. [-]

    Raises
    ------
    OutOfRangeError
        The level is outside 5 to 130 dB.

    Notes
    -----
    The inverse of `noise_rating_level_dba` by Newton's method, which converges from any side because that
    function is convex and rises everywhere. Gives the octaves of a background of which only the total is
    known.

    References
    ----------
    [ISO-R-1996], the constants from memory; [IEC-61672-1] A weighting.
    """
    level = np.asarray(require_between(level_dba, name="level_dba", low=5.0, high=130.0), dtype=float)
    rating = level - 12.0  # near the answer between 20 and 60 dB
    for _ in range(4):
        weighted_db = _NOISE_RATING_OFFSETS_DB + _NOISE_RATING_SLOPES * rating[..., None] + _A_WEIGHTED_GAINS_DB
        powers = 10.0 ** (weighted_db / 10.0)
        total = powers.sum(axis=-1)
        slope = (powers * _NOISE_RATING_SLOPES).sum(axis=-1) / total
        rating = rating - (10.0 * np.log10(total) - level) / slope
    return rating
