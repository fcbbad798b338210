"""Loudspeakers and amplifiers as a data sheet or a dealer describes them."""

from dataclasses import dataclass

from service.domain.errors import DomainError

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

_SENSITIVITIES = ("sensitivity_db_1w_1m", "sensitivity_db_2v83_1m", "sensitivity_db_1m")


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """The driver that makes the bass: what limits how far it can move air."""

    area_m2: float
    peak_excursion_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BassSection:
    """A bass section with an amplifier of its own below a crossover."""

    crossover_hz: float
    low_limit_hz: float | None = None
    sensitivity_db_2v83_1m: float | None = None
    impedance_ohm: float | None = None
    power_w: float | None = None
    driver: Driver | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Loudspeaker:
    """One loudspeaker of a pair. The sensitivity stands under exactly one of three names."""

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

    def __post_init__(self):
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

    @property
    def sensitivity_field(self):
        """Name under which the sensitivity was given."""
        return next(name for name in _SENSITIVITIES if getattr(self, name) is not None)

    @property
    def has_field_coil(self):
        """Whether its magnet is a field coil, by itself or by its kind."""
        return self.field_coil or self.kind in FIELD_COIL_KINDS


@dataclass(frozen=True, slots=True, kw_only=True)
class Rating:
    """Power of an amplifier into a load."""

    load_ohm: float
    power_w: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Amplifier:
    """One amplifier. Power is per channel; `ratings` or the short form `power_w` with `load_ohm`.

    The damping factor is that into `damping_factor_load_ohm`, 8 ohm unless told. Noise is A-weighted, hum is not, both
    at the output with nothing playing.
    """

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

    def __post_init__(self):
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
        loads = [rating.load_ohm for rating in self.ratings]
        for index, load in enumerate(loads):
            if load in loads[:index]:
                raise DomainError(
                    pointer=f"/ratings/{index}/load_ohm",
                    code="duplicate",
                    detail=f"two ratings for the same load of {load:g} ohm.",
                    given=load,
                    allowed="each load once",
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Background:
    """Background noise of the room, in words or as a level: exactly one of both."""

    kind: str | None = None
    level_dba: float | None = None

    def __post_init__(self):
        if (self.kind is None) == (self.level_dba is None):
            raise DomainError(
                pointer="",
                code="one_of",
                detail="the background noise is either a kind or a level.",
                given=[name for name in ("kind", "level_dba") if getattr(self, name) is not None],
                allowed=["kind", "level_dba"],
            )
