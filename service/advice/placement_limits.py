"""Where a search for a placement looks: what was told, what the cabinet and the room allow, and what is usual."""

import math
from dataclasses import dataclass, replace

import numpy as np

from service.advice import policy
from service.advice.assumptions import DEFAULTS
from service.domain.errors import DomainError
from service.physics.placement.candidates import Grid, evenly_spaced_m, fitting, pairs_across_m


@dataclass(frozen=True, kw_only=True)
class Limits:
    """Ends of everything that a search may vary.

    Attributes
    ----------
    front_m, spacing_m, seat_x_m : tuple of float
        From and to: wall behind the speakers to the speakers, between them, wall behind them to the seat. [m]
    axis_y_m : float
        From the left wall to the line that the pair is symmetric about and the leading seat is on. [m]
    seat_furthest_m : float
        The last seat that leaves room for a head. [m]
    seats_fit : bool
        Whether all seats stay in the room when the leading one is on the axis. [-]
    least_depth_m : float
        From the speakers to the leading seat, along the length. [m]
    distance_m, angle_deg : tuple of float
        Of the speakers from the leading seat, and of the pair seen from it. [m, deg]
    seat_not_within_m : tuple of float or None
        Part of the length that is ruled out. [m]
    standing : Positions or None
        Speakers that must stay. [-]
    speaker_count : int
        1 or 2. [-]
    """

    front_m: tuple[float, float]
    spacing_m: tuple[float, float]
    seat_x_m: tuple[float, float]
    axis_y_m: float
    seat_furthest_m: float
    seats_fit: bool
    least_depth_m: float
    distance_m: tuple[float, float]
    angle_deg: tuple[float, float]
    seat_not_within_m: tuple[float, float] | None
    standing: object
    speaker_count: int


def search_limits(room, speaker, request, *, found, seat_offsets_m):
    """Return the limits of a search.

    Parameters
    ----------
    room : RoomAcoustics
        [-]
    speaker : PlacedSpeaker
        [-]
    request : PlacementRequest or AdviceRequest
        Its `search`, and its listening distance and number of speakers where it has them. [-]
    found : Positions or None
        Present positions, checked. [-]
    seat_offsets_m : ndarray, shape (s, 3)
        Seats re the leading one. [m]

    Raises
    ------
    DomainError
        Something must stay but nobody said where it is, or a range lies outside the room.
    """
    search, (length_m, width_m, _) = request.search, room.dimensions_m
    stays = _staying(search, found)
    count = (
        len(found.speakers)
        if found is not None
        else getattr(request, "speaker_count", None) or DEFAULTS["speaker_count"].value
    )
    axis_y_m = _axis_y_m(found, stays, width_m=width_m)
    standing = found if "speakers" in stays else None
    told_distance_m = getattr(request, "listening_distance_m", None)
    widest_m = _widest_m(speaker, axis_y_m, width_m)
    distance_m = _distance_range_m(told_distance_m, length_m=length_m, widest_m=widest_m)
    least_angle_deg, most_angle_deg = policy.BASE_ANGLE_SEARCHED_DEG

    ahead_m = -min(float(seat_offsets_m[:, 0].min()), 0.0)
    nearest_depth_m = distance_m[0] * math.cos(math.radians(most_angle_deg / 2))
    least_depth_m = ahead_m + max(min(policy.LEAST_DEPTH_M, nearest_depth_m), policy.SMALLEST_DEPTH_M)
    front_m = _front_range_m(search, speaker, standing, length_m=length_m)
    behind_m = max(float(seat_offsets_m[:, 0].max()), 0.0)
    furthest_m = length_m - policy.HEAD_TO_WALL_M - behind_m
    told_back_m = search.seat_to_back_wall_min_m
    back_m = policy.SEAT_TO_BACK_WALL_M if told_back_m is None else told_back_m
    if "seat" in stays:
        seat_m = (found.seats[0].x_m,) * 2
        furthest_m = seat_m[1]
    else:
        seat_m = (front_m[0] + least_depth_m, min(length_m - back_m - behind_m, furthest_m))

    # the distance follows what is fixed, the spacing follows the distance, and the base angle what both leave
    longest_m, shortest_m = seat_m[1] - front_m[0], max(seat_m[0] - front_m[1], least_depth_m)
    forced_m = (1 + policy.DISTANCE_KEPT_RATIO) * shortest_m
    distance_m = (min(distance_m[0], max(longest_m, 0.0)), max(distance_m[1], forced_m))
    reached_m = (max(distance_m[0], shortest_m), distance_m[1])
    usual_m = policy.SPACING_SEARCHED_M
    if told_distance_m is not None:
        angles = (math.radians(angle / 2) for angle in policy.BASE_ANGLE_SEARCHED_DEG)
        usual_m = tuple(2 * end_m * math.sin(angle) for end_m, angle in zip(reached_m, angles, strict=True))
    usual_m = (usual_m[0], max(usual_m[1], reached_m[0]))
    spacing_m = _spacing_range_m(search, speaker, standing, count, usual_m, axis_y_m=axis_y_m, width_m=width_m)
    widest_deg = math.degrees(2 * math.asin(min(1.0, max(spacing_m[1], 0.0) / 2 / max(reached_m[0], 0.1))))
    narrowest_deg = math.degrees(2 * math.atan2(max(spacing_m[0], 0.0) / 2, max(longest_m, 0.1)))
    across_m = axis_y_m + seat_offsets_m[:, 1]
    head_m = 0.0 if "seat" in stays else policy.HEAD_TO_WALL_M
    not_within_m = tuple(ratio * length_m for ratio in policy.MID_ROOM_RATIO) if search.seat_not_mid_room else None
    return Limits(
        front_m=front_m,
        spacing_m=spacing_m,
        seat_x_m=(seat_m[0], min(seat_m[1], front_m[1] + distance_m[1])),
        axis_y_m=axis_y_m,
        seat_furthest_m=furthest_m,
        seats_fit=bool(head_m <= across_m.min() and across_m.max() <= width_m - head_m),
        least_depth_m=least_depth_m,
        distance_m=distance_m,
        angle_deg=(min(least_angle_deg, policy.ANGLE_KEPT_SHARE * widest_deg), max(most_angle_deg, narrowest_deg)),
        seat_not_within_m=not_within_m,
        standing=standing,
        speaker_count=count,
    )


def search_grid(limits, *, speaker_z_m, ear_z_m, seats):
    """Return the grid of candidates within limits, or None where there is none.

    Parameters
    ----------
    limits : Limits
        [-]
    speaker_z_m, ear_z_m : float
        Heights of the speakers that move and of the leading ear. [m]
    seats : int
        Number of seats: many seats are searched on a coarser grid. [-]
    """
    ends = (limits.front_m, limits.spacing_m, limits.seat_x_m)
    if not limits.seats_fit or any(high < low for low, high in ends) or limits.spacing_m[0] < 0:
        return None
    steps_m = np.array([policy.SEARCH_STEP_M, policy.SEARCH_SPACING_STEP_M, policy.SEARCH_STEP_M])
    combinations = np.prod([(high - low) / step_m + 1 for (low, high), step_m in zip(ends, steps_m, strict=True)])
    steps_m *= max(1.0, combinations * seats / policy.MOST_COMBINATIONS) ** (1 / 3)
    front_m, spacing_m, seat_x_m = (
        evenly_spaced_m(from_m=low, to_m=high, step_m=step_m) for (low, high), step_m in zip(ends, steps_m, strict=True)
    )
    facing_rad = None
    if limits.standing is not None:
        speakers = limits.standing.speakers
        speakers_m = np.array([[[place.xyz_m for place in speakers]]])
        facing_rad = np.radians([place.facing_deg for place in speakers])
    elif limits.speaker_count == 1:
        speakers_m = np.array([[[(x_m, limits.axis_y_m, speaker_z_m)] for x_m in front_m]])
    else:
        speakers_m = pairs_across_m(
            front_m=front_m, spacing_m=spacing_m, axis_y_m=limits.axis_y_m, speaker_z_m=speaker_z_m
        )
    seats_m = np.array([(x_m, limits.axis_y_m, ear_z_m) for x_m in seat_x_m])
    allowed = fitting(
        speakers_m=speakers_m,
        seats_m=seats_m,
        least_depth_m=limits.least_depth_m,
        angle_range_deg=limits.angle_deg,
        distance_range_m=limits.distance_m,
    )
    if limits.seat_not_within_m is not None:
        low_m, high_m = limits.seat_not_within_m
        allowed &= (seat_x_m < low_m) | (seat_x_m > high_m)
    grid = Grid(speakers_m=speakers_m, seats_m=seats_m, facing_rad=facing_rad, allowed=allowed)
    return grid if grid.count else None


def first_to_give_up(limits, **heights_and_seats):
    """Return the limit that alone leaves no place, the easiest to give up first; None where no single one does."""
    whole_m = (limits.seat_x_m[0], limits.seat_furthest_m)
    relaxed = {
        "seat_not_mid_room": replace(limits, seat_not_within_m=None),
        "seat_to_back_wall": replace(limits, seat_x_m=whole_m),
        "listening_distance": replace(limits, distance_m=(0.0, math.inf), seat_x_m=whole_m),
        "base_angle": replace(limits, angle_deg=(0.0, 180.0)),
    }
    return next((name for name, looser in relaxed.items() if search_grid(looser, **heights_and_seats)), None)


def _staying(search, found):
    if search.must_stay and found is None:
        raise DomainError(
            pointer="/search/must_stay",
            code="missing",
            detail="what must stay where it is needs positions.",
            given=list(search.must_stay),
            allowed="positions of the speakers and the seat",
        )
    return search.must_stay


def _axis_y_m(found, stays, *, width_m):
    """The room's axis, or that of what must stay."""
    if "seat" in stays:
        return found.seats[0].y_m
    if "speakers" in stays:
        return float(np.mean([place.y_m for place in found.speakers]))
    return width_m / 2


def _widest_m(speaker, axis_y_m, width_m):
    """Widest spacing of cabinets turned in towards a chair, in whole millimetres."""
    half_angle = math.radians(policy.PREFERRED_BASE_ANGLE_DEG / 2)
    turned_m = speaker.cabinet_width_m / 2 * math.cos(half_angle) + speaker.cabinet_depth_m * math.sin(half_angle)
    side_m = min(axis_y_m, width_m - axis_y_m) - max(turned_m + policy.SIDE_WALL_FREE_M, policy.LEAST_WALL_DISTANCE_M)
    return math.floor(2000 * side_m) / 1000


def _distance_range_m(told_m, *, length_m, widest_m):
    """Distances to search: around the one that was told, else the usual ones."""
    if told_m is not None:
        return ((1 - policy.DISTANCE_KEPT_RATIO) * told_m, (1 + policy.DISTANCE_KEPT_RATIO) * told_m)
    nearest_m, furthest_m = policy.DISTANCE_SEARCHED_M
    wanted_m = min(policy.NEAREST_SHARE_OF_LENGTH * length_m, policy.NEAREST_AT_MOST_M, widest_m)
    return (max(nearest_m, wanted_m), furthest_m)


def _front_range_m(search, speaker, standing, *, length_m):
    if standing is not None:
        return (max(place.x_m for place in standing.speakers),) * 2
    told_m = search.front_wall_distance_m
    if told_m is not None:
        outside = f"{told_m[1]:g} m from the front wall is outside a room {length_m:g} m long."
        _require_less("front_wall_distance_m", told_m[1], than_m=length_m, otherwise=outside)
        return (max(told_m[0], speaker.cabinet_depth_m), told_m[1])
    turned_depth_m = math.hypot(speaker.cabinet_depth_m, speaker.cabinet_width_m / 2)
    nearest_m = turned_depth_m + policy.BEHIND_CABINET_M
    return (nearest_m, max(min(policy.FRONT_SEARCHED_UP_TO_M, policy.FRONT_SEARCHED_SHARE * length_m), nearest_m))


def _require_less(name, end_m, *, than_m, otherwise):
    """Refuse the upper end of a range that was told when it lies outside the room."""
    if end_m >= than_m:
        raise DomainError(
            pointer=f"/search/{name}/1",
            code="does_not_fit",
            detail=otherwise,
            given=end_m,
            allowed=f"less than {than_m:g}",
        )


def _spacing_range_m(search, speaker, standing, count, usual_m, *, axis_y_m, width_m):
    """Between the speakers; ends upside down where the cabinets do not fit."""
    if standing is not None:
        first, last = standing.speakers[0], standing.speakers[-1]
        return (math.dist(first.xyz_m[:2], last.xyz_m[:2]),) * 2
    cabinet_m, side_m = speaker.cabinet_width_m, min(axis_y_m, width_m - axis_y_m)
    told_m = search.spacing_m
    if told_m is not None:
        too_wide = f"a pair {told_m[1]:g} m apart does not fit into a width of {width_m:g} m."
        _require_less("spacing_m", told_m[1], than_m=width_m, otherwise=too_wide)
    if count == 1:
        return (0.0, 0.0) if side_m >= cabinet_m / 2 else (0.0, -1.0)
    if told_m is not None:
        return (max(told_m[0], cabinet_m), min(told_m[1], math.floor(1000 * (2 * side_m - cabinet_m)) / 1000))
    widest_m = _widest_m(speaker, axis_y_m, width_m)
    return (max(min(usual_m[0], widest_m), cabinet_m), min(usual_m[1], widest_m))
