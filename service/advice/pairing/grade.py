"""From quantities to a grade and what lowered it, for a table of pairs: the only place where anything is graded."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from service.advice import policy
from service.advice.pairing.quantities import Quantities
from service.physics.types import FloatArray, IntArray

_WORST = len(policy.GRADES) - 1


@dataclass(frozen=True, kw_only=True, eq=False)
class Graded:
    """Places in `policy.GRADES`, 0 the best: of power, load and noise, and of all together; each (n, m)."""

    power: IntArray
    load: IntArray
    noise: IntArray
    overall: IntArray


def graded(found: Quantities[FloatArray], *, noise_was_told: Sequence[bool], taste: str) -> Graded:
    """Return the grades of amplifiers on speakers.

    Parameters
    ----------
    found : Quantities
        [-]
    noise_was_told : sequence of bool
        Whether the noise of each amplifier was told; what is only usual for a kind rules nothing out. [-]
    taste : str
        Key of `policy.SWING_LIMIT_DB`. [-]

    Notes
    -----
    The worst of power, load and noise; swing and gain fit together lower it by one step at most. A load below the
    lowest that is allowed never suits. A loss at the lowest impedance does not count where the headroom left there is
    ample, since the limit is then never met.
    """
    power = _of_headroom(found.headroom_db, found.headroom_standard_db)
    load = _steps_from(found.load_loss_db, policy.LOAD_LOSS_FROM_DB)
    load = np.minimum(load, _of_headroom(found.headroom_db - found.load_loss_db, found.headroom_standard_db))
    load = np.where(found.load_is_too_low, _WORST, load)
    limits_db = (policy.NOISE_BORDERLINE_FROM_DB, policy.NOISE_AUDIBLE_FROM_DB, policy.NOISE_LOUD_FROM_DB)
    margin_db = found.noise_margin_db
    noise = _steps_from(np.where(np.isnan(margin_db), -np.inf, margin_db), limits_db)
    noise = np.where(noise_was_told, noise, np.minimum(noise, _WORST - 1))
    lowered = swing_lowers(found.level_swing_db, taste=taste) | gain_lowers(found.volume_below_full_db)
    overall = np.minimum(np.maximum(np.maximum(power, load), noise) + lowered, _WORST)
    return Graded(power=power, load=load, noise=noise, overall=overall)


def swing_lowers(level_swing_db: ArrayLike, *, taste: str) -> np.ndarray:
    """Return whether the sound follows the impedance by more than a taste allows; not where nothing is known."""
    return np.nan_to_num(np.asarray(level_swing_db, dtype=float)) > policy.SWING_LIMIT_DB[taste]


def gain_lowers(volume_below_full_db: ArrayLike) -> np.ndarray:
    """Return whether the target is out of the source's reach; not where nothing was asked."""
    return np.nan_to_num(np.asarray(volume_below_full_db, dtype=float)) < 0


def _of_headroom(headroom_db: FloatArray, standard_db: FloatArray) -> IntArray:
    """Place of the grade that a headroom deserves, given its standard uncertainty."""
    below = [headroom_db < count * standard_db for count, _ in policy.GRADE_FROM_STANDARD_UNCERTAINTIES]
    return np.sum(below, axis=0)


def _steps_from(value: FloatArray, limits: Sequence[float]) -> IntArray:
    return np.sum([value >= limit for limit in limits], axis=0)


def confidence_of(standard_db: float) -> str:
    """Return how firm an answer is: firm, fair or rough."""
    return next((word for up_to_db, word in policy.CONFIDENCE_UP_TO_DB if standard_db <= up_to_db), "rough")


def audibility_of(margin_db: float | None) -> str | None:
    """Return how well a noise is heard: inaudible, borderline or audible; None where nothing is known of it."""
    if margin_db is None:
        return None
    if margin_db < policy.NOISE_BORDERLINE_FROM_DB:
        return "inaudible"
    return "borderline" if margin_db < policy.NOISE_AUDIBLE_FROM_DB else "audible"


def ranks(
    grades: Sequence[int], headroom_db: Sequence[float], standard_db: Sequence[float]
) -> tuple[list[int], list[int]]:
    """Return the order of some entries and the rank of each; those that cannot be told apart share one.

    Parameters
    ----------
    grades : sequence of int
        Places in `policy.GRADES`. [-]
    headroom_db, standard_db : sequence of float
        Headroom, and the standard uncertainty of what differs between the entries. [dB]

    Returns
    -------
    tuple of list of int and list of int
        Indices, best first, and the rank of each index in that order.

    Notes
    -----
    By grade, then by headroom. An entry shares the rank of the first of its rank where the grades are equal and the
    headrooms differ by less than the standard uncertainty of their difference.
    """
    order = sorted(range(len(grades)), key=lambda index: (grades[index], -headroom_db[index], index))
    found: list[int] = []
    leader = None
    for place, index in enumerate(order, start=1):
        if leader is not None and grades[leader] == grades[index]:
            apart_db = headroom_db[leader] - headroom_db[index]
            if apart_db <= np.hypot(standard_db[leader], standard_db[index]):
                found.append(found[-1])
                continue
        leader = index
        found.append(place)
    return order, found
