"""Where a search for a placement may look, and how hard; None means the default."""

from dataclasses import dataclass

from service.domain.block import Block

FRONT_WALLS = ("front_wall", "back_wall", "left_wall", "right_wall")
STANDINGS = ("free", "near_wall", "corner")
STAYING = ("seat", "speakers", "bass")
EFFORTS = ("quick", "normal", "thorough")


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepClear:
    """A rectangle in plan that stays free: `x_m`, `y_m` is its corner nearest the origin of the room."""

    name: str
    x_m: float
    y_m: float
    length_m: float
    width_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Search(Block):
    """What may move and how far, what must stay free, and how hard to search.

    `front_walls` are the walls, in the room's own names, that may be behind the speakers. `walking_room_m` is the way
    past the chair on one side at least.
    """

    at: str = "/search"
    front_walls: tuple[str, ...] | None = None
    front_wall_distance_m: tuple[float, float] | None = None
    front_wall_to_baffle_max_m: float | None = None
    spacing_m: tuple[float, float] | None = None
    seat_distance_m: tuple[float, float] | None = None
    base_angle_deg: tuple[float, float] | None = None
    seat_to_back_wall_min_m: float | None = None
    seat_not_mid_room: bool = False
    walking_room_m: float | None = None
    keep_clear: tuple[KeepClear, ...] = ()
    standing: str | None = None
    must_stay: tuple[str, ...] = ()
    symmetric: bool = True
    bass_apart: bool = False
    step_m: float | None = None
    effort: str | None = None
