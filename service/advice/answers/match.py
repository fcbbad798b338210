"""Answer of a comparison of amplifiers and speakers."""

from dataclasses import dataclass
from typing import Annotated

from service.advice.answers.common import Answer, Column, Finding, Question
from service.advice.answers.level import LimitAnswer
from service.domain.words import Words


@dataclass(frozen=True, kw_only=True)
class TapMatch:
    """One tap of an output transformer on this speaker."""

    tap_ohm: float
    power_into_rated_w: Annotated[float, "clean sine power into the rated impedance of the speaker"]
    loss_db: Annotated[float, "against the best tap"]
    output_impedance_ohm: float | None
    level_swing_db: float | None
    in_use: Annotated[bool | None, "null where nobody told which"]


@dataclass(frozen=True, kw_only=True)
class BassSectionMatch:
    """A bass section with its own amplifier beside this amplifier on the top."""

    crossover_hz: float
    trim_db: Annotated[float | None, "change of its gain with which both are equally loud in free field; null: unknown"]
    room_gain_db: Annotated[float, "what the room adds to the octave of the crossover at the chair, re the middle"]
    trim_in_room_db: Annotated[float | None, "trim_db less room_gain_db, of which at most 3 dB count: a start value"]
    beyond_range_db: Annotated[
        float | None, "above 0 gain is missing, below 0 attenuation; 0 within the range; null: range unknown"
    ]
    own_amplifier_headroom_db: Annotated[float | None, "above the loudest peaks; null: its power is unknown"]
    sum_at_crossover_db: Annotated[float, "both sections together at the crossover, as they are"]
    better_polarity: Annotated[str, "as_top or reversed, whichever is louder there; as_top where both are alike"]
    sum_with_better_polarity_db: float


@dataclass(frozen=True, kw_only=True)
class GradeParts:
    """What the grade is made of: the worst of the first three, lowered by one step at most."""

    power: str
    load: str
    noise: Annotated[str | None, "null where nothing is known of it"]
    lowered_by: Annotated[list[str], "level_swing, gain_fit"]


@dataclass(frozen=True, kw_only=True)
class RankedMatch:
    """One amplifier on one speaker."""

    name: Annotated[Words, "of what is ranked: the amplifier, or the speaker where speakers are compared"]
    speaker: Words
    amplifier: Words
    rank: Annotated[int, "1 is the best; equal within their uncertainty share a rank"]
    grade: Annotated[str, "suits_well, suits, suits_with_care or does_not_suit"]
    grade_parts: GradeParts
    headroom_db: Annotated[float, "left above the loudest peaks by whatever ends first"]
    headroom_uncertainty_db: Annotated[float, "standard uncertainty (k = 1)"]
    clean_peak_chance_pct: float
    average_power_w: Annotated[float, "that the speaker takes at the target"]
    power_into_rated_w: Annotated[float, "clean sine power into the rated impedance of the speaker"]
    power_into_minimum_w: Annotated[float, "the same into its lowest impedance"]
    power_rule: Annotated[Words, "how that power follows from the ratings"]
    rated_impedance_ohm: float
    lowest_impedance_ohm: float
    peak_current_a: Annotated[float, "peak of a sine at clipping into the lowest impedance"]
    load_loss_db: Annotated[float, "voltage lost at the lowest impedance against the rated one"]
    cable_loss_db: Annotated[float, "level that the cable costs that was told"]
    output_impedance_ohm: float | None
    level_swing_db: Annotated[float | None, "how far the sound follows the speaker's impedance, cable included"]
    swing_peaks_at_hz: Annotated[float | None, "where the level rises most; null without an impedance curve"]
    effective_damping_factor: Annotated[float | None, "at the speaker's terminals, cable included"]
    noise_at_1m_dba: Annotated[float | None, "one speaker in free field"]
    noise_at_seat_dba: float | None
    hum_at_1m_db: Annotated[float | None, "one speaker in free field, unweighted"]
    hum_at_seat_db: float | None
    noise_margin_db: Annotated[float | None, "the worse of hum and hiss at the seat above what hides it"]
    audibility: Annotated[str | None, "of hum and hiss at the chair: inaudible, borderline or audible"]
    background_dba: float | None
    dynamic_range_db: Annotated[
        float | None, "from the amplifier's noise and the background together up to the highest clean level"
    ]
    gain_db: float
    input_sensitivity_v: Annotated[float, "at the amplifier's input, for the highest clean output into this speaker"]
    volume_below_full_db: Annotated[float, "how far below full the volume control stands at the target"]
    drive_margin_db: Annotated[float, "by how much the source at full volume drives it beyond full output"]
    full_output_reached: bool
    input_overload_margin_db: Annotated[float | None, "null where the overload of the input was not told"]
    best_tap_ohm: Annotated[float | None, "null where no taps were told"]
    tap_in_use_ohm: Annotated[float | None, "null where nobody told it: the best one is counted"]
    taps: list[TapMatch]
    voice_coil_loss_db: Annotated[
        float | None, "level that the warm voice coil costs at the target; null: thermal resistance unknown"
    ]
    bass_section: BassSectionMatch | None
    limits: Annotated[list[LimitAnswer], "what ends the level, lowest first"]
    findings: list[Finding]


@dataclass(frozen=True, kw_only=True)
class ComparedSpeaker:
    """A speaker as the amplifiers meet it."""

    name: Words
    rated_impedance_ohm: float
    lowest_impedance_ohm: float
    lowest_impedance_hz: Annotated[float | None, "null without an impedance curve"]
    highest_impedance_ohm: float
    highest_impedance_hz: float | None
    steepest_phase_deg: Annotated[float | None, "null where no phase is known"]
    steepest_phase_hz: float | None
    impedance_is: Annotated[str, "told, of the driver, or usual for its kind"]
    displacement_hz: Annotated[Column | None, "null where area and travel of the driver are not known"]
    displacement_level_at_1m_db: Annotated[Column | None, "sine that uses up the travel: closed box, free field"]


@dataclass(frozen=True, kw_only=True)
class MatchTableRow:
    """One speaker with all amplifiers: lists in the order of the amplifiers told. Null: not known."""

    speaker: Words
    best_first: Annotated[list[int], "places of the amplifiers in these lists, the first of them 0, best first"]
    rank: Annotated[list[int], "for this speaker; 1 is the best, equal within their uncertainty share a rank"]
    grade: Annotated[list[str], "suits_well, suits, suits_with_care or does_not_suit"]
    headroom_db: Annotated[Column, "left above the loudest peaks by whatever ends first"]
    headroom_uncertainty_db: Annotated[Column, "standard uncertainty (k = 1)"]
    clean_peak_chance_pct: Column
    average_power_w: Annotated[Column, "that the speaker takes at the target"]
    power_into_rated_w: Column
    power_into_minimum_w: Column
    peak_current_a: Column
    load_loss_db: Annotated[Column, "voltage lost at the lowest impedance against the rated one"]
    level_swing_db: Column
    effective_damping_factor: Annotated[Column, "at the speaker's terminals"]
    noise_at_1m_dba: Annotated[Column, "one speaker in free field"]
    noise_at_seat_dba: Column
    noise_margin_db: Annotated[Column, "the worse of hum and hiss at the seat above what hides it"]
    volume_below_full_db: Annotated[Column, "how far below full the volume control stands at the target"]
    best_tap_ohm: Annotated[Column, "null where no taps were told"]


@dataclass(frozen=True, kw_only=True)
class MatchTable:
    """Several amplifiers on several speakers; for the reasons of one pair ask for it alone."""

    amplifiers: list[Words]
    rows: Annotated[list[MatchTableRow], "one for each speaker, in the order told"]


@dataclass(frozen=True, kw_only=True)
class MatchPart:
    """Amplifiers ranked for a speaker, or speakers for an amplifier."""

    ranking: Annotated[list[RankedMatch], "best first; of a table the best pair alone"]
    speakers: list[ComparedSpeaker]
    table: Annotated[MatchTable | None, "several amplifiers on several speakers; null where one of either was told"]
    sharpen: Annotated[Question | None, "the one fact that would narrow the best entry's uncertainty most"]


@dataclass(frozen=True, kw_only=True)
class MatchAnswer(Answer, MatchPart):
    """Amplifiers ranked for a speaker, or speakers for an amplifier."""
