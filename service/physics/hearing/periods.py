"""Periods of exposure: levels and their times, as checked arrays."""

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError, require_finite, require_not_negative
from service.physics.types import FloatArray


def checked_periods(levels_dba: ArrayLike, *, hours: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Return levels and times as two arrays of one length, refused unless they are.

    Parameters
    ----------
    levels_dba : array_like, shape (n,)
        A-weighted level of each period. [dB(A)]
    hours : array_like, shape (n,)
        Length of each period, >= 0. [h]

    Returns
    -------
    tuple of ndarray, each of shape (n,)
        Levels and times. [dB(A), h]

    Raises
    ------
    OutOfRangeError
        A level is not finite, a time is negative or not finite, or their numbers differ.
    """
    levels_dba = np.atleast_1d(require_finite(levels_dba, name="levels_dba"))
    hours = np.atleast_1d(require_not_negative(hours, name="hours"))
    if levels_dba.shape != hours.shape:
        allowed = f"one for each of {levels_dba.size} levels"
        raise OutOfRangeError(name="hours", value=hours.tolist(), allowed=allowed)
    return levels_dba, hours
