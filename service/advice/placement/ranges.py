"""What a search for a placement is asked, and the ranges of the speakers: from the front wall, apart, sideways."""

import math
from dataclasses import dataclass

import numpy as np

from service.advice import policy
from service.domain.errors import DomainError


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What a search is asked, whatever wall is the front.

    Attributes
    ----------
    search : Search
        [-]
    found : Positions or None
        Present places, checked, in the room. [-]
    count : int
        Speakers. [-]
    distance_m : float or None
        Listening distance that was told, kept roughly. [m]
    speaker_z_m, ear_z_m : float
        Heights. [m]
    seat_offsets_m : ndarray, shape (s, 3)
        Judged seats re the leading one, in the frame of the present places. [m]
    judged : ndarray of int, shape (s,)
        Which of the seats these are. [-]
    standings : tuple of str
        Ways of standing that suit the speaker. [-]
    walking_room_m : float
        Past the chair. [m]
    distance_is_free, angle_is_free : bool
        Whether these limits were given up, to see what that would gain. [-]
    """

    search: object
    found: object
    count: int
    distance_m: float | None
    speaker_z_m: float
    ear_z_m: float
    seat_offsets_m: np.ndarray
    judged: np.ndarray
    standings: tuple[str, ...]
    walking_room_m: float
    distance_is_free: bool = False
    angle_is_free: bool = False


def axis_range_m(search, speaker, standing, seat, wanted, *, width_m):
    """Return from and to of the middle of the pair: the room's axis, that of what stays, or a range. [m]"""
    if standing is not None:
        return (float(np.mean([place.y_m for place in standing.speakers])),) * 2
    if search.symmetric:
        return (width_m / 2 if seat is None else seat.y_m,) * 2
    side_m = speaker.cabinet_width_m / 2 + policy.SIDE_WALL_FREE_M
    low_m = side_m + (0.0 if wanted.count == 1 else least_spacing_m(search, speaker) / 2)
    if seat is None:
        return (low_m, width_m - low_m)
    aside_m = policy.UNLIKE_DISTANCE_COSTS_M
    return (max(low_m, seat.y_m - aside_m), min(width_m - low_m, seat.y_m + aside_m))


def least_spacing_m(search, speaker):
    """Return the narrowest pair that is searched off the room's axis. [m]"""
    told_m = search.spacing_m
    return max(policy.SPACING_SEARCHED_M[0] if told_m is None else told_m[0], speaker.cabinet_width_m)


def widest_m(speaker, axis_y_m, width_m):
    """Return the widest spacing of cabinets turned in towards a chair, in whole millimetres. [m]"""
    return math.floor(2000 * (min(axis_y_m, width_m - axis_y_m) - turned_side_m(speaker))) / 1000


def turned_side_m(speaker):
    """Return how far the middle of a front is from the side wall, the cabinet turned in towards a chair. [m]"""
    half_angle = math.radians(policy.PREFERRED_BASE_ANGLE_DEG / 2)
    turned_m = speaker.cabinet_width_m / 2 * math.cos(half_angle) + speaker.cabinet_depth_m * math.sin(half_angle)
    return max(turned_m + policy.SIDE_WALL_FREE_M, policy.LEAST_WALL_DISTANCE_M)


def corner_m(speaker):
    """Return how far the middle of the front is from both walls, the cabinet turned by 45 degrees in a corner. [m]"""
    return (speaker.cabinet_depth_m + speaker.cabinet_width_m / 2) / math.sqrt(2)


def front_range_m(search, speaker, standing, wanted, *, length_m):
    """Return from and to of the distance between the wall behind the speakers and their fronts. [m]"""
    if standing is not None:
        return (max(place.x_m for place in standing.speakers),) * 2
    low_m, high_m = _untold_front_range_m(speaker, wanted, length_m=length_m)
    told_m, most_m = search.front_wall_distance_m, search.front_wall_to_baffle_max_m
    if told_m is not None:
        outside = f"{told_m[1]:g} m from the front wall is outside a room {length_m:g} m long."
        require_less("front_wall_distance_m", told_m[1], than_m=length_m, otherwise=outside)
        low_m, high_m = max(told_m[0], speaker.cabinet_depth_m), told_m[1]
    if most_m is not None:
        high_m = min(high_m, most_m) if told_m is not None or high_m < most_m else most_m
        if told_m is None and low_m > most_m:
            low_m = min(low_m, max(most_m, speaker.cabinet_depth_m))
    return low_m, high_m


def _untold_front_range_m(speaker, wanted, *, length_m):
    turned_m = math.hypot(speaker.cabinet_depth_m, speaker.cabinet_width_m / 2) + policy.BEHIND_CABINET_M
    furthest_m = max(min(policy.FRONT_SEARCHED_UP_TO_M, policy.FRONT_SEARCHED_SHARE * length_m), turned_m)
    if wanted.standings == ("corner",):
        nearest_m = corner_m(speaker)
        return nearest_m, nearest_m + policy.IN_CORNER_WITHIN_M
    if "free" not in wanted.standings:
        return turned_m, min(furthest_m, speaker.cabinet_depth_m + policy.NEAR_WALL_WITHIN_M)
    if speaker.radiation == "dipole":
        return max(turned_m, min(policy.DIPOLE_TO_FRONT_WALL_M, furthest_m)), furthest_m
    return turned_m, furthest_m


def require_less(name, end_m, *, than_m, otherwise):
    """Refuse the upper end of a range that was told when it lies outside the room."""
    if end_m >= than_m:
        raise DomainError(
            pointer=f"/search/{name}/1",
            code="does_not_fit",
            detail=otherwise,
            given=end_m,
            allowed=f"less than {than_m:g}",
        )


def spacing_range_m(search, speaker, standing, wanted, usual_m, *, axis_y_m, width_m):
    """Return from and to of the spacing, upside down where the cabinets do not fit, and the least distance of a front's
    middle from a side wall. [m]"""
    cabinet_m, nearer_m = speaker.cabinet_width_m, min(axis_y_m, width_m - axis_y_m)
    if standing is not None:
        first, last = standing.speakers[0], standing.speakers[-1]
        return (math.dist(first.xyz_m[:2], last.xyz_m[:2]),) * 2, 0.0
    told_m = search.spacing_m
    if told_m is not None:
        too_wide = f"a pair {told_m[1]:g} m apart does not fit into a width of {width_m:g} m."
        require_less("spacing_m", told_m[1], than_m=width_m, otherwise=too_wide)
    if wanted.count == 1:
        side_m = corner_m(speaker) if wanted.standings == ("corner",) else cabinet_m / 2
        return ((0.0, 0.0) if nearer_m >= side_m else (0.0, -1.0)), side_m
    if told_m is not None:
        side_m = cabinet_m / 2
        return (max(told_m[0], cabinet_m), min(told_m[1], math.floor(2000 * (nearer_m - side_m)) / 1000)), side_m
    if wanted.standings == ("corner",):
        side_m = corner_m(speaker)
        widest = math.floor(2000 * (nearer_m - side_m)) / 1000
        return (max(widest - 2 * policy.IN_CORNER_WITHIN_M, cabinet_m), widest), side_m
    widest = widest_m(speaker, axis_y_m, width_m)
    return (max(min(usual_m[0], widest), cabinet_m), min(usual_m[1], widest)), turned_side_m(speaker)
