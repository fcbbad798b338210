"""Dimensions and mode orders of a rectangular room, as checked arrays."""

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError, require_positive
from service.physics.types import FloatArray, IntArray


def checked_dimensions_m(*, length_m: float, width_m: float, height_m: float) -> FloatArray:
    """Return the three dimensions of a box as one array.

    Parameters
    ----------
    length_m, width_m, height_m : float
        Inside dimensions, > 0. [m]

    Returns
    -------
    ndarray of float, shape (3,)
        Length, width, height. [m]

    Raises
    ------
    OutOfRangeError
        A dimension is not finite and positive.
    """
    require_positive(length_m, name="length_m")
    require_positive(width_m, name="width_m")
    require_positive(height_m, name="height_m")
    return np.array([length_m, width_m, height_m], dtype=float)


def checked_orders(orders: ArrayLike) -> IntArray:
    """Return mode orders as an array of whole numbers.

    Parameters
    ----------
    orders : array_like of int, shape (n, 3)
        Each at least 0, not all 0. [-]

    Returns
    -------
    ndarray of int, shape (n, 3)
        The same. [-]

    Raises
    ------
    OutOfRangeError
        An order is negative or not whole, all three are 0, or the shape is another.
    """
    array = np.asarray(orders)
    if array.ndim != 2 or array.shape[1] != 3 or array.dtype.kind not in "iu":
        raise OutOfRangeError(name="orders", value=orders, allowed="whole numbers of shape (n, 3)")
    if (array < 0).any() or not array.any(axis=1).all():
        raise OutOfRangeError(name="orders", value=orders, allowed="at least 0 and not all 0")
    return array
