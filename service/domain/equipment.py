"""Loudspeakers and amplifiers as a data sheet or a dealer describes them."""

from dataclasses import dataclass

from service.domain.block import Block
from service.domain.errors import DomainError
from service.domain.load import (
    BassSection,
    Driver,
    DriverParameters,
    ImpedancePoint,
    Section,
    refuse_impossible_curve,
    refuse_impossible_sections,
)

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

_SENSITIVITIES = ("sensitivity_db_1w_1m", "sensitivity_db_2v83_1m", "sensitivity_db_1m")


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
        given = [name for name in _SENSITIVITIES if getattr(self, name) is not None]
        if len(given) != 1:
            raise DomainError(
                pointer="",
                code="one_of",
                detail="the sensitivity stands under exactly one of three names: at 1 W, at 2.83 V, or of unstated "
                "basis.",
                given=given,
                allowed=list(_SENSITIVITIES),
            )
        if self.directivity_index_db is not None and self.directivity_index_by_octave_db is not None:
            raise DomainError(
                pointer="/directivity_index_by_octave_db",
                code="one_of",
                detail="give the directivity index as one number or by octave, not both.",
                given=self.directivity_index_db,
                allowed=["directivity_index_db", "directivity_index_by_octave_db"],
            )
        if self.kind == "top_with_bass_section" and self.bass_section is None:
            raise DomainError(
                pointer="/bass_section",
                code="missing",
                detail="kind top_with_bass_section needs a bass_section with at least its crossover_hz.",
                allowed="a bass_section",
            )
        if self.bass_section is not None and self.kind not in (None, "top_with_bass_section"):
            raise DomainError(
                pointer="/kind",
                code="contradiction",
                detail="a speaker with a bass_section of its own amplifier is of kind top_with_bass_section.",
                given=self.kind,
                allowed="top_with_bass_section, or leave kind out",
            )
        low_ohm, nominal_ohm = self.minimum_impedance_ohm, self.nominal_impedance_ohm
        if low_ohm is not None and nominal_ohm is not None and low_ohm > nominal_ohm * HIGHEST_MINIMUM_IMPEDANCE_RATIO:
            raise DomainError(
                pointer="/minimum_impedance_ohm",
                code="contradiction",
                detail="the lowest impedance of a speaker is not above its rated one.",
                given=low_ohm,
                allowed=f"at most {nominal_ohm * HIGHEST_MINIMUM_IMPEDANCE_RATIO:g}",
            )

    def _check_load(self) -> None:
        """Impedance curve, driver and sections; a lowest section on its own amplifier is the bass section."""
        if self.impedance and self.driver_parameters is not None:
            raise DomainError(
                pointer="/driver_parameters",
                code="one_of",
                detail="give the impedance curve or the parameters of the driver that it follows from, not both.",
                given=["impedance", "driver_parameters"],
                allowed=["impedance", "driver_parameters"],
            )
        if self.impedance:
            refuse_impossible_curve(self.impedance)
            lowest_ohm, told_ohm = min(point.magnitude_ohm for point in self.impedance), self.minimum_impedance_ohm
            if told_ohm is not None and told_ohm > lowest_ohm * HIGHEST_MINIMUM_IMPEDANCE_RATIO:
                raise DomainError(
                    pointer="/minimum_impedance_ohm",
                    code="contradiction",
                    detail=f"the impedance curve goes down to {lowest_ohm:g} ohm.",
                    given=told_ohm,
                    allowed=f"{lowest_ohm:g}, or leave it out",
                )
        if not self.sections:
            return
        refuse_impossible_sections(self.sections)
        lowest = self.sections[0]
        if lowest.amplifier != "own":
            return
        if self.bass_section is not None:
            raise DomainError(
                pointer="/bass_section",
                code="contradiction",
                detail="the lowest of the sections has an amplifier of its own: it is the bass section.",
                given="bass_section",
                allowed="leave bass_section out, or that section",
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
    def told_sensitivity_db(self) -> float:
        """The sensitivity, under whichever name it was given. [dB]"""
        told = (self.sensitivity_db_1w_1m, self.sensitivity_db_2v83_1m, self.sensitivity_db_1m)
        return next(value for value in told if value is not None)

    @property
    def sensitivity_field(self) -> str:
        """Name under which the sensitivity was given."""
        return next(name for name in _SENSITIVITIES if getattr(self, name) is not None)

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
                detail="an amplifier has either power_w (with load_ohm) or a list of ratings.",
                given=[name for name, told in (("power_w", self.power_w), ("ratings", self.ratings)) if told],
                allowed=["power_w", "ratings"],
            )
        if self.ratings and self.load_ohm is not None:
            raise DomainError(
                pointer="/load_ohm",
                code="contradiction",
                detail="load_ohm belongs to power_w; each of the ratings has a load_ohm of its own.",
                given=self.load_ohm,
                allowed="leave load_ohm out",
            )
        loads = [(rating.load_ohm, rating.bridged) for rating in self.ratings]
        for index, load in enumerate(loads):
            if load in loads[:index]:
                raise DomainError(
                    pointer=f"/ratings/{index}/load_ohm",
                    code="duplicate",
                    detail=f"two ratings for the same load of {load[0]:g} ohm. If one of them is for two channels "
                    "bridged, say bridged: true there.",
                    given=load[0],
                    allowed="each load once, bridged ratings marked",
                )
        if self.output_impedance_ohm is not None and self.damping_factor is not None:
            raise DomainError(
                pointer="/damping_factor",
                code="one_of",
                detail="give the output impedance or the damping factor, not both.",
                given=self.damping_factor,
                allowed=["output_impedance_ohm", "damping_factor"],
            )
        if self.damping_factor_load_ohm is not None and self.damping_factor is None:
            raise DomainError(
                pointer="/damping_factor_load_ohm",
                code="contradiction",
                detail="damping_factor_load_ohm belongs to damping_factor.",
                given=self.damping_factor_load_ohm,
                allowed="leave damping_factor_load_ohm out, or give damping_factor",
            )

    def _check_taps(self) -> None:
        for index, tap in enumerate(self.taps_ohm):
            if tap in self.taps_ohm[:index]:
                raise DomainError(
                    pointer=f"/taps_ohm/{index}",
                    code="duplicate",
                    detail=f"the tap of {tap:g} ohm stands twice.",
                    given=tap,
                    allowed="each tap once",
                )
        if not self.taps_ohm:
            return
        rated = [(f"/ratings/{index}/load_ohm", rating.load_ohm) for index, rating in enumerate(self.ratings)]
        loads = [("/tap_in_use_ohm", self.tap_in_use_ohm), ("/load_ohm", self.load_ohm), *rated]
        for pointer, load in loads:
            if load is not None and load not in self.taps_ohm:
                raise DomainError(
                    pointer=pointer,
                    code="contradiction",
                    detail=f"{load:g} ohm is none of the taps; with an output transformer the load of a rating is its "
                    "tap.",
                    given=load,
                    allowed=f"one of {', '.join(f'{tap:g}' for tap in self.taps_ohm)}",
                )

    def _check_noise(self) -> None:
        if self.signal_to_noise_db is None:
            for name in ("signal_to_noise_weighting", "signal_to_noise_reference"):
                if getattr(self, name) is not None:
                    raise DomainError(
                        pointer=f"/{name}",
                        code="contradiction",
                        detail=f"{name} belongs to signal_to_noise_db.",
                        given=getattr(self, name),
                        allowed=f"leave {name} out, or give signal_to_noise_db",
                    )
            return
        other = "hum_mv" if self.signal_to_noise_weighting == "none" else "noise_uv"
        if getattr(self, other) is not None:
            raise DomainError(
                pointer="/signal_to_noise_db",
                code="one_of",
                detail=f"give the signal-to-noise ratio or {other}: both say the same.",
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
        given = [name for name in ("kind", "level_dba", "nr") if getattr(self, name) is not None]
        if len(given) != 1:
            raise DomainError(
                pointer="",
                code="one_of",
                detail="the background noise is either a kind, a level or a noise rating.",
                given=given,
                allowed=["kind", "level_dba", "nr"],
            )
