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
