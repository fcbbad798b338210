"""Answer about modes and proportions."""

from dataclasses import dataclass
from typing import Annotated

from service.advice.answers.common import Answer, Column


@dataclass(frozen=True, kw_only=True)
class ModeAnswer:
    """One mode of the room."""

    frequency_hz: Annotated[float, "of rigid walls; real walls shift it by up to 3 %"]
    orders: Annotated[tuple[int, int, int], "half-waves along length, width and height"]
    kind: Annotated[str, "axial, tangential or oblique"]
    decay_time_s: Annotated[float | None, "reverberation time of this mode alone; null where no wall absorbs"]
    quiet_length_m: Annotated[list[float], "distances from the front wall at which it is not heard"]
    quiet_width_m: Annotated[list[float], "distances from the left wall at which it is not heard"]
    quiet_height_m: Annotated[list[float], "heights at which it is not heard"]
    speaker_coupling_ratio: Annotated[
        float | None, "how strongly the speakers together drive it, 0 to 1; null without positions"
    ]
    seat_coupling_ratio: Annotated[float | None, "how strongly the first seat hears it, 0 to 1; null without positions"]


@dataclass(frozen=True, kw_only=True)
class RangeRuleAnswer:
    """Proportions of ITU-R BS.1116-3 and EBU Tech 3276: 1.1 w/h <= l/h <= 4.5 w/h - 4, l/h < 3, w/h < 3."""

    passes: bool
    length_to_height_ratio: float
    width_to_height_ratio: float
    lowest_ratio: Annotated[float, "lowest length to height"]
    highest_ratio: Annotated[float, "highest length to height"]
    length_below_three_heights: bool
    width_below_three_heights: bool


@dataclass(frozen=True, kw_only=True)
class IntegerRatioAnswer:
    """One ratio and the whole number nearest to it."""

    name: str
    ratio: float
    nearest_integer: int
    distance_pct: float
    clear: Annotated[bool, "outside 5 % of the whole number; the edge itself is inside"]


@dataclass(frozen=True, kw_only=True)
class IntegerRuleAnswer:
    """No ratio within 5 % of a whole number."""

    passes: bool
    ratios: list[IntegerRatioAnswer]


@dataclass(frozen=True, kw_only=True)
class ThirdOctaveRuleAnswer:
    """Modes in each third octave never fall, and coincide only among five or more (Bonello 1981)."""

    passes: bool
    counts_never_fall: bool
    coincidences_are_masked: bool
    midbands_hz: Column
    counts: Annotated[Column, "modes in each third octave"]


@dataclass(frozen=True, kw_only=True)
class NearestRatioAnswer:
    """The room ratio of the literature that comes nearest."""

    name: str
    width_to_height_ratio: float
    length_to_height_ratio: float
    source: str
    distance_pct: Annotated[float, "how far the room is from it"]


@dataclass(frozen=True, kw_only=True)
class ProportionsAnswer:
    """What recommendations and the literature say of the room's proportions: facts, never a grade."""

    range_rule: RangeRuleAnswer
    integer_rule: IntegerRuleAnswer
    third_octave_rule: ThirdOctaveRuleAnswer
    nearest_published: NearestRatioAnswer


@dataclass(frozen=True, kw_only=True)
class ModesPart:
    """Modes and proportions of the room."""

    modes: Annotated[list[ModeAnswer], "ascending in frequency"]
    count: int
    expected_count: Annotated[float, "closed-form estimate of the count up to the same frequency"]
    density_per_hz: Annotated[float, "modes per hertz at the highest frequency"]
    coincident: Annotated[list[list[int]], "groups of modes closer than 1 %, as places in the list, from 0"]
    transition_hz: Annotated[float, "2000 sqrt(T/V), T of the 125 and 250 Hz octaves"]
    proportions: ProportionsAnswer


@dataclass(frozen=True, kw_only=True)
class ModesAnswer(Answer, ModesPart):
    """Modes and proportions of the room."""
