"""What an amplifier meets: impedance curve, drivers, sections and cable, and the source before it."""

import itertools
from collections.abc import Callable
from dataclasses import dataclass

from service.domain.block import Block, names_told
from service.domain.errors import DomainError, one_of
from service.domain.words import words

BOXES = ("open", "closed", "vented")
"""What is behind the driver: an open baffle or free air, a closed box, a box with a port."""

SECTION_AMPLIFIERS = ("customer", "own")
"""Which amplifier drives a section: the one that is asked about, or one of its own."""

BASS_INPUTS = ("line", "speaker_terminals")
"""Where a bass section takes its signal: beside the customer's amplifier, or behind it."""
POLARITIES = ("as_top", "reversed")
CROSSOVER_ALIGNMENTS = ("butterworth", "linkwitz_riley")
_CROSSOVER_ORDERS = {"butterworth": (1, 2, 3, 4), "linkwitz_riley": (2, 4)}

MOST_CURVE_POINTS = 2000
SECTIONS_JOIN_WITHIN_RATIO = 0.005
"""Ends of neighbouring bands that differ by less are one crossover frequency."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ImpedancePoint:
    """One row of an impedance curve; the phase is positive where the load is inductive."""

    frequency_hz: float
    magnitude_ohm: float
    phase_deg: float | None = None


def refuse_impossible_curve(points: tuple[ImpedancePoint, ...], own: Callable[..., str]) -> None:
    """Refuse a curve that is no curve.

    Parameters
    ----------
    points : tuple of ImpedancePoint
        As told. [-]
    own : callable
        Returns the pointer of the curve in its block, or of something below it: names and indices. [-]

    Raises
    ------
    DomainError
        Fewer than two points, frequencies that do not rise, or a phase that only some of them have.
    """
    if len(points) < 2:
        raise DomainError(
            pointer=own(),
            code="too_short",
            detail=words("refusals_domain.curve_too_short"),
            given=len(points),
            allowed=words("refusals_domain.curve_too_short.allowed"),
        )
    with_phase = points[0].phase_deg is not None
    for index, (before, point) in enumerate(itertools.pairwise(points), start=1):
        if point.frequency_hz <= before.frequency_hz:
            raise DomainError(
                pointer=own(index, "frequency_hz"),
                code="out_of_order",
                detail=words(
                    "refusals_domain.curve_falls_back",
                    frequency_hz=point.frequency_hz,
                    before_hz=before.frequency_hz,
                ),
                given=point.frequency_hz,
                allowed=words("refusals_domain.more_than", least=before.frequency_hz),
            )
        if (point.phase_deg is not None) != with_phase:
            raise DomainError(
                pointer=own(index, "phase_deg"),
                code="contradiction",
                detail=words("refusals_domain.phase_of_some"),
                given=point.phase_deg,
                allowed=words("refusals_domain.phase_of_some.allowed"),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverParameters(Block):
    """Small-signal parameters of the driver that the amplifier drives in the bass, and what is behind it.

    The electrical Q, or the total one that it follows from. A box has a volume, and the driver then the volume of air
    that is as compliant as its suspension; a vented box has a tuning too.
    """

    at: str = "/speaker/driver_parameters"
    resonance_hz: float
    mechanical_q: float
    electrical_q: float | None = None
    total_q: float | None = None
    dc_resistance_ohm: float
    inductance_mh: float = 0.0
    box: str = "open"
    compliance_volume_l: float | None = None
    box_volume_l: float | None = None
    tuning_hz: float | None = None
    thermal_resistance_k_w: float | None = None

    def __post_init__(self) -> None:
        if (self.electrical_q is None) == (self.total_q is None):
            raise DomainError(
                pointer="",
                code="one_of",
                detail=words("refusals_domain.electrical_or_total_q"),
                given=names_told(electrical_q=self.electrical_q, total_q=self.total_q),
                allowed=["electrical_q", "total_q"],
            )
        if self.total_q is not None and self.total_q >= self.mechanical_q:
            raise DomainError(
                pointer=self.own("total_q"),
                code="contradiction",
                detail=words("refusals_domain.total_above_mechanical_q"),
                given=self.total_q,
                allowed=words("refusals_domain.less_than", most=self.mechanical_q),
            )
        needed = {"open": (), "closed": ("compliance_volume_l", "box_volume_l")}
        needed["vented"] = (*needed["closed"], "tuning_hz")
        of_the_box = {
            "compliance_volume_l": self.compliance_volume_l,
            "box_volume_l": self.box_volume_l,
            "tuning_hz": self.tuning_hz,
        }
        for name, value in of_the_box.items():
            told = value is not None
            if name in needed[self.box] and not told:
                raise DomainError(
                    pointer=self.own(name),
                    code="missing",
                    detail=words(f"refusals_domain.box_needs.{self.box}", name=name),
                    allowed=list(needed[self.box]),
                )
            if name not in needed[self.box] and told and name != "compliance_volume_l":
                raise DomainError(
                    pointer=self.own(name),
                    code="contradiction",
                    detail=words("refusals_domain.no_part_of_the_box", name=name, box=self.box),
                    given=value,
                    allowed=words("refusals_domain.no_part_of_the_box.allowed", name=name),
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """The driver that makes the bass: what limits how far it can move air."""

    area_m2: float
    peak_excursion_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BassSection(Block):
    """A bass section with an amplifier of its own below a crossover.

    `gain_db` is from its input to its driver with the level control at 0; `further_away_m` how much further from the
    chair it is than the top.
    """

    at: str = "/speaker/bass_section"
    crossover_hz: float
    low_limit_hz: float | None = None
    sensitivity_db_2v83_1m: float | None = None
    impedance_ohm: float | None = None
    power_w: float | None = None
    driver: Driver | None = None
    gain_db: float | None = None
    input: str | None = None
    trim_from_db: float | None = None
    trim_to_db: float | None = None
    crossover_order: int | None = None
    crossover_alignment: str | None = None
    polarity: str = "as_top"
    further_away_m: float = 0.0

    def __post_init__(self) -> None:
        low_db, high_db = self.trim_from_db, self.trim_to_db
        if (low_db is None) != (high_db is None):
            raise DomainError(
                pointer=self.own("trim_to_db" if high_db is None else "trim_from_db"),
                code="missing",
                detail=words("refusals_domain.trim_of_one_end"),
                allowed=["trim_from_db", "trim_to_db"],
            )
        if low_db is not None and high_db is not None and high_db < low_db:
            raise DomainError(
                pointer=self.own("trim_to_db"),
                code="upside_down",
                detail=words("refusals_domain.trim_upside_down", low_db=low_db, high_db=high_db),
                given=high_db,
                allowed=words("refusals_domain.at_least", least=low_db),
            )
        alignment = self.crossover_alignment or CROSSOVER_ALIGNMENTS[0]
        orders = _CROSSOVER_ORDERS[alignment]
        if self.crossover_order is not None and self.crossover_order not in orders:
            raise DomainError(
                pointer=self.own("crossover_order"),
                code="contradiction",
                detail=words(
                    "refusals_domain.no_such_order",
                    alignment=alignment,
                    order=self.crossover_order,
                ),
                given=self.crossover_order,
                allowed=one_of(orders),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Section(Block):
    """A part of a loudspeaker with its band; the lowest band begins and the highest ends where nothing is told."""

    name: str | None = None
    from_hz: float | None = None
    to_hz: float | None = None
    amplifier: str = "customer"
    sensitivity_db_2v83_1m: float | None = None
    impedance_ohm: float | None = None
    long_term_power_w: float | None = None
    power_w: float | None = None
    driver: Driver | None = None

    def __post_init__(self) -> None:
        if self.from_hz is not None and self.to_hz is not None and self.to_hz <= self.from_hz:
            raise DomainError(
                pointer=self.own("to_hz"),
                code="upside_down",
                detail=words("refusals_domain.band_upside_down", from_hz=self.from_hz),
                given=self.to_hz,
                allowed=words("refusals_domain.more_than", least=self.from_hz),
            )
        if self.power_w is not None and self.amplifier == "customer":
            raise DomainError(
                pointer=self.own("power_w"),
                code="contradiction",
                detail=words("refusals_domain.power_of_section"),
                given=self.power_w,
                allowed=words("refusals_domain.power_of_section.allowed"),
            )


def refuse_impossible_sections(sections: tuple[Section, ...], own: Callable[..., str]) -> None:
    """Refuse sections whose bands overlap or leave a gap, or of which none is on the customer's amplifier.

    Parameters
    ----------
    sections : tuple of Section
        As told, lowest first. [-]
    own : callable
        Returns the pointer of something below the list of sections: indices and names. [-]

    Raises
    ------
    DomainError
        As above, or a section other than the lowest has an amplifier of its own.
    """
    for index, (lower, upper) in enumerate(itertools.pairwise(sections), start=1):
        for at, name, value in ((index - 1, "to_hz", lower.to_hz), (index, "from_hz", upper.from_hz)):
            if value is None:
                raise DomainError(
                    pointer=own(at, name),
                    code="missing",
                    detail=words("refusals_domain.crossover_missing"),
                    allowed=words("refusals_domain.crossover_missing.allowed"),
                )
        assert lower.to_hz is not None
        assert upper.from_hz is not None
        ratio = upper.from_hz / lower.to_hz
        if abs(ratio - 1) > SECTIONS_JOIN_WITHIN_RATIO:
            what = "gap" if ratio > 1 else "overlap"
            raise DomainError(
                pointer=own(index, "from_hz"),
                code=what,
                detail=words(f"refusals_domain.bands.{what}", to_hz=lower.to_hz, from_hz=upper.from_hz),
                given=upper.from_hz,
                allowed=words("refusals_domain.number", value=lower.to_hz),
            )
    active = [index for index, section in enumerate(sections) if section.amplifier == "own"]
    if active and (active != [0] or len(sections) == 1):
        raise DomainError(
            pointer=own(active[-1], "amplifier"),
            code="contradiction",
            detail=words("refusals_domain.own_amplifier_above"),
            given="own",
            allowed=words("refusals_domain.own_amplifier_above.allowed"),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Cable(Block):
    """The cable to one loudspeaker: its length and either cross-section or gauge."""

    at: str = "/cable"
    length_m: float
    cross_section_mm2: float | None = None
    awg: float | None = None
    temperature_c: float | None = None

    def __post_init__(self) -> None:
        if (self.cross_section_mm2 is None) == (self.awg is None):
            raise DomainError(
                pointer="",
                code="one_of",
                detail=words("refusals_domain.cable"),
                given=names_told(cross_section_mm2=self.cross_section_mm2, awg=self.awg),
                allowed=["cross_section_mm2", "awg"],
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class SignalSource(Block):
    """What plays: the output of a full-scale sine, and the gain of what stands between it and the amplifier."""

    at: str = "/source"
    output_v: float | None = None
    preamplifier_gain_db: float | None = None
