"""Places in the room: x from the front wall, y from the left wall, z from the floor."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from service.domain.block import Block
from service.domain.errors import DomainError
from service.domain.words import words

RADIATIONS = ("monopole", "dipole")
_AXES = (("x_m", "length_m"), ("y_m", "width_m"), ("z_m", "height_m"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A point; `facing_deg` is the direction in plan, from +x towards +y, of what stands there."""

    x_m: float
    y_m: float
    z_m: float
    facing_deg: float | None = None

    @property
    def xyz_m(self) -> tuple[float, float, float]:
        """The three coordinates. [m]"""
        return (self.x_m, self.y_m, self.z_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source(Place):
    """A source of sound for the wave field."""

    radiation: str = "monopole"
    gain_db: float = 0.0
    delay_ms: float = 0.0
    polarity: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Positions(Block):
    """Where the speakers and the seats are."""

    at: str = "/positions"
    speakers: tuple[Place, ...]
    seats: tuple[Place, ...]

    @property
    def listening_distance_m(self) -> float:
        """Mean distance from the speakers to the first seat. [m]"""
        seat = self.seats[0].xyz_m
        return sum(math.dist(speaker.xyz_m, seat) for speaker in self.speakers) / len(self.speakers)


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingPlaces:
    """Where speakers and seats are taken to stand.

    Attributes
    ----------
    positions : Positions
        [-]
    listening_distance_m : float
        As told, else as the places have it. [m]
    distance_standard_m : float
        Its standard uncertainty: 0 where the places were measured. [m]
    found : bool
        Whether somebody told how things stand today, so that a proposal can be compared with it. [-]
    """

    positions: Positions
    listening_distance_m: float
    distance_standard_m: float
    found: bool


def facing_deg(speaker_xyz_m: Sequence[float], seat_xyz_m: Sequence[float]) -> float:
    """Return the direction in plan from a speaker to a seat, from +x towards +y. [deg]"""
    return math.degrees(math.atan2(seat_xyz_m[1] - speaker_xyz_m[1], seat_xyz_m[0] - speaker_xyz_m[0]))


def require_inside(
    places: Iterable[Place], *, dimensions_m: Sequence[float], pointer: Callable[..., str], what: str
) -> None:
    """Refuse places outside the room or in a wall.

    Parameters
    ----------
    places : iterable of Place
        What stands in the room. [-]
    dimensions_m : tuple of float, length 3
        Inside length, width and height. [m]
    pointer : callable
        Returns the JSON pointer of something below the list of places: index, and name of a coordinate. [-]
    what : str
        "speaker", "seat" or "source": for the message. [-]

    Raises
    ------
    DomainError
        A coordinate is not strictly between the walls.
    """
    for index, place in enumerate(places):
        for (name, room_name), coordinate, extent in zip(_AXES, place.xyz_m, dimensions_m, strict=True):
            if not 0 < coordinate < extent:
                where = "in_a_wall" if coordinate in (0, extent) else "outside"
                raise DomainError(
                    pointer=pointer(index, name),
                    code="outside_the_room",
                    detail=words(
                        f"refusals_domain.place.{where}",
                        what=what,
                        number=index + 1,
                        name=name,
                        coordinate_m=coordinate,
                        side=room_name,
                        extent_m=extent,
                    ),
                    given=coordinate,
                    allowed=words("refusals_domain.place.allowed", extent_m=extent),
                )


def require_apart(
    places: Iterable[Place], others: Sequence[Place], *, least_m: float, pointer: Callable[..., str], what: str
) -> None:
    """Refuse places closer than `least_m` to one of the others."""
    for index, place in enumerate(places):
        for other in others:
            distance_m = sum((a - b) ** 2 for a, b in zip(place.xyz_m, other.xyz_m, strict=True)) ** 0.5
            if distance_m < least_m:
                raise DomainError(
                    pointer=pointer(index),
                    code="too_close",
                    detail=words(
                        "refusals_domain.too_close", what=what, number=index + 1, distance_cm=distance_m * 100
                    ),
                    given=list(place.xyz_m),
                    allowed=words("refusals_domain.too_close.allowed", least_cm=least_m * 100),
                )
