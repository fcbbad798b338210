"""What an amplifier meets: impedance curve, drivers, sections and cable, and the source before it."""

import itertools
from dataclasses import dataclass

from service.domain.block import Block
from service.domain.errors import DomainError

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


def refuse_impossible_curve(points: tuple[ImpedancePoint, ...]) -> None:
    """Refuse a curve that is no curve.

    Parameters
    ----------
    points : tuple of ImpedancePoint
        As told. [-]

    Raises
    ------
    DomainError
        Fewer than two points, frequencies that do not rise, or a phase that only some of them have.
    """
    if len(points) < 2:
        raise DomainError(
            pointer="/impedance",
            code="too_short",
            detail="an impedance curve has two points or more.",
            given=len(points),
            allowed="at least 2 points",
        )
    with_phase = points[0].phase_deg is not None
    for index, (before, point) in enumerate(itertools.pairwise(points), start=1):
        if point.frequency_hz <= before.frequency_hz:
            raise DomainError(
                pointer=f"/impedance/{index}/frequency_hz",
                code="out_of_order",
                detail=f"the frequencies of a curve rise: {point.frequency_hz:g} Hz comes after "
                f"{before.frequency_hz:g} Hz.",
                given=point.frequency_hz,
                allowed=f"more than {before.frequency_hz:g}",
            )
        if (point.phase_deg is not None) != with_phase:
            raise DomainError(
                pointer=f"/impedance/{index}/phase_deg",
                code="contradiction",
                detail="either every point of a curve has a phase or none has.",
                given=point.phase_deg,
                allowed="a phase at every point, or at none",
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
                detail="a driver has either an electrical_q or a total_q.",
                given=[name for name in ("electrical_q", "total_q") if getattr(self, name) is not None],
                allowed=["electrical_q", "total_q"],
            )
        if self.total_q is not None and self.total_q >= self.mechanical_q:
            raise DomainError(
                pointer="/total_q",
                code="contradiction",
                detail="the total Q of a driver is below its mechanical Q.",
                given=self.total_q,
                allowed=f"less than {self.mechanical_q:g}",
            )
        needed = {"open": (), "closed": ("compliance_volume_l", "box_volume_l")}
        needed["vented"] = (*needed["closed"], "tuning_hz")
        for name in ("compliance_volume_l", "box_volume_l", "tuning_hz"):
            told = getattr(self, name) is not None
            if name in needed[self.box] and not told:
                raise DomainError(
                    pointer=f"/{name}",
                    code="missing",
                    detail=f"a driver in a {self.box} box needs {name}.",
                    allowed=list(needed[self.box]),
                )
            if name not in needed[self.box] and told and name != "compliance_volume_l":
                raise DomainError(
                    pointer=f"/{name}",
                    code="contradiction",
                    detail=f"{name} plays no part where box is {self.box}.",
                    given=getattr(self, name),
                    allowed=f"leave {name} out, or name the box",
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
                pointer="/trim_to_db" if high_db is None else "/trim_from_db",
                code="missing",
                detail="the range of a level control has both ends.",
                allowed=["trim_from_db", "trim_to_db"],
            )
        if low_db is not None and high_db is not None and high_db < low_db:
            raise DomainError(
                pointer="/trim_to_db",
                code="upside_down",
                detail=f"the range of the level control ends at {high_db:g} dB, below its start, {low_db:g} dB.",
                given=high_db,
                allowed=f"at least {low_db:g}",
            )
        orders = _CROSSOVER_ORDERS[self.crossover_alignment or CROSSOVER_ALIGNMENTS[0]]
        if self.crossover_order is not None and self.crossover_order not in orders:
            raise DomainError(
                pointer="/crossover_order",
                code="contradiction",
                detail=f"a {self.crossover_alignment} crossover has no order {self.crossover_order}.",
                given=self.crossover_order,
                allowed=f"one of {', '.join(map(str, orders))}",
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
                pointer="/to_hz",
                code="upside_down",
                detail=f"a band ends above its beginning, {self.from_hz:g} Hz.",
                given=self.to_hz,
                allowed=f"more than {self.from_hz:g}",
            )
        if self.power_w is not None and self.amplifier == "customer":
            raise DomainError(
                pointer="/power_w",
                code="contradiction",
                detail="power_w is that of a section's own amplifier; this section is on the customer's.",
                given=self.power_w,
                allowed="amplifier: own, or leave power_w out",
            )


def refuse_impossible_sections(sections: tuple[Section, ...]) -> None:
    """Refuse sections whose bands overlap or leave a gap, or of which none is on the customer's amplifier.

    Parameters
    ----------
    sections : tuple of Section
        As told, lowest first. [-]

    Raises
    ------
    DomainError
        As above, or a section other than the lowest has an amplifier of its own.
    """
    for index, (lower, upper) in enumerate(itertools.pairwise(sections), start=1):
        for at, name, value in ((index - 1, "to_hz", lower.to_hz), (index, "from_hz", upper.from_hz)):
            if value is None:
                raise DomainError(
                    pointer=f"/sections/{at}/{name}",
                    code="missing",
                    detail="between two sections both say where the one hands over to the other, lowest first.",
                    allowed="a frequency in Hz",
                )
        assert lower.to_hz is not None
        assert upper.from_hz is not None
        ratio = upper.from_hz / lower.to_hz
        if abs(ratio - 1) > SECTIONS_JOIN_WITHIN_RATIO:
            what = "leave a gap" if ratio > 1 else "overlap"
            raise DomainError(
                pointer=f"/sections/{index}/from_hz",
                code="gap" if ratio > 1 else "overlap",
                detail=f"the bands {what}: one ends at {lower.to_hz:g} Hz, the next begins at {upper.from_hz:g} Hz.",
                given=upper.from_hz,
                allowed=f"{lower.to_hz:g}",
            )
    own = [index for index, section in enumerate(sections) if section.amplifier == "own"]
    if own and (own != [0] or len(sections) == 1):
        raise DomainError(
            pointer=f"/sections/{own[-1]}/amplifier",
            code="contradiction",
            detail="the lowest of several sections may have an amplifier of its own; the others are on the customer's.",
            given="own",
            allowed="customer",
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
                detail="a cable has either a cross-section or a gauge.",
                given=[name for name in ("cross_section_mm2", "awg") if getattr(self, name) is not None],
                allowed=["cross_section_mm2", "awg"],
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class SignalSource(Block):
    """What plays: the output of a full-scale sine, and the gain of what stands between it and the amplifier."""

    at: str = "/source"
    output_v: float | None = None
    preamplifier_gain_db: float | None = None
