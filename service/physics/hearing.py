"""Noise exposure of ears: allowed times, daily and weekly doses, averages, by four published rules.

The rules differ: NIOSH halves the time for every 3 dB, OSHA for every 5 dB, the European directive and the
standard of WHO and ITU go by energy exactly (10 lg). Local rules and licensed practice decide what applies.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError, require_finite, require_not_negative, require_positive
from service.physics.types import FloatArray, FloatLike, FloatOrArray

WORKING_DAY_HOURS = 8.0
"""Length of the working day that daily exposures are referred to."""

NIOSH_LIMIT_DBA = 85.0
"""Recommended exposure limit as an eight-hour average. [NIOSH-98-126]"""

NIOSH_EXCHANGE_RATE_DB = 3.0
"""Rise of level that halves the allowed time. [NIOSH-98-126]"""

OSHA_LIMIT_DBA = 90.0
"""Level allowed for eight hours. [OSHA-29-CFR-1910-95] Table G-16"""

OSHA_EXCHANGE_RATE_DB = 5.0
"""Rise of level that halves the allowed time. [OSHA-29-CFR-1910-95] Appendix A"""

OSHA_HEARING_CONSERVATION_THRESHOLD_DBA = 80.0
"""Levels from here on count towards the dose of the hearing conservation programme. [OSHA-29-CFR-1910-95]"""

OSHA_PERMISSIBLE_EXPOSURE_THRESHOLD_DBA = 90.0
"""Levels from here on count towards the permissible exposure. [OSHA-29-CFR-1910-95]"""


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


def niosh_allowed_hours(level_dba: FloatLike) -> FloatOrArray:
    """Return the time for which NIOSH recommends at most to be exposed to a steady level in a day.

    Parameters
    ----------
    level_dba : float or array_like
        A-weighted level at the ear. [dB(A)]

    Returns
    -------
    float or ndarray
        Allowed time; more than 24 below about 80 dB(A). [h]

    Raises
    ------
    OutOfRangeError
        A level is not finite.

    Notes
    -----
    8 / 2^((L - 85) / 3). The printed table has 18 min 59 s at 99 dB(A), where the formula gives 18 min 54 s.

    References
    ----------
    [NIOSH-98-126] Table 1-1, from a secondary transcription.

    Examples
    --------
    >>> float(niosh_allowed_hours(88.0))   # half of 8 hours for 3 dB
    4.0
    """
    return _allowed_hours(level_dba, limit_dba=NIOSH_LIMIT_DBA, exchange_rate_db=NIOSH_EXCHANGE_RATE_DB)


def niosh_dose_pct(levels_dba: ArrayLike, *, hours: ArrayLike) -> float:
    """Return the daily noise dose by the NIOSH recommendation.

    Parameters
    ----------
    levels_dba : array_like, shape (n,)
        A-weighted level of each period of the day. [dB(A)]
    hours : array_like, shape (n,)
        Length of each period, >= 0. [h]

    Returns
    -------
    float
        Dose; 100 is the recommended limit. [%]

    Raises
    ------
    OutOfRangeError
        A level is not finite, a time is negative or not finite, or their numbers differ.

    Notes
    -----
    100 sum C_i / T_i. Every period counts, also below the 80 dB(A) where instruments for this rule start
    (that value from memory), so that the dose errs on the side of caution.

    References
    ----------
    [NIOSH-98-126].

    Examples
    --------
    >>> float(niosh_dose_pct([94.0, 88.0], hours=[0.5, 2.0]))   # half of 1 h, half of 4 h
    100.0
    """
    levels_dba, hours = _periods(levels_dba, hours)
    return 100.0 * (hours / niosh_allowed_hours(levels_dba)).sum()


def niosh_twa_dba(*, dose_pct: FloatLike) -> FloatOrArray:
    """Return the eight-hour time-weighted average level that belongs to a NIOSH dose.

    Parameters
    ----------
    dose_pct : float or array_like
        Daily dose, > 0. [%]

    Returns
    -------
    float or ndarray
        Time-weighted average. [dB(A)]

    Raises
    ------
    OutOfRangeError
        The dose is not finite and positive: without a dose there is no average.

    Notes
    -----
    10 lg(D / 100) + 85, as printed. (The 3 dB rule itself would have 9.966 in place of 10.)

    References
    ----------
    [NIOSH-98-126] footnote on the time-weighted average.
    """
    return 10.0 * np.log10(np.asarray(require_positive(dose_pct, name="dose_pct")) / 100.0) + NIOSH_LIMIT_DBA


def osha_allowed_hours(level_dba: FloatLike) -> FloatOrArray:
    """Return the time for which the OSHA regulation allows a steady level in a working day.

    Parameters
    ----------
    level_dba : float or array_like
        A-weighted level at the ear. [dB(A)]

    Returns
    -------
    float or ndarray
        Reference duration. [h]

    Raises
    ------
    OutOfRangeError
        A level is not finite.

    Notes
    -----
    8 / 2^((L - 90) / 5), the formula of the appendix; the table of the regulation is rounded (92 dB(A): 6 h
    for 6.06 h).

    References
    ----------
    [OSHA-29-CFR-1910-95] Table G-16 and Appendix A.

    Examples
    --------
    >>> float(osha_allowed_hours(95.0))   # half of 8 hours for 5 dB
    4.0
    """
    return _allowed_hours(level_dba, limit_dba=OSHA_LIMIT_DBA, exchange_rate_db=OSHA_EXCHANGE_RATE_DB)


def osha_dose_pct(levels_dba: ArrayLike, *, hours: ArrayLike, threshold_dba: float) -> float:
    """Return the daily noise dose by the OSHA regulation.

    Parameters
    ----------
    levels_dba : array_like, shape (n,)
        A-weighted level of each period of the day. [dB(A)]
    hours : array_like, shape (n,)
        Length of each period, >= 0. [h]
    threshold_dba : float
        Levels below it do not count, a level equal to it does. One of the thresholds above. [dB(A)]

    Returns
    -------
    float
        Dose; 100 is the permissible exposure, 50 the action level of hearing conservation. [%]

    Raises
    ------
    OutOfRangeError
        A level is not finite, a time is negative or not finite, or their numbers differ.

    Notes
    -----
    100 sum C_i / T_i over the periods at or above the threshold.

    References
    ----------
    [OSHA-29-CFR-1910-95] Appendix A.
    """
    require_finite(threshold_dba, name="threshold_dba")
    levels_dba, hours = _periods(levels_dba, hours)
    counted_hours = np.where(levels_dba >= threshold_dba, hours, 0.0)
    return 100.0 * (counted_hours / osha_allowed_hours(levels_dba)).sum()


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
    levels_dba, hours = _periods(levels_dba, hours)
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
    levels_dba, hours = _periods(levels_dba, hours)
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
    levels_dba, hours = _periods(levels_dba, hours)
    return 100.0 * (hours / who_itu_allowed_hours(levels_dba, weekly_limit=weekly_limit)).sum()


def _allowed_hours(level_dba: FloatLike, *, limit_dba: float, exchange_rate_db: float) -> FloatOrArray:
    level_dba = np.asarray(require_finite(level_dba, name="level_dba"))
    return WORKING_DAY_HOURS / 2.0 ** ((level_dba - limit_dba) / exchange_rate_db)


def _energy_average_dba(levels_dba: FloatArray, *, hours: FloatArray, reference_hours: float) -> float:
    return 10.0 * np.log10((hours * 10.0 ** (levels_dba / 10.0)).sum() / reference_hours)


def _periods(levels_dba: ArrayLike, hours: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Return levels and times as two arrays of one length, refused unless they are."""
    levels_dba = np.atleast_1d(require_finite(levels_dba, name="levels_dba"))
    hours = np.atleast_1d(require_not_negative(hours, name="hours"))
    if levels_dba.shape != hours.shape:
        allowed = f"one for each of {levels_dba.size} levels"
        raise OutOfRangeError(name="hours", value=hours.tolist(), allowed=allowed)
    return levels_dba, hours


def _total_hours(hours: FloatArray) -> float:
    """Return the sum of the times, refused when there is none to average over."""
    total_hours = hours.sum()
    if not total_hours > 0.0:
        allowed = "greater than 0 in at least one period"
        raise OutOfRangeError(name="hours", value=hours.tolist(), allowed=allowed)
    return total_hours
