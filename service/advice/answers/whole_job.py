"""Answer of the whole job."""

from dataclasses import dataclass
from typing import Annotated

from service.advice.answers.common import Answer
from service.advice.answers.level import LevelPart
from service.advice.answers.modes import ModesPart
from service.advice.answers.placement import CurveAnswer, PlacementPart
from service.advice.answers.reverberation import ReverberationPart


@dataclass(frozen=True, kw_only=True)
class VerdictAnswer:
    """The answer in one line."""

    grade: Annotated[str, "suits_well, suits, suits_with_care or does_not_suit"]
    headline: Annotated[str, "at most 60 characters"]
    confidence: Annotated[str, "firm, fair or rough"]


@dataclass(frozen=True, kw_only=True)
class HeadroomAnswer:
    """What is left above the loudest peaks."""

    headroom_db: Annotated[float, "the lowest of steady peak, short peak and every other limit, above the target"]
    uncertainty_db: Annotated[float, "standard uncertainty (k = 1)"]
    clean_peak_chance_pct: float


@dataclass(frozen=True, kw_only=True)
class NextStep:
    """Something to do."""

    cost: Annotated[str, "free, cheap or buy"]
    text: str
    gain_db: Annotated[float | None, "what it gains, where that is a number"]


@dataclass(frozen=True, kw_only=True)
class Question:
    """A fact that would sharpen the answer."""

    about: Annotated[str, "what is uncertain"]
    text: str
    narrows_db: Annotated[float, "by how much the standard uncertainty would shrink"]


@dataclass(frozen=True, kw_only=True)
class AllowedAnswer:
    """How long the average level at the target may be listened to."""

    average_level_dba: float
    niosh_hours_a_day: float
    who_itu_adult_hours_a_week: float


@dataclass(frozen=True, kw_only=True)
class AdvicePart:
    """The whole job."""

    verdict: VerdictAnswer
    level: LevelPart
    headroom: HeadroomAnswer
    room: ReverberationPart
    modes: ModesPart
    response: Annotated[CurveAnswer, "room gain of the pair at the chair, where things stand or are taken to stand"]
    placement: PlacementPart
    exposure: AllowedAnswer
    next_steps: Annotated[list[NextStep], "at most three, free before cheap before buy"]
    ask_next: Annotated[list[Question], "at most three, the most helpful first"]
    inputs: Annotated[dict[str, object], "the request with the assumptions filled in: itself a valid request"]


@dataclass(frozen=True, kw_only=True)
class AdviceAnswer(Answer, AdvicePart):
    """The whole job."""
