"""How far each thing of a placement may be moved, alone, before the merit suffers."""

from collections.abc import Sequence

import numpy as np

from service.advice.answers.placement import ToleranceAnswer
from service.advice.placement import policy
from service.advice.placement.constraints import Constraints
from service.advice.placement.merit import Judge
from service.advice.placement.moves import JudgedPlacement
from service.physics.frozen import frozen

_AHEAD, _ASIDE = frozen(np.array([1.0, 0.0, 0.0])), frozen(np.array([0.0, 1.0, 0.0]))


def tolerance(judge: Judge, placed: JudgedPlacement, *, tried: int) -> ToleranceAnswer:
    """Return how far each thing may be moved, the others standing still, until the merit is worse by the tolerance.

    Parameters
    ----------
    judge : Judge
        Of the frame. [-]
    placed : JudgedPlacement
        [-]
    tried : int
        How many moves each way are tried at most. [-]
    """
    count = len(placed.speakers_m)
    still = np.zeros((count, 3))
    apart = still + np.sign(placed.speakers_m[:, 1] - placed.speakers_m[:, 1].mean())[:, None] / 2 * _ASIDE
    tried_m = policy.TOLERANCE_TRIED_M[tried]
    return ToleranceAnswer(
        front_wall_distance=_reach_cm(judge, placed, still + _AHEAD, 0 * _AHEAD, tried_m=tried_m),
        spacing=_reach_cm(judge, placed, apart, 0 * _AHEAD, tried_m=tried_m) if count == 2 else None,
        pair_sideways=_reach_cm(judge, placed, still + _ASIDE, 0 * _AHEAD, tried_m=tried_m),
        seat=_reach_cm(judge, placed, still, _AHEAD, tried_m=tried_m),
        seat_sideways=_reach_cm(judge, placed, still, _ASIDE, tried_m=tried_m),
    )


def _reach_cm(
    judge: Judge, placed: JudgedPlacement, speakers_way: np.ndarray, seat_way: np.ndarray, *, tried_m: Sequence[float]
) -> float:
    """Distance to the nearest place where the merit is worse by the tolerance; the furthest tried without one. [cm]"""
    reach_m = tried_m[-1]
    for sign in (1, -1):
        before_m, before_db = 0.0, 0.0
        for move_m in tried_m:
            if before_m >= reach_m:
                break
            speakers_m = placed.speakers_m + sign * move_m * speakers_way
            lead_m = placed.lead_m + sign * move_m * seat_way
            if not _possible(placed.constraints, speakers_m, lead_m):
                break
            merit_db = judge.merit_db(speakers_m, placed.constraints.facing_rad(speakers_m, lead_m), lead_m)
            rise_db = merit_db - placed.merit_db
            if rise_db > policy.TOLERANCE_DB:
                reach_m = min(reach_m, _crossing_m((before_m, before_db), (move_m, rise_db)))
                break
            before_m, before_db = move_m, rise_db
    return 100 * float(reach_m)


def _crossing_m(below: tuple[float, float], above: tuple[float, float]) -> float:
    """Where the rise crosses the tolerance between two moves, by a straight line. [m]"""
    (before_m, before_db), (move_m, rise_db) = below, above
    share = (policy.TOLERANCE_DB - before_db) / (rise_db - before_db)
    return before_m + share * (move_m - before_m)


def _possible(constraints: Constraints, speakers_m: np.ndarray, lead_m: np.ndarray) -> bool:
    """Whether nothing is in a wall and the seats stay behind the speakers."""
    plan_m = np.array(constraints.dimensions_m[:2]) - policy.LEAST_GAP_M
    places_m = np.concatenate([speakers_m[:, :2], (lead_m + constraints.seat_offsets_m)[:, :2]])
    depth_m = lead_m[0] + constraints.seat_offsets_m[:, 0].min() - speakers_m[:, 0].max()
    inside = (places_m >= policy.LEAST_GAP_M) & (places_m <= plan_m)
    return bool(inside.all()) and depth_m >= policy.LEAST_DEPTH_TRIED_M - 1e-9
