"""How far each thing of a placement may be moved, alone, before the merit suffers."""

import numpy as np

from service.advice import policy
from service.advice.answers.placement import ToleranceAnswer

_AHEAD, _ASIDE = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])


def tolerance(judge, found, *, tried):
    """Return how far each thing may be moved, the others standing still, until the merit is worse by the tolerance.

    Parameters
    ----------
    judge : Judge
        Of the frame. [-]
    found : Found
        [-]
    tried : int
        How many moves each way are tried at most. [-]
    """
    count = len(found.speakers_m)
    still = np.zeros((count, 3))
    apart = still + np.sign(found.speakers_m[:, 1] - found.speakers_m[:, 1].mean())[:, None] / 2 * _ASIDE
    moves = {
        "front_wall_distance": (still + _AHEAD, 0 * _AHEAD),
        "spacing": (apart, 0 * _AHEAD) if count == 2 else None,
        "pair_sideways": (still + _ASIDE, 0 * _AHEAD),
        "seat": (still, _AHEAD),
        "seat_sideways": (still, _ASIDE),
    }
    return ToleranceAnswer(
        **{
            name: None if move is None else _reach_cm(judge, found, *move, tried_m=policy.TOLERANCE_TRIED_M[tried])
            for name, move in moves.items()
        }
    )


def _reach_cm(judge, found, speakers_way, seat_way, *, tried_m):
    """Distance to the nearest place where the merit is worse by the tolerance; the furthest tried without one. [cm]"""
    reach_m = tried_m[-1]
    for sign in (1, -1):
        before_m, before_db = 0.0, 0.0
        for move_m in tried_m:
            if before_m >= reach_m:
                break
            speakers_m = found.speakers_m + sign * move_m * speakers_way
            lead_m = found.lead_m + sign * move_m * seat_way
            if not _possible(found.limits, speakers_m, lead_m):
                break
            merit_db = judge.merit_db(speakers_m, found.limits.facing_rad(speakers_m, lead_m), lead_m)
            rise_db = merit_db - found.merit_db
            if rise_db > policy.TOLERANCE_DB:
                reach_m = min(reach_m, _crossing_m((before_m, before_db), (move_m, rise_db)))
                break
            before_m, before_db = move_m, rise_db
    return 100 * float(reach_m)


def _crossing_m(below, above):
    """Where the rise crosses the tolerance between two moves, by a straight line. [m]"""
    (before_m, before_db), (move_m, rise_db) = below, above
    share = (policy.TOLERANCE_DB - before_db) / (rise_db - before_db)
    return before_m + share * (move_m - before_m)


def _possible(limits, speakers_m, lead_m):
    """Whether nothing is in a wall and the seats stay behind the speakers."""
    plan_m = np.array(limits.dimensions_m[:2]) - policy.LEAST_GAP_M
    places_m = np.concatenate([speakers_m[:, :2], (lead_m + limits.seat_offsets_m)[:, :2]])
    depth_m = lead_m[0] + limits.seat_offsets_m[:, 0].min() - speakers_m[:, 0].max()
    inside = (places_m >= policy.LEAST_GAP_M) & (places_m <= plan_m)
    return bool(inside.all()) and depth_m >= policy.LEAST_DEPTH_TRIED_M - 1e-9
