"""Where a search for a placement looks, in one frame: what was told, what cabinet and room allow, and what is usual."""

import math
from dataclasses import dataclass

import numpy as np

from service.advice.placement import policy
from service.advice.placement.frames import Frame
from service.domain.position import Positions
from service.physics.placement.candidates import plan_geometry

_ROUNDING = 1e-9


@dataclass(frozen=True, kw_only=True)
class Constraints:
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
    fixed_speakers : Positions or None
        Places of which the speakers must stay, in the frame. [-]
    fixed_facing_rad : ndarray or None
        Directions that the speakers keep; None where each faces the seat. [rad]
    speaker_count : int
        1 or 2. [-]
    """

    frame: Frame
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
    fixed_speakers: Positions | None
    fixed_facing_rad: np.ndarray | None
    speaker_count: int

    @property
    def dimensions_m(self) -> tuple[float, float, float]:
        """Of the frame. [m]"""
        return self.frame.dimensions_m

    @property
    def upside_down(self) -> bool:
        """Whether a range has no place in it."""
        ends = (self.front_m, self.seat_x_m, self.axis_y_m, self.spacing_m)
        return any(high < low - _ROUNDING for low, high in ends) or self.spacing_m[0] < 0

    def spacing_at_m(self, axis_y_m: float) -> tuple[float, float]:
        """Return from and to of the spacing about an axis. [m]"""
        if self.fixed_speakers is not None or self.speaker_count == 1:
            return self.spacing_m
        nearer_m = min(axis_y_m, self.dimensions_m[1] - axis_y_m)
        return self.spacing_m[0], min(self.spacing_m[1], math.floor(2000 * (nearer_m - self.side_m) + 1e-6) / 1000)

    def facing_rad(self, speakers_m: np.ndarray, leads_m: np.ndarray) -> np.ndarray:
        """Return where speakers (..., n, 3) look when the leading seat is at (..., 3). [rad]"""
        if self.fixed_facing_rad is not None:
            return np.broadcast_to(self.fixed_facing_rad, speakers_m.shape[:-1])
        return plan_geometry(speakers_m, leads_m).bearing_rad

    def seats_fit(self, leads_m: np.ndarray) -> np.ndarray:
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

    def cabinets_clear(self, speakers_m: np.ndarray, facing_rad: np.ndarray) -> np.ndarray:
        """Return whether a cabinet whose front is at (..., 3) and faces (...) is clear of every zone."""
        clear = np.ones(np.shape(facing_rad), dtype=bool)
        if self.fixed_speakers is not None or not len(self.zones_m):
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

    def together(self, speakers_m: np.ndarray, leads_m: np.ndarray) -> np.ndarray:
        """Return whether speakers (..., n, 3) and leading seats (..., 3) keep distance, depth and base angle."""
        seen = plan_geometry(speakers_m, leads_m)
        depth_m = leads_m[..., 0] - speakers_m[..., 0].max(axis=-1)
        fit = (depth_m >= self.least_depth_m - _ROUNDING) & _within(seen.distance_m, self.distance_m)
        if self.speaker_count == 1:
            return fit
        return fit & _within(np.degrees(seen.base_angle_rad), self.angle_deg)

    def allows(self, speakers_m: np.ndarray, leads_m: np.ndarray) -> np.ndarray:
        """Return whether placements (c, n, 3), (c, 3) keep every constraint."""
        x_m, y_m = leads_m[:, 0], speakers_m[..., 1]
        fit = self.together(speakers_m, leads_m) & self.seats_fit(leads_m) & _within(x_m, self.seat_x_m)
        if self.fixed_speakers is None:
            fit &= _within(speakers_m[:, 0, 0], self.front_m)
            fit &= (np.minimum(y_m, self.dimensions_m[1] - y_m) >= self.side_m - _ROUNDING).all(axis=1)
            if self.speaker_count == 2:
                fit &= _within(y_m[:, 1] - y_m[:, 0], self.spacing_m)
            fit &= self.cabinets_clear(speakers_m, self.facing_rad(speakers_m, leads_m)).all(axis=1)
        return fit


def _within(value: np.ndarray, ends: tuple[float, float]) -> np.ndarray:
    return (value >= ends[0] - _ROUNDING) & (value <= ends[1] + _ROUNDING)
