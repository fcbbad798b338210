"""What a room usually is like, from how it is built and furnished: its times, its ceiling, and how sure they are."""

import math
from dataclasses import dataclass

import numpy as np

from service.advice import policy
from service.advice.assumptions import DEFAULTS, Default
from service.domain.reference_data import RoomConstruction, RoomFurnishing
from service.domain.words import words
from service.tables import loader

REFERENCE_VOLUME_M3 = 44.0
"""Mean volume of the rooms behind the default times, which scale with the cube root of the volume.
[JACKSON-LEVENTHALL-1972]"""


@dataclass(frozen=True, kw_only=True)
class RoomKind:
    """Construction and furnishing of a room, and whether both are the usual ones."""

    construction: RoomConstruction
    furnishing: RoomFurnishing

    def times_s(self, volume_m3):
        """Return the usual times of a room of this volume, shape (8,). [s]"""
        scale = self.furnishing.time_ratio * (volume_m3 / REFERENCE_VOLUME_M3) ** (1 / 3)
        return np.array(self.construction.by_octave_s) * scale

    @property
    def spread_ratio(self):
        """Shortest and longest time of rooms of the kind, relative to the usual one."""
        middle_s = self.construction.middle_s
        return self.construction.middle_from_s / middle_s, self.construction.middle_to_s / middle_s

    @property
    def is_default(self):
        """Whether construction and furnishing are those of a room about which nothing was told."""
        return (self.construction.id, self.furnishing.id) == tuple(
            DEFAULTS[name].value for name in ("construction", "furnishing")
        )

    @property
    def source(self):
        """Source of the times: that of the construction, unless the furnishing changes them."""
        return self.construction.source if self.furnishing.time_ratio == 1 else self.furnishing.source

    @property
    def times_why(self):
        """Reason of the times."""
        if self.is_default:
            return words("assumptions.times_of_furnished_rooms")
        return words("assumptions.times_of_kind", construction=self.construction.id, furnishing=self.furnishing.id)


def room_kind(room, assume):
    """Return the kind of a room; what was not told of it is listed.

    Parameters
    ----------
    room : Room
        As told. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]
    """
    construction = assume.take(room.pointer("construction"), room.construction)
    furnishing = assume.take(room.pointer("furnishing"), room.furnishing)
    return RoomKind(
        construction=loader.room_constructions()[construction], furnishing=loader.room_furnishings()[furnishing]
    )


def settled_height_m(room, assume):
    """Return the height of a room, told or usual for how it is built. [m]"""
    if room.construction is None:
        return assume.take(room.pointer("height_m"), room.height_m)
    row = loader.room_constructions()[room.construction]
    usual = Default(
        value=row.height_m,
        why=words("assumptions.height_of_construction", construction=row.id),
        source="practice",
        spread=(row.height_from_m, row.height_to_m),
    )
    return assume.take(room.pointer("height_m"), room.height_m, default=usual)


def time_relative_standard_ratio(room):
    """Return the relative standard uncertainty of the usual times of a room.

    Parameters
    ----------
    room : Room
        As told. [-]

    Notes
    -----
    Rooms of a known kind lie anywhere between their shortest and longest time: a rectangular distribution, half-width
    over the square root of 3. An untold furnishing adds to it in energy. Never more than for an unknown room.
    """
    if room.construction is None:
        told = room.furnishing is not None
        return policy.UNTOLD_CONSTRUCTION_RELATIVE if told else policy.REVERBERATION_TIME_RELATIVE
    row = loader.room_constructions()[room.construction]
    relative = (row.middle_to_s - row.middle_from_s) / 2 / row.middle_s / math.sqrt(3)
    if room.furnishing is None:
        relative = math.hypot(relative, policy.UNTOLD_FURNISHING_RELATIVE)
    return min(relative, policy.REVERBERATION_TIME_RELATIVE)
