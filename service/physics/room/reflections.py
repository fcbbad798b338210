"""First reflections of a source from the six surfaces of a rectangular room."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError, require_between, require_not_negative, require_positive
from service.physics.room.box import checked_dimensions_m
from service.physics.types import FloatArray, FloatLike, FloatOrArray

WALLS = ("front_wall", "back_wall", "left_wall", "right_wall", "floor", "ceiling")
"""Order of the six surfaces: x = 0 and length, y = 0 and width, z = 0 and height."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reflections:
    """First reflections in the order of `WALLS`.

    Attributes
    ----------
    direct_path_m : float
        Length of the direct path. [m]
    path_m : ndarray, shape (6,)
        Length of each reflected path. [m]
    delay_s : ndarray, shape (6,)
        Arrival after the direct sound. [s]
    level_db : ndarray, shape (6,) or (6, n_bands)
        Level relative to the direct sound; minus infinity where the wall absorbs all. [dB]
    point_m : ndarray, shape (6, 3)
        Where on the wall the sound is reflected. [m]
    """

    direct_path_m: float
    path_m: np.ndarray
    delay_s: np.ndarray
    level_db: np.ndarray
    point_m: np.ndarray


def _position(place_m: ArrayLike, dimensions: FloatArray, name: str) -> FloatArray:
    place = np.asarray(place_m, dtype=float)
    if place.shape != (3,):
        raise OutOfRangeError(name=name, value=place_m, allowed="three coordinates")
    for coordinate, dimension in zip(place, dimensions, strict=True):
        require_between(coordinate, name=name, low=0.0, high=dimension)
    return place


def first_order_reflections(
    source_m: ArrayLike,
    receiver_m: ArrayLike,
    *,
    length_m: float,
    width_m: float,
    height_m: float,
    absorption_coefficients: ArrayLike,
    speed_of_sound_m_s: float,
) -> Reflections:
    """Return path, delay, level and place of the six first reflections.

    Parameters
    ----------
    source_m, receiver_m : array_like of float, shape (3,)
        Places inside the room, not the same. [m]
    length_m, width_m, height_m : float
        Inside dimensions, > 0. [m]
    absorption_coefficients : array_like of float, shape (6,) or (6, n_bands)
        In the order of `WALLS`, 0 to 1. [-]
    speed_of_sound_m_s : float
        > 0. [m/s]

    Returns
    -------
    Reflections

    Raises
    ------
    OutOfRangeError
        A place is outside the room, the two places are one, or a value is outside its range.

    Notes
    -----
    Image sources: level 20 lg(r_0 / r) + 10 lg(1 - alpha), with the absorption coefficient of diffuse
    incidence at every angle. The source radiates alike in all directions: its directivity is to be added by
    the caller, from the direction of `point_m`. Plane specular surfaces, large against the wavelength; air
    loss is left out.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Image sources.

    Examples
    --------
    A source 3 m and a receiver 3 m from the floor, 8 m apart: 10 m by the floor, reflected half way.

    >>> found = first_order_reflections((1, 2, 3), (9, 2, 3), length_m=10, width_m=5, height_m=7,
    ...                                 absorption_coefficients=[0.0] * 6, speed_of_sound_m_s=340.0)
    >>> float(found.path_m[4]), found.point_m[4].tolist()
    (10.0, [5.0, 2.0, 0.0])
    """
    dimensions = checked_dimensions_m(length_m=length_m, width_m=width_m, height_m=height_m)
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    require_between(absorption_coefficients, name="absorption_coefficients", low=0.0, high=1.0)
    alpha = np.asarray(absorption_coefficients, dtype=float)
    if alpha.ndim not in (1, 2) or alpha.shape[0] != 6:
        raise OutOfRangeError(
            name="absorption_coefficients", value=absorption_coefficients, allowed="one row for each wall"
        )
    source = _position(source_m, dimensions, "source_m")
    receiver = _position(receiver_m, dimensions, "receiver_m")
    direct = float(np.linalg.norm(receiver - source))
    if direct == 0.0:
        raise OutOfRangeError(name="receiver_m", value=receiver_m, allowed="away from the source")

    walls = np.arange(6)
    axis = walls // 2
    wall = np.where(walls % 2 == 0, 0.0, dimensions[axis])
    images = np.tile(source, (6, 1))
    images[walls, axis] = 2.0 * wall - source[axis]
    path = np.linalg.norm(receiver - images, axis=1)
    source_gap = np.abs(wall - source[axis])
    both_gaps = source_gap + np.abs(wall - receiver[axis])
    # Share of the way along the wall; source and receiver both on it: half way, for lack of a better place.
    share = np.where(both_gaps > 0, source_gap, 0.5) / np.where(both_gaps > 0, both_gaps, 1.0)
    point = source + share[:, np.newaxis] * (receiver - source)
    point[walls, axis] = wall
    spreading_db = 20.0 * np.log10(direct / path)
    with np.errstate(divide="ignore"):
        loss_db = 10.0 * np.log10(1.0 - alpha)
    return Reflections(
        direct_path_m=direct,
        path_m=path,
        delay_s=(path - direct) / speed_of_sound_m_s,
        level_db=(spreading_db + loss_db.T).T,
        point_m=point,
    )


def first_zone_area_m2(
    *, source_path_m: FloatLike, receiver_path_m: FloatLike, incidence_deg: FloatLike, wavelength_m: float
) -> FloatOrArray:
    """Return the area of a surface around the point of reflection that makes most of the reflection.

    Parameters
    ----------
    source_path_m, receiver_path_m : float or array_like
        From the source to the point and from the point to the receiver, at least 0. [m]
    incidence_deg : float or array_like
        Angle to the normal of the surface, 0 to 90. [deg]
    wavelength_m : float
        > 0. [m]

    Returns
    -------
    float or ndarray
        Area of the first Fresnel zone, an ellipse on the surface. [m2]

    Raises
    ------
    OutOfRangeError
        A value is outside its range.

    Notes
    -----
    Paths over its rim are half a wavelength longer than over the point. All such points lie on a spheroid about the
    image of the source and the receiver, with semi-axes a = (D + lambda/2)/2 and b^2 = a^2 - D^2/4 for the path D =
    d1 + d2. The surface cuts it at p = (d1 - d2)/2 cos(i) from its centre; with m = a^2 cos^2(i) + b^2 sin^2(i) the
    area is pi a b^2 / sqrt(m) (1 - p^2/m). Far from both ends that is pi lambda d1 d2 / (D cos(i)).

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Finite reflectors; the plane section of a spheroid is geometry.

    Examples
    --------
    2 m and 2 m straight on, wavelength 0.34 m: 2 sqrt(4 + r^2) = 4.17, r^2 = 0.347225, and pi r^2 = 1.0908 m2

    >>> round(float(first_zone_area_m2(source_path_m=2, receiver_path_m=2, incidence_deg=0, wavelength_m=0.34)), 4)
    1.0908
    """
    first = np.asarray(require_not_negative(source_path_m, name="source_path_m"), dtype=float)
    second = np.asarray(require_not_negative(receiver_path_m, name="receiver_path_m"), dtype=float)
    require_positive(wavelength_m, name="wavelength_m")
    angle_rad = np.radians(require_between(incidence_deg, name="incidence_deg", low=0.0, high=90.0))
    path_m = first + second
    long_m = (path_m + wavelength_m / 2) / 2
    short_squared_m2 = long_m**2 - path_m**2 / 4
    across_m2 = (long_m * np.cos(angle_rad)) ** 2 + short_squared_m2 * np.sin(angle_rad) ** 2
    off_centre_m = (first - second) / 2 * np.cos(angle_rad)
    return np.pi * long_m * short_squared_m2 / np.sqrt(across_m2) * (1 - off_centre_m**2 / across_m2)
