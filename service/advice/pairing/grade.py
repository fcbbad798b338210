"""Grades of amplifiers on speakers, for one pair or for a table of them: every argument may be an array."""

from dataclasses import dataclass

import numpy as np

from service.advice import policy

_WORST = len(policy.GRADES) - 1


@dataclass(frozen=True, kw_only=True)
class Graded:
    """Places in `policy.GRADES`, 0 the best: of power, load and noise, and of all together."""

    power: np.ndarray
    load: np.ndarray
    noise: np.ndarray
    overall: np.ndarray


def graded(
    *,
    headroom_db,
    uncertainty_db,
    load_loss_db,
    load_is_too_low,
    noise_margin_db,
    noise_was_told,
    level_swing_db,
    taste,
    volume_below_full_db,
):
    """Return the grades of amplifiers on speakers.

    Parameters
    ----------
    headroom_db, uncertainty_db : array_like
        Above the loudest peaks, and its standard uncertainty. [dB]
    load_loss_db : array_like
        Voltage lost at the lowest impedance against the rated one, 0 or more. [dB]
    load_is_too_low : array_like of bool
        Whether the load is below the lowest that the amplifier is made for. [-]
    noise_margin_db : array_like
        Hum or hiss at the seat re what hides it; NaN where nothing is known. [dB]
    noise_was_told : array_like of bool
        Whether it was told; what is only usual for a kind rules nothing out. [-]
    level_swing_db : array_like
        NaN where nothing is known. [dB]
    taste : str
        Key of `policy.SWING_LIMIT_DB`. [-]
    volume_below_full_db : array_like
        Below 0 the target is out of the source's reach. [dB]

    Returns
    -------
    Graded

    Notes
    -----
    The worst of power, load and noise; swing and gain fit together lower it by one step at most. A load below the
    lowest that is allowed never suits. A loss at the lowest impedance does not count where the headroom left there is
    ample, since the limit is then never met.
    """
    headroom_db, loss_db = np.asarray(headroom_db, dtype=float), np.asarray(load_loss_db, dtype=float)
    margin_db, swing_db = np.asarray(noise_margin_db, dtype=float), np.asarray(level_swing_db, dtype=float)
    power = _of_headroom(headroom_db, uncertainty_db)
    load = _steps_from(loss_db, policy.LOAD_LOSS_FROM_DB)
    load = np.minimum(load, _of_headroom(headroom_db - loss_db, uncertainty_db))
    load = np.where(load_is_too_low, _WORST, load)
    limits_db = (policy.NOISE_BORDERLINE_FROM_DB, policy.NOISE_AUDIBLE_FROM_DB, policy.NOISE_LOUD_FROM_DB)
    noise = _steps_from(np.where(np.isnan(margin_db), -np.inf, margin_db), limits_db)
    noise = np.where(noise_was_told, noise, np.minimum(noise, _WORST - 1))
    lowered = (np.nan_to_num(swing_db) > policy.SWING_LIMIT_DB[taste]) | (np.asarray(volume_below_full_db) < 0)
    overall = np.minimum(np.maximum(np.maximum(power, load), noise) + lowered, _WORST)
    return Graded(power=power, load=load, noise=noise, overall=overall)


def _of_headroom(headroom_db, uncertainty_db):
    """Place of the grade that a headroom deserves, as `wording.grade_of_headroom` names it."""
    below = [headroom_db < count * np.asarray(uncertainty_db) for count, _ in policy.GRADE_FROM_STANDARD_UNCERTAINTIES]
    return np.sum(below, axis=0)


def _steps_from(value, limits):
    return np.sum([value >= limit for limit in limits], axis=0)


def audibility_of(margin_db):
    """Return how well a noise is heard: inaudible, borderline or audible; None where nothing is known of it."""
    if margin_db is None:
        return None
    if margin_db < policy.NOISE_BORDERLINE_FROM_DB:
        return "inaudible"
    return "borderline" if margin_db < policy.NOISE_AUDIBLE_FROM_DB else "audible"


def ranks(grades, headroom_db, standard_db):
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
    found, leader = [], None
    for place, index in enumerate(order, start=1):
        if leader is not None and grades[leader] == grades[index]:
            apart_db = headroom_db[leader] - headroom_db[index]
            if apart_db <= np.hypot(standard_db[leader], standard_db[index]):
                found.append(found[-1])
                continue
        leader = index
        found.append(place)
    return order, found
