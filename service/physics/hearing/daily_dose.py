"""Allowed times and daily doses by the two rules that halve the time for so many decibels.

NIOSH halves it for every 3 dB, OSHA for every 5 dB. Local rules and licensed practice decide what applies.
"""

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import require_finite, require_positive
from service.physics.hearing.periods import checked_periods
from service.physics.types import FloatLike, FloatOrArray

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
    levels_dba, hours = checked_periods(levels_dba, hours=hours)
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
    levels_dba, hours = checked_periods(levels_dba, hours=hours)
    counted_hours = np.where(levels_dba >= threshold_dba, hours, 0.0)
    return 100.0 * (counted_hours / osha_allowed_hours(levels_dba)).sum()


def _allowed_hours(level_dba: FloatLike, *, limit_dba: float, exchange_rate_db: float) -> FloatOrArray:
    level_dba = np.asarray(require_finite(level_dba, name="level_dba"))
    return WORKING_DAY_HOURS / 2.0 ** ((level_dba - limit_dba) / exchange_rate_db)
