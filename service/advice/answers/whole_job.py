"""Answer of the whole job."""

from dataclasses import dataclass
from typing import Annotated

from service.advice.answers.common import Answer, Question
from service.advice.answers.level import LevelPart
from service.advice.answers.match import MatchPart
from service.advice.answers.modes import ModesPart
from service.advice.answers.placement import CurveAnswer, PlacementPart
from service.advice.answers.reverberation import ReverberationPart
from service.domain.words import Words


@dataclass(frozen=True, kw_only=True)
class VerdictAnswer:
    """The answer in one line."""

    grade: Annotated[
        str | None,
        "suits_well, suits, suits_with_care or does_not_suit; null where an amplifier or speaker is looked for",
    ]
    headline: Annotated[Words, "at most 60 characters, in the language asked for"]
    confidence: Annotated[str, "firm, fair or rough"]


@dataclass(frozen=True, kw_only=True)
class RecommendedLevelAnswer:
    """What the first of the recommended placements brings in level."""

    peak_spl_db: float
    short_peak_db: float
    headroom_db: Annotated[float, "as the headroom of the chair as it stands, at the recommended place"]


@dataclass(frozen=True, kw_only=True)
class HeadroomAnswer:
    """What is left above the loudest peaks, for the chair as it stands."""

    headroom_db: Annotated[float, "the lowest of steady peak, short peak and every other limit, above the target"]
    uncertainty_db: Annotated[float, "standard uncertainty (k = 1), how loud somebody listens included"]
    clean_peak_chance_pct: float
    at_recommended_place: Annotated[
        RecommendedLevelAnswer | None, "null where no placement was asked for or none was found"
    ]


@dataclass(frozen=True, kw_only=True)
class NextStep:
    """Something to do."""

    code: Annotated[str, "stable name of the step"]
    cost: Annotated[str, "free, cheap or buy"]
    text: Words
    gain_db: Annotated[float | None, "what it gains, where that is a number"]


@dataclass(frozen=True, kw_only=True)
class AllowedAnswer:
    """How long the average level at the target may be listened to."""

    average_level_dba: float
    niosh_hours_a_day: float
    who_itu_adult_hours_a_week: float


@dataclass(frozen=True, kw_only=True)
class LeftOut:
    """A part that is null, and why."""

    part: str
    reason: Annotated[str, "not_asked_for, needs_length_and_width or nothing_to_match"]
    text: Words


@dataclass(frozen=True, kw_only=True)
class AdvicePart:
    """The whole job. A part that was not asked for, or cannot be had, is null and stands in `left_out`."""

    verdict: VerdictAnswer | None
    level: LevelPart | None
    headroom: HeadroomAnswer | None
    match: Annotated[MatchPart | None, "the amplifiers compared; null where none was named"]
    room: ReverberationPart | None
    modes: ModesPart | None
    response: Annotated[
        CurveAnswer | None, "room gain of the pair at the chair, where things stand or are taken to stand"
    ]
    placement: PlacementPart | None
    exposure: AllowedAnswer | None
    next_steps: Annotated[list[NextStep] | None, "at most three, free before cheap before buy"]
    ask_next: Annotated[list[Question] | None, "at most three, the most helpful first"]
    inputs: Annotated[dict[str, object] | None, "the request with the assumptions filled in: itself a valid request"]
    left_out: list[LeftOut]


@dataclass(frozen=True, kw_only=True)
class AdviceAnswer(Answer, AdvicePart):
    """The whole job."""
