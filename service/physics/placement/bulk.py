"""First pass of a large search: every candidate of a grid by the bass at the middle of each head, the best kept.

Single precision, in pieces, so that millions of candidates need little memory. What is kept is for `search` to judge
anew over the whole head.
"""

import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from service.physics.placement import merit
from service.physics.placement.bulk_field import BulkField, Tables
from service.physics.placement.candidates import Candidates, Grid
from service.physics.placement.search import HEAD_RADIUS_M, Setting, head_middles_m, least_separation_m, middle_energy
from service.physics.types import BoolArray, FloatArray, IntArray

WORKERS = 2
"""Threads of all searches together: parallel requests share them rather than add to them."""

_PAIRS = 256
"""Combinations of front and seat in one task."""

_PIECE = 12_000
"""Candidates in one piece; their levels fit a cache of a few megabytes."""

_DB_PER_NEPER = 10 / np.log(10)


@dataclass(frozen=True, kw_only=True)
class BulkParts:
    """Bass parts of the merit of one piece of a search, arrays (n, j): n combinations of front and seat.

    Attributes
    ----------
    bass_unevenness_db, dips_db : ndarray
        As in `merit.BassParts`, mean over the seats. [dB]
    bass_balance_db : ndarray
        Of the leading seat. [dB]
    seat_spread_db : ndarray
        Over the seats; 0 for a single one, whose spread over the head is not known here. [dB]
    places : tuple of ndarray
        Which of the grid's spacings (1, j), fronts (n, 1) and seats (n, 1), to look up what depends on them. [-]
    """

    bass_unevenness_db: np.ndarray
    dips_db: np.ndarray
    bass_balance_db: np.ndarray
    seat_spread_db: np.ndarray
    places: tuple


@dataclass(frozen=True, kw_only=True)
class BulkBest:
    """The best candidates of a search, best first; arrays (m,).

    Attributes
    ----------
    score_db : ndarray
        Smaller is better. [dB]
    candidates : Candidates
        Their places. [-]
    """

    score_db: np.ndarray
    candidates: Candidates


def bulk_best(setting: Setting, grid: Grid, *, score: Callable[..., Any], most: int, workers: int) -> BulkBest:
    """Search a grid with the exact wave field and return its best candidates.

    Parameters
    ----------
    setting : Setting
        [-]
    grid : Grid
        Candidates, at least one. [-]
    score : callable
        From `BulkParts` to an array (n, j), smaller is better; it may be called in several threads. [dB]
    most : int
        How many are kept. [-]
    workers : int
        Threads, 1 for the caller's own; `WORKERS` at the most. [-]

    Returns
    -------
    BulkBest
        The same whatever the threads do: equal scores stand in the order of the grid.

    Notes
    -----
    The middle of each head only. Band levels are within 0.01 dB of the solver of a single response.
    """
    best, weigh = _Best(most=most), BassWeigher(setting, grid)
    shape = grid.allowed.shape

    def judge(energies: FloatArray, places: tuple[IntArray, ...], allowed: BoolArray) -> None:
        scores = np.asarray(score(weigh(energies, places)))
        best.offer(scores if allowed.all() else np.where(allowed, scores, np.inf), places, shape)

    each_piece(setting, grid, judge=judge, workers=workers)
    scores, index = best.found()
    j, i, k = np.unravel_index(index, shape)
    found = Candidates(speakers_m=grid.speakers_m[j, i], seats_m=grid.seats_m[k])
    return BulkBest(score_db=scores, candidates=found)


def each_piece(setting: Setting, grid: Grid, *, judge: Callable[..., Any], workers: int) -> None:
    """Hand on the band energies of every candidate, piece by piece.

    Parameters
    ----------
    setting : Setting
        [-]
    grid : Grid
        Candidates, at least one. [-]
    judge : callable
        Receives the energies of a piece re one speaker in free field at 1 m, for each seat (b, n, j), its to overwrite;
        the piece's places as in `BulkParts`; and which of it are candidates, (n, j). [-]
    workers : int
        Threads that call it, 1 for the caller's own; `WORKERS` at the most. [-]
    """
    ears_m = head_middles_m(setting, grid)
    separation_m = least_separation_m(setting, grid) + HEAD_RADIUS_M
    field = BulkField(setting, grid, ears_m=ears_m, least_separation_m=separation_m)
    run = map if workers == 1 else _pool().map
    allowed = np.ascontiguousarray(grid.allowed.transpose(1, 2, 0))

    def work(task: tuple[Tables, slice]) -> None:
        tables, rows = task
        fronts, seats = (part.ravel() for part in np.meshgrid(tables.fronts[rows], tables.seats, indexing="ij"))
        pairs = np.flatnonzero(allowed[fronts, seats].any(axis=1))
        if not len(pairs):
            return
        fronts, seats = fronts[pairs], seats[pairs]
        energies = field.pair_energies(tables, rows=rows, pairs=pairs)
        for part, across in _pieces(allowed[fronts, seats]):
            here = {"fronts": fronts[part], "seats": seats[part]}
            energy = [field.energies(each, part=part, across=across, **here) for each in energies]
            places = (across[None], fronts[part, None], seats[part, None])
            judge(energy, places, allowed[fronts[part, None], seats[part, None], across])

    for tables in field.tables(run=run):
        step = max(1, _PAIRS // len(tables.seats))
        tasks = [(tables, slice(start, start + step)) for start in range(0, len(tables.fronts), step)]
        for _ in run(work, tasks):
            pass


def _pieces(allowed: BoolArray) -> Iterator[tuple[slice, IntArray]]:
    """Split combinations (n, j) into pieces: (slice of n, spacings that any of them uses)."""
    count, spacings = allowed.shape
    step = max(1, _PIECE // spacings)
    for start in range(0, count, step):
        part = slice(start, min(start + step, count))
        used = np.flatnonzero(allowed[part].any(axis=0))
        for first in range(0, len(used), _PIECE):
            yield part, used[first : first + _PIECE]


class BassWeigher:
    """Bass parts from band energies, with as few passes over the levels as they take.

    Parameters
    ----------
    setting : Setting
        [-]
    grid : Grid
        [-]
    """

    def __init__(self, setting: Setting, grid: Grid) -> None:
        bands = setting.bands
        self.setting, self.grid = setting, grid
        octaves = np.log2(bands.midbands_hz)
        octaves = octaves - octaves.mean()
        count = len(octaves)
        balance = merit.within_balance_range(bands)
        into = [np.full(count, 1 / count), octaves / (octaves @ octaves), balance / balance.sum()]
        self.into = np.array(into, dtype=np.float32)
        self.line = np.stack([np.ones(count), octaves], axis=1).astype(np.float32)
        self.steepest = np.float32(merit.STEEPEST_SLOPE_DB_PER_OCTAVE / _DB_PER_NEPER)
        self.dip_from = np.float32(merit.DIP_FROM_DB / _DB_PER_NEPER)

    def __call__(self, energies: FloatArray, places: tuple[IntArray, ...]) -> BulkParts:
        """Return `BulkParts` of one piece from its energies, for each seat (b, n, j), which are overwritten."""
        shape = energies[0].shape[1:]
        nepers = [_logarithm(energy.reshape(len(energy), -1)) for energy in energies]
        spread = np.zeros(shape, dtype=np.float32)
        if len(nepers) > 1:
            spread = np.sqrt(np.var(nepers, axis=0).mean(axis=0)).reshape(shape) * _DB_PER_NEPER
        unevenness, dips, balances = zip(*(self._bass(each) for each in nepers), strict=True)
        scale = np.float32(_DB_PER_NEPER)
        return BulkParts(
            bass_unevenness_db=sum(unevenness).reshape(shape) * (scale / len(nepers)),
            dips_db=sum(dips).reshape(shape) * (scale / len(nepers)),
            bass_balance_db=scale * (balances[0].reshape(shape) - self._middle(places)),
            seat_spread_db=spread,
            places=places,
        )

    def _bass(self, nepers: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Unevenness, dips and mean level in the range of the balance from levels (b, n), which are overwritten."""
        mean, slope, balance = self.into @ nepers
        line = np.stack([mean, np.clip(slope, self.steepest, np.float32(0.0))])
        deviation = np.subtract(nepers, self.line @ line, out=nepers)
        squares = np.einsum("bn,bn->n", deviation, deviation)
        deviation += self.dip_from
        np.minimum(deviation, np.float32(0.0), out=deviation)
        dips = np.einsum("bn,bn->n", deviation, deviation)
        count = np.float32(len(nepers))
        return np.sqrt(squares / count), np.sqrt(dips / count), balance

    def _middle(self, places: tuple[IntArray, ...]) -> FloatArray:
        """Level around 1 kHz at the leading seat. [Np of energy]"""
        j, i, k = places
        energy = np.float32(0.0)
        for n, share in enumerate(middle_energy(self.setting, self.grid.speakers_m.shape[2])):
            if share > 0:
                x_m, z_m = (self.grid.speakers_m[0, i, n, axis] - self.grid.seats_m[k, axis] for axis in (0, 2))
                y_m = self.grid.speakers_m[j, 0, n, 1] - self.grid.seats_m[k, 1]
                squared = (x_m**2 + z_m**2).astype(np.float32) + (y_m**2).astype(np.float32)
                energy = energy + np.float32(share) * (1 / squared + np.float32(self.setting.reverberant_ratio))
        return np.log(energy)


def _logarithm(energy: FloatArray) -> FloatArray:
    """Natural logarithm in place; what rounding made nothing of counts as 200 dB down."""
    if not energy.min() > 0:
        np.maximum(energy, np.float32(1e-20), out=energy)
    return np.log(energy, out=energy)


class _Best:
    """The best of all that is offered, by score and then by place in the grid, from any number of threads."""

    def __init__(self, *, most: int) -> None:
        self.most, self.limit = most, np.inf
        self.lock = threading.Lock()
        self.kept: list[tuple[FloatArray, IntArray]] = []
        self.count = 0

    def offer(self, scores: FloatArray, places: tuple[IntArray, ...], shape: tuple[int, ...]) -> None:
        n, j = np.nonzero(scores <= self.limit if self.limit < np.inf else scores < np.inf)
        if not len(n):
            return
        index = np.ravel_multi_index((places[0][0, j], places[1][n, 0], places[2][n, 0]), shape)
        with self.lock:
            self.kept.append((scores[n, j], index))
            self.count += len(index)
            if self.count > 4 * self.most:
                self._tidy()

    def _tidy(self) -> None:
        scores, index = (np.concatenate(parts) for parts in zip(*self.kept, strict=True))
        if len(scores) > self.most:
            near = scores <= np.partition(scores, self.most - 1)[self.most - 1]
            scores, index = scores[near], index[near]
        order = np.lexsort((index, scores))[: self.most]
        self.kept, self.count = [(scores[order], index[order])], len(order)
        if len(order) == self.most:
            self.limit = scores[order[-1]]

    def found(self) -> tuple[FloatArray, IntArray]:
        self._tidy()
        return self.kept[0]


@cache
def _pool() -> ThreadPoolExecutor:
    """Threads shared by all searches: numpy lets go of the interpreter in its products and logarithms."""
    return ThreadPoolExecutor(max_workers=WORKERS, thread_name_prefix="search")
