"""Ranges of a search for a placement in one frame: of the speakers, of the chair, and of both together."""

import math
from dataclasses import dataclass

import numpy as np

from service.advice.assumptions import DEFAULTS
from service.advice.placement import policy
from service.advice.placement.constraints import Constraints
from service.advice.placement.frames import Frame, facing_rad
from service.advice.placement.wanted import PlacedSpeaker, Wanted
from service.advice.policy import HEAD_TO_WALL_M, LEAST_WALL_DISTANCE_M, PREFERRED_BASE_ANGLE_DEG
from service.domain.errors import DomainError
from service.domain.position import Place, Positions
from service.domain.words import Words, words

Range = tuple[float, float]
"""From and to."""


def search_constraints(frame: Frame, speaker: PlacedSpeaker, wanted: Wanted) -> Constraints:
    """Return the constraints of a search in a frame.

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

    Notes
    -----
    The distance follows what is fixed, the spacing follows the distance, and the base angle what both leave.
    """
    ranges = _Ranges.of(frame, speaker, wanted)
    axis_y_m = ranges.axis_y_m()
    middle_m = min(max(ranges.width_m / 2, axis_y_m[0]), axis_y_m[1])
    distance_m = ranges.wished_distance_m(middle_m)
    least_depth_m = ranges.least_depth_m(distance_m[0])
    front_m = ranges.front_m()
    seat_x_m = ranges.seat_x_m(nearest_m=front_m[0] + least_depth_m)
    depth_m = (max(seat_x_m[0] - front_m[1], least_depth_m), seat_x_m[1] - front_m[0])
    distance_m = ranges.possible_distance_m(distance_m, depth_m)
    nearest_m = max(distance_m[0], depth_m[0])
    spacing_m, side_m = ranges.spacing_m(ranges.usual_spacing_m((nearest_m, distance_m[1])), axis_y_m=middle_m)
    search, fixed_seat = wanted.search, ranges.fixed_seat
    return Constraints(
        frame=frame,
        front_m=front_m,
        seat_x_m=(seat_x_m[0], min(seat_x_m[1], front_m[1] + distance_m[1])),
        axis_y_m=axis_y_m,
        spacing_m=spacing_m,
        side_m=side_m,
        seat_y_m=None if fixed_seat is None else fixed_seat.y_m,
        seat_offsets_m=ranges.seat_offsets_m,
        head_to_wall_m=HEAD_TO_WALL_M if fixed_seat is None else 0.0,
        least_depth_m=least_depth_m,
        distance_m=distance_m,
        angle_deg=ranges.angle_deg(spacing_m, nearest_m=nearest_m, longest_m=depth_m[1]),
        seat_not_within_m=ranges.mid_room_m() if search.seat_not_mid_room else None,
        walking_room_m=wanted.walking_room_m if fixed_seat is None else 0.0,
        zones_m=np.array([frame.zone_m(zone) for zone in search.keep_clear]).reshape(-1, 4),
        cabinet_m=(speaker.cabinet_width_m, speaker.cabinet_depth_m),
        heights_m=(wanted.speaker_z_m, wanted.ear_z_m),
        fixed_speakers=ranges.fixed_speakers,
        fixed_facing_rad=ranges.fixed_facing_rad(),
        speaker_count=wanted.count,
    )


@dataclass(frozen=True, kw_only=True)
class _Ranges:
    """Works out the ranges of a frame from what was told, what must stay, the cabinet and the room."""

    wanted: Wanted
    speaker: PlacedSpeaker
    length_m: float
    width_m: float
    fixed_speakers: Positions | None
    fixed_seat: Place | None
    seat_offsets_m: np.ndarray

    @classmethod
    def of(cls, frame: Frame, speaker: PlacedSpeaker, wanted: Wanted) -> "_Ranges":
        speakers_from, seats_from = wanted.staying("speakers"), wanted.staying("seat")
        fixed_seat, offsets_m = None, wanted.seat_offsets_m
        if seats_from is not None:
            seats = frame.positions(seats_from).seats
            seats_m = np.array([place.xyz_m for place in seats])
            fixed_seat, offsets_m = seats[0], (seats_m - seats_m[0])[wanted.judged]
        return cls(
            wanted=wanted,
            speaker=speaker,
            length_m=frame.dimensions_m[0],
            width_m=frame.dimensions_m[1],
            fixed_speakers=None if speakers_from is None else frame.positions(speakers_from),
            fixed_seat=fixed_seat,
            seat_offsets_m=offsets_m,
        )

    # across the room

    def axis_y_m(self) -> Range:
        """The middle of the pair: the room's axis, that of what stays, or a range. [m]"""
        search, seat = self.wanted.search, self.fixed_seat
        if self.fixed_speakers is not None:
            return (float(np.mean([place.y_m for place in self.fixed_speakers.speakers])),) * 2
        if search.symmetric:
            return (self.width_m / 2 if seat is None else seat.y_m,) * 2
        side_m = self.speaker.cabinet_width_m / 2 + policy.SIDE_WALL_FREE_M
        low_m = side_m + (0.0 if self.wanted.count == 1 else self._least_spacing_m() / 2)
        if seat is None:
            return (low_m, self.width_m - low_m)
        aside_m = policy.UNLIKE_DISTANCE_COSTS_M
        return (max(low_m, seat.y_m - aside_m), min(self.width_m - low_m, seat.y_m + aside_m))

    def _least_spacing_m(self) -> float:
        """The narrowest pair that is searched off the room's axis. [m]"""
        told_m = self.wanted.search.spacing_m
        return max(policy.SPACING_SEARCHED_M[0] if told_m is None else told_m[0], self.speaker.cabinet_width_m)

    def usual_spacing_m(self, distance_m: Range) -> Range:
        """The spacing where nobody told one: the usual one, or that of the usual angles at a told distance. [m]"""
        wanted, usual_m = self.wanted, policy.SPACING_SEARCHED_M
        if wanted.distance_m is not None or wanted.search.seat_distance_m is not None:
            narrow_deg, wide_deg = wanted.search.base_angle_deg or self._usual_angle_deg()
            usual_m = (_base_m(distance_m[0], narrow_deg), _base_m(distance_m[1], wide_deg))
        return usual_m[0], max(usual_m[1], distance_m[0])

    def spacing_m(self, usual_m: Range, *, axis_y_m: float) -> tuple[Range, float]:
        """The spacing, upside down where the cabinets do not fit, and the least distance of a front's middle from a
        side wall. [m]"""
        search, cabinet_m = self.wanted.search, self.speaker.cabinet_width_m
        if self.fixed_speakers is not None:
            first, last = self.fixed_speakers.speakers[0], self.fixed_speakers.speakers[-1]
            return (math.dist(first.xyz_m[:2], last.xyz_m[:2]),) * 2, 0.0
        told_m = search.spacing_m
        if told_m is not None:
            _require_less(
                search.pointer("spacing_m", 1),
                told_m[1],
                than_m=self.width_m,
                otherwise=words("refusals_placement.spacing_outside", spacing_m=told_m[1], width_m=self.width_m),
            )
        if self.wanted.count == 1:
            side_m = corner_m(self.speaker) if self.wanted.in_corners else cabinet_m / 2
            return ((0.0, 0.0) if min(axis_y_m, self.width_m - axis_y_m) >= side_m else (0.0, -1.0)), side_m
        if told_m is not None:
            side_m = cabinet_m / 2
            return (max(told_m[0], cabinet_m), min(told_m[1], self._widest_m(axis_y_m, side_m))), side_m
        if self.wanted.in_corners:
            side_m = corner_m(self.speaker)
            widest_m = self._widest_m(axis_y_m, side_m)
            return (max(widest_m - 2 * policy.IN_CORNER_WITHIN_M, cabinet_m), widest_m), side_m
        side_m = toed_in_side_m(self.speaker)
        widest_m = self._widest_m(axis_y_m, side_m)
        return (max(min(usual_m[0], widest_m), cabinet_m), min(usual_m[1], widest_m)), side_m

    def _widest_m(self, axis_y_m: float, side_m: float) -> float:
        """The widest spacing about an axis whose fronts keep off the side walls, in whole millimetres. [m]"""
        return math.floor(2000 * (min(axis_y_m, self.width_m - axis_y_m) - side_m)) / 1000

    # along the room

    def front_m(self) -> Range:
        """The distance between the wall behind the speakers and their fronts. [m]"""
        search, depth_m = self.wanted.search, self.speaker.cabinet_depth_m
        if self.fixed_speakers is not None:
            return (max(place.x_m for place in self.fixed_speakers.speakers),) * 2
        low_m, high_m = self._untold_front_m()
        told_m, most_m = search.front_wall_distance_m, search.front_wall_to_baffle_max_m
        if told_m is not None:
            _require_less(
                search.pointer("front_wall_distance_m", 1),
                told_m[1],
                than_m=self.length_m,
                otherwise=words("refusals_placement.front_outside", distance_m=told_m[1], length_m=self.length_m),
            )
            low_m, high_m = max(told_m[0], depth_m), told_m[1]
        if most_m is not None:
            high_m = min(high_m, most_m)
            if told_m is None and low_m > most_m:
                low_m = min(low_m, max(most_m, depth_m))
        return low_m, high_m

    def _untold_front_m(self) -> Range:
        speaker = self.speaker
        nearest_m = math.hypot(speaker.cabinet_depth_m, speaker.cabinet_width_m / 2) + policy.BEHIND_CABINET_M
        furthest_m = max(min(policy.FRONT_SEARCHED_UP_TO_M, policy.FRONT_SEARCHED_SHARE * self.length_m), nearest_m)
        if self.wanted.in_corners:
            return corner_m(speaker), corner_m(speaker) + policy.IN_CORNER_WITHIN_M
        if "free" not in self.wanted.ways_of_standing:
            return nearest_m, min(furthest_m, speaker.cabinet_depth_m + policy.NEAR_WALL_WITHIN_M)
        if speaker.radiation == "dipole":
            return max(nearest_m, min(policy.DIPOLE_TO_FRONT_WALL_M, furthest_m)), furthest_m
        return nearest_m, furthest_m

    def least_depth_m(self, nearest_m: float) -> float:
        """From the speakers to the leading seat, so that no seat comes too near; `nearest_m` is the distance. [m]"""
        ahead_m = -min(float(self.seat_offsets_m[:, 0].min()), 0.0)
        nearest_depth_m = nearest_m * math.cos(math.radians(self._usual_angle_deg()[1] / 2))
        return ahead_m + max(min(policy.LEAST_DEPTH_M, nearest_depth_m), policy.SMALLEST_DEPTH_M)

    def seat_x_m(self, *, nearest_m: float) -> Range:
        """The leading seat: up to where the rearmost seat keeps off the wall behind. [m]"""
        if self.fixed_seat is not None:
            return (self.fixed_seat.x_m,) * 2
        told_m = self.wanted.search.seat_to_back_wall_min_m
        behind_m = max(float(self.seat_offsets_m[:, 0].max()), 0.0)
        if told_m is None:
            told_m = DEFAULTS["search/seat_to_back_wall_min_m"].value
        back_m = max(told_m, HEAD_TO_WALL_M)
        return (nearest_m, self.length_m - back_m - behind_m)

    def mid_room_m(self) -> Range:
        """Part of the length that counts as mid-room. [m]"""
        low_ratio, high_ratio = policy.MID_ROOM_RATIO
        return low_ratio * self.length_m, high_ratio * self.length_m

    # both together

    def wished_distance_m(self, axis_y_m: float) -> Range:
        """Distances to search: those that were told, those around the one that was told, else the usual ones. [m]"""
        wanted = self.wanted
        if wanted.search.seat_distance_m is not None:
            return wanted.search.seat_distance_m
        if wanted.distance_m is not None:
            kept = policy.DISTANCE_KEPT_RATIO
            return ((1 - kept) * wanted.distance_m, (1 + kept) * wanted.distance_m)
        if wanted.distance_is_free:
            return (0.0, math.inf)
        nearest_m, furthest_m = policy.DISTANCE_SEARCHED_M
        widest_m = self._widest_m(axis_y_m, toed_in_side_m(self.speaker))
        wished_m = min(policy.NEAREST_SHARE_OF_LENGTH * self.length_m, policy.NEAREST_AT_MOST_M, widest_m)
        return (max(nearest_m, wished_m), furthest_m)

    def possible_distance_m(self, wished_m: Range, depth_m: Range) -> Range:
        """The same where the depths that there are leave no such distance, unless it was told as a range. [m]"""
        if self.wanted.search.seat_distance_m is not None:
            return wished_m
        forced_m = (1 + policy.DISTANCE_KEPT_RATIO) * depth_m[0]
        return (min(wished_m[0], max(depth_m[1], 0.0)), max(wished_m[1], forced_m))

    def angle_deg(self, spacing_m: Range, *, nearest_m: float, longest_m: float) -> Range:
        """Base angles: as told, else the usual ones and those that spacing and depths force. [deg]"""
        if self.wanted.angle_is_free:
            return (0.0, 180.0)
        if self.wanted.search.base_angle_deg is not None:
            return self.wanted.search.base_angle_deg
        widest_deg = math.degrees(2 * math.asin(min(1.0, max(spacing_m[1], 0.0) / 2 / max(nearest_m, 0.1))))
        narrowest_deg = math.degrees(2 * math.atan2(max(spacing_m[0], 0.0) / 2, max(longest_m, 0.1)))
        low_deg, high_deg = self._usual_angle_deg()
        return (min(low_deg, policy.ANGLE_KEPT_SHARE * widest_deg), max(high_deg, narrowest_deg))

    def _usual_angle_deg(self) -> Range:
        return policy.CORNER_ANGLE_DEG if self.wanted.in_corners else policy.BASE_ANGLE_SEARCHED_DEG

    def fixed_facing_rad(self) -> np.ndarray | None:
        """Directions that the speakers keep: those of speakers that stay, or out of the corners. [rad]"""
        if self.fixed_speakers is not None:
            return facing_rad(self.fixed_speakers.speakers)
        if self.wanted.in_corners:
            return np.radians([45.0, -45.0] if self.wanted.count == 2 else [45.0])
        return None


def _base_m(distance_m: float, base_angle_deg: float) -> float:
    """The side of a pair that is seen under an angle from a distance. [m]"""
    return 2 * distance_m * math.sin(math.radians(base_angle_deg / 2))


def toed_in_side_m(speaker: PlacedSpeaker) -> float:
    """Return how far the middle of a front is from the side wall, the cabinet turned in towards a chair. [m]"""
    half_angle_rad = math.radians(PREFERRED_BASE_ANGLE_DEG / 2)
    across_m = speaker.cabinet_width_m / 2 * math.cos(half_angle_rad) + speaker.cabinet_depth_m * math.sin(
        half_angle_rad
    )
    return max(across_m + policy.SIDE_WALL_FREE_M, LEAST_WALL_DISTANCE_M)


def corner_m(speaker: PlacedSpeaker) -> float:
    """Return how far the middle of the front is from both walls, the cabinet turned by 45 degrees in a corner. [m]"""
    return (speaker.cabinet_depth_m + speaker.cabinet_width_m / 2) / math.sqrt(2)


def _require_less(pointer: str, end_m: float, *, than_m: float, otherwise: Words) -> None:
    """Refuse the upper end of a range that was told when it lies outside the room."""
    if end_m >= than_m:
        raise DomainError(
            pointer=pointer,
            code="does_not_fit",
            detail=otherwise,
            given=end_m,
            allowed=words("refusals_placement.less_than", extent_m=than_m),
        )
