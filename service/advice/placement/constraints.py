"""Where a search for a placement looks, in one frame: what was told, what cabinet and room allow, and what is usual."""

import math
from dataclasses import dataclass

import numpy as np

from service.advice import policy
from service.advice.placement.ranges import axis_range_m, front_range_m, spacing_range_m, widest_m
from service.physics.placement.candidates import plan_geometry

_ROUNDING = 1e-9


@dataclass(frozen=True, kw_only=True)
class Limits:
    """Ends of everything that a search may vary, in a frame.

    Attributes
    ----------
    frame : Frame
        [-]
    front_m, seat_x_m, axis_y_m : tuple of float
        From and to: wall behind the speakers to the speakers, the same to the seat, left wall to the middle of the
        pair. [m]
    spacing_m : tuple of float
        Between the speakers, for the middle of `axis_y_m`. [m]
    side_m : float
        Middle of a cabinet to the nearer side wall at least. [m]
    seat_y_m : float or None
        Of a seat that stays; None where it is on the axis of the pair. [m]
    seat_offsets_m : ndarray, shape (s, 3)
        All seats re the leading one. [m]
    head_to_wall_m : float
        Of every seat to the side walls. [m]
    least_depth_m : float
        From the speakers to the leading seat, along the length. [m]
    distance_m, angle_deg : tuple of float
        Of the speakers from the leading seat in plan, and of the pair seen from it. [m, deg]
    seat_not_within_m : tuple of float or None
        Part of the length that is ruled out. [m]
    walking_room_m : float
        Past the chair on one side at least; 0 for a chair that stays. [m]
    zones_m : ndarray, shape (z, 4)
        Rectangles that stay clear: x from, x to, y from, y to. [m]
    cabinet_m : tuple of float
        Width and depth of a cabinet. [m]
    heights_m : tuple of float
        Of the speakers and of the leading ear. [m]
    standing : Positions or None
        Speakers that must stay, in the frame. [-]
    turned_rad : ndarray or None
        Directions in which speakers stay turned; None where each faces the seat. [rad]
    speaker_count : int
        1 or 2. [-]
    """

    frame: object
    front_m: tuple[float, float]
    seat_x_m: tuple[float, float]
    axis_y_m: tuple[float, float]
    spacing_m: tuple[float, float]
    side_m: float
    seat_y_m: float | None
    seat_offsets_m: np.ndarray
    head_to_wall_m: float
    least_depth_m: float
    distance_m: tuple[float, float]
    angle_deg: tuple[float, float]
    seat_not_within_m: tuple[float, float] | None
    walking_room_m: float
    zones_m: np.ndarray
    cabinet_m: tuple[float, float]
    heights_m: tuple[float, float]
    standing: object
    turned_rad: np.ndarray | None
    speaker_count: int

    @property
    def dimensions_m(self):
        """Of the frame. [m]"""
        return self.frame.dimensions_m

    @property
    def upside_down(self):
        """Whether a range has no place in it."""
        ends = (self.front_m, self.seat_x_m, self.axis_y_m, self.spacing_m)
        return any(high < low - _ROUNDING for low, high in ends) or self.spacing_m[0] < 0

    def spacing_at_m(self, axis_y_m):
        """Return from and to of the spacing about an axis. [m]"""
        if self.standing is not None or self.speaker_count == 1:
            return self.spacing_m
        nearer_m = min(axis_y_m, self.dimensions_m[1] - axis_y_m)
        return self.spacing_m[0], min(self.spacing_m[1], math.floor(2000 * (nearer_m - self.side_m) + 1e-6) / 1000)

    def facing_rad(self, speakers_m, leads_m):
        """Return where speakers (..., n, 3) look when the leading seat is at (..., 3). [rad]"""
        if self.turned_rad is not None:
            return np.broadcast_to(self.turned_rad, speakers_m.shape[:-1])
        return plan_geometry(speakers_m, leads_m).bearing_rad

    def seats_fit(self, leads_m):
        """Return whether all seats are in the room, past one side of them there is a way, and no zone is in them."""
        width_m = self.dimensions_m[1]
        places_m = np.asarray(leads_m)[..., None, :] + self.seat_offsets_m
        x_m, y_m = places_m[..., 0], places_m[..., 1]
        left_m, right_m = y_m.min(axis=-1), width_m - y_m.max(axis=-1)
        fit = np.minimum(left_m, right_m) >= self.head_to_wall_m - _ROUNDING
        if self.walking_room_m > 0:
            fit &= np.maximum(left_m, right_m) - policy.CHAIR_RADIUS_M >= self.walking_room_m - _ROUNDING
        if self.seat_not_within_m is not None:
            low_m, high_m = self.seat_not_within_m
            fit &= (places_m[..., 0, 0] < low_m) | (places_m[..., 0, 0] > high_m)
        if self.seat_y_m is None or self.seat_x_m[0] < self.seat_x_m[1]:
            for x0, x1, y0, y1 in self.zones_m:
                away_m = np.hypot(x_m - np.clip(x_m, x0, x1), y_m - np.clip(y_m, y0, y1))
                fit &= (away_m >= policy.CHAIR_RADIUS_M - _ROUNDING).all(axis=-1)
        return fit

    def cabinets_clear(self, speakers_m, facing_rad):
        """Return whether a cabinet whose front is at (..., 3), turned as (...), is clear of every zone."""
        clear = np.ones(np.shape(facing_rad), dtype=bool)
        if self.standing is not None or not len(self.zones_m):
            return clear
        width_m, depth_m = self.cabinet_m
        cosine, sine = np.cos(facing_rad), np.sin(facing_rad)
        half_m = (depth_m / 2, width_m / 2)
        middle_m = (speakers_m[..., 0] - half_m[0] * cosine, speakers_m[..., 1] - half_m[0] * sine)
        reach_m = [np.abs(cosine) * half_m[0] + np.abs(sine) * half_m[1]]
        reach_m.append(np.abs(sine) * half_m[0] + np.abs(cosine) * half_m[1])
        for x0, x1, y0, y1 in self.zones_m:
            away_m = (middle_m[0] - (x0 + x1) / 2, middle_m[1] - (y0 + y1) / 2)
            size_m = ((x1 - x0) / 2, (y1 - y0) / 2)
            # two rectangles are apart when a side of one of them separates them
            apart = np.abs(away_m[0]) >= reach_m[0] + size_m[0] - _ROUNDING
            apart |= np.abs(away_m[1]) >= reach_m[1] + size_m[1] - _ROUNDING
            ahead_m = np.abs(away_m[0] * cosine + away_m[1] * sine)
            apart |= ahead_m >= half_m[0] + np.abs(cosine) * size_m[0] + np.abs(sine) * size_m[1] - _ROUNDING
            aside_m = np.abs(-away_m[0] * sine + away_m[1] * cosine)
            apart |= aside_m >= half_m[1] + np.abs(sine) * size_m[0] + np.abs(cosine) * size_m[1] - _ROUNDING
            clear &= apart
        return clear

    def together(self, speakers_m, leads_m):
        """Return whether speakers (..., n, 3) and leading seats (..., 3) keep distance, depth and base angle."""
        seen = plan_geometry(speakers_m, leads_m)
        depth_m = leads_m[..., 0] - speakers_m[..., 0].max(axis=-1)
        fit = (depth_m >= self.least_depth_m - _ROUNDING) & _within(seen.distance_m, self.distance_m)
        if self.speaker_count == 1:
            return fit
        return fit & _within(np.degrees(seen.base_angle_rad), self.angle_deg)

    def allows(self, speakers_m, leads_m):
        """Return whether placements (c, n, 3), (c, 3) keep every limit."""
        x_m, y_m = leads_m[:, 0], speakers_m[..., 1]
        fit = self.together(speakers_m, leads_m) & self.seats_fit(leads_m) & _within(x_m, self.seat_x_m)
        if self.standing is None:
            fit &= _within(speakers_m[:, 0, 0], self.front_m)
            fit &= (np.minimum(y_m, self.dimensions_m[1] - y_m) >= self.side_m - _ROUNDING).all(axis=1)
            if self.speaker_count == 2:
                fit &= _within(y_m[:, 1] - y_m[:, 0], self.spacing_m)
            fit &= self.cabinets_clear(speakers_m, self.facing_rad(speakers_m, leads_m)).all(axis=1)
        return fit


def _within(value, ends):
    return (value >= ends[0] - _ROUNDING) & (value <= ends[1] + _ROUNDING)


def search_limits(frame, speaker, wanted):
    """Return the limits of a search in a frame.

    Parameters
    ----------
    frame : Frame
        [-]
    speaker : PlacedSpeaker
        [-]
    wanted : Wanted
        What was told and what follows from it. [-]

    Raises
    ------
    DomainError
        A range lies outside the room.
    """
    search, (length_m, width_m, _) = wanted.search, frame.dimensions_m
    found = frame.positions(wanted.found)
    stays = frozenset(search.must_stay)
    standing = found if "speakers" in stays else None
    seat = found.seats[0] if "seat" in stays else None
    offsets_m = wanted.seat_offsets_m
    if seat is not None:
        seats_m = np.array([place.xyz_m for place in found.seats])
        offsets_m = (seats_m - seats_m[0])[wanted.judged]
    axis_m = axis_range_m(search, speaker, standing, seat, wanted, width_m=width_m)
    middle_m = min(max(width_m / 2, axis_m[0]), axis_m[1])
    distance_m = _distance_range_m(wanted, length_m=length_m, widest_m=widest_m(speaker, middle_m, width_m))
    corner = wanted.standings == ("corner",)
    usual_angle_deg = policy.CORNER_ANGLE_DEG if corner else policy.BASE_ANGLE_SEARCHED_DEG

    ahead_m = -min(float(offsets_m[:, 0].min()), 0.0)
    nearest_depth_m = distance_m[0] * math.cos(math.radians(usual_angle_deg[1] / 2))
    least_depth_m = ahead_m + max(min(policy.LEAST_DEPTH_M, nearest_depth_m), policy.SMALLEST_DEPTH_M)
    front_m = front_range_m(search, speaker, standing, wanted, length_m=length_m)
    behind_m = max(float(offsets_m[:, 0].max()), 0.0)
    told_back_m = search.seat_to_back_wall_min_m
    back_m = max(policy.SEAT_TO_BACK_WALL_M if told_back_m is None else told_back_m, policy.HEAD_TO_WALL_M)
    seat_m = (front_m[0] + least_depth_m, length_m - back_m - behind_m) if seat is None else (seat.x_m,) * 2

    # the distance follows what is fixed, the spacing follows the distance, and the base angle what both leave
    longest_m, shortest_m = seat_m[1] - front_m[0], max(seat_m[0] - front_m[1], least_depth_m)
    if search.seat_distance_m is None:
        forced_m = (1 + policy.DISTANCE_KEPT_RATIO) * shortest_m
        distance_m = (min(distance_m[0], max(longest_m, 0.0)), max(distance_m[1], forced_m))
    reached_m = (max(distance_m[0], shortest_m), distance_m[1])
    usual_m = policy.SPACING_SEARCHED_M
    if wanted.distance_m is not None or search.seat_distance_m is not None:
        angles = (math.radians(angle / 2) for angle in search.base_angle_deg or usual_angle_deg)
        usual_m = tuple(2 * end_m * math.sin(angle) for end_m, angle in zip(reached_m, angles, strict=True))
    usual_m = (usual_m[0], max(usual_m[1], reached_m[0]))
    spacing_m, side_m = spacing_range_m(search, speaker, standing, wanted, usual_m, axis_y_m=middle_m, width_m=width_m)
    angle_deg = search.base_angle_deg
    if angle_deg is None:
        widest_deg = math.degrees(2 * math.asin(min(1.0, max(spacing_m[1], 0.0) / 2 / max(reached_m[0], 0.1))))
        narrowest_deg = math.degrees(2 * math.atan2(max(spacing_m[0], 0.0) / 2, max(longest_m, 0.1)))
        low_deg, high_deg = usual_angle_deg
        angle_deg = (min(low_deg, policy.ANGLE_KEPT_SHARE * widest_deg), max(high_deg, narrowest_deg))
    if wanted.angle_is_free:
        angle_deg = (0.0, 180.0)
    not_within_m = tuple(ratio * length_m for ratio in policy.MID_ROOM_RATIO) if search.seat_not_mid_room else None
    turned_rad = None
    if standing is not None:
        turned_rad = np.radians([place.facing_deg for place in standing.speakers])
    elif corner:
        turned_rad = np.radians([45.0, -45.0] if wanted.count == 2 else [45.0])
    return Limits(
        frame=frame,
        front_m=front_m,
        seat_x_m=(seat_m[0], min(seat_m[1], front_m[1] + distance_m[1])),
        axis_y_m=axis_m,
        spacing_m=spacing_m,
        side_m=side_m,
        seat_y_m=None if seat is None else seat.y_m,
        seat_offsets_m=offsets_m,
        head_to_wall_m=0.0 if seat is not None else policy.HEAD_TO_WALL_M,
        least_depth_m=least_depth_m,
        distance_m=distance_m,
        angle_deg=angle_deg,
        seat_not_within_m=not_within_m,
        walking_room_m=0.0 if seat is not None else wanted.walking_room_m,
        zones_m=np.array([frame.zone_m(zone) for zone in search.keep_clear]).reshape(-1, 4),
        cabinet_m=(speaker.cabinet_width_m, speaker.cabinet_depth_m),
        heights_m=(wanted.speaker_z_m, wanted.ear_z_m),
        standing=standing,
        turned_rad=turned_rad,
        speaker_count=wanted.count,
    )


def _distance_range_m(wanted, *, length_m, widest_m):
    """Distances to search: those that were told, those around the one that was told, else the usual ones."""
    if wanted.search.seat_distance_m is not None:
        return wanted.search.seat_distance_m
    told_m = wanted.distance_m
    if told_m is not None:
        return ((1 - policy.DISTANCE_KEPT_RATIO) * told_m, (1 + policy.DISTANCE_KEPT_RATIO) * told_m)
    if wanted.distance_is_free:
        return (0.0, math.inf)
    nearest_m, furthest_m = policy.DISTANCE_SEARCHED_M
    wished_m = min(policy.NEAREST_SHARE_OF_LENGTH * length_m, policy.NEAREST_AT_MOST_M, widest_m)
    return (max(nearest_m, wished_m), furthest_m)
