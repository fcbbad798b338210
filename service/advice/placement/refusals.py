"""Searches that contradict themselves or the room."""

from collections.abc import Sequence

import numpy as np

from service.advice.placement.frames import front_wall_of
from service.advice.placement.wanted import PlacedSpeaker
from service.domain.errors import DomainError
from service.domain.position import Positions
from service.domain.search import KeepClear, Search
from service.domain.words import words

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
            detail=words("refusals_placement.must_stay"),
            given=list(search.must_stay),
            allowed=words("refusals_placement.must_stay.allowed"),
        )
    _require_zones(search, room_m)
    if present is not None and "speakers" in search.must_stay and search.front_walls:
        behind = front_wall_of(present)
        if behind not in search.front_walls:
            raise DomainError(
                pointer=search.pointer("front_walls"),
                code="contradiction",
                detail=words("refusals_placement.other_front_wall", behind=behind),
                given=list(search.front_walls),
                allowed=words("refusals_placement.other_front_wall.allowed", behind=behind),
            )
    if "bass" in search.must_stay and not search.bass_apart:
        raise DomainError(
            pointer=search.pointer("bass_apart"),
            code="missing",
            detail=words("refusals_placement.bass_stays"),
            allowed=words("refusals_placement.bass_stays.allowed"),
        )
    if search.bass_apart and speaker.crossover_hz is None:
        raise DomainError(
            pointer=search.pointer("bass_apart"),
            code="no_bass_section",
            detail=words("refusals_placement.no_bass_section"),
            given=True,
            allowed=words("refusals_placement.no_bass_section.allowed"),
        )


def _require_zones(search: Search, room_m: Sequence[float]) -> None:
    zones = search.keep_clear
    for index, zone in enumerate(zones):
        for start, from_m, size, extent_m, room_name, room_extent_m in (
            ("x_m", zone.x_m, "length_m", zone.length_m, "length_m", room_m[0]),
            ("y_m", zone.y_m, "width_m", zone.width_m, "width_m", room_m[1]),
        ):
            outside, most_m = from_m >= room_extent_m, room_extent_m - from_m
            if not outside and extent_m <= most_m + _ROUNDING_M:
                continue
            allowed = words("refusals_placement.less_than", extent_m=room_extent_m)
            if not outside:
                allowed = words("refusals_placement.zone_outside.allowed", most_m=float(f"{most_m:.4g}"))
            raise DomainError(
                pointer=search.pointer("keep_clear", index, start if outside else size),
                code="outside_the_room",
                detail=words("refusals_placement.zone_outside", side=room_name, extent_m=room_extent_m),
                given=from_m if outside else extent_m,
                allowed=allowed,
            )
    if zones and _cover(zones, room_m):
        raise DomainError(
            pointer=search.pointer("keep_clear"),
            code="covers_the_room",
            detail=words("refusals_placement.zones_cover"),
            given=", ".join(zone.name for zone in zones),
            allowed=words("refusals_placement.zones_cover.allowed"),
        )


def _cover(zones: Sequence[KeepClear], room_m: Sequence[float]) -> bool:
    """Whether every place of a floor, in steps of a hundredth of its sides, lies in a rectangle."""
    x_m, y_m = np.meshgrid(*(np.linspace(0.0, extent_m, 101) for extent_m in room_m[:2]), indexing="ij")
    covered = np.zeros(x_m.shape, dtype=bool)
    for zone in zones:
        across_x = (x_m >= zone.x_m) & (x_m <= zone.x_m + zone.length_m + _ROUNDING_M)
        covered |= across_x & (y_m >= zone.y_m) & (y_m <= zone.y_m + zone.width_m + _ROUNDING_M)
    return bool(covered.all())
