"""Answer about first reflections."""

from dataclasses import dataclass
from typing import Annotated

from service.advice.answers.common import Answer, Column, PlaceAnswer


@dataclass(frozen=True, kw_only=True)
class CoveringAnswer:
    """A usual absorber in the place of the surface."""

    material: Annotated[str, "id, see GET /v1/materials"]
    level_1_to_8_khz_db: Annotated[float, "of the reflection re the direct sound with it, at best"]
    reaches_limit: Annotated[bool, "whether that is the recommendation or less"]


@dataclass(frozen=True, kw_only=True)
class TreatmentAnswer:
    """What would bring a reflection down to the recommendation."""

    absorption_coefficient: Annotated[float, "needed from 1 to 8 kHz, in place of what is there"]
    area_m2: Annotated[float, "around the point, as far as the surface reaches: the first Fresnel zone at 1 kHz"]
    coverings: Annotated[list[CoveringAnswer], "usual absorbers for this surface that lower it; may be empty"]


@dataclass(frozen=True, kw_only=True)
class ReflectionAnswer:
    """One first reflection."""

    speaker: Annotated[int, "number of the speaker, from 1"]
    surface: Annotated[str, "front_wall, back_wall, left_wall, right_wall, floor or ceiling"]
    path_m: float
    delay_ms: Annotated[float, "after the direct sound"]
    leaves_at_deg: Annotated[float, "angle from the speaker's axis at which this sound leaves it"]
    level_db: Annotated[Column, "re the direct sound by octave, 63 Hz to 8 kHz, with the speaker's directivity"]
    level_1_to_8_khz_db: Annotated[float, "mean energy of the octaves 1 to 8 kHz re the direct sound"]
    point: Annotated[PlaceAnswer, "where on the surface it happens"]
    is_early: Annotated[bool, "within window_ms"]
    treatment: Annotated[TreatmentAnswer | None, "for early reflections above limit_db from 1 to 8 kHz"]


@dataclass(frozen=True, kw_only=True)
class ReflectionsPart:
    """First reflections of each speaker at the first seat, strongest first."""

    octaves_hz: list[int]
    direct_path_m: Annotated[list[float], "of each speaker"]
    reflections: list[ReflectionAnswer]
    limit_db: Annotated[float, "studio recommendation for early reflections, 1 to 8 kHz; a fact, no grade"]
    window_ms: Annotated[float, "what arrives later is not early"]
    source: Annotated[str, "key of the source of the recommendation"]


@dataclass(frozen=True, kw_only=True)
class ReflectionsAnswer(Answer, ReflectionsPart):
    """First reflections."""
