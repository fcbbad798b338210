"""What the operations answer.

Each class becomes a schema of the specification; the annotation beside a field is its description.
"""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from service.advice.assumptions import Assumption

Column = Annotated[np.ndarray, "one number for each octave or frequency"]


@dataclass(frozen=True, kw_only=True)
class Finding:
    """Something the calculation found, with its numbers."""

    code: Annotated[str, "stable name of the finding"]
    grade: Annotated[str | None, "suits_well, suits, suits_with_care, does_not_suit; null for information"]
    text: Annotated[str, "one or two sentences for people"]
    values: Annotated[dict[str, object], "the numbers in the text, by name with unit"]


@dataclass(frozen=True, kw_only=True)
class Caution:
    """Where the work can hurt someone."""

    code: Annotated[str, "stable name of the caution"]
    text: Annotated[str, "one or two sentences for people"]


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
    """What every answer carries beside its numbers."""

    findings: list[Finding]
    cautions: list[Caution]
    assumptions: Annotated[list[Assumption], "what was not told and had to be assumed"]


# level
# ---------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class LimitAnswer:
    """Something that ends the level, lowest first."""

    code: Annotated[str, "amplifier_clipping, long_term_power, excursion or bass_section_power"]
    peak_spl_db: Annotated[float, "steady level at the seat, programme-weighted, at which it is reached"]
    text: str


@dataclass(frozen=True, kw_only=True)
class UncertaintyPart:
    """One contribution to the standard uncertainty of the level."""

    about: Annotated[str, "what is uncertain"]
    standard_db: Annotated[float, "its part of the standard uncertainty"]


@dataclass(frozen=True, kw_only=True)
class BandsAnswer:
    """Levels at the seat by octave, each for the share of the amplifier's power that the programme has there."""

    octaves_hz: list[int]
    programme_share_ratio: Annotated[Column, "share of the programme's power in each octave"]
    direct_db: Annotated[Column, "direct sound of all speakers"]
    reverberant_db: Annotated[Column | None, "reverberant sound by statistical acoustics; null in free field"]
    level_db: Annotated[Column, "what is heard: statistical above, wave field below, joined"]
    wave_field_share_ratio: Annotated[Column, "how much of the octave comes from the wave field"]
    directivity_index_db: Column


@dataclass(frozen=True, kw_only=True)
class LevelPart:
    """Level budget at the seat."""

    direct_single_db: Annotated[float, "free field, one speaker, amplifier's full output into the rated impedance"]
    direct_pair_db: Annotated[float | None, "the same for a pair, channels uncorrelated; null for one speaker"]
    reverberant_db: Annotated[float | None, "programme-weighted; null in free field"]
    peak_spl_db: Annotated[float, "level at clipping: rms, the programme's spectrum, as a full-scale sine is 0 dBFS"]
    short_peak_db: Annotated[float, "the same for a sound too short to fill the room (35 ms)"]
    peak_pressure_db: Annotated[float, "crest of the pressure, channels in phase: for hearing limits only"]
    peak_target_db: Annotated[float, "what the programme's peaks need, in the unit of peak_spl_db"]
    headroom_db: Annotated[float, "peak_spl_db - peak_target_db"]
    short_peak_headroom_db: Annotated[float, "short_peak_db - peak_target_db"]
    verdict_headroom_db: Annotated[float, "the lower of both, less what any limit before the amplifier takes off"]
    uncertainty_db: Annotated[float, "standard uncertainty (k = 1) of the levels"]
    uncertainty_parts: list[UncertaintyPart]
    clean_peak_chance_pct: Annotated[float, "chance, under these assumptions, that the loudest peaks stay unclipped"]
    average_at_target_dba: Annotated[float, "average level at the seat when the peaks just reach the target"]
    average_power_w: Annotated[float, "average power that each speaker takes then"]
    power_into_rated_w: Annotated[float, "sine power into the rated impedance"]
    power_rule: Annotated[str, "how that power follows from the ratings"]
    listening_distance_m: float
    programme: str
    limits: Annotated[list[LimitAnswer], "what ends the level, lowest first"]
    bands: BandsAnswer
    transition_hz: Annotated[float | None, "transition (Schroeder) frequency of the room"]


@dataclass(frozen=True, kw_only=True)
class LevelAnswer(LevelPart, Answer):
    """Level budget at the seat."""


# response
# ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class SeatResponse:
    """The field at one seat, one value for each frequency."""

    gain_db: Annotated[Column, "re one source of 0 dB in free field at 1 m"]
    phase_deg: Annotated[Column, "time factor exp(+j w t): free field at r is -k r"]


@dataclass(frozen=True, kw_only=True)
class ResponsePart:
    """Sum of the sources at each seat."""

    frequency_hz: Column
    seats: list[SeatResponse]


@dataclass(frozen=True, kw_only=True)
class ResponseAnswer(ResponsePart, Answer):
    """Sum of the sources at each seat."""


# exposure
# ------------------------------------------------------------------------------------------------------------


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
class ExposureAnswer(ExposurePart, Answer):
    """The periods of one day against four rules."""


# reverberation
# -------------------------------------------------------------------------------------------------------


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
    fits: Annotated[bool, "whether the surface is large enough"]


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
    used_is: Annotated[str, "measured, from the surfaces, or of furnished rooms"]
    target_s: Annotated[float, "studio recommendation for this volume: a fact for comparison, not a grade"]
    tolerance_s: Annotated[Column, "how much longer each octave may be by it"]
    tolerance_shorter_s: Annotated[Column, "how much shorter each octave may be by it"]
    home_band_s: Annotated[tuple[float, float], "middle octaves at which homes sound neither lively nor dull"]
    to_reach: list[GoalAnswer]
    volume_m3: float
    surface_area_m2: float


@dataclass(frozen=True, kw_only=True)
class ReverberationAnswer(ReverberationPart, Answer):
    """Reverberation of the room."""


# modes
# ---------------------------------------------------------------------------------------------------------------


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
class ModesAnswer(ModesPart, Answer):
    """Modes and proportions of the room."""


# placement
# -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class PlacedSpeakerAnswer(SpeakerPlaceAnswer):
    """A placed speaker, in the form that POST /v1/response takes for a source."""

    radiation: Annotated[str, "monopole or dipole"]


@dataclass(frozen=True, kw_only=True)
class MeritParts:
    """The parts of the figure of merit, each in its own unit; smaller is better."""

    bass_unevenness_db: Annotated[float, "standard deviation of the sixth-octave levels from their own straight line"]
    dips_db: Annotated[float, "the same of what lies more than 3 dB below that line"]
    deepest_hole_db: Annotated[float, "lowest sixth octave below the line (negative); shown, not weighted"]
    deepest_hole_hz: float
    slope_db_per_octave: Annotated[float, "slope of the line, between -3 and 0"]
    seat_spread_db: Annotated[float, "how unlike the seats are, or the points of one head-sized region"]
    bass_balance_db: Annotated[float, "bass 40 to 160 Hz above the middle frequencies; 0 to 6 dB costs nothing"]
    strongest_reflection_db: Annotated[float, "strongest early reflection re the direct sound, 1 to 8 kHz"]
    geometry_db: Annotated[float, "penalty for a base angle outside 50 to 70 degrees and for nearness to walls"]


@dataclass(frozen=True, kw_only=True)
class ToleranceAnswer:
    """How far each thing may be moved, alone and either way, until the merit is half a decibel worse; 30 cm at most."""

    front_wall_distance: Annotated[float, "both speakers, towards or away from the wall behind them"]
    spacing: Annotated[float | None, "distance between the speakers; null for one speaker"]
    seat: Annotated[float, "the seat, forwards or backwards"]


@dataclass(frozen=True, kw_only=True)
class TapeMeasureMark:
    """One distance to lay out.

    The mark of a speaker is the middle of the baffle's lower front edge, that of a seat lies below the ears.
    """

    mark: Annotated[int, "number of the mark, from 1, in the order of laying out"]
    measure_from: Annotated[str, "where the tape is held"]
    measure_to: Annotated[str, "what is marked"]
    cm: Annotated[float, "distance in centimetres"]
    feet_and_inches: Annotated[str, "the same distance in feet and inches"]


@dataclass(frozen=True, kw_only=True)
class CurveAnswer:
    """Room gain of the pair at the first seat: coherent sum re one speaker in free field at 1 m, no roll-off."""

    frequency_hz: Column
    gain_db: Column


@dataclass(frozen=True, kw_only=True)
class PlacedAnswer:
    """A placement and how it was judged."""

    speakers: list[PlacedSpeakerAnswer]
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
    candidates_judged: int
    front_wall: Annotated[str, "wall behind the speakers"]
    weights: Annotated[dict[str, float], "weight of each part in the merit"]


@dataclass(frozen=True, kw_only=True)
class PlacementAnswer(PlacementPart, Answer):
    """Where the pair and the seat go."""


# advice
# --------------------------------------------------------------------------------------------------------------


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
class AdviceAnswer(Answer):
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


# tables
# --------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class ReferenceAnswer:
    """A source."""

    key: str
    authors: str
    title: str
    year: Annotated[int, "0 where there is none"]
    kind: str
    seen: Annotated[str, "how far the text itself was seen"]


@dataclass(frozen=True, kw_only=True)
class MaterialAnswer:
    """One row of the table of materials."""

    id: str
    description: str
    unit: Annotated[str, "absorption_coefficient, m2_per_object or m2_per_person"]
    by_octave: Annotated[list[float | None], "63 Hz to 8 kHz; null where no source has the octave"]
    sources: list[str]
    status: str
    note: str


@dataclass(frozen=True, kw_only=True)
class MaterialsAnswer:
    """The table of materials."""

    octaves_hz: list[int]
    materials: list[MaterialAnswer]
    references: list[ReferenceAnswer]


@dataclass(frozen=True, kw_only=True)
class ProgrammeAnswer:
    """One kind of programme."""

    id: str
    name: str
    description: str
    average_level_db: Annotated[float, "of the loud passages at the chair"]
    crest_factor_db: float
    peak_target_db: Annotated[float, "average + crest - 3.01: in the unit of peak_spl_db"]
    spectrum: Annotated[str, "id of its long-term spectrum"]
    octave_share_ratio: Annotated[Column, "share of the power in each octave 63 Hz to 8 kHz"]
    source: str
    why: str


@dataclass(frozen=True, kw_only=True)
class SpectrumAnswer:
    """One long-term spectrum."""

    id: str
    description: str
    third_octave_levels_db: Annotated[list[float], "20 Hz to 20 kHz, re the plateau"]
    source: str
    why: str


@dataclass(frozen=True, kw_only=True)
class ProgrammesAnswer:
    """The kinds of programme and their spectra."""

    octaves_hz: list[int]
    third_octaves_hz: list[float]
    programmes: list[ProgrammeAnswer]
    spectra: list[SpectrumAnswer]
    references: list[ReferenceAnswer]


@dataclass(frozen=True, kw_only=True)
class DemoRoomAnswer:
    """One invented scene."""

    name: str
    path: Annotated[str, "operation that takes the body"]
    note: Annotated[str, "who asks and what; every scene is invented"]
    body: dict[str, object]


@dataclass(frozen=True, kw_only=True)
class DemoRoomsAnswer:
    """The invented scenes."""

    demo_rooms: list[DemoRoomAnswer]
