"""The merit of a placement from its parts, and how far it may be moved before the merit suffers."""

import numpy as np

from service.advice import policy
from service.advice.answers.placement import MeritParts, ToleranceAnswer
from service.physics.placement import merit
from service.physics.placement.candidates import Grid, plan_geometry
from service.physics.placement.search import HEAD_RADIUS_M, grid_terms, judge_grid, least_separation_m
from service.physics.room.target import EARLY_REFLECTION_LIMIT_DB


def merit_parts(judgement, geometry):
    """Return the parts of c placements, arrays (c,), from their judgement and what their geometry costs."""
    return MeritParts(
        **vars(judgement.bass),
        seat_spread_db=judgement.seat_spread_db,
        bass_balance_db=judgement.bass_balance_db,
        strongest_reflection_db=judgement.strongest_reflection_db,
        geometry_db=geometry,
    )


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


def geometry_db(speakers_m, lead_m, *, dimensions_m):
    """Return what angle and walls cost: 1 dB for 10 degrees outside the base angle, 1 dB for 0.5 m too near a wall.

    Parameters
    ----------
    speakers_m : ndarray, shape (c, n, 3)
        Places of the speakers. [m]
    lead_m : ndarray, shape (c, 3)
        The leading seat. [m]
    dimensions_m : tuple of float, length 3
        Room. [m]

    Returns
    -------
    ndarray, shape (c,)
        At most 2 dB. [dB]
    """
    plan_m = np.array(dimensions_m[:2])
    wall_m = np.minimum(speakers_m[..., :2], plan_m - speakers_m[..., :2]).min(axis=(1, 2))
    penalty = np.maximum(policy.FREE_WALL_DISTANCE_M - wall_m, 0.0) / 0.5
    if speakers_m.shape[1] > 1:
        low, high = policy.BASE_ANGLE_WITHIN_DEG
        angle_deg = np.degrees(plan_geometry(speakers_m, lead_m).base_angle_rad)
        penalty = penalty + merit.outside_db(angle_deg, low=low, high=high) / 10
    return np.minimum(penalty, policy.MOST_GEOMETRY_DB)


def tolerance(setting, *, speakers_m, lead_m, facing_rad):
    """Return how far each thing may be moved, the others standing still, until the merit is worse by the tolerance.

    Parameters
    ----------
    setting : Setting
        [-]
    speakers_m : ndarray, shape (n, 3)
        Places of the speakers. [m]
    lead_m : ndarray, shape (3,)
        The leading seat. [m]
    facing_rad : ndarray, shape (n,), or None
        Directions that stay; None where the speakers face the seat. [rad]
    """
    tried_m = np.array([*(-m for m in reversed(policy.TOLERANCE_TRIED_M)), 0.0, *policy.TOLERANCE_TRIED_M])
    middle = len(policy.TOLERANCE_TRIED_M)
    count = len(speakers_m)
    places_m = np.tile(speakers_m, (len(tried_m) if count > 1 else 1, len(tried_m), 1, 1))
    places_m[..., 0] += tried_m[:, None]
    if count > 1:
        apart = np.sign(speakers_m[:, 1] - speakers_m[:, 1].mean()) / 2
        places_m[..., 1] += np.multiply.outer(tried_m, apart)[:, None]
    seats_m = lead_m + np.multiply.outer(tried_m, (1.0, 0.0, 0.0))
    allowed = _moved_alone(places_m.shape[:2], middle) & _possible(places_m, seats_m, setting)
    grid = Grid(speakers_m=places_m, seats_m=seats_m, facing_rad=facing_rad, allowed=allowed)
    candidates = grid.candidates()
    geometry = geometry_db(candidates.speakers_m, candidates.seats_m, dimensions_m=setting.box.dimensions_m)
    table = np.full(allowed.shape, np.nan)
    table[allowed] = merit_db(merit_parts(judge_grid(setting, grid), geometry))
    j = middle if count > 1 else 0
    return ToleranceAnswer(
        spacing=_reach_cm(tried_m, table[:, middle, middle]) if count > 1 else None,
        front_wall_distance=_reach_cm(tried_m, table[j, :, middle]),
        seat=_reach_cm(tried_m, table[j, middle]),
    )


def search_terms(setting, grid):
    """Return about how many terms a search sums, the tolerances of its proposals included. [-]

    Parameters
    ----------
    setting : Setting
        [-]
    grid : Grid
        Candidates, at least one. [-]
    """
    _, fronts, seats = grid.allowed.shape
    separation_m = least_separation_m(setting, grid)
    nearest_m = max(separation_m - max(policy.TOLERANCE_TRIED_M), policy.LEAST_DEPTH_TRIED_M - HEAD_RADIUS_M)
    moves = 2 * len(policy.TOLERANCE_TRIED_M) + 1
    tolerances = policy.PROPOSALS * grid_terms(setting, separation_m=nearest_m, fronts=moves, seats=moves)
    return grid_terms(setting, separation_m=separation_m, fronts=fronts, seats=seats) + tolerances


def _moved_alone(shape, middle):
    """Combinations (j, i, k) in which at most one of the three is off its middle."""
    spacings, fronts = shape
    j, i, k = np.ogrid[:spacings, :fronts, :fronts]
    return ((j != (middle if spacings > 1 else 0)).astype(int) + (i != middle) + (k != middle)) <= 1


def _possible(places_m, seats_m, setting):
    """Combinations in which nothing is in a wall and the seats stay behind the speakers."""
    plan_m = np.array(setting.box.dimensions_m[:2]) - policy.LEAST_GAP_M
    inside = ((places_m[..., :2] >= policy.LEAST_GAP_M) & (places_m[..., :2] <= plan_m)).all(axis=(2, 3))
    seat_inside = seats_m[:, 0] <= plan_m[0]
    depth_m = seats_m[:, 0] + setting.seat_offsets_m[:, 0].min() - places_m[..., 0].max(axis=2)[..., None]
    return inside[..., None] & seat_inside & (depth_m >= policy.LEAST_DEPTH_TRIED_M - 1e-9)


def _reach_cm(tried_m, merits_db):
    """Distance to the nearest place where the merit is worse by the tolerance; the furthest tried without one. [cm]"""
    middle = len(tried_m) // 2
    reached_m = [tried_m[-1]]
    for way in (merits_db[middle:], merits_db[middle::-1]):
        rise_db = way - way[0]
        beyond = np.nonzero(rise_db > policy.TOLERANCE_DB)[0]
        if len(beyond):
            step = beyond[0]
            ends = slice(step - 1, step + 1)
            reached_m.append(np.interp(policy.TOLERANCE_DB, rise_db[ends], tried_m[middle:][ends]))
    return 100 * float(min(reached_m))
