"""Direct and reverberant energy in a room, both against the energy on axis at 1 m in free field."""

import numpy as np

from service.physics.checks import require_finite, require_not_negative, require_positive
from service.physics.types import FloatLike, FloatOrArray


def direct_energy_ratio(*, distance_m: FloatLike, air_absorption_db_per_m: FloatLike) -> FloatOrArray:
    """Return the energy of the direct sound on axis, relative to the same source at 1 m.

    Parameters
    ----------
    distance_m : float or array_like of float
        > 0. [m]
    air_absorption_db_per_m : float or array_like of float
        >= 0. [dB/m]

    Returns
    -------
    ndarray or float
        Energy, below 1 beyond 1 m. [-]

    Raises
    ------
    OutOfRangeError
        A value is outside its range.

    Notes
    -----
    10^(-a r / 10) / r^2: 6.02 dB for each doubling of distance and a further a r for the air. Far field of
    the source: closer than a few times its own size it does not hold. The level at 1 m is taken as free of
    air loss.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Spherical wave. [ISO-9613-1] Attenuation by the air.

    Examples
    --------
    >>> round(float(direct_energy_ratio(distance_m=10.0, air_absorption_db_per_m=1.0)), 9)  # 10^-1 / 10^2
    0.001
    """
    require_positive(distance_m, name="distance_m")
    require_not_negative(air_absorption_db_per_m, name="air_absorption_db_per_m")
    return 10.0 ** (np.multiply(air_absorption_db_per_m, np.negative(distance_m) / 10.0)) / np.square(distance_m)


def reverberant_energy_ratio(*, room_constant_m2: FloatLike, directivity_index_db: FloatLike) -> FloatOrArray:
    """Return the energy of the reverberant field, relative to the same source on axis at 1 m in free field.

    Parameters
    ----------
    room_constant_m2 : float or array_like of float
        > 0; see `measured_time.room_constant_m2`. [m2]
    directivity_index_db : float or array_like of float
        Directivity index of the source on that axis. [dB]

    Returns
    -------
    ndarray or float
        Energy, the same everywhere in the room. [-]

    Raises
    ------
    OutOfRangeError
        A value is not finite, or there is no room constant.

    Notes
    -----
    16 pi / (R Q), Q = 10^(DI / 10). With L_W = L(1 m) + 10 lg(4 pi) - DI and L_rev = L_W + 10 lg(4 / R), both taken at
    the same characteristic impedance, rho c cancels. Diffuse field, steady state: above the transition
    frequency, after the field has built up.

    References
    ----------
    [HOPKINS-STRYKER-1948] [BERANEK-ACOUSTICS] The term 4 / R of the steady-state level in a room.

    Examples
    --------
    >>> round(float(reverberant_energy_ratio(room_constant_m2=16 * np.pi, directivity_index_db=10.0)), 9)
    0.1
    """
    require_positive(room_constant_m2, name="room_constant_m2")
    require_finite(directivity_index_db, name="directivity_index_db")
    return 16.0 * np.pi / np.asarray(room_constant_m2) * 10.0 ** (np.asarray(directivity_index_db) / -10.0)


def critical_distance_m(*, directivity_index_db: FloatLike, room_constant_m2: FloatLike) -> FloatOrArray:
    """Return the distance on axis at which direct and reverberant level are equal.

    Parameters
    ----------
    directivity_index_db : float or array_like of float
        Directivity index of the source on that axis. [dB]
    room_constant_m2 : float or array_like of float
        > 0. [m2]

    Returns
    -------
    ndarray or float
        Distance. [m]

    Raises
    ------
    OutOfRangeError
        A value is not finite, or there is no room constant.

    Notes
    -----
    sqrt(Q R / (16 pi)), Q = 10^(DI / 10). Printed also with the absorption area A in place of R, which is
    smaller and gives a shorter distance; loss in the air on the way is left out.

    References
    ----------
    [BERANEK-ACOUSTICS] The form with R. [VIGRAN-2008] Eq. 4.50 has the form with A.

    Examples
    --------
    >>> distance = critical_distance_m(directivity_index_db=10.0, room_constant_m2=1.6 * np.pi)
    >>> round(float(distance), 9)  # sqrt(10 * 1.6 pi / (16 pi))
    1.0
    """
    require_finite(directivity_index_db, name="directivity_index_db")
    require_positive(room_constant_m2, name="room_constant_m2")
    return np.sqrt(10.0 ** (np.asarray(directivity_index_db) / 10.0) * room_constant_m2 / (16.0 * np.pi))
