"""Answer of the level budget."""

from dataclasses import dataclass
from typing import Annotated

from service.advice.answers.common import Answer, Column


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
class LevelAnswer(Answer, LevelPart):
    """Level budget at the seat."""
