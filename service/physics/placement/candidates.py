"""Candidate placements: a pair symmetric about the room's axis and a seat on it, on a grid of three distances."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, kw_only=True)
class Grid:
    """The grid of the search; the order of axes is spacing, front wall distance, seat.

    Attributes
    ----------
    spacing_m : ndarray, shape (j,)
        Between the two speakers' acoustic centres. [m]
    front_m : ndarray, shape (i,)
        From the front wall to the speakers. [m]
    seat_x_m : ndarray, shape (k,)
        From the front wall to the seat, evenly spaced. [m]
    allowed : ndarray of bool, shape (j, i, k)
        Which combinations fit the constraints. [-]
    """

    spacing_m: np.ndarray
    front_m: np.ndarray
    seat_x_m: np.ndarray
    allowed: np.ndarray

    @property
    def count(self):
        """Number of candidates that fit. [-]"""
        return int(self.allowed.sum())

    def geometry(self):
        """Return the distance from speaker to seat in plan, and half the base angle, both shape (j, i, k)."""
        return plan_geometry(self.spacing_m[:, None, None], self.seat_x_m - self.front_m[:, None])


@dataclass(frozen=True, kw_only=True)
class PlanGeometry:
    """Distance in plan [m] and the angle of each speaker off the axis [rad]."""

    distance_m: np.ndarray
    half_angle_rad: np.ndarray


def plan_geometry(spacing_m, depth_m):
    """Return distance and half the base angle of a pair seen from a seat on its axis."""
    half_m = np.asarray(spacing_m) / 2
    depth_m = np.asarray(depth_m)
    return PlanGeometry(distance_m=np.hypot(half_m, depth_m), half_angle_rad=np.arctan2(half_m, depth_m))


def candidate_grid(
    *, front_range_m, spacing_range_m, seat_range_m, step_m, spacing_step_m, least_depth_m, angle_range_deg, distance_range_m
):
    """Return the grid of candidates between the given ends, ends included.

    Parameters
    ----------
    front_range_m, spacing_range_m, seat_range_m : tuple of float
        From and to. [m]
    step_m, spacing_step_m : float
        Step along the length, and of the spacing. [m]
    least_depth_m : float
        Smallest distance along the length from the pair to the seat. [m]
    angle_range_deg : tuple of float
        Smallest and largest base angle: the pair seen from the seat. [deg]
    distance_range_m : tuple of float
        Smallest and largest distance from a speaker to the seat, in plan. [m]
    """
    front_m, seat_m = (_steps(ends, step_m) for ends in (front_range_m, seat_range_m))
    spacing_m = _steps(spacing_range_m, spacing_step_m)
    grid = Grid(spacing_m=spacing_m, front_m=front_m, seat_x_m=seat_m, allowed=np.ones(0, dtype=bool))
    depth_m = seat_m - front_m[:, None]
    geometry = grid.geometry()
    angle_deg = 2 * np.degrees(geometry.half_angle_rad)
    allowed = (
        (depth_m >= least_depth_m - 1e-9)
        & (angle_deg >= angle_range_deg[0])
        & (angle_deg <= angle_range_deg[1])
        & (geometry.distance_m >= distance_range_m[0])
        & (geometry.distance_m <= distance_range_m[1])
    )
    return Grid(spacing_m=spacing_m, front_m=front_m, seat_x_m=seat_m, allowed=allowed)


def _steps(ends, step):
    low, high = ends
    return low + step * np.arange(int((high - low) / step + 1e-6) + 1)


def different_best(order, coordinates_m, *, least_difference_m, most):
    """Return the best candidates of which no two are near each other.

    Parameters
    ----------
    order : iterable of int
        Candidates, best first. [-]
    coordinates_m : ndarray, shape (n, 3)
        Front wall distance, spacing and seat of each candidate. [m]
    least_difference_m : float
        Two candidates differ when any coordinate differs by this much. [m]
    most : int
        How many are wanted. [-]

    Returns
    -------
    list of int
    """
    chosen = []
    for index in order:
        if all(np.abs(coordinates_m[index] - coordinates_m[other]).max() >= least_difference_m - 1e-9 for other in chosen):
            chosen.append(int(index))
        if len(chosen) == most:
            break
    return chosen
