"""Patches of absorbing surface: what is refused."""

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError, require_between, require_not_negative


def require_patches(absorption_coefficients: ArrayLike, *, areas_m2: ArrayLike) -> None:
    """Refuse absorbing patches unless each value is possible and there is one area for each patch.

    Parameters
    ----------
    absorption_coefficients : array_like of float, shape (n_patches,) or (n_patches, n_bands)
        0 to 1. [-]
    areas_m2 : array_like of float, shape (n_patches,)
        >= 0, together > 0. [m2]

    Returns
    -------
    None

    Raises
    ------
    OutOfRangeError
        A value is outside its range, or there is not one area for each patch.
    """
    require_between(absorption_coefficients, name="absorption_coefficients", low=0.0, high=1.0)
    require_not_negative(areas_m2, name="areas_m2")
    shape = np.shape(absorption_coefficients)
    if len(shape) not in (1, 2) or np.shape(areas_m2) != shape[:1]:
        raise OutOfRangeError(name="areas_m2", value=areas_m2, allowed="one area for each patch")
    if not np.sum(areas_m2) > 0:
        raise OutOfRangeError(name="areas_m2", value=areas_m2, allowed="greater than 0 together")
