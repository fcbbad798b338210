"""The room as it is seen when you face one of its walls: a search knows only the wall behind the speakers.

In a frame x grows from that wall towards the wall behind you, y from your left to your right.
"""

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from service.domain.position import Place, Positions
from service.domain.search import KeepClear
from service.physics.placement.rotation import Rotation
from service.physics.types import FloatArray


@dataclass(frozen=True, kw_only=True)
class Frame:
    """The room seen with one wall in front.

    Attributes
    ----------
    front_wall : str
        Which wall of the room is behind the speakers. [-]
    room_m : tuple of float, length 3
        Length, width and height of the room. [m]
    """

    front_wall: str
    room_m: tuple[float, float, float]

    @cached_property
    def rotation(self) -> Rotation:
        """The way from the room to the frame and back."""
        return Rotation(facing=self.front_wall, dimensions_m=self.room_m)

    @property
    def dimensions_m(self) -> tuple[float, float, float]:
        """From the wall behind the speakers to the one behind you, from left to right, and the height. [m]"""
        return self.rotation.dimensions_there_m

    def place_in_room(self, place_m: Sequence[float], *, facing_rad: float | None = None) -> Place:
        """Return a `Place` of the room, in whole tenths of millimetres, from one of the frame."""
        x_m, y_m, z_m = (round(float(value), 4) for value in self.rotation.back_m(place_m))
        facing_deg = None
        if facing_rad is not None:
            facing_deg = round(_within_half_turn(math.degrees(float(self.rotation.bearing_back_rad(facing_rad)))), 6)
        return Place(x_m=x_m, y_m=y_m, z_m=z_m, facing_deg=facing_deg)

    def positions(self, positions: Positions) -> Positions:
        """Return positions of the room as seen in the frame."""
        if self.front_wall == "front_wall":
            return positions
        speakers, seats = (tuple(map(self.place_here, places)) for places in (positions.speakers, positions.seats))
        return Positions(speakers=speakers, seats=seats)

    def place_here(self, place: Place) -> Place:
        """Return a `Place` of the room as seen in the frame."""
        x_m, y_m, z_m = (round(float(value), 6) for value in self.rotation.there_m(place.xyz_m))
        facing_deg = place.facing_deg
        if facing_deg is not None:
            there_rad = self.rotation.bearing_there_rad(math.radians(facing_deg))
            facing_deg = _within_half_turn(math.degrees(float(there_rad)))
        return dataclasses.replace(place, x_m=x_m, y_m=y_m, z_m=z_m, facing_deg=facing_deg)

    def zone_m(self, zone: KeepClear) -> tuple[float, float, float, float]:
        """Return the ends of a rectangle of the room in the frame, (x from, x to, y from, y to). [m]"""
        ends_m = self.rotation.there_m(
            [(zone.x_m, zone.y_m, 0.0), (zone.x_m + zone.length_m, zone.y_m + zone.width_m, 0.0)]
        )
        (x0, y0, _), (x1, y1, _) = np.sort(ends_m, axis=0).round(6)
        return float(x0), float(x1), float(y0), float(y1)


def _within_half_turn(angle_deg: float) -> float:
    """The same direction, more than -180 and at most 180. [deg]"""
    return 180.0 - (180.0 - angle_deg) % 360.0


def facing_rad(speakers: Sequence[Place]) -> FloatArray:
    """Return the directions of speakers that all have one, shape (n,). [rad]"""
    return np.radians(np.array([place.facing_deg for place in speakers], dtype=float))


def front_wall_of(positions: Positions) -> str:
    """Return which wall of the room is behind speakers: the one from which they look at the first seat."""
    middle_m = np.mean([place.xyz_m[:2] for place in positions.speakers], axis=0)
    ahead_m, aside_m = np.array(positions.seats[0].xyz_m[:2]) - middle_m
    if abs(ahead_m) >= abs(aside_m):
        return "front_wall" if ahead_m >= 0 else "back_wall"
    return "left_wall" if aside_m > 0 else "right_wall"


def default_front_walls(dimensions_m: Sequence[float]) -> tuple[str, ...]:
    """Return the walls that may be the front where nobody said: both ends of the length, and the long walls."""
    length_m, width_m, _ = dimensions_m
    ends = ("front_wall", "back_wall")
    return ends if width_m >= length_m else (*ends, "left_wall", "right_wall")
