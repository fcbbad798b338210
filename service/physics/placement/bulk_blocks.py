"""Few combinations that carry many: the shapes of modes at many places across a room, and the squares of their sums.

The shapes are smooth, so a handful of combinations (singular vectors) holds all of them to a millionth. What is summed
over the speakers of a candidate is a row of features; the energy of a sum is a product of features, and of these again
a few combinations are enough.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from service.physics.types import FloatArray

_SHAPES_FROM = 1e-6
_SQUARES_FROM = 1e-7
"""Smallest singular value of shapes and of their squares that is kept, re the largest."""

_MOST_ROWS = 256
"""Most places across the room from which the combinations are found; more would be combinations of these."""


@dataclass(frozen=True, kw_only=True)
class Driven:
    """One part of a block: which table of source and seat it takes, and how its modes mix, (f, r, a)."""

    table: tuple
    mixing: np.ndarray


@dataclass(frozen=True, kw_only=True)
class Block:
    """Speakers that are multiplied with the same number per candidate: features (j, r) and parts."""

    features: np.ndarray
    parts: list


@dataclass(frozen=True, kw_only=True)
class Square:
    """Product of two blocks: combinations of their features (j, q), and how the energies mix, (r * r', q)."""

    first: int
    second: int
    features: np.ndarray
    mixing: np.ndarray


def by_table(driven: Iterable[tuple[Any, ...]]) -> dict[Any, list[Any]]:
    """Return speakers grouped by the table of source and seat that they take.

    Parameters
    ----------
    driven : iterable of tuple
        (table, factor (f,), function from places to the shapes of the modes, places (j,)). [-]

    Returns
    -------
    dict
        By table: list of the rest. [-]
    """
    tables: dict[Any, list[Any]] = {}
    for table, *rest in driven:
        tables.setdefault(table, []).append(rest)
    return tables


def summed_block(tables: dict[Any, list[Any]]) -> Block:
    """Return the block of speakers that are multiplied with the same number per candidate.

    Parameters
    ----------
    tables : dict
        The speakers, from `by_table`. [-]

    Returns
    -------
    Block
    """
    features, parts = zip(*(_combinations(table, driven) for table, driven in tables.items()), strict=True)
    if len(parts) == 1:
        return Block(features=features[0], parts=list(parts))
    together = np.concatenate(features, axis=1)
    kept = _kept_vectors(together.T @ together, from_=_SHAPES_FROM)
    ends = np.cumsum([0, *(each.shape[1] for each in features)])
    mixed = [
        Driven(table=part.table, mixing=(kept[low:high].T @ part.mixing).astype(np.complex64))
        for part, low, high in zip(parts, ends[:-1], ends[1:], strict=True)
    ]
    return Block(features=together @ kept, parts=mixed)


def _combinations(table: Any, driven: Any) -> Any:
    """Features (j, r) and mixing of the few combinations that carry the summed shapes of speakers at places (j,)."""
    values, which = [], []
    for factor, function, places_m in driven:
        across_m, index = np.unique(places_m, return_inverse=True)
        shape = function(across_m) * np.reshape(factor, (-1, 1))
        values.append(np.ascontiguousarray(shape).reshape(len(across_m), -1).view(float))
        which.append(index)
    rows = np.arange(len(which[0]))
    if len(rows) > _MOST_ROWS:
        rows = np.random.default_rng(0).choice(rows, _MOST_ROWS, replace=False)
    summed: Any = sum(value[index[rows]] for value, index in zip(values, which, strict=True))
    kept = _kept_vectors(summed @ summed.T, from_=_SHAPES_FROM)
    carriers = kept.T @ summed
    carriers /= np.maximum(np.linalg.norm(carriers, axis=1, keepdims=True), np.finfo(float).tiny)
    features = sum((value @ carriers.T)[index] for value, index in zip(values, which, strict=True))
    mixing = carriers.view(complex).reshape(len(carriers), *shape.shape[1:]).swapaxes(0, 1)
    return features, Driven(table=table, mixing=np.ascontiguousarray(mixing).astype(np.complex64))


def squared_blocks(blocks: Sequence[Block], *, first: int, second: int, points: int) -> Square:
    """Return the few combinations of the products of two blocks' features, the mean over a band included.

    Parameters
    ----------
    blocks : list of Block
        [-]
    first, second : int
        Which two; products of unlike ones count twice. [-]
    points : int
        Frequencies in a band. [-]

    Returns
    -------
    Square
    """
    a, b = blocks[first].features, blocks[second].features
    products = (a[:, :, None] * b[:, None]).reshape(len(a), -1) * (1.0 if first == second else 2.0)
    kept = _kept_vectors(products.T @ products, from_=_SQUARES_FROM)
    return Square(
        first=first,
        second=second,
        features=np.ascontiguousarray((products @ kept).T / points).astype(np.float32),
        mixing=kept.astype(np.float32),
    )


def _kept_vectors(gram: FloatArray, *, from_: float) -> FloatArray:
    """Eigenvectors whose singular values are at least a fraction of the largest, largest first; one even of nothing."""
    values, vectors = np.linalg.eigh(gram)
    kept = values > from_**2 * values[-1]
    kept[-1] = True
    return vectors[:, kept][:, ::-1]
