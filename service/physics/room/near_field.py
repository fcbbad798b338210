"""A seat close beside a source: the singular part of the field, taken out of the sum over modes.

The sum over transverse modes converges like exp(-q d) and needs ever more modes as the separation d shrinks. The same
sum for a rigid room at an imaginary wavenumber has the same slow tail, and its exact value is a few images, since
exp(-kappa r) / r dies away fast. So the difference of the two sums, which converges quickly, is added to the images.
Two imaginary wavenumbers, weighted so that the next term of the tail cancels as well, do better than one.
"""

from typing import Any

import numpy as np

from service.physics.frozen import frozen
from service.physics.types import ComplexArray, FloatArray

NEAR_FIELD_M = 0.25
"""Largest separation along any axis below which the singular part is taken out. [m]"""

_KAPPA_PER_M = frozen(np.array([4.0, 8.0]))
_NEGLIGIBLE_NEPER = 18.0


def imaginary_wavenumber_weights(wavenumber_per_m: FloatArray | ComplexArray) -> tuple[Any, Any]:
    """Return the two imaginary wavenumbers (2,) and their weights (2, f) for each wavenumber of the air.

    Notes
    -----
    The weights sum to 1, and the weighted mean of the squares equals k^2, so that the terms q^-1 and q^-3 of the tail
    agree.
    """
    imaginary = 1j * _KAPPA_PER_M
    square_1, square_2 = imaginary**2
    second = (wavenumber_per_m**2 - square_1) / (square_2 - square_1)
    return imaginary, np.stack([1 - second, second])


def imaginary_wavenumber_images(
    kappa_per_m: FloatArray,
    *,
    dimensions_m: tuple[float, float, float],
    sources_m: FloatArray,
    axes: FloatArray | None,
    seats_m: FloatArray,
) -> FloatArray:
    """Return the field of a rigid box at the wavenumbers j kappa, by images, for source i at seat i.

    Parameters
    ----------
    kappa_per_m : ndarray of float, shape (n,)
        Decay of exp(-kappa r) / r, > 0. [1/m]
    dimensions_m : tuple of float, length 3
        Inside dimensions. [m]
    sources_m, seats_m : ndarray of float, shape (pairs, 3)
        Positions. [m]
    axes : ndarray of float, shape (pairs, 3), or None
        Directions of the derivative with respect to the source point; None for the field itself.

    Returns
    -------
    ndarray of float, shape (pairs, n)
    """
    reach_m = _NEGLIGIBLE_NEPER / kappa_per_m.min()
    shifts = [2 * length * np.arange(-n, n + 1) for length in dimensions_m for n in [int(reach_m / (2 * length)) + 1]]
    shift_m = np.stack(np.meshgrid(*shifts, indexing="ij"), axis=-1).reshape(-1, 1, 3)
    mirror = np.array([[x, y, z] for x in (1, -1) for y in (1, -1) for z in (1, -1)], dtype=float)
    away_m = seats_m[:, None, None] - (shift_m + mirror * sources_m[:, None, None])
    distance_m = np.linalg.norm(away_m, axis=-1)[..., None]
    wave = np.exp(-kappa_per_m * distance_m) / distance_m
    if axes is not None:
        nearing = (away_m * mirror * axes[:, None, None]).sum(axis=-1)[..., None] / distance_m
        wave = wave * (kappa_per_m + 1 / distance_m) * nearing
    return wave.sum(axis=(1, 2))
