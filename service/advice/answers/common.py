"""What answers share: findings, cautions, places. Each class becomes a schema of the specification."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from service.advice.assumptions import Assumption
from service.domain.words import Words

Column = Annotated[np.ndarray, "one number for each octave or frequency"]


@dataclass(frozen=True, kw_only=True)
class Finding:
    """Something the calculation found, with its numbers."""

    code: Annotated[str, "stable name of the finding"]
    grade: Annotated[str | None, "suits_well, suits, suits_with_care, does_not_suit; null for information"]
    text: Annotated[Words, "one to three sentences for people, in the language asked for"]
    values: Annotated[dict[str, object], "the numbers in the text, by name with unit"]


@dataclass(frozen=True, kw_only=True)
class Caution:
    """Where the work can hurt someone."""

    code: Annotated[str, "stable name of the caution"]
    text: Annotated[Words, "one to three sentences for people, in the language asked for"]


@dataclass(frozen=True, kw_only=True)
class Question:
    """A fact that would sharpen the answer."""

    about: Annotated[str, "stable name of what is uncertain"]
    pointers: Annotated[list[str], "fields of the request that answer it"]
    text: Words
    where: Annotated[Words, "where a layman finds it"]
    narrows_db: Annotated[float, "by how much the standard uncertainty of the headroom would shrink"]


@dataclass(frozen=True, kw_only=True)
class PlaceAnswer:
    """A place in the room: x from the front wall, y from the left wall, z from the floor."""

    x_m: float
    y_m: float
    z_m: float


@dataclass(frozen=True, kw_only=True)
class SpeakerPlaceAnswer(PlaceAnswer):
    """The place of a speaker's acoustic centre and where it faces."""

    facing_deg: Annotated[float, "direction in plan, from +x (away from the front wall) towards +y (to the right)"]
    toe_in_deg: Annotated[float, "turned inwards from straight ahead; positive for both speakers"]


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What every answer carries beside its numbers. Named first among the bases, its fields are written last."""

    findings: list[Finding]
    cautions: list[Caution]
    assumptions: Annotated[list[Assumption], "what was not told and had to be assumed"]
