"""Looks around a placement without a grid: a search by values alone, inside a box, never worse than its start."""

from collections.abc import Callable
from typing import Any

import numpy as np
from scipy.optimize import minimize

_ENOUGH = 0.005


def refine(
    judged: Callable[..., Any], *, count: int, first_step_m: float, reach_m: float, finest_m: float, evaluations: int
) -> None:
    """Try moves about a start and leave it to `judged` to remember the best.

    Parameters
    ----------
    judged : callable
        From moves (count,) in metres to what is to be small; very large where a move is not allowed. [dB]
    count : int
        How many things may be moved, at least 1. [-]
    first_step_m : float
        Size of the first moves, inside the reach. [m]
    reach_m : float
        No thing is moved further, either way. [m]
    finest_m : float
        Moves finer than this are not worth a try. [m]
    evaluations : int
        Most tries after the first moves. [-]

    Notes
    -----
    Nelder and Mead's simplex inside bounds: the merit has corners where a reflection or an angle passes its limit. The
    first moves go the other way where the one way is much worse.

    Examples
    --------
    >>> tried = []
    >>> def judged(moves):
    ...     tried.append(abs(float(moves[0]) - 0.03))
    ...     return tried[-1]
    >>> refine(judged, count=1, first_step_m=0.05, reach_m=0.2, finest_m=0.001, evaluations=40)
    >>> min(tried) < 0.002
    True
    """
    simplex = np.concatenate([np.zeros((1, count)), np.eye(count) * first_step_m])
    start = judged(simplex[0])
    for row in range(1, count + 1):
        if judged(simplex[row]) > start:
            simplex[row] *= -1
    minimize(
        judged,
        simplex[0],
        method="Nelder-Mead",
        bounds=[(-reach_m, reach_m)] * count,
        options={"initial_simplex": simplex, "maxfev": evaluations, "xatol": finest_m, "fatol": _ENOUGH},
    )
