"""Where a pair and a chair stand, as people measure it: distances to walls, seen from the listener."""

import math
from dataclasses import dataclass

from service.domain.block import Block
from service.domain.position import Positions

WALLS_BEHIND_THE_SPEAKERS = ("short_wall", "long_wall")
_HEIGHTS = ("ear_height_m", "speaker_height_m")


@dataclass(frozen=True, slots=True, kw_only=True)
class AsFound(Block):
    """A pair, or one speaker, and one chair; None where nothing was told.

    The distances of one speaker are those to the left and to the right wall. `side_offset_m` is how far the middle of
    the pair is to the right of the room's middle, `toe_in_deg` is positive inwards.
    """

    at: str = "/as_found"
    speakers_on: str | None = None
    front_wall_to_baffle_m: float | None = None
    left_wall_to_left_baffle_m: float | None = None
    right_wall_to_right_baffle_m: float | None = None
    spacing_m: float | None = None
    back_wall_to_ears_m: float | None = None
    left_wall_to_ears_m: float | None = None
    side_offset_m: float | None = None
    sofa_on_wall: bool | None = None
    ear_height_m: float | None = None
    speaker_height_m: float | None = None
    toe_in_deg: float | None = None

    @property
    def readings_m(self) -> dict[str, float | None]:
        """What a tape measure shows, by field; None where it was not told. [m]"""
        return {
            "front_wall_to_baffle_m": self.front_wall_to_baffle_m,
            "left_wall_to_left_baffle_m": self.left_wall_to_left_baffle_m,
            "right_wall_to_right_baffle_m": self.right_wall_to_right_baffle_m,
            "spacing_m": self.spacing_m,
            "back_wall_to_ears_m": self.back_wall_to_ears_m,
            "left_wall_to_ears_m": self.left_wall_to_ears_m,
            "side_offset_m": self.side_offset_m,
            "ear_height_m": self.ear_height_m,
            "speaker_height_m": self.speaker_height_m,
        }

    @property
    def distances_m(self) -> dict[str, float]:
        """The distances that were told, by field: each a coordinate of a speaker or of the chair. [m]"""
        return {name: value for name, value in self.readings_m.items() if value is not None and name not in _HEIGHTS}

    @property
    def says_where(self) -> bool:
        """Whether it tells where something stands: one distance at least, or that the sofa is on the wall."""
        return bool(self.distances_m) or bool(self.sofa_on_wall)


def tape_readings_m(positions: Positions, *, dimensions_m: tuple[float, float, float]) -> dict[str, tuple[float, ...]]:
    """Return what a tape measure shows at places, by field of `AsFound`.

    Parameters
    ----------
    positions : Positions
        One speaker or a pair, in any order; the first seat counts. [-]
    dimensions_m : tuple of float, length 3
        Room. [m]

    Returns
    -------
    dict of str to tuple of float
        One reading; of `front_wall_to_baffle_m` and `speaker_height_m` one for each speaker, the left one first. [m]
    """
    length_m, width_m, _ = dimensions_m
    speakers = sorted(positions.speakers, key=lambda place: place.y_m)
    seat, left, right = positions.seats[0], speakers[0], speakers[-1]
    readings = {
        "front_wall_to_baffle_m": tuple(place.x_m for place in speakers),
        "left_wall_to_left_baffle_m": (left.y_m,),
        "right_wall_to_right_baffle_m": (width_m - right.y_m,),
        "back_wall_to_ears_m": (length_m - seat.x_m,),
        "left_wall_to_ears_m": (seat.y_m,),
        "side_offset_m": ((left.y_m + right.y_m - width_m) / 2,),
        "ear_height_m": (seat.z_m,),
        "speaker_height_m": tuple(place.z_m for place in speakers),
    }
    if len(speakers) == 2:
        readings["spacing_m"] = (math.dist(left.xyz_m[:2], right.xyz_m[:2]),)
    return readings
