"""Grids of candidates that keep the constraints of a search: as fine as the effort allows, nothing in a zone."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from service.advice.placement.constraints import Constraints
from service.domain.errors import DomainError
from service.domain.search import Search
from service.domain.words import words
from service.physics.frozen import frozen
from service.physics.placement.candidates import Grid, evenly_spaced_m, pairs_across_m

_STEP_DEG = 4.0
_FACINGS_RAD = frozen(np.radians(np.arange(-180.0, 180.5, _STEP_DEG)))
"""Directions at which cabinets are tried against zones; one between two of them must be clear at both."""
_BLOCK = 200_000
"""Combinations that are looked at together; bounds the memory."""


@dataclass(frozen=True, kw_only=True)
class GridOfAxis:
    """A grid of pairs about one line, and the constraints that it keeps."""

    constraints: Constraints
    grid: Grid


def grids(
    all_constraints: Sequence[Constraints], *, search: Search, candidates: int, step_m: float
) -> list[GridOfAxis]:
    """Return the grids of a search, those with a candidate at least.

    Parameters
    ----------
    all_constraints : sequence of Constraints
        One for each front wall that is searched. [-]
    search : Search
        Of which the step is that of the grids, where it tells one. [-]
    candidates : int
        Most of all grids together. [-]
    step_m : float
        Step where the candidates allow it and none was told. [m]

    Returns
    -------
    list of GridOfAxis

    Raises
    ------
    DomainError
        The step that was asked for makes more candidates than allowed.
    """
    possible = [constraints for constraints in all_constraints if not constraints.upside_down]
    told_step_m = search.step_m
    step_m = step_m if told_step_m is None else told_step_m
    ends = [_ends(constraints) for constraints in possible]
    total = sum(_combinations(each, step_m) for each in ends)
    if told_step_m is not None and total > candidates:
        finest_m = _coarser(ends, step_m, candidates)
        raise DomainError(
            pointer=search.pointer("step_m"),
            code="too_much_work",
            detail=words("refusals_placement.step", step_m=told_step_m, count=f"{total:.3g}", most=candidates),
            given=told_step_m,
            allowed=words("refusals_placement.step.allowed", finest_m=finest_m),
        )
    if total > candidates:
        step_m = _coarser(ends, step_m, candidates)
    found = []
    for constraints in possible:
        low_m, high_m = constraints.axis_y_m
        for axis_y_m in evenly_spaced_m(from_m=low_m, to_m=high_m, step_m=4 * step_m):
            grid = _grid(constraints, axis_y_m, step_m)
            if grid is not None and grid.count:
                found.append(GridOfAxis(constraints=constraints, grid=grid))
    return found


def _ends(constraints: Constraints) -> tuple[tuple[tuple[float, float], int], ...]:
    """Ranges with the factor of the step of each: apart takes twice the step, the whole pair sideways four times."""
    return ((constraints.front_m, 1), (constraints.spacing_m, 2), (constraints.seat_x_m, 1), (constraints.axis_y_m, 4))


def _combinations(ends: tuple[tuple[tuple[float, float], int], ...], step_m: float) -> int:
    return math.prod(math.ceil((high - low) / (factor * step_m) - 1e-9) + 1 for (low, high), factor in ends)


def _coarser(ends: list[tuple[tuple[tuple[float, float], int], ...]], step_m: float, candidates: int) -> float:
    """The smallest step, in steps of 2 %, at which there are no more candidates than allowed. [m]"""
    while sum(_combinations(each, step_m) for each in ends) > candidates and step_m < 100:
        step_m *= 1.02
    return step_m


def _grid(constraints: Constraints, axis_y_m: float, step_m: float) -> Grid | None:
    """Candidates about one axis, or None where there is no room for them."""
    speaker_z_m, ear_z_m = constraints.heights_m
    low_m, high_m = constraints.spacing_at_m(axis_y_m)
    if high_m < low_m - 1e-9:
        return None
    if constraints.fixed_speakers is not None:
        speakers_m = np.array([[[place.xyz_m for place in constraints.fixed_speakers.speakers]]])
    else:
        front_m = evenly_spaced_m(from_m=constraints.front_m[0], to_m=constraints.front_m[1], step_m=step_m)
        if constraints.speaker_count == 1:
            speakers_m = np.array([[[(x_m, axis_y_m, speaker_z_m)] for x_m in front_m]])
        else:
            spacing_m = evenly_spaced_m(from_m=low_m, to_m=high_m, step_m=2 * step_m)
            speakers_m = pairs_across_m(
                front_m=front_m, spacing_m=spacing_m, axis_y_m=axis_y_m, speaker_z_m=speaker_z_m
            )
    seat_y_m = axis_y_m if constraints.seat_y_m is None else constraints.seat_y_m
    seat_x_m = evenly_spaced_m(from_m=constraints.seat_x_m[0], to_m=constraints.seat_x_m[1], step_m=step_m)
    seats_m = np.array([(x_m, seat_y_m, ear_z_m) for x_m in seat_x_m])
    return Grid(
        speakers_m=speakers_m,
        seats_m=seats_m,
        facing_rad=constraints.fixed_facing_rad,
        allowed=_allowed(constraints, speakers_m, seats_m),
    )


def _allowed(constraints: Constraints, speakers_m: np.ndarray, seats_m: np.ndarray) -> np.ndarray:
    """Which combinations (j, i, k) keep the constraints; few spacings at a time."""
    spacings, fronts = speakers_m.shape[:2]
    allowed = np.zeros((spacings, fronts, len(seats_m)), dtype=bool)
    seats = np.flatnonzero(constraints.seats_fit(seats_m))
    if not len(seats):
        return allowed
    clear = (
        _clear_by_facing(constraints, speakers_m)
        if len(constraints.zones_m) and constraints.fixed_speakers is None
        else None
    )
    rows = max(1, _BLOCK // (fronts * len(seats)))
    for start in range(0, spacings, rows):
        part = slice(start, min(start + rows, spacings))
        speakers, leads = speakers_m[part, :, None], seats_m[seats]
        fit = constraints.together(speakers, leads)
        if clear is not None:
            facing_rad = constraints.facing_rad(np.broadcast_to(speakers, (*fit.shape, *speakers.shape[3:])), leads)
            lower = np.floor((facing_rad % (2 * np.pi) + np.pi) % (2 * np.pi) / np.radians(_STEP_DEG)).astype(int)
            j, i, n = np.ogrid[part, :fronts, : speakers_m.shape[2]]
            j, i, n = j[:, :, None], i[:, :, None], n[:, :, None]
            fit &= (clear[j, i, n, lower] & clear[j, i, n, lower + 1]).all(axis=-1)
        allowed[part][..., seats] = fit
    return allowed


def _clear_by_facing(constraints: Constraints, speakers_m: np.ndarray) -> np.ndarray:
    """Whether each cabinet (j, i, n) is clear of the zones in each of the directions."""
    facings_rad = np.broadcast_to(_FACINGS_RAD, (*speakers_m.shape[:3], len(_FACINGS_RAD)))
    return constraints.cabinets_clear(speakers_m[..., None, :], facings_rad)
