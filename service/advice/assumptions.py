"""What was not told and had to be assumed: one registry of defaults, and the list that an answer carries.

A value that nobody gave is taken through `Assumptions.take`, so that no default can enter an answer without being
listed in it.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Any, Generic, TypeVar

from service.domain.words import Words, words

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """A value that the request left open."""

    pointer: Annotated[str | None, "JSON pointer of the field it stands for; null for an assumption of the method"]
    value: Annotated[object, "what was taken, in the unit of the field"]
    spread: Annotated[object, "plausible range in the same unit, [from, to], or one for each octave; null: none stated"]
    why: Annotated[Words, "the reason, in one sentence"]
    source: Annotated[str, "key of the source; 'practice' is common practice without source, 'ours' our judgement"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Default(Generic[Value]):
    """A default of the registry."""

    value: Value
    why: Words
    source: str
    spread: object = None


def _default(value: Value, why: str, *, source: str = "practice", spread: object = None) -> Default[Value]:
    return Default(value=value, why=words(f"assumptions.{why}"), source=source, spread=spread)


_NO = _default(False, "nothing_said_of_it")
_NOT_ASKED_FOR = _default(False, "not_asked_for", source="ours")

DEFAULTS: dict[str, Default[Any]] = {
    # the whole request
    "programme": _default("orchestral", "programme", source="ours"),
    "taste": _default("no_preference", "taste", source="ours"),
    "speaker_count": _default(2, "speaker_count"),
    "listening_distance_m": _default(3.0, "listening_distance_m"),
    "include_air": _default(True, "include_air", source="ISO-9613-1"),
    "to_hz": _default(200.0, "to_hz"),
    "damping": _default("surfaces", "damping", source="ours"),
    # the room
    "temperature_c": _default(20.0, "temperature_c"),
    "relative_humidity_pct": _default(50.0, "relative_humidity_pct"),
    "pressure_kpa": _default(101.325, "pressure_kpa"),
    "height_m": _default(2.5, "height_m"),
    "shape": _default("box", "shape"),
    "construction": _default("brick_and_plaster", "construction"),
    "furnishing": _default("furnished", "furnishing"),
    "people": _default(0, "people"),
    "background/kind": _default("quiet_evening", "background_kind"),
    # where things stand
    "speaker_height_m": _default(0.9, "speaker_height_m", spread=(0.6, 1.2)),
    "ear_height_m": _default(1.05, "ear_height_m", spread=(0.9, 1.25)),
    "front_wall_distance_m": _default(0.9, "front_wall_distance_m", spread=(0.4, 1.5)),
    "sofa_to_ears_m": _default(0.3, "sofa_to_ears_m", spread=(0.15, 0.5)),
    "side_offset_m": _default(0.0, "side_offset_m", spread=(-0.3, 0.3)),
    # the speaker
    "speaker/kind": _default("single_driver", "kind"),
    "sensitivity_space": _default("unknown", "sensitivity_space", source="ours"),
    "nominal_impedance_ohm": _default(8.0, "nominal_impedance_ohm"),
    "cabinet_width_m": _default(0.35, "cabinet_width_m"),
    "cabinet_depth_m": _default(0.4, "cabinet_depth_m"),
    "cabinet_height_m": _default(1.0, "cabinet_height_m"),
    "field_coil": _NO,
    "fixed_to_wall_or_ceiling": _NO,
    "driver_parameters/inductance_mh": _default(0.0, "nothing_said_of_it"),
    "driver_parameters/box": _default("open", "driver_parameters.box"),
    "sections/amplifier": _default("customer", "sections.amplifier"),
    "bass_section/input": _default("line", "bass_section.input"),
    "bass_section/crossover_order": _default(4, "bass_section.crossover_order"),
    "bass_section/crossover_alignment": _default("linkwitz_riley", "bass_section.crossover_alignment"),
    "bass_section/polarity": _default("as_top", "polarity"),
    "bass_section/further_away_m": _default(0.0, "bass_section.further_away_m"),
    # the amplifier, its cable and its source
    "amplifier/load_ohm": _default(8.0, "load_ohm"),
    "amplifier/gain_db": _default(26.0, "gain_db", spread=(20.0, 30.0)),
    "amplifier/damping_factor_load_ohm": _default(8.0, "damping_factor_load_ohm"),
    "amplifier/signal_to_noise_weighting": _default("a", "signal_to_noise_weighting"),
    "amplifier/signal_to_noise_reference": _default("full_output", "signal_to_noise_reference"),
    "amplifier/hum_frequency_hz": _default(100.0, "hum_frequency_hz"),
    "amplifier/balanced_output": _NO,
    "ratings/bridged": _NO,
    "cable/temperature_c": _default(20.0, "cable.temperature_c"),
    "source/output_v": _default(2.0, "source_output_v", spread=(1.5, 2.5)),
    "source/preamplifier_gain_db": _default(0.0, "preamplifier_gain_db"),
    # point sources of the wave field
    "sources/radiation": _default("monopole", "sources.radiation"),
    "sources/facing_deg": _default(0, "sources.facing_deg"),
    "sources/gain_db": _default(0, "nothing_said_of_it"),
    "sources/delay_ms": _default(0, "nothing_said_of_it"),
    "sources/polarity": _default(1, "polarity"),
    # the search for places
    "search/seat_to_back_wall_min_m": _default(0.5, "seat_to_back_wall_min_m"),
    "search/walking_room_m": _default(0.6, "walking_room_m"),
    "search/seat_not_mid_room": _NOT_ASKED_FOR,
    "search/symmetric": _default(True, "symmetric"),
    "search/bass_apart": _NOT_ASKED_FOR,
    # the advice sheet
    "sheet/paper": _default("a4", "sheet.paper"),
    "sheet/units": _default("metric", "sheet.units"),
    # calculators
    "ambient_temperature_c": _default(20.0, "temperature_c"),
    "stands_on_floor": _default(True, "stands_on_floor"),
    "driver/resonance_hz": _default(50.0, "resonance_hz", spread=(35.0, 80.0)),
    "driver/total_q": _default(0.6, "total_q", spread=(0.4, 1.2)),
    "flat_down_to_hz": _default(50.0, "flat_down_to_hz"),
    "wanted_hz": _default(80.0, "wanted_hz"),
    "level_db": _default(90.0, "level_db", source="ours"),
    "distance_m": _default(1.0, "distance_m"),
    "share_pct": _default(25.0, "share_pct", spread=(10.0, 50.0)),
    "hours": _default(24.0, "run_in_hours"),
}
"""Field -> its default, the one place where it stands: the schemas show it, the advice takes it, the page reads it.

A key is the name of the field, or `block/field` where the name alone would not do because blocks differ in it.
"""

_ONE_OF = {"speakers": "speaker", "amplifiers": "amplifier"}
"""Lists whose items are what another field holds one of."""


def default_of(pointer: str) -> Default[Any] | None:
    """Return the default of a field, or None where it has none.

    Parameters
    ----------
    pointer : str
        JSON pointer of the field in a request; an item of a list is its index or `*`. [-]

    Examples
    --------
    >>> default_of("/amplifiers/1/load_ohm") is DEFAULTS["amplifier/load_ohm"]
    True
    >>> default_of("/room/height_m").value
    2.5
    """
    steps = [step for step in pointer.split("/") if step != "*" and not step.isdecimal()]
    block, name = steps[-2], steps[-1]
    return DEFAULTS.get(f"{_ONE_OF.get(block, block)}/{name}") or DEFAULTS.get(name)


@dataclass(frozen=True, slots=True)
class CopyOf:
    """What stands at another place of the request."""

    pointer: str


class Assumptions:
    """The list of one answer."""

    def __init__(self) -> None:
        self._taken: dict[tuple[str | None, str], Assumption] = {}
        self._filled: dict[str, object] = {}

    def take(self, pointer: str, given: Value | None, *, default: Default[Value] | None = None) -> Value:
        """Return `given`, or the default where it is None, and list the default.

        Parameters
        ----------
        pointer : str
            JSON pointer of the field in the request. [-]
        given : object or None
            What was told. [-]
        default : Default, optional
            Used in place of the registry's entry. [-]
        """
        if given is not None:
            return given
        usual: Default[Any] | None = default or default_of(pointer)
        assert usual is not None, pointer
        self.add(pointer, usual.value, why=usual.why, source=usual.source, spread=usual.spread)
        value: Value = usual.value
        return value

    def standard(self, name: str) -> Any:
        """Return a default that plays no part in the request, and list it as an assumption of the method."""
        default = DEFAULTS[name]
        self.add(None, {name: default.value}, why=default.why, source=default.source, spread=default.spread)
        return default.value

    def add(self, pointer: str | None, value: object, *, why: Words, source: str, spread: object = None) -> None:
        """List a value under its pointer, or an assumption of the method under None."""
        assumption = Assumption(pointer=pointer, value=value, spread=spread, why=why, source=source)
        self._taken.setdefault((pointer, why.key), assumption)

    def extend(self, assumptions: Iterable[Assumption]) -> None:
        """List assumptions that were made before."""
        for assumption in assumptions:
            self._taken.setdefault((assumption.pointer, assumption.why.key), assumption)

    def listed(self) -> list[Assumption]:
        """Return the assumptions in the order they were taken."""
        return list(self._taken.values())

    def fill(self, pointer: str, value: object) -> None:
        """Say what a field is to hold when the request is shown completed, beside what is assumed."""
        self._filled[pointer] = value

    def completing(self) -> dict[str, object]:
        """Return what completes the request: pointer to value, or to a `CopyOf` another place."""
        assumed = {each.pointer: each.value for each in self._taken.values() if each.pointer is not None}
        return {**self._filled, **assumed}
