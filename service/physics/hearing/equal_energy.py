"""Averages by energy, the values of the European directive, and the weekly allowance of WHO and ITU.

All three go by energy exactly (10 lg). Local rules and licensed practice decide what applies.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError, require_finite
from service.physics.hearing.daily_dose import WORKING_DAY_HOURS
from service.physics.hearing.periods import checked_periods
from service.physics.types import FloatArray, FloatLike, FloatOrArray

EU_LOWER_ACTION_VALUE_DBA = 80.0
"""Daily exposure from which information and hearing protectors are offered. [EU-2003-10-EC] Article 3"""

EU_UPPER_ACTION_VALUE_DBA = 85.0
"""Daily exposure from which hearing protectors are worn and the noise is reduced. [EU-2003-10-EC] Article 3"""

EU_EXPOSURE_LIMIT_VALUE_DBA = 87.0
"""Daily exposure that is not to be exceeded, with the protectors that are worn taken into account. [EU-2003-10-EC]
Article 3"""


@dataclass(frozen=True, kw_only=True)
class WeeklyLimit:
    """A level that is allowed for so many hours in seven days, and its equals in energy."""

    level_dba: float
    hours: float


WHO_ITU_ADULT_WEEK = WeeklyLimit(level_dba=80.0, hours=40.0)
"""Mode 1, adults. [ITU-T-H870]"""

WHO_ITU_SENSITIVE_WEEK = WeeklyLimit(level_dba=75.0, hours=40.0)
"""Mode 2, sensitive listeners such as children. [ITU-T-H870]"""


def equivalent_level_dba(levels_dba: ArrayLike, *, hours: ArrayLike) -> float:
    """Return the steady level that has the energy of several periods together.

    Parameters
    ----------
    levels_dba : array_like, shape (n,)
        A-weighted level of each period. [dB(A)]
    hours : array_like, shape (n,)
        Length of each period, >= 0 and not all 0. [h]

    Returns
    -------
    float
        Energy-equivalent average over the sum of the periods. [dB(A)]

    Raises
    ------
    OutOfRangeError
        A level is not finite, a time is negative or not finite, their numbers differ, or all times are 0.

    Notes
    -----
    10 lg(sum t_i 10^(L_i / 10) / sum t_i).

    References
    ----------
    [ISO-9612].
    """
    levels_dba, hours = checked_periods(levels_dba, hours=hours)
    return _energy_average_dba(levels_dba, hours=hours, reference_hours=_total_hours(hours))


def lex_8h_dba(levels_dba: ArrayLike, *, hours: ArrayLike) -> float:
    """Return the daily noise exposure level, referred to eight hours.

    Parameters
    ----------
    levels_dba : array_like, shape (n,)
        A-weighted level of each period of the day. [dB(A)]
    hours : array_like, shape (n,)
        Length of each period, >= 0 and not all 0. [h]

    Returns
    -------
    float
        L_EX,8h. [dB(A)]

    Raises
    ------
    OutOfRangeError
        A level is not finite, a time is negative or not finite, their numbers differ, or all times are 0.

    Notes
    -----
    10 lg(sum t_i 10^(L_i / 10) / 8 h), whatever the sum of the times.

    References
    ----------
    [ISO-9612].
    """
    levels_dba, hours = checked_periods(levels_dba, hours=hours)
    _total_hours(hours)
    return _energy_average_dba(levels_dba, hours=hours, reference_hours=WORKING_DAY_HOURS)


def who_itu_allowed_hours(level_dba: FloatLike, *, weekly_limit: WeeklyLimit) -> FloatOrArray:
    """Return the time in a week that uses up a weekly sound allowance at a steady level.

    Parameters
    ----------
    level_dba : float or array_like
        A-weighted level at the ear. [dB(A)]
    weekly_limit : WeeklyLimit
        `WHO_ITU_ADULT_WEEK` or `WHO_ITU_SENSITIVE_WEEK`.

    Returns
    -------
    float or ndarray
        Allowed time in seven days. [h]

    Raises
    ------
    OutOfRangeError
        A level is not finite.

    Notes
    -----
    Equal energy: h / 10^((L - L_limit) / 10).

    References
    ----------
    [ITU-T-H870].

    Examples
    --------
    >>> float(who_itu_allowed_hours(90.0, weekly_limit=WHO_ITU_ADULT_WEEK))   # a tenth of 40 hours for 10 dB
    4.0
    """
    excess_db = np.asarray(require_finite(level_dba, name="level_dba")) - weekly_limit.level_dba
    return weekly_limit.hours / 10.0 ** (excess_db / 10.0)


def who_itu_week_dose_pct(levels_dba: ArrayLike, *, hours: ArrayLike, weekly_limit: WeeklyLimit) -> float:
    """Return the share of a weekly sound allowance that the listening of seven days uses up.

    Parameters
    ----------
    levels_dba : array_like, shape (n,)
        A-weighted level of each period of the week. [dB(A)]
    hours : array_like, shape (n,)
        Length of each period, >= 0. [h]
    weekly_limit : WeeklyLimit
        `WHO_ITU_ADULT_WEEK` or `WHO_ITU_SENSITIVE_WEEK`.

    Returns
    -------
    float
        Dose of the week; 100 is the allowance. [%]

    Raises
    ------
    OutOfRangeError
        A level is not finite, a time is negative or not finite, or their numbers differ.

    Notes
    -----
    Equal energy; every period counts. A day repeated is given as often as it happens, or with its hours
    multiplied.

    References
    ----------
    [ITU-T-H870].
    """
    levels_dba, hours = checked_periods(levels_dba, hours=hours)
    return 100.0 * (hours / who_itu_allowed_hours(levels_dba, weekly_limit=weekly_limit)).sum()


def _energy_average_dba(levels_dba: FloatArray, *, hours: FloatArray, reference_hours: float) -> float:
    return 10.0 * np.log10((hours * 10.0 ** (levels_dba / 10.0)).sum() / reference_hours)


def _total_hours(hours: FloatArray) -> float:
    """Return the sum of the times, refused when there is none to average over."""
    total_hours = hours.sum()
    if not total_hours > 0.0:
        allowed = "greater than 0 in at least one period"
        raise OutOfRangeError(name="hours", value=hours.tolist(), allowed=allowed)
    return total_hours
