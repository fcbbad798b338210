"""Uncertainty of a predicted level: from tolerances of the inputs to the chance of being above a target."""

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr

from service.physics.checks import OutOfRangeError, require_finite, require_not_negative, require_positive
from service.physics.types import FloatLike, FloatOrArray

DB_PER_AMPLITUDE_RATIO = float(20.0 / np.log(10.0))
"""8.686: change of a level in dB for a small relative change of a pressure or distance. Closed form."""

DB_PER_POWER_RATIO = float(10.0 / np.log(10.0))
"""4.343: change of a level in dB for a small relative change of a power, energy or area. Closed form."""


def standard_from_half_width(half_width: FloatLike) -> FloatOrArray:
    """Return the standard uncertainty of a quantity known only to lie within a tolerance.

    Parameters
    ----------
    half_width : float or array_like
        a of "plus or minus a", >= 0. [any]

    Returns
    -------
    float or ndarray
        Standard uncertainty. [as given]

    Raises
    ------
    OutOfRangeError
        The half-width is negative or not finite.

    Notes
    -----
    a / sqrt(3), every value within the tolerance being equally likely.

    References
    ----------
    [ISO-IEC-GUIDE-98-3], rectangular distribution.
    """
    return np.asarray(require_not_negative(half_width, name="half_width")) / np.sqrt(3.0)


def combined_standard(contributions: ArrayLike) -> FloatOrArray:
    """Return the combined standard uncertainty of independent contributions.

    Parameters
    ----------
    contributions : array_like, shape (n,) or (n, bands)
        c_i u_i of each input: sensitivity coefficient times standard uncertainty, all in one unit. [any]

    Returns
    -------
    float or ndarray, shape () or (bands,)
        Root of the sum of squares over the first axis. [as given]

    Raises
    ------
    OutOfRangeError
        A contribution is not finite, or there is none.

    Notes
    -----
    u = sqrt(sum (c_i u_i)^2): first order, inputs uncorrelated. An input that acts on several parts of the
    result is one contribution, its coefficients added with their signs beforehand.

    References
    ----------
    [ISO-IEC-GUIDE-98-3], law of propagation.

    Examples
    --------
    >>> float(combined_standard([3.0, 4.0]))
    5.0
    """
    contributions = np.asarray(require_finite(contributions, name="contributions"), dtype=float)
    if contributions.ndim == 0 or contributions.size == 0:
        allowed = "a list of at least one"
        raise OutOfRangeError(name="contributions", value=contributions.tolist(), allowed=allowed)
    return np.sqrt(np.square(contributions).sum(axis=0))


def amplitude_uncertainty_db(*, relative_uncertainty_ratio: FloatLike) -> FloatOrArray:
    """Return the standard uncertainty of a level from that of an amplitude or a distance.

    Parameters
    ----------
    relative_uncertainty_ratio : float or array_like
        Standard uncertainty over value (u_r / r) of a pressure, voltage or distance, >= 0. [-]

    Returns
    -------
    float or ndarray
        Standard uncertainty. [dB]

    Raises
    ------
    OutOfRangeError
        The ratio is negative or not finite.

    Notes
    -----
    (20 / ln 10) u_r / r = 8.686 u_r / r, the first term of the series of 20 lg: for ratios well below 1.

    References
    ----------
    [ISO-IEC-GUIDE-98-3] for the method; closed form.
    """
    ratio = require_not_negative(relative_uncertainty_ratio, name="relative_uncertainty_ratio")
    return DB_PER_AMPLITUDE_RATIO * np.asarray(ratio)


def power_uncertainty_db(*, relative_uncertainty_ratio: FloatLike) -> FloatOrArray:
    """Return the standard uncertainty of a level from that of a power, an energy or an area.

    Parameters
    ----------
    relative_uncertainty_ratio : float or array_like
        Standard uncertainty over value (u_P / P), >= 0. [-]

    Returns
    -------
    float or ndarray
        Standard uncertainty. [dB]

    Raises
    ------
    OutOfRangeError
        The ratio is negative or not finite.

    Notes
    -----
    (10 / ln 10) u_P / P = 4.343 u_P / P, the first term of the series of 10 lg: for ratios well below 1.

    References
    ----------
    [ISO-IEC-GUIDE-98-3] for the method; closed form.
    """
    ratio = require_not_negative(relative_uncertainty_ratio, name="relative_uncertainty_ratio")
    return DB_PER_POWER_RATIO * np.asarray(ratio)


def chance_above(margin_db: FloatLike, *, standard_uncertainty_db: FloatLike) -> FloatOrArray:
    """Return the probability that a margin with this uncertainty is really above 0.

    Parameters
    ----------
    margin_db : float or array_like
        Best estimate of the margin, for instance of the headroom. [dB]
    standard_uncertainty_db : float or array_like
        Its combined standard uncertainty, > 0. [dB]

    Returns
    -------
    float or ndarray
        Probability, 0 to 1. [-]

    Raises
    ------
    OutOfRangeError
        The margin is not finite, or the uncertainty is not finite and positive.

    Notes
    -----
    Phi(margin / u), the normal distribution. A chance under the assumptions made, not a frequency that was
    observed.

    References
    ----------
    [ISO-IEC-GUIDE-98-3] for u; closed form.

    Examples
    --------
    >>> float(chance_above(0.0, standard_uncertainty_db=2.0))   # an even chance
    0.5
    """
    margin_db = np.asarray(require_finite(margin_db, name="margin_db"))
    return ndtr(margin_db / require_positive(standard_uncertainty_db, name="standard_uncertainty_db"))
