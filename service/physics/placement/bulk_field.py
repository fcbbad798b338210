"""Energy of every bass band for very many placements at once: the exact wave field in single precision.

The field is a sum over modes across the room of (what the speakers drive) x (what reaches the seat). Both the places of
the speakers across the room and the squares of their sums are smooth functions, so a few of their combinations carry
all of them: at each band the energy is a product of two narrow matrices, and the frequencies of a band are summed
before the many candidates come in.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from service.physics.placement.bulk_blocks import Square, by_table, squared_blocks, summed_block
from service.physics.placement.candidates import Grid
from service.physics.placement.search import Setting, source_weights
from service.physics.room.wave_field import AxisSum, largest_transverse_wavenumber
from service.physics.types import ComplexArray, FloatArray, IntArray

_MOST_NEPER = 40.0
"""Most decay between the places of one table, so that single precision neither overflows nor underflows."""

_TABLE_BYTES = 32_000_000


@dataclass(frozen=True, kw_only=True)
class Tables:
    """Products of modes at some distances of the speakers and at some seats, ready for `BulkField.energies`.

    Attributes
    ----------
    fronts, seats : ndarray of int
        Which of the grid's. [-]
    sources : dict
        By table: ndarray (f, a, fronts, b). [-]
    arrivals : list
        For each ear place: ndarray (f, a, b, seats). [-]
    """

    fronts: np.ndarray
    seats: np.ndarray
    sources: dict
    arrivals: list


class BulkField:
    """Band energies of the candidates of a grid.

    Parameters
    ----------
    setting : Setting
        [-]
    grid : Grid
        [-]
    ears_m : ndarray, shape (s, k, 3)
        The ear places of every seat. [m]
    least_separation_m : float
        Smallest distance along the length between a speaker and an ear of the same candidate, > 0. [m]
    """

    def __init__(self, setting: Setting, grid: Grid, *, ears_m: FloatArray, least_separation_m: float) -> None:
        box = setting.box
        self.setting, self.grid, self.ears_m = setting, grid, ears_m
        highest = largest_transverse_wavenumber(box, separation_m=least_separation_m, dipole=setting.dipole)
        self.sum = AxisSum(
            box.dimensions_m,
            box.admittance_ratio,
            box.wavenumber_per_m - 1j * box.loss_per_m if box.loss_per_m else box.wavenumber_per_m,
            axis=0,
            highest_per_m=highest,
        )
        self.counts = tuple(mode.wavenumber_per_m.shape[1] for mode in self.sum.modes)
        self.blocks = [summed_block(driven) for driven in self._driven()]
        self.squares = [
            squared_blocks(self.blocks, first=first, second=second, points=setting.bands.points)
            for first in range(len(self.blocks))
            for second in range(first, len(self.blocks))
        ]

    def tables(self, *, run: Callable[..., Any]) -> Iterator[Tables]:
        """Yield tables that together hold every combination of front and seat that any candidate uses.

        Parameters
        ----------
        run : callable
            Like `map`: it may call in several threads. [-]
        """
        used = np.any(self.grid.allowed, axis=0)
        place_bytes = 8 * len(self.setting.box.wavenumber_per_m) * self.counts[0] * self.counts[1]
        most = max(1, _TABLE_BYTES // place_bytes)
        for fronts in self._near_fronts(np.flatnonzero(used.any(axis=1)), most=most):
            seats = np.flatnonzero(used[fronts].any(axis=0))
            reference_m = self._along_m(fronts).max()
            sources = self._sources(fronts, reference_m, run=run)
            for start in range(0, len(seats), most):
                part = seats[start : start + most]
                arrivals = [self._arrivals(places_m[part], reference_m, run=run) for places_m in self.ears_m]
                yield Tables(fronts=fronts, seats=part, sources=sources, arrivals=arrivals)

    def pair_energies(self, tables: Tables, *, rows: slice, pairs: IntArray) -> list[list[FloatArray]]:
        """Return the energies that belong to combinations of front and seat, for `energies`.

        Parameters
        ----------
        tables : Tables
            [-]
        rows : slice
            Of the fronts of the tables. [-]
        pairs : ndarray of int, shape (n,)
            Which combinations, counted over (rows, seats). [-]

        Returns
        -------
        list of list of ndarray
            For each ear place and product of blocks, shape (b, n, q). [-]
        """
        points = self.setting.bands.points
        result = []
        for arrivals in tables.arrivals:
            reached = {}
            for name, source in tables.sources.items():
                field = source[:, :, rows] @ arrivals
                field = field.reshape(*field.shape[:2], -1)
                reached[name] = field if len(pairs) == field.shape[2] else field[..., pairs]
            mixed = []
            for block in self.blocks:
                field = _added(part.mixing @ reached[part.table] for part in block.parts)
                field = field.reshape(-1, points, *field.shape[1:]).transpose(0, 3, 2, 1)
                mixed.append(np.ascontiguousarray(field).view(np.float32))
            turned = [np.ascontiguousarray(field.swapaxes(2, 3)) for field in mixed]
            energies = []
            for square in self.squares:
                energy = mixed[square.first] @ turned[square.second]
                energy = energy.reshape(-1, square.mixing.shape[0]) @ square.mixing
                energies.append(energy.reshape(-1, len(pairs), square.mixing.shape[1]))
            result.append(energies)
        return result

    def energies(
        self,
        pair_energies: list[FloatArray],
        *,
        part: slice,
        across: IntArray | slice,
        seats: IntArray,
        fronts: IntArray,
    ) -> FloatArray:
        """Return the mean energy of each band.

        Parameters
        ----------
        pair_energies : list of ndarray
            Of one ear place. [-]
        part : slice
            Which of their combinations of front and seat. [-]
        across : ndarray of int or slice
            Which places across the room. [-]
        seats, fronts : ndarray of int, shape (n,)
            The grid's seat and front of each combination of the part. [-]

        Returns
        -------
        ndarray of float32, shape (b, n, j)
            Re one speaker in free field at 1 m. [-]
        """
        factors = self._factors(fronts, seats, across) if len(self.blocks) > 1 else None

        def of_square(square: Square, energy: FloatArray) -> FloatArray:
            found = energy.reshape(-1, energy.shape[2]) @ square.features[:, across]
            found = found.reshape(*energy.shape[:2], -1)
            if factors is not None:
                found *= factors[square.first] * factors[square.second]
            return found

        return _added(map(of_square, self.squares, (energy[:, part] for energy in pair_energies)))

    def _factors(self, fronts: IntArray, seats: IntArray, across: IntArray | slice) -> list[FloatArray]:
        """Number with which each block is multiplied, (n, j) each: cosine and sine of the speakers' directions."""
        factors = []
        for n in self._turned_speakers:
            ahead_m = self.grid.seats_m[seats, 0] - self.grid.speakers_m[0, fronts, n, 0]
            aside_m = np.subtract.outer(self.grid.seats_m[seats, 1], self.grid.speakers_m[across, 0, n, 1])
            ahead_m, aside_m = ahead_m.astype(np.float32)[:, None], aside_m.astype(np.float32)
            away_m = np.hypot(ahead_m, aside_m)
            factors += [ahead_m / away_m, aside_m / away_m]
        return factors

    def _driven(self) -> Any:
        """Parts of each block, (table, [(factor (f,) or number, shape of modes, places (j,))...])."""
        places_m, facing_rad = self.grid.speakers_m, self.grid.facing_rad
        shape, slope = self.sum.modes[0].shape, self.sum.modes[0].slope_per_m
        count = places_m.shape[2]
        weights = source_weights(self.setting, count)
        across_m = [places_m[:, 0, n, 1] for n in range(count)]
        stands: dict[tuple[float, ...], int] = {}
        for n in range(count):
            stands.setdefault((*places_m[0, :, n, 0], places_m[0, 0, n, 2]), n)
        stand = [stands[(*places_m[0, :, n, 0], places_m[0, 0, n, 2])] for n in range(count)]
        if not self.setting.dipole:
            return [by_table(((stand[n], "plain"), weights[n], shape, across_m[n]) for n in range(count))]
        weights = weights / (1j * self.setting.box.wavenumber_per_m)
        if facing_rad is not None:
            ahead = (
                ((stand[n], "along"), np.cos(facing_rad[n]) * weights[n], shape, across_m[n]) for n in range(count)
            )
            aside = (
                ((stand[n], "plain"), np.sin(facing_rad[n]) * weights[n], slope, across_m[n]) for n in range(count)
            )
            return [by_table([*ahead, *aside])]
        mirrored = self.grid.mirrored
        self._turned_speakers = [0] if mirrored else range(count)
        blocks = []
        for speakers in [range(count)] if mirrored else [[n] for n in range(count)]:
            blocks.append(by_table(((stand[n], "along"), weights[n], shape, across_m[n]) for n in speakers))
            signs = [1.0 if n == speakers[0] else -1.0 for n in speakers]
            turned = zip(speakers, signs, strict=True)
            blocks.append(by_table(((stand[n], "plain"), sign * weights[n], slope, across_m[n]) for n, sign in turned))
        return blocks

    def _along_m(self, fronts: IntArray) -> FloatArray:
        return self.grid.speakers_m[0, fronts, :, 0]

    def _near_fronts(self, fronts: IntArray, *, most: int) -> Any:
        """Fronts in runs that share a reference without overflow and fit one table."""
        along_m = self._along_m(fronts).max(axis=1)
        order = np.argsort(along_m, kind="stable")
        fronts, along_m = fronts[order], along_m[order]
        reach_m = _MOST_NEPER / self.sum.decay_per_m.real.max()
        start = 0
        while start < len(fronts):
            stop = min(start + most, int(np.searchsorted(along_m, along_m[start] + reach_m, side="right")))
            yield fronts[start:stop]
            start = stop

    def _sources(self, fronts: IntArray, reference_m: float, *, run: Callable[..., Any]) -> Any:
        """Tables of the speakers, by name."""
        total, along_m = self.sum, self._along_m(fronts)
        u, result = total.decay_per_m, {}
        for stand, kind in {part.table for block in self.blocks for part in block.parts}:
            height = total.modes[1].shape([self.grid.speakers_m[0, 0, stand, 2]])[0][:, total.second]
            common = total.weight * height * (u if kind == "along" else 1.0)
            returned = common * total.reflection_low * np.exp(-u * 2 * along_m[:, stand].min())
            if kind == "along":
                returned = -returned
            ends = (common.astype(np.complex64), returned.astype(np.complex64))
            least_m = along_m[:, stand].min()
            places = [(x_m - reference_m, x_m - 2 * least_m + reference_m) for x_m in along_m[:, stand]]
            table = self._table(ends, [(-out, back) for out, back in places], run=run)
            result[stand, kind] = np.ascontiguousarray(table.transpose(0, 1, 3, 2))
        return result

    def _arrivals(self, ears_m: FloatArray, reference_m: float, *, run: Callable[..., Any]) -> Any:
        """Table of what reaches ears (k, 3) from a source at the reference."""
        total = self.sum
        furthest_m = 2 * total.length_m - ears_m[:, 0].max() - reference_m
        back = total.reflection_high * np.exp(-total.decay_per_m * furthest_m)
        ends = (np.ones_like(back, dtype=np.complex64), back.astype(np.complex64))
        decays = [(x_m - reference_m, ears_m[:, 0].max() - x_m) for x_m in ears_m[:, 0]]
        table = self._table(ends, decays, run=run)
        for axis, mode in ((1, total.modes[0]), (2, total.modes[1])):
            places_m, which = np.unique(ears_m[:, axis], return_inverse=True)
            shape = np.moveaxis(mode.shape(places_m), 0, -1).astype(np.complex64)[..., which]
            table *= shape[:, :, None] if axis == 1 else shape[:, None]
        return table

    def _table(self, ends: tuple[Any, Any], distances_m: Any, *, run: Callable[..., Any]) -> Any:
        """Dense table (f, a, b, n) of ends[0] e^(-u d0) + ends[1] e^(-u d1), for n pairs of distances."""
        total = self.sum
        u = total.decay_per_m
        rate, turn = u.real.astype(np.float32), u.imag.astype(np.float32)
        table = np.zeros((*self.counts, len(distances_m), len(u)), dtype=np.complex64)

        def fill(n: int) -> None:
            value = _added(
                end * _decayed(rate, turn, np.float32(d)) for end, d in zip(ends, distances_m[n], strict=True)
            )
            table[total.first, total.second, n] = value.T

        for _ in run(fill, range(len(distances_m))):
            pass
        return np.ascontiguousarray(table.transpose(3, 0, 1, 2))


def _added(arrays: Iterable[Any]) -> Any:
    """Sum of arrays into the first of them."""
    total, *rest = arrays
    for array in rest:
        total += array
    return total


def _decayed(rate: FloatArray, turn: FloatArray, distance_m: Any) -> ComplexArray:
    """exp(-u d) from real and imaginary part of u, single precision: an exponential, a cosine and a sine."""
    size, angle = np.exp(-rate * distance_m), turn * distance_m
    result = np.empty(size.shape, dtype=np.complex64)
    np.multiply(size, np.cos(angle), out=result.real)
    np.multiply(size, -np.sin(angle), out=result.imag)
    return result
