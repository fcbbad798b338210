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
