"""Answer of the search for a placement."""

from dataclasses import dataclass
from typing import Annotated

from service.advice.answers.common import Answer, Column, PlaceAnswer, SpeakerPlaceAnswer
from service.domain.words import Words


@dataclass(frozen=True, kw_only=True)
class PlacedSpeakerAnswer(SpeakerPlaceAnswer):
    """A placed speaker, in the form that POST /v1/response takes for a source."""

    radiation: Annotated[str, "monopole or dipole"]


@dataclass(frozen=True, kw_only=True)
class MeritParts:
    """The parts of the figure of merit, each in its own unit; smaller is better. Of several seats their mean."""

    bass_unevenness_db: Annotated[float, "standard deviation of the sixth-octave levels from their own straight line"]
    dips_db: Annotated[float, "the same of what lies more than 3 dB below that line"]
    deepest_hole_db: Annotated[float, "lowest sixth octave below the line (negative); shown, not weighted"]
    deepest_hole_hz: float
    slope_db_per_octave: Annotated[float, "slope of the line, between -3 and 0"]
    seat_spread_db: Annotated[float, "how unlike the seats are, or the points of one head-sized region"]
    bass_balance_db: Annotated[float, "bass 40 to 160 Hz above the middle frequencies; 0 to 6 dB costs nothing"]
    strongest_reflection_db: Annotated[
        float, "strongest early reflection re the direct sound, 1 to 8 kHz, the speaker's directivity included"
    ]
    geometry_db: Annotated[
        float, "penalty for a base angle outside 50 to 70 degrees, for nearness to walls and for unlike distances"
    ]


@dataclass(frozen=True, kw_only=True)
class ToleranceAnswer:
    """How far each thing may be moved, alone and either way, until the merit is half a decibel worse; 30 cm at most."""

    front_wall_distance: Annotated[float, "both speakers, towards or away from the wall behind them"]
    spacing: Annotated[float | None, "distance between the speakers; null for one speaker"]
    pair_sideways: Annotated[float, "the speakers together, to the left or to the right"]
    seat: Annotated[float, "the seat, forwards or backwards"]
    seat_sideways: Annotated[float, "the seat, to the left or to the right"]


@dataclass(frozen=True, kw_only=True)
class TapeMeasureMark:
    """One distance to lay out.

    The mark of a speaker is the middle of the baffle's lower front edge, that of a seat lies below the ears.
    """

    mark: Annotated[int, "number of the mark, from 1, in the order of laying out"]
    as_found: Annotated[
        str | None, "field of as_found that takes this distance; null for the others, and on another front wall"
    ]
    measure_from: Annotated[Words, "where the tape is held"]
    measure_to: Annotated[Words, "what is marked"]
    cm: Annotated[float, "distance in centimetres"]
    feet_and_inches: Annotated[str, "the same distance in feet and inches"]


@dataclass(frozen=True, kw_only=True)
class CurveAnswer:
    """Room gain of the pair at the first seat: coherent sum re one speaker in free field at 1 m, no roll-off."""

    frequency_hz: Column
    gain_db: Column
    confidence: Annotated[str, "firm, fair or rough: how far the walls are known, and whether the room is a closed box"]


@dataclass(frozen=True, kw_only=True)
class PlacedAnswer:
    """A placement, in the room's own axes whatever wall is the front, and how it was judged."""

    front_wall: Annotated[str, "wall of the room behind the speakers"]
    speakers: list[PlacedSpeakerAnswer]
    bass: Annotated[list[PlaceAnswer] | None, "bass sections that stand apart from the tops; null where none does"]
    seats: list[PlaceAnswer]
    listening_distance_m: float
    base_angle_deg: Annotated[float, "the pair seen from the first seat"]
    merit: Annotated[float, "the weighted sum of the parts, in dB; smaller is better"]
    parts: MeritParts
    tolerance_cm: Annotated[ToleranceAnswer | None, "null for the position as found"]
    tape_measure: list[TapeMeasureMark]
    curve: CurveAnswer


@dataclass(frozen=True, kw_only=True)
class PlacementPart:
    """Where the pair and the seat go."""

    placements: Annotated[list[PlacedAnswer], "the best that really differ, best first; empty when nothing fits"]
    as_found: Annotated[PlacedAnswer | None, "the positions that were told, judged the same way"]
    gain_of_moving_db: Annotated[float | None, "merit as found less merit of the best"]
    confidence: Annotated[str, "firm, fair or rough: how far the walls are known, and whether the room is a closed box"]
    candidates_judged: Annotated[int, "candidates of the first pass, over all front walls"]
    front_wall: Annotated[str | None, "wall of the room behind the speakers of the best; null when nothing fits"]
    effort: Annotated[str, "quick, normal or thorough"]
    weights: Annotated[dict[str, float], "weight of each part in the merit"]


@dataclass(frozen=True, kw_only=True)
class PlacementAnswer(Answer, PlacementPart):
    """Where the pair and the seat go."""
