"""Grids of candidates within the limits of a search: as fine as the effort allows, nothing in a zone kept clear."""

import math
from dataclasses import dataclass

import numpy as np

from service.domain.errors import DomainError
from service.physics.placement.candidates import Grid, evenly_spaced_m, pairs_across_m

_TURNS = np.radians(np.arange(-180.0, 180.5, 4.0))
"""Directions at which cabinets are tried against zones; one between two of them must be clear at both."""
_BLOCK = 200_000
"""Combinations that are looked at together; bounds the memory."""


@dataclass(frozen=True, kw_only=True)
class GridOfAxis:
    """A grid of pairs about one line, and the index of its limits in the list of limits."""

    limits: object
    grid: Grid


def grids(all_limits, *, candidates, step_m, told_step_m=None):
    """Return the grids of a search, those with a candidate at least.

    Parameters
    ----------
    all_limits : list of Limits
        One for each front wall that is searched. [-]
    candidates : int
        Most of all grids together. [-]
    step_m : float
        Step where that allows it. [m]
    told_step_m : float or None
        Step that was asked for. [m]

    Raises
    ------
    DomainError
        The step that was asked for makes more candidates than allowed.
    """
    open_limits = [limits for limits in all_limits if not limits.upside_down]
    step_m = step_m if told_step_m is None else told_step_m
    ends = [_ends(limits) for limits in open_limits]
    total = sum(_combinations(each, step_m) for each in ends)
    if told_step_m is not None and total > candidates:
        finest_m = _coarser(ends, step_m, candidates)
        raise DomainError(
            pointer="/search/step_m",
            code="too_much_work",
            detail=f"steps of {told_step_m:g} m make {total:.3g} candidates here; the effort allows {candidates}.",
            given=told_step_m,
            allowed=f"at least {finest_m:.3f}, narrower ranges, fewer front walls or more effort",
        )
    if total > candidates:
        step_m = _coarser(ends, step_m, candidates)
    found = []
    for limits in open_limits:
        low_m, high_m = limits.axis_y_m
        for axis_y_m in evenly_spaced_m(from_m=low_m, to_m=high_m, step_m=4 * step_m):
            grid = _grid(limits, axis_y_m, step_m)
            if grid is not None and grid.count:
                found.append(GridOfAxis(limits=limits, grid=grid))
    return found


def _ends(limits):
    """Ranges with the factor of the step of each: apart takes twice the step, the whole pair sideways four times."""
    return ((limits.front_m, 1), (limits.spacing_m, 2), (limits.seat_x_m, 1), (limits.axis_y_m, 4))


def _combinations(ends, step_m):
    return math.prod(math.ceil((high - low) / (factor * step_m) - 1e-9) + 1 for (low, high), factor in ends)


def _coarser(ends, step_m, candidates):
    """The smallest step, in steps of 2 %, at which there are no more candidates than allowed. [m]"""
    while sum(_combinations(each, step_m) for each in ends) > candidates and step_m < 100:
        step_m *= 1.02
    return step_m


def _grid(limits, axis_y_m, step_m):
    """Candidates about one axis, or None where there is no room for them."""
    speaker_z_m, ear_z_m = limits.heights_m
    low_m, high_m = limits.spacing_at_m(axis_y_m)
    if high_m < low_m - 1e-9:
        return None
    if limits.standing is not None:
        speakers_m = np.array([[[place.xyz_m for place in limits.standing.speakers]]])
    else:
        front_m = evenly_spaced_m(from_m=limits.front_m[0], to_m=limits.front_m[1], step_m=step_m)
        if limits.speaker_count == 1:
            speakers_m = np.array([[[(x_m, axis_y_m, speaker_z_m)] for x_m in front_m]])
        else:
            spacing_m = evenly_spaced_m(from_m=low_m, to_m=high_m, step_m=2 * step_m)
            speakers_m = pairs_across_m(
                front_m=front_m, spacing_m=spacing_m, axis_y_m=axis_y_m, speaker_z_m=speaker_z_m
            )
    seat_y_m = axis_y_m if limits.seat_y_m is None else limits.seat_y_m
    seat_x_m = evenly_spaced_m(from_m=limits.seat_x_m[0], to_m=limits.seat_x_m[1], step_m=step_m)
    seats_m = np.array([(x_m, seat_y_m, ear_z_m) for x_m in seat_x_m])
    return Grid(
        speakers_m=speakers_m,
        seats_m=seats_m,
        facing_rad=limits.turned_rad,
        allowed=_allowed(limits, speakers_m, seats_m),
    )


def _allowed(limits, speakers_m, seats_m):
    """Which combinations (j, i, k) keep the limits; few spacings at a time."""
    spacings, fronts = speakers_m.shape[:2]
    allowed = np.zeros((spacings, fronts, len(seats_m)), dtype=bool)
    seats = np.flatnonzero(limits.seats_fit(seats_m))
    if not len(seats):
        return allowed
    clear = _clear_by_turn(limits, speakers_m) if len(limits.zones_m) and limits.standing is None else None
    rows = max(1, _BLOCK // (fronts * len(seats)))
    for start in range(0, spacings, rows):
        part = slice(start, min(start + rows, spacings))
        speakers, leads = speakers_m[part, :, None], seats_m[seats]
        fit = limits.together(speakers, leads)
        if clear is not None:
            turned = (limits.facing_rad(np.broadcast_to(speakers, (*fit.shape, *speakers.shape[3:])), leads)) % (
                2 * np.pi
            )
            lower = np.floor((turned + np.pi) % (2 * np.pi) / np.radians(4.0)).astype(int)
            j, i, n = np.ogrid[part, :fronts, : speakers_m.shape[2]]
            j, i, n = j[:, :, None], i[:, :, None], n[:, :, None]
            fit &= (clear[j, i, n, lower] & clear[j, i, n, lower + 1]).all(axis=-1)
        allowed[part][..., seats] = fit
    return allowed


def _clear_by_turn(limits, speakers_m):
    """Whether each cabinet (j, i, n) is clear of the zones at each of the turns."""
    turns = np.broadcast_to(_TURNS, (*speakers_m.shape[:3], len(_TURNS)))
    return limits.cabinets_clear(speakers_m[..., None, :], turns)
