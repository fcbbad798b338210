"""Answers that show the reference tables and the invented scenes."""

from dataclasses import dataclass
from typing import Annotated

from service.advice.answers.common import Column


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
class ListeningAnswer:
    """How loud people listen, in words."""

    id: str
    level_dba: Annotated[float, "A-weighted average at the chair"]
    from_dba: Annotated[float, "plausible range"]
    to_dba: float
    source: str
    why: str


@dataclass(frozen=True, kw_only=True)
class ProgrammesAnswer:
    """The kinds of programme and their spectra."""

    octaves_hz: list[int]
    third_octaves_hz: list[float]
    programmes: list[ProgrammeAnswer]
    spectra: list[SpectrumAnswer]
    listening: list[ListeningAnswer]
    references: list[ReferenceAnswer]


@dataclass(frozen=True, kw_only=True)
class ConstructionAnswer:
    """One way rooms are built, with what is usual for it."""

    id: str
    names: Annotated[dict[str, str], "what it is called, by language"]
    reverberation_time_s: Annotated[list[float], "63 Hz to 8 kHz, furnished, at the reference volume"]
    middle_from_s: Annotated[float, "plausible range of the mean of 500 Hz and 1 kHz, furnished"]
    middle_to_s: float
    height_m: Annotated[float, "usual ceiling"]
    height_from_m: Annotated[float, "plausible range"]
    height_to_m: float
    background: Annotated[str, "kind of background noise usual there"]
    status: str
    source: str
    why: str
    note: str


@dataclass(frozen=True, kw_only=True)
class FurnishingAnswer:
    """One way rooms are furnished."""

    id: str
    names: Annotated[dict[str, str], "what it is called, by language"]
    time_ratio: Annotated[float, "reverberation times relative to the furnished room"]
    status: str
    source: str
    why: str


@dataclass(frozen=True, kw_only=True)
class BackgroundAnswer:
    """How quiet a room is."""

    id: str
    names: Annotated[dict[str, str], "what it is called, by language"]
    level_dba: float
    level_from_dba: Annotated[float, "plausible range"]
    level_to_dba: float
    status: str
    source: str
    why: str


@dataclass(frozen=True, kw_only=True)
class RoomKindsAnswer:
    """What rooms are usually like: times grow with the cube root of the volume."""

    octaves_hz: list[int]
    reference_volume_m3: float
    constructions: list[ConstructionAnswer]
    furnishings: list[FurnishingAnswer]
    backgrounds: list[BackgroundAnswer]
    references: list[ReferenceAnswer]


@dataclass(frozen=True, kw_only=True)
class SpeakerKindAnswer:
    """One kind of loudspeaker, with what is usual for it; from and to are the plausible range."""

    id: str
    names: Annotated[dict[str, str], "what it is called, by language"]
    low_limit_hz: Annotated[float, "-6 dB in free field"]
    low_limit_from_hz: float
    low_limit_to_hz: float
    low_order: Annotated[int, "order of the roll-off below"]
    low_order_from: Annotated[int, "plausible range"]
    low_order_to: Annotated[int, "its other end"]
    directivity_index_db: Annotated[list[float], "63 Hz to 8 kHz"]
    directivity_standard_to_2_khz_db: Annotated[float, "its standard uncertainty up to 2 kHz"]
    directivity_standard_above_db: float
    minimum_impedance_ratio: Annotated[float, "lowest impedance re the rated one"]
    minimum_impedance_from_ratio: float
    minimum_impedance_to_ratio: float
    maximum_impedance_ratio: Annotated[float, "highest impedance re the rated one"]
    long_term_power_w: float
    long_term_power_from_w: float
    long_term_power_to_w: float
    sensitivity_from_db: Annotated[float, "at 1 W and 1 m"]
    sensitivity_to_db: float
    radiation: Annotated[str, "in the bass: monopole or dipole"]
    standing: Annotated[list[str], "where it stands: free, near_wall, corner"]
    sensitivity_space: Annotated[str, "whether the sensitivity holds in the bass: free_field, or unknown"]
    field_coil: Annotated[bool, "its magnet is a field coil with a supply"]
    status: str
    source: str
    why: str


@dataclass(frozen=True, kw_only=True)
class SpeakerKindsAnswer:
    """What loudspeakers are usually like."""

    octaves_hz: list[int]
    speaker_kinds: list[SpeakerKindAnswer]
    references: list[ReferenceAnswer]


@dataclass(frozen=True, kw_only=True)
class AmplifierKindAnswer:
    """One kind of amplifier, with what is usual for it; from and to are the plausible range."""

    id: str
    names: Annotated[dict[str, str], "what it is called, by language"]
    output_impedance_ohm: Annotated[float, "into 8 ohm"]
    output_impedance_from_ohm: float
    output_impedance_to_ohm: float
    scales_with_tap: Annotated[bool, "in proportion to the load of the tap: half on the 4 ohm tap"]
    gain_db: float
    gain_from_db: float
    gain_to_db: float
    noise_uv: Annotated[float, "at the output, A-weighted"]
    noise_from_uv: float
    noise_to_uv: float
    hum_mv: Annotated[float, "at the output, unweighted"]
    hum_from_mv: float
    hum_to_mv: float
    tolerance_low_db: Annotated[float, "what the rated power may really be, lowest"]
    tolerance_high_db: float
    clipping: Annotated[str, "soft, fairly_soft, medium, hard or current_first"]
    behaviour: Annotated[str, "to a load off its rating: voltage_source, matched_tap or current_limited"]
    load_ohm: Annotated[float, "load of the rated power, where it is not told"]
    maximum_current_a: Annotated[float | None, "rms, where it usually ends first; for orientation"]
    maximum_current_from_a: float | None
    maximum_current_to_a: float | None
    status: str
    source: str
    why: str


@dataclass(frozen=True, kw_only=True)
class AmplifierKindsAnswer:
    """What amplifiers are usually like."""

    amplifier_kinds: list[AmplifierKindAnswer]
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
