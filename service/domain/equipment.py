"""Loudspeakers and amplifiers as a data sheet or a dealer describes them."""

import functools
from dataclasses import dataclass

from service.domain.block import Block, names_told
from service.domain.errors import DomainError, one_of
from service.domain.load import (
    BassSection,
    Driver,
    DriverParameters,
    ImpedancePoint,
    Section,
    refuse_impossible_curve,
    refuse_impossible_sections,
)
from service.domain.words import words

SPEAKER_KINDS = (
    "single_driver",
    "single_driver_rear_horn",
    "field_coil_full_range",
    "open_baffle",
    "top_with_bass_section",
    "two_way",
    "three_way",
    "horn",
    "corner_horn",
    "ordinary_box",
)
"""How a loudspeaker radiates and where its bass comes from. Any kind may have a field coil, one always has it."""

FIELD_COIL_KINDS = ("field_coil_full_range",)

VALVE_KINDS = ("single_ended_triode", "single_ended_with_feedback", "push_pull_valve", "valve_without_transformer")
TRANSISTOR_KINDS = ("transistor_class_a", "transistor_class_ab", "class_d")
HOT_KINDS = (*VALVE_KINDS, "transistor_class_a")
"""Amplifiers whose outside burns."""
AMPLIFIER_KINDS = (*VALVE_KINDS, *TRANSISTOR_KINDS, "headphone_amplifier")

BACKGROUND_KINDS = ("quiet_night", "quiet_evening", "street_or_air_conditioning", "show_with_neighbours")
"""How quiet a room is."""

SENSITIVITY_SPACES = ("free_field", "half_space", "unknown")

HIGHEST_MINIMUM_IMPEDANCE_RATIO = 1.25
"""Lowest impedance re the rated one: data sheets round the rated one down by no more."""

SIGNAL_TO_NOISE_WEIGHTINGS = ("a", "none")
SIGNAL_TO_NOISE_REFERENCES = ("full_output", "one_watt")


@dataclass(frozen=True, slots=True, kw_only=True)
class Loudspeaker(Block):
    """One loudspeaker of a pair. The sensitivity stands under exactly one of three names."""

    at: str = "/speaker"
    sensitivity_db_1w_1m: float | None = None
    sensitivity_db_2v83_1m: float | None = None
    sensitivity_db_1m: float | None = None
    sensitivity_space: str | None = None
    nominal_impedance_ohm: float | None = None
    minimum_impedance_ohm: float | None = None
    kind: str | None = None
    field_coil: bool = False
    low_limit_hz: float | None = None
    low_order: int | None = None
    directivity_index_db: float | None = None
    directivity_index_by_octave_db: tuple[tuple[int, float], ...] | None = None
    long_term_power_w: float | None = None
    cabinet_width_m: float | None = None
    cabinet_depth_m: float | None = None
    cabinet_height_m: float | None = None
    mass_kg: float | None = None
    fixed_to_wall_or_ceiling: bool = False
    driver: Driver | None = None
    bass_section: BassSection | None = None
    name: str | None = None
    impedance: tuple[ImpedancePoint, ...] = ()
    driver_parameters: DriverParameters | None = None
    sections: tuple[Section, ...] = ()

    def __post_init__(self) -> None:
        self._check_load()
        given = names_told(**self._sensitivities_db)
        if len(given) != 1:
            raise DomainError(
                pointer="",
                code="one_of",
                detail=words("refusals_domain.sensitivity"),
                given=given,
                allowed=list(self._sensitivities_db),
            )
        if self.directivity_index_db is not None and self.directivity_index_by_octave_db is not None:
            raise DomainError(
                pointer=self.own("directivity_index_by_octave_db"),
                code="one_of",
                detail=words("refusals_domain.directivity_index"),
                given=self.directivity_index_db,
                allowed=["directivity_index_db", "directivity_index_by_octave_db"],
            )
        if self.kind == "top_with_bass_section" and self.bass_section is None:
            raise DomainError(
                pointer=self.own("bass_section"),
                code="missing",
                detail=words("refusals_domain.bass_section_missing"),
                allowed=words("refusals_domain.bass_section_missing.allowed"),
            )
        if self.bass_section is not None and self.kind not in (None, "top_with_bass_section"):
            raise DomainError(
                pointer=self.own("kind"),
                code="contradiction",
                detail=words("refusals_domain.kind_with_bass_section"),
                given=self.kind,
                allowed=words("refusals_domain.kind_with_bass_section.allowed"),
            )
        low_ohm, nominal_ohm = self.minimum_impedance_ohm, self.nominal_impedance_ohm
        if low_ohm is not None and nominal_ohm is not None and low_ohm > nominal_ohm * HIGHEST_MINIMUM_IMPEDANCE_RATIO:
            raise DomainError(
                pointer=self.own("minimum_impedance_ohm"),
                code="contradiction",
                detail=words("refusals_domain.minimum_above_nominal"),
                given=low_ohm,
                allowed=words("refusals_domain.at_most", most=nominal_ohm * HIGHEST_MINIMUM_IMPEDANCE_RATIO),
            )

    def _check_load(self) -> None:
        """Impedance curve, driver and sections; a lowest section on its own amplifier is the bass section."""
        if self.impedance and self.driver_parameters is not None:
            raise DomainError(
                pointer=self.own("driver_parameters"),
                code="one_of",
                detail=words("refusals_domain.curve_or_driver"),
                given=["impedance", "driver_parameters"],
                allowed=["impedance", "driver_parameters"],
            )
        if self.impedance:
            refuse_impossible_curve(self.impedance, functools.partial(self.own, "impedance"))
            lowest_ohm, told_ohm = min(point.magnitude_ohm for point in self.impedance), self.minimum_impedance_ohm
            if told_ohm is not None and told_ohm > lowest_ohm * HIGHEST_MINIMUM_IMPEDANCE_RATIO:
                raise DomainError(
                    pointer=self.own("minimum_impedance_ohm"),
                    code="contradiction",
                    detail=words("refusals_domain.minimum_above_curve", lowest_ohm=lowest_ohm),
                    given=told_ohm,
                    allowed=words("refusals_domain.minimum_above_curve.allowed", lowest_ohm=lowest_ohm),
                )
        if not self.sections:
            return
        refuse_impossible_sections(self.sections, functools.partial(self.own, "sections"))
        lowest = self.sections[0]
        if lowest.amplifier != "own":
            return
        if self.bass_section is not None:
            raise DomainError(
                pointer=self.own("bass_section"),
                code="contradiction",
                detail=words("refusals_domain.bass_section_twice"),
                given="bass_section",
                allowed=words("refusals_domain.bass_section_twice.allowed"),
            )
        assert lowest.to_hz is not None
        bass = BassSection(
            crossover_hz=lowest.to_hz,
            low_limit_hz=lowest.from_hz,
            sensitivity_db_2v83_1m=lowest.sensitivity_db_2v83_1m,
            impedance_ohm=lowest.impedance_ohm,
            power_w=lowest.power_w,
            driver=lowest.driver,
        )
        object.__setattr__(self, "bass_section", bass)

    @property
    def lowest_told_impedance_ohm(self) -> float | None:
        """Lowest impedance as far as it was told, by itself, by a curve or by the resistance of the voice coil."""
        told = [point.magnitude_ohm for point in self.impedance]
        if self.minimum_impedance_ohm is not None:
            told.append(self.minimum_impedance_ohm)
        if self.driver_parameters is not None and not told:
            told.append(self.driver_parameters.dc_resistance_ohm)
        return min(told, default=None)

    @property
    def _sensitivities_db(self) -> dict[str, float | None]:
        """The sensitivity by each of its three names. [dB]"""
        return {
            "sensitivity_db_1w_1m": self.sensitivity_db_1w_1m,
            "sensitivity_db_2v83_1m": self.sensitivity_db_2v83_1m,
            "sensitivity_db_1m": self.sensitivity_db_1m,
        }

    @property
    def told_sensitivity_db(self) -> float:
        """The sensitivity, under whichever name it was given. [dB]"""
        return next(value for value in self._sensitivities_db.values() if value is not None)

    @property
    def sensitivity_field(self) -> str:
        """Name under which the sensitivity was given."""
        return names_told(**self._sensitivities_db)[0]

    @property
    def has_field_coil(self) -> bool:
        """Whether its magnet is a field coil, by itself or by its kind."""
        return self.field_coil or self.kind in FIELD_COIL_KINDS


@dataclass(frozen=True, slots=True, kw_only=True)
class Rating:
    """Power of an amplifier into a load: of a channel, or of two channels bridged into that load."""

    load_ohm: float
    power_w: float
    bridged: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Amplifier(Block):
    """One amplifier. Power is per channel; `ratings` or the short form `power_w` with `load_ohm`.

    The damping factor is that into `damping_factor_load_ohm`, 8 ohm unless told. Noise is A-weighted, hum is not, both
    at the output with nothing playing; a signal-to-noise ratio stands for one or the other by its weighting. Where
    there are taps, the load of a rating is its tap.
    """

    at: str = "/amplifier"
    power_w: float | None = None
    load_ohm: float | None = None
    ratings: tuple[Rating, ...] = ()
    kind: str | None = None
    maximum_current_a: float | None = None
    output_impedance_ohm: float | None = None
    damping_factor: float | None = None
    damping_factor_load_ohm: float | None = None
    gain_db: float | None = None
    noise_uv: float | None = None
    hum_mv: float | None = None
    balanced_output: bool = False
    name: str | None = None
    taps_ohm: tuple[float, ...] = ()
    tap_in_use_ohm: float | None = None
    input_sensitivity_v: float | None = None
    input_overload_v: float | None = None
    signal_to_noise_db: float | None = None
    signal_to_noise_weighting: str | None = None
    signal_to_noise_reference: str | None = None
    hum_frequency_hz: float | None = None
    rated_distortion_pct: float | None = None
    minimum_load_ohm: float | None = None

    @property
    def counted_ratings(self) -> tuple[Rating, ...]:
        """Ratings that tell the power: those of a channel, else the bridged ones; never both."""
        channel = tuple(rating for rating in self.ratings if not rating.bridged)
        return channel or self.ratings

    @property
    def known_taps_ohm(self) -> tuple[float, ...]:
        """Taps of the output transformer as far as they are known, lowest first: told, or shown by the one in use."""
        if self.taps_ohm or self.tap_in_use_ohm is None:
            return tuple(sorted(self.taps_ohm))
        loads = {rating.load_ohm for rating in self.ratings} | {self.tap_in_use_ohm}
        return tuple(sorted(loads if self.load_ohm is None else loads | {self.load_ohm}))

    @property
    def is_bridged(self) -> bool:
        """Whether all that is known is what two channels give together."""
        return bool(self.ratings) and all(rating.bridged for rating in self.ratings)

    def __post_init__(self) -> None:
        self._check_taps()
        self._check_noise()
        if (self.power_w is None) == (not self.ratings):
            raise DomainError(
                pointer="",
                code="one_of",
                detail=words("refusals_domain.power_or_ratings"),
                given=[name for name, told in (("power_w", self.power_w), ("ratings", self.ratings)) if told],
                allowed=["power_w", "ratings"],
            )
        if self.ratings and self.load_ohm is not None:
            raise DomainError(
                pointer=self.own("load_ohm"),
                code="contradiction",
                detail=words("refusals_domain.load_beside_ratings"),
                given=self.load_ohm,
                allowed=words("refusals_domain.load_beside_ratings.allowed"),
            )
        loads = [(rating.load_ohm, rating.bridged) for rating in self.ratings]
        for index, load in enumerate(loads):
            if load in loads[:index]:
                raise DomainError(
                    pointer=self.own("ratings", index, "load_ohm"),
                    code="duplicate",
                    detail=words("refusals_domain.rating_twice", load_ohm=load[0]),
                    given=load[0],
                    allowed=words("refusals_domain.rating_twice.allowed"),
                )
        if self.output_impedance_ohm is not None and self.damping_factor is not None:
            raise DomainError(
                pointer=self.own("damping_factor"),
                code="one_of",
                detail=words("refusals_domain.output_impedance_or_damping"),
                given=self.damping_factor,
                allowed=["output_impedance_ohm", "damping_factor"],
            )
        if self.damping_factor_load_ohm is not None and self.damping_factor is None:
            raise DomainError(
                pointer=self.own("damping_factor_load_ohm"),
                code="contradiction",
                detail=words("refusals_domain.belongs_to", name="damping_factor_load_ohm", owner="damping_factor"),
                given=self.damping_factor_load_ohm,
                allowed=words(
                    "refusals_domain.belongs_to.allowed", name="damping_factor_load_ohm", owner="damping_factor"
                ),
            )

    def _check_taps(self) -> None:
        for index, tap in enumerate(self.taps_ohm):
            if tap in self.taps_ohm[:index]:
                raise DomainError(
                    pointer=self.own("taps_ohm", index),
                    code="duplicate",
                    detail=words("refusals_domain.tap_twice", tap_ohm=tap),
                    given=tap,
                    allowed=words("refusals_domain.tap_twice.allowed"),
                )
        if not self.taps_ohm:
            return
        loads = [
            (self.own("tap_in_use_ohm"), self.tap_in_use_ohm),
            (self.own("load_ohm"), self.load_ohm),
            *((self.own("ratings", index, "load_ohm"), rating.load_ohm) for index, rating in enumerate(self.ratings)),
        ]
        for pointer, load in loads:
            if load is not None and load not in self.taps_ohm:
                raise DomainError(
                    pointer=pointer,
                    code="contradiction",
                    detail=words("refusals_domain.no_such_tap", load_ohm=load),
                    given=load,
                    allowed=one_of(self.taps_ohm),
                )

    def _check_noise(self) -> None:
        if self.signal_to_noise_db is None:
            details = {
                "signal_to_noise_weighting": self.signal_to_noise_weighting,
                "signal_to_noise_reference": self.signal_to_noise_reference,
            }
            for name in names_told(**details):
                raise DomainError(
                    pointer=self.own(name),
                    code="contradiction",
                    detail=words("refusals_domain.belongs_to", name=name, owner="signal_to_noise_db"),
                    given=details[name],
                    allowed=words("refusals_domain.belongs_to.allowed", name=name, owner="signal_to_noise_db"),
                )
            return
        of_hum = self.signal_to_noise_weighting == "none"
        other, told = ("hum_mv", self.hum_mv) if of_hum else ("noise_uv", self.noise_uv)
        if told is not None:
            raise DomainError(
                pointer=self.own("signal_to_noise_db"),
                code="one_of",
                detail=words("refusals_domain.signal_to_noise_or", other=other),
                given=self.signal_to_noise_db,
                allowed=["signal_to_noise_db", other],
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Background(Block):
    """Background noise of the room, in words, as a level or as a noise rating: exactly one of them."""

    at: str = "/background"
    kind: str | None = None
    level_dba: float | None = None
    nr: float | None = None

    def __post_init__(self) -> None:
        given = names_told(kind=self.kind, level_dba=self.level_dba, nr=self.nr)
        if len(given) != 1:
            raise DomainError(
                pointer="",
                code="one_of",
                detail=words("refusals_domain.background"),
                given=given,
                allowed=["kind", "level_dba", "nr"],
            )
