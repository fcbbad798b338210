"""How loud for how long: the periods of a day against four rules."""

import math

from service.advice import policy
from service.advice.answers.exposure import (
    AllowedHours,
    EuropeanAnswer,
    ExposureAnswer,
    NioshAnswer,
    OshaAnswer,
    WhoItuAnswer,
)
from service.advice.findings import cautions
from service.advice.findings.finding import finding
from service.physics.hearing import daily_dose, equal_energy


def exposure(request):
    """Answer POST /v1/exposure.

    Parameters
    ----------
    request : ExposureRequest
        As told. [-]

    Returns
    -------
    ExposureAnswer
    """
    levels = [period.level_dba for period in request.periods]
    hours = [period.hours for period in request.periods]
    niosh_pct = float(daily_dose.niosh_dose_pct(levels, hours=hours))
    lex_dba = float(equal_energy.lex_8h_dba(levels, hours=hours))
    lower, upper, limit = (
        equal_energy.EU_LOWER_ACTION_VALUE_DBA,
        equal_energy.EU_UPPER_ACTION_VALUE_DBA,
        equal_energy.EU_EXPOSURE_LIMIT_VALUE_DBA,
    )
    average_dba = float(equal_energy.equivalent_level_dba(levels, hours=hours))
    return ExposureAnswer(
        total_hours=sum(hours),
        average_level_dba=average_dba,
        niosh=NioshAnswer(dose_pct=niosh_pct, twa_dba=float(daily_dose.niosh_twa_dba(dose_pct=niosh_pct))),
        osha=OshaAnswer(
            dose_pct_80_dba_threshold=_osha(levels, hours, daily_dose.OSHA_HEARING_CONSERVATION_THRESHOLD_DBA),
            dose_pct_90_dba_threshold=_osha(levels, hours, daily_dose.OSHA_PERMISSIBLE_EXPOSURE_THRESHOLD_DBA),
        ),
        european_directive=EuropeanAnswer(
            lex_8h_dba=lex_dba,
            lower_action_value_dba=lower,
            upper_action_value_dba=upper,
            limit_value_dba=limit,
            above_lower_action_value=lex_dba >= lower,
            above_upper_action_value=lex_dba >= upper,
            above_limit_value=lex_dba > limit,
        ),
        who_itu=WhoItuAnswer(
            adult_week_pct=_week(levels, hours, equal_energy.WHO_ITU_ADULT_WEEK),
            sensitive_week_pct=_week(levels, hours, equal_energy.WHO_ITU_SENSITIVE_WEEK),
        ),
        allowed_hours=[
            AllowedHours(
                level_dba=level,
                niosh_hours_a_day=float(daily_dose.niosh_allowed_hours(level)),
                osha_hours_a_day=float(daily_dose.osha_allowed_hours(level)),
                who_itu_adult_hours_a_week=float(
                    equal_energy.who_itu_allowed_hours(level, weekly_limit=equal_energy.WHO_ITU_ADULT_WEEK)
                ),
                who_itu_sensitive_hours_a_week=float(
                    equal_energy.who_itu_allowed_hours(level, weekly_limit=equal_energy.WHO_ITU_SENSITIVE_WEEK)
                ),
            )
            for level in levels
        ],
        findings=[_finding(niosh_pct, lex_dba, sum(hours))],
        cautions=[cautions.caution("exposure"), *cautions.for_hearing(average_dba, None)],
        assumptions=[],
    )


def _osha(levels, hours, threshold_dba):
    return float(daily_dose.osha_dose_pct(levels, hours=hours, threshold_dba=threshold_dba))


def _week(levels, hours, weekly_limit):
    return float(equal_energy.who_itu_week_dose_pct(levels, hours=hours, weekly_limit=weekly_limit))


def _finding(niosh_pct, lex_dba, total_hours):
    safe_dba = daily_dose.NIOSH_LIMIT_DBA - daily_dose.NIOSH_EXCHANGE_RATE_DB * math.log2(
        total_hours / daily_dose.WORKING_DAY_HOURS
    )
    held = niosh_pct <= policy.FULL_DOSE_PCT
    return finding(
        "dose_within_limit" if held else "dose_exceeded",
        niosh_dose_pct=niosh_pct,
        lex_8h_dba=lex_dba,
        safe_average_dba=safe_dba,
        total_hours=total_hours,
    )
