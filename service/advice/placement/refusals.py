"""Searches that contradict themselves or the room."""

from collections.abc import Sequence

import numpy as np

from service.advice.placement.frames import front_wall_of
from service.advice.placement.wanted import PlacedSpeaker
from service.domain.errors import DomainError
from service.domain.position import Positions
from service.domain.search import KeepClear, Search

_ROUNDING_M = 1e-6


def require_search(
    search: Search, speaker: PlacedSpeaker, *, present: Positions | None, room_m: Sequence[float]
) -> None:
    """Refuse a search that cannot be meant.

    Parameters
    ----------
    search : Search
        [-]
    speaker : PlacedSpeaker
        [-]
    present : Positions or None
        Present places. [-]
    room_m : tuple of float, length 3
        Room. [m]

    Raises
    ------
    DomainError
        Something must stay but nobody said where it is, a zone is outside the room, speakers that stay are asked to
        another wall, or a bass section is asked for that the speaker has not.
    """
    if search.must_stay and present is None:
        raise DomainError(
            pointer=search.pointer("must_stay"),
            code="missing",
            detail="what must stay where it is needs positions or distances of as_found.",
            given=list(search.must_stay),
            allowed="positions of the speakers and the seat, or as_found",
        )
    _require_zones(search, room_m)
    if present is not None and "speakers" in search.must_stay and search.front_walls:
        behind = front_wall_of(present)
        if behind not in search.front_walls:
            raise DomainError(
                pointer=search.pointer("front_walls"),
                code="contradiction",
                detail=f"the speakers must stay, and the wall behind them is the {behind}.",
                given=list(search.front_walls),
                allowed=behind,
            )
    if "bass" in search.must_stay and not search.bass_apart:
        raise DomainError(
            pointer=search.pointer("bass_apart"),
            code="missing",
            detail="bass sections that must stay while the tops move stand apart: say bass_apart.",
            allowed="true",
        )
    if search.bass_apart and speaker.crossover_hz is None:
        raise DomainError(
            pointer=search.pointer("bass_apart"),
            code="no_bass_section",
            detail="only a speaker with a bass section of its own has something to stand apart.",
            given=True,
            allowed="speaker.bass_section with its crossover_hz, or leave bass_apart out",
        )


def _require_zones(search: Search, room_m: Sequence[float]) -> None:
    zones = search.keep_clear
    for index, zone in enumerate(zones):
        for start, from_m, size, extent_m, room_name, room_extent_m in (
            ("x_m", zone.x_m, "length_m", zone.length_m, "length_m", room_m[0]),
            ("y_m", zone.y_m, "width_m", zone.width_m, "width_m", room_m[1]),
        ):
            outside, most_m = from_m >= room_extent_m, room_extent_m - from_m
            if outside or extent_m > most_m + _ROUNDING_M:
                raise DomainError(
                    pointer=search.pointer("keep_clear", index, start if outside else size),
                    code="outside_the_room",
                    detail=f"this rectangle reaches out of the room, whose {room_name} is {room_extent_m:g}.",
                    given=from_m if outside else extent_m,
                    allowed=f"less than {room_extent_m:g}" if outside else f"at most {most_m:.4g}",
                )
    if zones and _cover(zones, room_m):
        raise DomainError(
            pointer=search.pointer("keep_clear"),
            code="covers_the_room",
            detail="these rectangles keep the whole floor clear: there is nowhere left to stand or to sit.",
            given=", ".join(zone.name for zone in zones),
            allowed="rectangles that leave a part of the floor free",
        )


def _cover(zones: Sequence[KeepClear], room_m: Sequence[float]) -> bool:
    """Whether every place of a floor, in steps of a hundredth of its sides, lies in a rectangle."""
    x_m, y_m = np.meshgrid(*(np.linspace(0.0, extent_m, 101) for extent_m in room_m[:2]), indexing="ij")
    covered = np.zeros(x_m.shape, dtype=bool)
    for zone in zones:
        across_x = (x_m >= zone.x_m) & (x_m <= zone.x_m + zone.length_m + _ROUNDING_M)
        covered |= across_x & (y_m >= zone.y_m) & (y_m <= zone.y_m + zone.width_m + _ROUNDING_M)
    return bool(covered.all())
