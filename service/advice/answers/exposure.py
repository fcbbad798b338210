"""Answer about hearing: how loud for how long."""

from dataclasses import dataclass
from typing import Annotated

from service.advice.answers.common import Answer


@dataclass(frozen=True, kw_only=True)
class NioshAnswer:
    """NIOSH 98-126: 85 dB(A) for 8 hours, halved for each 3 dB more."""

    dose_pct: float
    twa_dba: float


@dataclass(frozen=True, kw_only=True)
class OshaAnswer:
    """29 CFR 1910.95: 90 dB(A) for 8 hours, halved for each 5 dB more."""

    dose_pct_80_dba_threshold: Annotated[float, "hearing conservation: levels from 80 dB(A) count"]
    dose_pct_90_dba_threshold: Annotated[float, "permissible exposure: levels from 90 dB(A) count"]


@dataclass(frozen=True, kw_only=True)
class EuropeanAnswer:
    """Directive 2003/10/EC, article 3. The limit value is meant behind hearing protection."""

    lex_8h_dba: float
    lower_action_value_dba: float
    upper_action_value_dba: float
    limit_value_dba: float
    above_lower_action_value: bool
    above_upper_action_value: bool
    above_limit_value: bool


@dataclass(frozen=True, kw_only=True)
class WhoItuAnswer:
    """WHO-ITU standard for listening, H.870: share of a week's allowance that this day takes."""

    adult_week_pct: Annotated[float, "80 dB(A) for 40 hours a week"]
    sensitive_week_pct: Annotated[float, "75 dB(A) for 40 hours a week"]


@dataclass(frozen=True, kw_only=True)
class AllowedHours:
    """How long each rule allows the level of one period."""

    level_dba: float
    niosh_hours_a_day: float
    osha_hours_a_day: float
    who_itu_adult_hours_a_week: float
    who_itu_sensitive_hours_a_week: float


@dataclass(frozen=True, kw_only=True)
class ExposurePart:
    """The periods of one day against four rules."""

    total_hours: float
    average_level_dba: Annotated[float, "energy average over the periods"]
    niosh: NioshAnswer
    osha: OshaAnswer
    european_directive: EuropeanAnswer
    who_itu: WhoItuAnswer
    allowed_hours: Annotated[list[AllowedHours], "for the level of each period"]


@dataclass(frozen=True, kw_only=True)
class ExposureAnswer(Answer, ExposurePart):
    """The periods of one day against four rules."""
