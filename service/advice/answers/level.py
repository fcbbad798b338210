"""Answer of the level budget."""

from dataclasses import dataclass
from typing import Annotated

from service.advice.answers.common import Answer, Column
from service.domain.words import Words


@dataclass(frozen=True, kw_only=True)
class LimitAnswer:
    """Something that ends the level, lowest first."""

    code: Annotated[
        str,
        "amplifier_clipping, long_term_power, excursion, bass_section_power, section_long_term_power or "
        "section_excursion",
    ]
    peak_spl_db: Annotated[float, "steady level at the seat, programme-weighted, at which it is reached"]
    text: Annotated[Words, "what gives out, in the language asked for"]


@dataclass(frozen=True, kw_only=True)
class UncertaintyPart:
    """One contribution to the standard uncertainty of the level."""

    about: Annotated[str, "stable name of what is uncertain; how_loud concerns the headroom only"]
    standard_db: Annotated[float, "its part of the standard uncertainty"]


@dataclass(frozen=True, kw_only=True)
class PowerNeededAnswer:
    """Power a channel into the rated impedance that this speaker needs at this chair, whatever the amplifier has."""

    for_average: Annotated[float, "average power that each speaker takes"]
    for_peaks: Annotated[float, "sine power with which the loudest peaks just stay clean"]
    comfortable: Annotated[float, "3 dB more than that: nobody thinks about clipping"]


@dataclass(frozen=True, kw_only=True)
class AmplifierOnSpeaker:
    """What an amplifier does to this speaker beside its power; null where neither a fact nor its kind tells it."""

    output_impedance_ohm: float | None
    level_swing_db: Annotated[float | None, "how far the sound follows the speaker's impedance, lowest to highest"]
    effective_damping_factor: Annotated[float | None, "at the speaker's terminals, cable included"]
    better_output_impedance_ohm: Annotated[float | None, "a fifth of the output impedance, for comparison"]
    better_swing_db: Annotated[float | None, "the swing with it"]
    hum_mv: Annotated[float | None, "at the output, unweighted"]
    hum_hz: Annotated[float | None, "twice the mains"]
    hum_at_1m_db: Annotated[float | None, "one speaker in free field, at hum_hz"]
    hum_at_seat_db: float | None
    hum_margin_db: Annotated[float | None, "hum at the seat above threshold of hearing and background together"]
    noise_uv: Annotated[float | None, "at the output, A-weighted"]
    noise_at_1m_dba: Annotated[float | None, "one speaker in free field"]
    noise_at_seat_dba: float | None
    hiss_margin_db: Annotated[float | None, "loudest octave of the hiss at the seat above what hides it"]
    background_dba: float | None


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
    headroom_db: Annotated[float, "left above the loudest peaks by whatever ends first: what the verdict rests on"]
    steady_headroom_db: Annotated[float, "peak_spl_db - peak_target_db"]
    short_peak_headroom_db: Annotated[float, "short_peak_db - peak_target_db"]
    uncertainty_db: Annotated[float, "standard uncertainty (k = 1) of the levels"]
    headroom_uncertainty_db: Annotated[float, "the same of the headroom: how loud somebody listens is uncertain too"]
    uncertainty_parts: list[UncertaintyPart]
    clean_peak_chance_pct: Annotated[float, "chance, under these assumptions, that the loudest peaks stay unclipped"]
    average_at_target_dba: Annotated[float, "average level at the seat when the peaks just reach the target"]
    average_power_w: Annotated[float, "average power that each speaker takes then"]
    power_needed_w: PowerNeededAnswer
    sensitivity_needed_db_1w_1m: Annotated[float, "with which this amplifier's loudest peaks just stay clean"]
    power_into_rated_w: Annotated[float, "clean sine power at the amplifier into the rated impedance of the speaker"]
    power_into_speaker_w: Annotated[float, "what of it arrives behind the cable that was told; levels count on this"]
    power_rule: Annotated[Words, "how that power follows from the ratings"]
    listening_distance_m: float
    programme: str
    amplifier_on_speaker: AmplifierOnSpeaker
    limits: Annotated[list[LimitAnswer], "what ends the level, lowest first"]
    bands: BandsAnswer
    transition_hz: Annotated[float | None, "transition (Schroeder) frequency of the room"]


@dataclass(frozen=True, kw_only=True)
class LevelAnswer(Answer, LevelPart):
    """Level budget at the seat."""
