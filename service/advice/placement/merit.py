"""The merit of a placement from its parts, and the judge of single placements."""

import copy
from collections.abc import Callable, Sequence
from typing import Self

import numpy as np

from service.advice.answers.placement import MeritParts
from service.advice.placement import policy
from service.advice.placement.reflections import strongest_reflection_db
from service.advice.placement.wanted import PlacedSpeaker
from service.physics.placement import merit
from service.physics.placement.bulk import BulkParts
from service.physics.placement.candidates import Grid, plan_geometry
from service.physics.placement.search import Setting
from service.physics.placement.single import PlacementJudge
from service.physics.room.target import EARLY_REFLECTION_LIMIT_DB


def weighted_parts_db(parts: MeritParts) -> dict[str, float]:
    """Return what each part adds to the merit, by name: nothing where it costs nothing. [dB]"""
    low, high = policy.BALANCE_WITHIN_DB
    counted = vars(parts) | {
        "bass_balance_db": merit.outside_db(parts.bass_balance_db, low=low, high=high),
        "strongest_reflection_db": np.maximum(parts.strongest_reflection_db - EARLY_REFLECTION_LIMIT_DB, 0.0),
    }
    return {name: weight * counted[name] for name, weight in policy.MERIT_WEIGHTS.items()}


def merit_db(parts: MeritParts) -> float:
    """Return the merit of parts, arrays or numbers: the sum of what each adds, smaller is better. [dB]"""
    return sum(weighted_parts_db(parts).values())


def free_wall_m(ways_of_standing: Sequence[str]) -> float:
    """Return the distance to the walls that costs nothing to a speaker that suits these ways of standing. [m]"""
    return policy.FREE_WALL_DISTANCE_M["free" if "free" in ways_of_standing else ways_of_standing[0]]


def geometry_db(
    speakers_m: np.ndarray, lead_m: np.ndarray, *, dimensions_m: Sequence[float], free_m: float
) -> np.ndarray:
    """Return what angle, walls and unlike distances cost.

    1 dB for 10 degrees outside the base angle, for 0.5 m too near a wall, and for 0.3 m between the distances of the
    two speakers.

    Parameters
    ----------
    speakers_m : ndarray, shape (c, n, 3)
        Places of the speakers. [m]
    lead_m : ndarray, shape (c, 3)
        The leading seat. [m]
    dimensions_m : tuple of float, length 3
        Room. [m]
    free_m : float
        Distance to the walls that costs nothing. [m]

    Returns
    -------
    ndarray, shape (c,)
        At most 2 dB. [dB]
    """
    plan_m = np.array(dimensions_m[:2])
    wall_m = np.minimum(speakers_m[..., :2], plan_m - speakers_m[..., :2]).min(axis=(1, 2))
    penalty = np.maximum(free_m - wall_m, 0.0) / policy.WALL_COSTS_M
    if speakers_m.shape[1] > 1:
        low, high = policy.BASE_ANGLE_WITHIN_DEG
        angle_deg = np.degrees(plan_geometry(speakers_m, lead_m).base_angle_rad)
        away_m = np.linalg.norm(speakers_m[..., :2] - lead_m[:, None, :2], axis=-1)
        penalty = penalty + merit.outside_db(angle_deg, low=low, high=high) / policy.ANGLE_COSTS_DEG
        penalty = penalty + np.abs(away_m[:, 0] - away_m[:, 1]) / policy.UNLIKE_DISTANCE_COSTS_M
    return np.minimum(penalty, policy.MOST_GEOMETRY_DB)


class Judge:
    """Judges single placements of one frame: speakers and seats, beside bass sections where these stand apart.

    Parameters
    ----------
    setting : Setting
        Of the frame. [-]
    speaker : PlacedSpeaker
        [-]
    free_m : float
        Distance to the walls that costs nothing. [m]
    """

    def __init__(self, setting: Setting, speaker: PlacedSpeaker, *, free_m: float) -> None:
        self.setting, self.speaker, self.free_m = setting, speaker, free_m
        self.judge = PlacementJudge(setting)
        self.bass_m = np.empty((0, 3))

    def beside(self, bass_m: np.ndarray) -> Self:
        """Return the judge of the same beside bass sections that stand at (b, 3). [m]"""
        judge = copy.copy(self)
        judge.bass_m = bass_m
        return judge

    def parts(self, speakers_m: np.ndarray, facing_rad: np.ndarray, lead_m: np.ndarray) -> MeritParts:
        """Return the parts of the merit of speakers (n, 3) that face (n,), and of the leading seat (3,)."""
        speakers_m, facing_rad, lead_m = (np.asarray(each, dtype=float) for each in (speakers_m, facing_rad, lead_m))
        ahead_rad = np.concatenate([facing_rad, np.zeros(len(self.bass_m))])
        judgement = self.judge.judge(
            speakers_m=np.concatenate([speakers_m, self.bass_m]),
            axes=axes_of(ahead_rad, dipole=self.setting.dipole),
            lead_m=lead_m,
        )
        bass = {name: float(values[0]) for name, values in vars(judgement.bass).items()}
        reflection_db = strongest_reflection_db(self.setting, self.speaker, speakers_m, facing_rad, lead_m)
        penalty_db = geometry_db(
            speakers_m[None], lead_m[None], dimensions_m=self.setting.box.dimensions_m, free_m=self.free_m
        )
        return MeritParts(
            **bass,
            seat_spread_db=float(judgement.seat_spread_db[0]),
            bass_balance_db=float(judgement.bass_balance_db[0]),
            strongest_reflection_db=float(reflection_db[0]),
            geometry_db=float(penalty_db[0]),
        )

    def merit_db(self, speakers_m: np.ndarray, facing_rad: np.ndarray, lead_m: np.ndarray) -> float:
        """Return the merit of one placement. [dB]"""
        return float(merit_db(self.parts(speakers_m, facing_rad, lead_m)))


def axes_of(facing_rad: np.ndarray, *, dipole: bool) -> np.ndarray:
    """Return the axes of sources that face (n,), zeros where they are no dipoles, shape (n, 3). [-]"""
    return np.stack([np.cos(facing_rad), np.sin(facing_rad), 0 * facing_rad], axis=1) * dipole


def first_pass_score(grid: Grid, *, dimensions_m: Sequence[float], free_m: float) -> Callable[[BulkParts], np.ndarray]:
    """Return the merit of a piece of a search as far as the first pass knows it: a function of `BulkParts`.

    Parameters
    ----------
    grid : Grid
        [-]
    dimensions_m : tuple of float, length 3
        Of the frame. [m]
    free_m : float
        Distance to the walls that costs nothing. [m]
    """
    weights = policy.MERIT_WEIGHTS
    low, high = policy.BALANCE_WITHIN_DB

    def score(parts: BulkParts) -> np.ndarray:
        j, i, k = np.broadcast_arrays(*parts.places)
        shape = j.shape
        geometry = geometry_db(
            grid.speakers_m[j.ravel(), i.ravel()], grid.seats_m[k.ravel()], dimensions_m=dimensions_m, free_m=free_m
        ).reshape(shape)
        return (
            weights["bass_unevenness_db"] * parts.bass_unevenness_db
            + weights["dips_db"] * parts.dips_db
            + weights["seat_spread_db"] * parts.seat_spread_db
            + weights["bass_balance_db"] * merit.outside_db(parts.bass_balance_db, low=low, high=high)
            + weights["geometry_db"] * geometry
        )

    return score
