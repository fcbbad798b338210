"""What was not told and had to be assumed: one registry of defaults, and the list that an answer carries.

A value that nobody gave is taken through `Assumptions.take`, so that no default can enter an answer without being
listed in it.
"""

import copy
from dataclasses import dataclass
from typing import Annotated


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """A value that the request left open."""

    pointer: Annotated[str | None, "JSON pointer of the field it stands for; null for an assumption of the method"]
    value: Annotated[object, "what was taken, in the unit of the field"]
    why: Annotated[str, "the reason, in one sentence"]
    source: Annotated[str, "key of the source; 'practice' is common practice without source, 'ours' our judgement"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Default:
    """A default of the registry."""

    value: object
    why: str
    source: str


DEFAULTS = {
    "temperature_c": Default(value=20.0, why="rooms are kept near 20 degrees", source="practice"),
    "relative_humidity_pct": Default(value=50.0, why="half-dry room air", source="practice"),
    "pressure_kpa": Default(value=101.325, why="sea level", source="practice"),
    "height_m": Default(value=2.5, why="a usual ceiling", source="practice"),
    "people": Default(value=0, why="nobody was mentioned", source="practice"),
    "include_air": Default(value=True, why="air absorbs above 2 kHz", source="ISO-9613-1"),
    "to_hz": Default(value=200.0, why="above this the modes overlap in most rooms", source="practice"),
    "programme": Default(
        value="orchestral", why="the most demanding music heard at home; name yours for a sharper answer", source="ours"
    ),
    "speaker_count": Default(value=2, why="a pair", source="practice"),
    "kind": Default(
        value="single_driver", why="the usual very efficient speaker; its directivity is used", source="practice"
    ),
    "sensitivity_space": Default(
        value="unknown",
        why="data sheets rarely say whether the figure holds in the bass: the bass is taken 3 dB below it, the "
        "middle of 0 to 6",
        source="ours",
    ),
    "nominal_impedance_ohm": Default(value=8.0, why="the usual rated impedance", source="practice"),
    "load_ohm": Default(value=8.0, why="amplifier power is usually stated for 8 ohm", source="practice"),
    "low_order": Default(value=4, why="a vented or horn-loaded cabinet", source="practice"),
    "cabinet_width_m": Default(value=0.35, why="a usual floor-standing cabinet", source="practice"),
    "cabinet_depth_m": Default(value=0.40, why="a usual floor-standing cabinet", source="practice"),
    "cabinet_height_m": Default(value=1.0, why="a usual floor-standing cabinet", source="practice"),
    "speaker_height_m": Default(
        value=0.9, why="height of the acoustic centre of a floor-standing speaker", source="practice"
    ),
    "ear_height_m": Default(value=1.05, why="ears on a sofa", source="practice"),
    "listening_distance_m": Default(value=3.0, why="a usual distance in a living room", source="practice"),
    "front_wall_distance_m": Default(value=0.9, why="a usual place of the speakers", source="practice"),
}
"""Field -> its default. The key is the last part of the pointer, the field's name."""

LOW_LIMITS_HZ = {
    "single_driver": 50.0,
    "two_way": 45.0,
    "three_way": 45.0,
    "horn": 45.0,
    "open_baffle": 60.0,
    "top_with_bass_section": 30.0,
}
"""Low limit (-6 dB in free field) of each kind of speaker, common practice, no source. [Hz]"""


class Assumptions:
    """The list of one answer."""

    def __init__(self):
        self._taken = {}

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
        self.add(pointer, default.value, why=default.why, source=default.source)
        return default.value

    def standard(self, name):
        """Return a default that plays no part in the request, and list it as an assumption of the method."""
        default = DEFAULTS[name]
        self.add(None, {name: default.value}, why=f"{name}: {default.why}", source=default.source)
        return default.value

    def add(self, pointer, value, *, why, source):
        """List a value under its pointer, or an assumption of the method under None."""
        self._taken.setdefault((pointer, why), Assumption(pointer=pointer, value=value, why=why, source=source))

    def extend(self, assumptions):
        """List assumptions that were made before."""
        for assumption in assumptions:
            self._taken.setdefault((assumption.pointer, assumption.why), assumption)

    def listed(self):
        """Return the assumptions in the order they were taken."""
        return list(self._taken.values())


def filled_in(body, assumptions):
    """Return the request with the assumed fields written in: itself a valid request with the same levels.

    Parameters
    ----------
    body : dict
        The request as JSON. [-]
    assumptions : list of Assumption
        Those with a pointer into the request are written; blocks on the way are made. [-]
    """
    result = copy.deepcopy(body)
    for assumption in assumptions:
        if assumption.pointer is None:
            continue
        *blocks, name = assumption.pointer.split("/")[1:]
        target = result
        for block in blocks:
            target = target.setdefault(block, {})
        target[name] = assumption.value
    return result
