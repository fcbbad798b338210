"""What was not told and had to be assumed: one registry of defaults, and the list that an answer carries.

A value that nobody gave is taken through `Assumptions.take`, so that no default can enter an answer without being
listed in it.
"""

from dataclasses import dataclass
from typing import Annotated

from service.domain.words import Words, words


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """A value that the request left open."""

    pointer: Annotated[str | None, "JSON pointer of the field it stands for; null for an assumption of the method"]
    value: Annotated[object, "what was taken, in the unit of the field"]
    spread: Annotated[object, "plausible range in the same unit, [from, to], or one for each octave; null: none stated"]
    why: Annotated[Words, "the reason, in one sentence"]
    source: Annotated[str, "key of the source; 'practice' is common practice without source, 'ours' our judgement"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Default:
    """A default of the registry."""

    value: object
    why: Words
    source: str
    spread: object = None


DEFAULTS = {
    "temperature_c": Default(value=20.0, why=words("assumptions.temperature_c"), source="practice"),
    "relative_humidity_pct": Default(value=50.0, why=words("assumptions.relative_humidity_pct"), source="practice"),
    "pressure_kpa": Default(value=101.325, why=words("assumptions.pressure_kpa"), source="practice"),
    "height_m": Default(value=2.5, why=words("assumptions.height_m"), source="practice"),
    "construction": Default(value="brick_and_plaster", why=words("assumptions.construction"), source="practice"),
    "furnishing": Default(value="furnished", why=words("assumptions.furnishing"), source="practice"),
    "people": Default(value=0, why=words("assumptions.people"), source="practice"),
    "include_air": Default(value=True, why=words("assumptions.include_air"), source="ISO-9613-1"),
    "to_hz": Default(value=200.0, why=words("assumptions.to_hz"), source="practice"),
    "programme": Default(value="orchestral", why=words("assumptions.programme"), source="ours"),
    "speaker_count": Default(value=2, why=words("assumptions.speaker_count"), source="practice"),
    "kind": Default(value="single_driver", why=words("assumptions.kind"), source="practice"),
    "sensitivity_space": Default(value="unknown", why=words("assumptions.sensitivity_space"), source="ours"),
    "nominal_impedance_ohm": Default(value=8.0, why=words("assumptions.nominal_impedance_ohm"), source="practice"),
    "background_kind": Default(value="quiet_evening", why=words("assumptions.background_kind"), source="practice"),
    "load_ohm": Default(value=8.0, why=words("assumptions.load_ohm"), source="practice"),
    "cabinet_width_m": Default(value=0.35, why=words("assumptions.cabinet_width_m"), source="practice"),
    "cabinet_depth_m": Default(value=0.4, why=words("assumptions.cabinet_depth_m"), source="practice"),
    "cabinet_height_m": Default(value=1.0, why=words("assumptions.cabinet_height_m"), source="practice"),
    "speaker_height_m": Default(
        value=0.9, why=words("assumptions.speaker_height_m"), source="practice", spread=(0.6, 1.2)
    ),
    "ear_height_m": Default(value=1.05, why=words("assumptions.ear_height_m"), source="practice", spread=(0.9, 1.25)),
    "listening_distance_m": Default(value=3.0, why=words("assumptions.listening_distance_m"), source="practice"),
    "front_wall_distance_m": Default(
        value=0.9, why=words("assumptions.front_wall_distance_m"), source="practice", spread=(0.4, 1.5)
    ),
    "sofa_to_ears_m": Default(
        value=0.3, why=words("assumptions.sofa_to_ears_m"), source="practice", spread=(0.15, 0.5)
    ),
    "ambient_temperature_c": Default(value=20.0, why=words("assumptions.temperature_c"), source="practice"),
    "stands_on_floor": Default(value=True, why=words("assumptions.stands_on_floor"), source="practice"),
    "resonance_hz": Default(value=50.0, why=words("assumptions.resonance_hz"), source="practice", spread=(35.0, 80.0)),
    "total_q": Default(value=0.6, why=words("assumptions.total_q"), source="practice", spread=(0.4, 1.2)),
    "flat_down_to_hz": Default(value=50.0, why=words("assumptions.flat_down_to_hz"), source="practice"),
    "wanted_hz": Default(value=80.0, why=words("assumptions.wanted_hz"), source="practice"),
    "level_db": Default(value=90.0, why=words("assumptions.level_db"), source="ours"),
    "distance_m": Default(value=1.0, why=words("assumptions.distance_m"), source="practice"),
    "share_pct": Default(value=25.0, why=words("assumptions.share_pct"), source="practice", spread=(10.0, 50.0)),
    "hours": Default(value=24.0, why=words("assumptions.run_in_hours"), source="practice"),
    "side_offset_m": Default(value=0.0, why=words("assumptions.side_offset_m"), source="practice", spread=(-0.3, 0.3)),
}
"""Field -> its default. The key is the last part of the pointer, the field's name."""


@dataclass(frozen=True, slots=True)
class CopyOf:
    """What stands at another place of the request."""

    pointer: str


class Assumptions:
    """The list of one answer."""

    def __init__(self):
        self._taken = {}
        self._filled = {}

    def take(self, pointer, given, *, default=None):
        """Return `given`, or the default where it is None, and list the default.

        Parameters
        ----------
        pointer : str
            JSON pointer of the field in the request. [-]
        given : object or None
            What was told. [-]
        default : Default, optional
            Used in place of the registry's entry of the field's name. [-]
        """
        if given is not None:
            return given
        default = default or DEFAULTS[pointer.rsplit("/", 1)[1]]
        self.add(pointer, default.value, why=default.why, source=default.source, spread=default.spread)
        return default.value

    def standard(self, name):
        """Return a default that plays no part in the request, and list it as an assumption of the method."""
        default = DEFAULTS[name]
        self.add(None, {name: default.value}, why=default.why, source=default.source, spread=default.spread)
        return default.value

    def add(self, pointer, value, *, why, source, spread=None):
        """List a value under its pointer, or an assumption of the method under None."""
        assumption = Assumption(pointer=pointer, value=value, spread=spread, why=why, source=source)
        self._taken.setdefault((pointer, why.key), assumption)

    def extend(self, assumptions):
        """List assumptions that were made before."""
        for assumption in assumptions:
            self._taken.setdefault((assumption.pointer, assumption.why.key), assumption)

    def listed(self):
        """Return the assumptions in the order they were taken."""
        return list(self._taken.values())

    def fill(self, pointer, value):
        """Say what a field is to hold when the request is shown completed, beside what is assumed."""
        self._filled[pointer] = value

    def completing(self):
        """Return what completes the request: pointer to value, or to a `CopyOf` another place."""
        assumed = {each.pointer: each.value for each in self._taken.values() if each.pointer is not None}
        return {**self._filled, **assumed}
