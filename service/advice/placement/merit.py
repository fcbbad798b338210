"""The merit of a placement from its parts, and the judge of single placements."""

import numpy as np

from service.advice import policy
from service.advice.answers.placement import MeritParts
from service.advice.placement.reflections import strongest_reflection_db
from service.physics.placement import merit
from service.physics.placement.candidates import plan_geometry
from service.physics.placement.single import PlacementJudge
from service.physics.room.target import EARLY_REFLECTION_LIMIT_DB


def parts_of_one(parts, index):
    """Return the parts of one placement."""
    return MeritParts(**{name: float(values[index]) for name, values in vars(parts).items()})


def weighted_parts_db(parts):
    """Return what each part adds to the merit, by name: nothing where it costs nothing. [dB]"""
    low, high = policy.BALANCE_WITHIN_DB
    counted = vars(parts) | {
        "bass_balance_db": merit.outside_db(parts.bass_balance_db, low=low, high=high),
        "strongest_reflection_db": np.maximum(parts.strongest_reflection_db - EARLY_REFLECTION_LIMIT_DB, 0.0),
    }
    return {name: weight * counted[name] for name, weight in policy.MERIT_WEIGHTS.items()}


def merit_db(parts):
    """Return the merit of parts, arrays or numbers: the sum of what each adds, smaller is better. [dB]"""
    return sum(weighted_parts_db(parts).values())


def free_wall_m(standings):
    """Return the distance to the walls that costs nothing to a speaker that suits these ways of standing. [m]"""
    return policy.FREE_WALL_DISTANCE_M["free" if "free" in standings else standings[0]]


def geometry_db(speakers_m, lead_m, *, dimensions_m, free_m=policy.FREE_WALL_DISTANCE_M["free"]):
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
    penalty = np.maximum(free_m - wall_m, 0.0) / 0.5
    if speakers_m.shape[1] > 1:
        low, high = policy.BASE_ANGLE_WITHIN_DEG
        angle_deg = np.degrees(plan_geometry(speakers_m, lead_m).base_angle_rad)
        away_m = np.linalg.norm(speakers_m[..., :2] - lead_m[:, None, :2], axis=-1)
        penalty = penalty + merit.outside_db(angle_deg, low=low, high=high) / 10
        penalty = penalty + np.abs(away_m[:, 0] - away_m[:, 1]) / policy.UNLIKE_DISTANCE_COSTS_M
    return np.minimum(penalty, policy.MOST_GEOMETRY_DB)


class Judge:
    """Judges single placements of one frame: tops and seats, and bass sections that stand apart.

    Parameters
    ----------
    setting : Setting
        Of the frame. [-]
    speaker : PlacedSpeaker
        [-]
    free_m : float
        Distance to the walls that costs nothing. [m]
    tops : int
        How many of the sources are speakers to be listened to; the others are bass sections. [-]
    """

    def __init__(self, setting, speaker, *, free_m, tops):
        self.setting, self.speaker, self.free_m, self.tops = setting, speaker, free_m, tops
        self.judge = PlacementJudge(setting)

    def parts(self, speakers_m, facing_rad, lead_m):
        """Return the parts of the merit of speakers (n, 3), turned as they are (n,), and the leading seat (3,)."""
        speakers_m, facing_rad, lead_m = (np.asarray(each, dtype=float) for each in (speakers_m, facing_rad, lead_m))
        axes = np.stack([np.cos(facing_rad), np.sin(facing_rad), 0 * facing_rad], axis=1) * self.setting.dipole
        judgement = self.judge.judge(speakers_m=speakers_m, axes=axes, lead_m=lead_m)
        tops_m = speakers_m[: self.tops]
        parts = MeritParts(
            **vars(judgement.bass),
            seat_spread_db=judgement.seat_spread_db,
            bass_balance_db=judgement.bass_balance_db,
            strongest_reflection_db=strongest_reflection_db(
                self.setting, self.speaker, tops_m, facing_rad[: self.tops], lead_m
            ),
            geometry_db=geometry_db(
                tops_m[None], lead_m[None], dimensions_m=self.setting.box.dimensions_m, free_m=self.free_m
            ),
        )
        return parts_of_one(parts, 0)

    def merit_db(self, speakers_m, facing_rad, lead_m):
        """Return the merit of one placement. [dB]"""
        return float(merit_db(self.parts(speakers_m, facing_rad, lead_m)))


def first_pass_score(grid, *, dimensions_m, free_m):
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

    def score(parts):
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
