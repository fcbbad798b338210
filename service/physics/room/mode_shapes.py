"""Where in a rectangular room a mode is loud and where it vanishes."""

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError, require_between, require_positive
from service.physics.room.box import checked_dimensions_m, checked_orders
from service.physics.types import FloatArray


def mode_shape(
    orders: ArrayLike, positions_m: ArrayLike, *, length_m: float, width_m: float, height_m: float
) -> FloatArray:
    """Return the pressure of each mode at each place, 1 at its largest.

    Parameters
    ----------
    orders : array_like of int, shape (n, 3)
        Each at least 0, not all 0. [-]
    positions_m : array_like of float, shape (p, 3)
        Places inside the room. [m]
    length_m, width_m, height_m : float
        Inside dimensions, > 0. [m]

    Returns
    -------
    ndarray of float, shape (p, n)
        -1 to 1, modes last; 0 on a node. [-]

    Raises
    ------
    OutOfRangeError
        A place is outside the room, or a value is invalid.

    Notes
    -----
    cos(nx pi x / L) cos(ny pi y / W) cos(nz pi z / H): rigid walls. How strongly a source at one place drives
    the mode, and how strongly it is heard at another.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Normal modes of a rectangular room.

    Examples
    --------
    >>> shape = mode_shape([(1, 0, 0), (2, 0, 0)], [(2.5, 1.0, 1.0)], length_m=5.0, width_m=4.0, height_m=2.5)
    >>> [round(float(x), 9) + 0.0 for x in shape[0]]  # cos 90 and cos 180 degrees
    [0.0, -1.0]
    """
    dimensions = checked_dimensions_m(length_m=length_m, width_m=width_m, height_m=height_m)
    array = checked_orders(orders)
    positions = np.asarray(positions_m, dtype=float)
    if positions.ndim != 2 or positions.shape[1] != 3:
        raise OutOfRangeError(name="positions_m", value=positions_m, allowed="of shape (p, 3)")
    for axis, dimension in enumerate(dimensions):
        require_between(positions[:, axis], name="positions_m", low=0.0, high=dimension)
    phase = np.pi * (positions / dimensions)[:, np.newaxis, :] * array
    return np.cos(phase).prod(axis=2)


def nodal_positions_m(order: int, *, length_m: float) -> FloatArray:
    """Return where along one dimension a mode has its nodes.

    Parameters
    ----------
    order : int
        Half-waves along that dimension, at least 0. [-]
    length_m : float
        The dimension, > 0. [m]

    Returns
    -------
    ndarray of float, shape (order,)
        Distances from either wall, rising. [m]

    Raises
    ------
    OutOfRangeError
        The order is not a whole number of at least 0, or the dimension is not positive.

    Notes
    -----
    (k + 1/2) L / n for k = 0 to n - 1: zeros of cos(n pi x / L).

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Normal modes of a rectangular room.

    Examples
    --------
    >>> nodal_positions_m(2, length_m=6.0).tolist()
    [1.5, 4.5]
    """
    if isinstance(order, bool) or not isinstance(order, (int, np.integer)) or order < 0:
        raise OutOfRangeError(name="order", value=order, allowed="a whole number of at least 0")
    require_positive(length_m, name="length_m")
    return (np.arange(order) + 0.5) * length_m / max(order, 1)
