"""Answer about reverberation."""

from dataclasses import dataclass
from typing import Annotated

from service.advice.answers.common import Answer, Column


@dataclass(frozen=True, kw_only=True)
class TimesAnswer:
    """Reverberation time of each formula by octave; null where the formula does not hold."""

    sabine: Column
    eyring: Column
    millington: Column
    fitzroy: Column
    arau_puchades: Column


@dataclass(frozen=True, kw_only=True)
class AbsorberOption:
    """One way to the goal."""

    material: Annotated[str, "id in GET /v1/materials"]
    surface: Annotated[str, "where it goes: floor, wall or ceiling"]
    area_m2: Annotated[float, "how much of it"]
    fits: Annotated[bool, "whether the surface has room for it: no more than 60 % of it can be covered"]


@dataclass(frozen=True, kw_only=True)
class GoalAnswer:
    """What brings the middle octaves (500 Hz and 1 kHz) to a goal; empty options where nothing is to be added."""

    goal: Annotated[str, "home: the longest time common in homes; studio: the time of the studio recommendation"]
    time_s: float
    absorption_area_m2: Annotated[float, "to be added, as if of perfect absorber; negative: there is too much"]
    options: list[AbsorberOption]


@dataclass(frozen=True, kw_only=True)
class ReverberationPart:
    """Reverberation of the room."""

    octaves_hz: list[int]
    times_s: TimesAnswer
    used_s: Annotated[Column, "the time that the rest of the service computes with: measured, or Eyring's"]
    used_is: Annotated[str, "measured, from the surfaces, or usual for its kind"]
    target_s: Annotated[float, "studio recommendation for this volume: a fact for comparison, not a grade"]
    tolerance_s: Annotated[Column, "how much longer each octave may be by it"]
    tolerance_shorter_s: Annotated[Column, "how much shorter each octave may be by it"]
    home_band_s: Annotated[tuple[float, float], "middle octaves at which homes sound neither lively nor dull"]
    to_reach: list[GoalAnswer]
    volume_m3: float
    surface_area_m2: float


@dataclass(frozen=True, kw_only=True)
class ReverberationAnswer(Answer, ReverberationPart):
    """Reverberation of the room."""
