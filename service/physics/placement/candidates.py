"""Candidate placements on a grid: speakers that move along the length and apart, and a seat on their axis."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from service.physics.checks import require_positive
from service.physics.types import FloatArray

_ROUNDING = 1e-9
_SYMMETRIC_M = 1e-6


@dataclass(frozen=True, kw_only=True)
class PlanGeometry:
    """Speakers as they are seen from a seat, in plan.

    Attributes
    ----------
    distance_m : ndarray, shape (...)
        Mean distance of the speakers. [m]
    base_angle_rad : ndarray, shape (...)
        Angle between the first speaker and the last; 0 for a single speaker. [rad]
    bearing_rad : ndarray, shape (..., n)
        Direction from each speaker to the seat, from +x towards +y. [rad]
    """

    distance_m: np.ndarray
    base_angle_rad: np.ndarray
    bearing_rad: np.ndarray


def plan_geometry(speakers_m: FloatArray, seat_m: FloatArray) -> PlanGeometry:
    """Return how speakers are seen from a seat.

    Parameters
    ----------
    speakers_m : ndarray, shape (..., n, 3)
        Places of the speakers. [m]
    seat_m : ndarray, shape (..., 3)
        Place of the seat. [m]

    Returns
    -------
    PlanGeometry
    """
    away_m = np.asarray(seat_m)[..., None, :2] - np.asarray(speakers_m)[..., :2]
    bearing_rad = np.arctan2(away_m[..., 1], away_m[..., 0])
    between = np.exp(1j * (bearing_rad[..., 0] - bearing_rad[..., -1]))
    return PlanGeometry(
        distance_m=np.hypot(away_m[..., 0], away_m[..., 1]).mean(axis=-1),
        base_angle_rad=np.abs(np.angle(between)),
        bearing_rad=bearing_rad,
    )


@dataclass(frozen=True, kw_only=True)
class Grid:
    """The grid of a search; the order of axes is spacing j, distance to the front wall i, seat k.

    A spacing is any set of places across the room, symmetric or not.

    Attributes
    ----------
    speakers_m : ndarray, shape (j, i, n, 3)
        Places of the n speakers: y depends on j alone, x on i alone, z on neither. [m]
    seats_m : ndarray, shape (k, 3)
        Places of the leading seat. [m]
    facing_rad : ndarray, shape (n,), or None
        Directions in which the speakers stay turned; None where each faces the seat. [rad]
    allowed : ndarray of bool, shape (j, i, k)
        Which combinations are candidates. [-]
    """

    speakers_m: np.ndarray
    seats_m: np.ndarray
    facing_rad: np.ndarray | None
    allowed: np.ndarray

    @property
    def count(self) -> int:
        """Number of candidates. [-]"""
        return int(self.allowed.sum())

    @property
    def mirrored(self) -> bool:
        """Whether each pair mirrors itself in the line of every seat, or there is one speaker: all turn alike. [-]"""
        places_m = self.speakers_m
        if places_m.shape[2] == 1:
            return True
        if places_m.shape[2] != 2 or np.ptp(places_m[..., 0], axis=2).max() > 0 or np.ptp(places_m[..., 2]) > 0:
            return False
        off_axis_m = np.subtract.outer(places_m[:, 0, :, 1].mean(axis=1), self.seats_m[:, 1])
        return bool(np.abs(off_axis_m).max() < _SYMMETRIC_M)

    def candidates(self) -> "Candidates":
        """Return the candidates one by one."""
        j, i, k = np.nonzero(self.allowed)
        return Candidates(speakers_m=self.speakers_m[j, i], seats_m=self.seats_m[k])


@dataclass(frozen=True, kw_only=True)
class Candidates:
    """Candidates one by one, in the order of `Grid.allowed`.

    Attributes
    ----------
    speakers_m : ndarray, shape (c, n, 3)
        [m]
    seats_m : ndarray, shape (c, 3)
        The leading seat. [m]
    """

    speakers_m: np.ndarray
    seats_m: np.ndarray


def evenly_spaced_m(*, from_m: float, to_m: float, step_m: float) -> FloatArray:
    """Return places from one end to the other, both included, at most a step apart, in whole millimetres.

    Parameters
    ----------
    from_m, to_m : float
        Ends, the first not above the second. [m]
    step_m : float
        > 0. [m]

    Examples
    --------
    >>> evenly_spaced_m(from_m=2.0, to_m=2.5, step_m=0.2).tolist()
    [2.0, 2.167, 2.333, 2.5]
    """
    require_positive(step_m, name="step_m")
    count = int(np.ceil((to_m - from_m) / step_m - _ROUNDING)) + 1
    return np.round(np.linspace(from_m, to_m, count), 3)


def pairs_across_m(*, front_m: FloatArray, spacing_m: FloatArray, axis_y_m: float, speaker_z_m: float) -> FloatArray:
    """Return places of pairs across an axis along the length, the left speaker first.

    Parameters
    ----------
    front_m : ndarray, shape (i,)
        From the front wall to the speakers. [m]
    spacing_m : ndarray, shape (j,)
        Between the two speakers. [m]
    axis_y_m : float
        From the left wall to the axis. [m]
    speaker_z_m : float
        Height of the speakers. [m]

    Returns
    -------
    ndarray, shape (j, i, 2, 3)
    """
    places_m = np.empty((len(spacing_m), len(front_m), 2, 3))
    places_m[..., 0] = np.asarray(front_m)[:, None]
    places_m[..., 1] = axis_y_m + np.multiply.outer(spacing_m, (-0.5, 0.5))[:, None]
    places_m[..., 2] = speaker_z_m
    return places_m


def different_best(
    order: Iterable[int], coordinates_m: FloatArray, *, least_difference_m: float, most: int
) -> list[int]:
    """Return the best candidates of which no two are near each other.

    Parameters
    ----------
    order : iterable of int
        Candidates, best first. [-]
    coordinates_m : ndarray, shape (c, any)
        Coordinates of each candidate. [m]
    least_difference_m : float
        Two candidates differ when any coordinate differs by this much. [m]
    most : int
        How many are wanted. [-]

    Returns
    -------
    list of int
    """
    chosen: list[int] = []
    for index in order:
        differences_m = [np.abs(coordinates_m[index] - coordinates_m[other]).max() for other in chosen]
        if min(differences_m, default=np.inf) >= least_difference_m - _ROUNDING:
            chosen.append(int(index))
        if len(chosen) == most:
            break
    return chosen
