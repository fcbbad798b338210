"""Rows of the reference tables."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """A source: who wrote what, and how far its text itself was seen."""

    key: str
    authors: str
    title: str
    year: int
    kind: str
    seen: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """Absorption of a material, by octave band 63 Hz to 8 kHz; None where no source has the band.

    `unit` tells what the numbers are: an absorption coefficient, or square metres of absorption an object or person.
    `falls_below_lowest_band` marks porous materials, whose absorption falls towards low frequency.
    """

    id: str
    description: str
    unit: str
    falls_below_lowest_band: bool
    by_octave: tuple[float | None, ...]
    sources: tuple[str, ...]
    status: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Spectrum:
    """Long-term spectrum of a kind of programme: third-octave levels 20 Hz to 20 kHz. [dB re the plateau]"""

    id: str
    description: str
    source: str
    why: str
    third_octave_levels_db: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Programme:
    """A kind of music: average level of its loud passages at the chair, crest factor and spectrum."""

    id: str
    name: str
    description: str
    average_level_db: float
    crest_factor_db: float
    spectrum: Spectrum
    source: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ListeningLevel:
    """How loud people listen, in words: A-weighted average at the chair and its plausible range."""

    id: str
    level_dba: float
    from_dba: float
    to_dba: float
    source: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomConstruction:
    """How a room is built: its usual times when furnished, at the reference volume, with ceiling and background.

    `by_octave_s` runs from 63 Hz to 8 kHz; rooms of the kind have middle octaves between `middle_from_s` and
    `middle_to_s`.
    """

    id: str
    by_octave_s: tuple[float, ...]
    middle_from_s: float
    middle_to_s: float
    height_m: float
    height_from_m: float
    height_to_m: float
    background: str
    status: str
    source: str
    why: str
    note: str

    @property
    def middle_s(self) -> float:
        """Mean of the 500 Hz and 1 kHz octaves. [s]"""
        return sum(self.by_octave_s[3:5]) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomFurnishing:
    """How a room is furnished: its times relative to those of the furnished one."""

    id: str
    time_ratio: float
    status: str
    source: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeakerKind:
    """A kind of loudspeaker with what is usual for it; from and to are the plausible range.

    Impedances are relative to the rated one, the sensitivity is that at 1 W and 1 m, `standing` tells where such
    speakers stand: free, near_wall, corner. A kind of no fixed way to state the bass has `sensitivity_space` unknown.
    """

    id: str
    low_limit_hz: float
    low_limit_from_hz: float
    low_limit_to_hz: float
    low_order: int
    low_order_from: int
    low_order_to: int
    directivity_index_db: tuple[float, ...]
    directivity_standard_to_2_khz_db: float
    directivity_standard_above_db: float
    minimum_impedance_ratio: float
    minimum_impedance_from_ratio: float
    minimum_impedance_to_ratio: float
    maximum_impedance_ratio: float
    long_term_power_w: float
    long_term_power_from_w: float
    long_term_power_to_w: float
    sensitivity_from_db: float
    sensitivity_to_db: float
    radiation: str
    standing: tuple[str, ...]
    sensitivity_space: str
    field_coil: bool
    status: str
    source: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AmplifierKind:
    """A kind of amplifier with what is usual for it; from and to are the plausible range.

    Output impedance on the 8 ohm tap where it `scales_with_tap`, else into any load. Noise is A-weighted, hum is not.
    The tolerance is that of the rated power. `maximum_current_a` is None where it plays no part.
    """

    id: str
    output_impedance_ohm: float
    output_impedance_from_ohm: float
    output_impedance_to_ohm: float
    scales_with_tap: bool
    gain_db: float
    gain_from_db: float
    gain_to_db: float
    noise_uv: float
    noise_from_uv: float
    noise_to_uv: float
    hum_mv: float
    hum_from_mv: float
    hum_to_mv: float
    tolerance_low_db: float
    tolerance_high_db: float
    clipping: str
    behaviour: str
    load_ohm: float
    maximum_current_a: float | None
    maximum_current_from_a: float | None
    maximum_current_to_a: float | None
    status: str
    source: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BackgroundKind:
    """How quiet a room is, in words: A-weighted level of its background noise and the plausible range."""

    id: str
    level_dba: float
    level_from_dba: float
    level_to_dba: float
    status: str
    source: str
    why: str
