"""Reverberation times of a room from its surfaces, objects and air, by five formulas, band by band.

Long for its docstrings: the five share their arguments, their refusals and the term of objects and air.
"""

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError, require_between, require_not_negative, require_positive
from service.physics.room.absorption import require_patches
from service.physics.types import FloatArray, FloatLike, FloatOrArray

DECAY_CONSTANT = float(24.0 * np.log(10.0))
"""T = DECAY_CONSTANT V / (c A): 60 dB of energy is 6 ln 10, the mean free path 4 V / S gives the factor 4."""


def objects_and_air_area_m2(
    *, object_area_m2: FloatLike, air_attenuation_per_m: FloatLike, volume_m3: float
) -> FloatOrArray:
    """Return the absorption area of what is not a surface, A_objects + 4 m V.

    Parameters
    ----------
    object_area_m2, air_attenuation_per_m, volume_m3 : see `sabine_time_s`
        [m2, 1/m, m3]

    Returns
    -------
    ndarray, shape (n_bands,), or float
            [m2]

    Raises
    ------
    OutOfRangeError
        A value is negative or not finite, or there is no volume.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] The air term 4 m V.
    """
    require_not_negative(object_area_m2, name="object_area_m2")
    require_not_negative(air_attenuation_per_m, name="air_attenuation_per_m")
    require_positive(volume_m3, name="volume_m3")
    return np.add(object_area_m2, 4.0 * volume_m3 * np.asarray(air_attenuation_per_m))


def _minus_log(remaining_ratio: ArrayLike) -> FloatArray:
    """-ln of the energy that a reflection leaves, infinite where nothing is left."""
    with np.errstate(divide="ignore"):
        return -np.log(remaining_ratio)


def _time_s(
    surface_part_m2: FloatArray,
    volume_m3: float,
    object_area_m2: FloatLike,
    air_attenuation_per_m: FloatLike,
    speed_of_sound_m_s: float,
) -> FloatOrArray:
    """24 ln 10 V / (c A), A = surface part + objects and air; NaN where A is 0 or infinite."""
    other_part_m2 = objects_and_air_area_m2(
        object_area_m2=object_area_m2, air_attenuation_per_m=air_attenuation_per_m, volume_m3=volume_m3
    )
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    area = surface_part_m2 + other_part_m2
    area = np.where(np.isfinite(area) & (area > 0), area, np.nan)
    return DECAY_CONSTANT * volume_m3 / (speed_of_sound_m_s * area)


def sabine_time_s(
    absorption_coefficients: ArrayLike,
    *,
    areas_m2: ArrayLike,
    volume_m3: float,
    object_area_m2: FloatLike,
    air_attenuation_per_m: FloatLike,
    speed_of_sound_m_s: float,
) -> FloatOrArray:
    """Return Sabine's reverberation time.

    Parameters
    ----------
    absorption_coefficients : array_like of float, shape (n_patches,) or (n_patches, n_bands)
        0 to 1. [-]
    areas_m2 : array_like of float, shape (n_patches,)
        Area of each patch, all surfaces of the room, each once: what an absorber covers is left out. [m2]
    volume_m3 : float
        > 0. [m3]
    object_area_m2 : float or array_like of float, shape (n_bands,)
        Equivalent absorption area of furniture and people, >= 0. [m2]
    air_attenuation_per_m : float or array_like of float, shape (n_bands,)
        Energy attenuation m of the air, >= 0: decibels per metre divided by 10 lg e = 4.343. [1/m]
    speed_of_sound_m_s : float
        > 0. [m/s]

    Returns
    -------
    ndarray, shape (n_bands,), or float
        Time of a decay by 60 dB; NaN where nothing absorbs. [s]

    Raises
    ------
    OutOfRangeError
        A value is outside its range, or there is not one area for each patch.

    Notes
    -----
    T = 24 ln 10 V / (c A), A = sum(S alpha) + A_objects + 4 m V. Diffuse field, little absorption: it still
    gives a time above 0 where every surface absorbs all.

    References
    ----------
    [SABINE-1922] [KUTTRUFF-ROOM-ACOUSTICS] Sabine's formula, with the air term.

    Examples
    --------
    >>> time = sabine_time_s([0.1, 0.5], areas_m2=[80.0, 4.0], volume_m3=55.0, object_area_m2=2.0,
    ...                      air_attenuation_per_m=0.0, speed_of_sound_m_s=343.2)
    >>> round(float(time), 3)  # A = 8 + 2 + 2 = 12 m2; 0.16102 * 55 / 12
    0.738
    """
    require_patches(absorption_coefficients, areas_m2=areas_m2)
    surface_part = np.asarray(areas_m2, dtype=float) @ np.asarray(absorption_coefficients, dtype=float)
    return _time_s(surface_part, volume_m3, object_area_m2, air_attenuation_per_m, speed_of_sound_m_s)


def eyring_time_s(
    absorption_coefficients: ArrayLike,
    *,
    areas_m2: ArrayLike,
    volume_m3: float,
    object_area_m2: FloatLike,
    air_attenuation_per_m: FloatLike,
    speed_of_sound_m_s: float,
) -> FloatOrArray:
    """Return Eyring's reverberation time.

    Parameters
    ----------
    absorption_coefficients, areas_m2, volume_m3, object_area_m2 : see `sabine_time_s`
        [-, m2, m3, m2]
    air_attenuation_per_m, speed_of_sound_m_s : see `sabine_time_s`
        [1/m, m/s]

    Returns
    -------
    ndarray, shape (n_bands,), or float
        Time of a decay by 60 dB; NaN where nothing absorbs or where every surface absorbs all. [s]

    Raises
    ------
    OutOfRangeError
        As for `sabine_time_s`.

    Notes
    -----
    T = 24 ln 10 V / (c A), A = -S ln(1 - mean alpha) + A_objects + 4 m V. Diffuse field; the absorption is
    averaged by area before the logarithm. Objects are added outside it (ours: they are no part of S).

    References
    ----------
    [EYRING-1930] [KUTTRUFF-ROOM-ACOUSTICS] Eyring's formula, with the air term.

    Examples
    --------
    >>> time = eyring_time_s([0.2], areas_m2=[158.0], volume_m3=120.0, object_area_m2=0.0,
    ...                      air_attenuation_per_m=0.0, speed_of_sound_m_s=343.0)
    >>> round(float(time), 4)  # 0.161113 * 120 / (158 * 0.223144)
    0.5484
    """
    require_patches(absorption_coefficients, areas_m2=areas_m2)
    areas, surface = np.asarray(areas_m2, dtype=float), np.sum(areas_m2)
    remaining = areas @ (1.0 - np.asarray(absorption_coefficients, dtype=float))
    part = surface * _minus_log(remaining / surface)
    return _time_s(part, volume_m3, object_area_m2, air_attenuation_per_m, speed_of_sound_m_s)


def millington_time_s(
    absorption_coefficients: ArrayLike,
    *,
    areas_m2: ArrayLike,
    volume_m3: float,
    object_area_m2: FloatLike,
    air_attenuation_per_m: FloatLike,
    speed_of_sound_m_s: float,
) -> FloatOrArray:
    """Return Millington's reverberation time.

    Parameters
    ----------
    absorption_coefficients, areas_m2, volume_m3, object_area_m2 : see `sabine_time_s`
        A patch of area 0 has no say. [-, m2, m3, m2]
    air_attenuation_per_m, speed_of_sound_m_s : see `sabine_time_s`
        [1/m, m/s]

    Returns
    -------
    ndarray, shape (n_bands,), or float
        Time of a decay by 60 dB; NaN where nothing absorbs or where any patch has absorption 1. [s]

    Raises
    ------
    OutOfRangeError
        As for `sabine_time_s`.

    Notes
    -----
    T = 24 ln 10 V / (c A), A = -sum(S ln(1 - alpha)) + A_objects + 4 m V. The logarithm is taken patch by
    patch: a small patch of absorption 1 would give a time of 0. Never longer than Eyring's, equal where all
    patches absorb alike.

    References
    ----------
    [MILLINGTON-1932] [KUTTRUFF-ROOM-ACOUSTICS] Millington's formula, with the air term.

    Examples
    --------
    >>> time = millington_time_s([0.5, 0.0], areas_m2=[30.0, 64.0], volume_m3=60.0, object_area_m2=0.0,
    ...                          air_attenuation_per_m=0.0, speed_of_sound_m_s=343.2)
    >>> round(float(time), 3)  # 0.16102 * 60 / (30 ln 2)
    0.465
    """
    require_patches(absorption_coefficients, areas_m2=areas_m2)
    areas = np.asarray(areas_m2, dtype=float)
    remaining = 1.0 - np.asarray(absorption_coefficients, dtype=float)
    surface_part = areas[areas > 0] @ _minus_log(remaining[areas > 0])
    return _time_s(surface_part, volume_m3, object_area_m2, air_attenuation_per_m, speed_of_sound_m_s)


def _pair_part_m2(pair_absorption_coefficients: ArrayLike, pair_areas_m2: ArrayLike) -> FloatArray:
    """Surface part of A if every wall were like one pair, pairs first."""
    require_between(pair_absorption_coefficients, name="pair_absorption_coefficients", low=0.0, high=1.0)
    require_positive(pair_areas_m2, name="pair_areas_m2")
    if np.shape(pair_areas_m2) != (3,):
        raise OutOfRangeError(name="pair_areas_m2", value=pair_areas_m2, allowed="three areas")
    remaining = 1.0 - np.asarray(pair_absorption_coefficients, dtype=float)
    if remaining.ndim not in (1, 2) or remaining.shape[0] != 3:
        raise OutOfRangeError(
            name="pair_absorption_coefficients", value=pair_absorption_coefficients, allowed="three rows"
        )
    return np.sum(pair_areas_m2) * _minus_log(remaining)


def fitzroy_time_s(
    pair_absorption_coefficients: ArrayLike,
    *,
    pair_areas_m2: ArrayLike,
    volume_m3: float,
    object_area_m2: FloatLike,
    air_attenuation_per_m: FloatLike,
    speed_of_sound_m_s: float,
) -> FloatOrArray:
    """Return Fitzroy's reverberation time of a box whose wall pairs absorb unequally.

    Parameters
    ----------
    pair_absorption_coefficients : array_like of float, shape (3,) or (3, n_bands)
        Mean absorption by area, 0 to 1, of front and back wall, left and right wall, floor and ceiling. [-]
    pair_areas_m2 : array_like of float, shape (3,)
        Area of both walls of each pair, > 0. [m2]
    volume_m3, object_area_m2, air_attenuation_per_m, speed_of_sound_m_s : see `sabine_time_s`
        [m3, m2, 1/m, m/s]

    Returns
    -------
    ndarray, shape (n_bands,), or float
        Time of a decay by 60 dB; NaN where a pair absorbs all, or nothing where air and objects do not. [s]

    Raises
    ------
    OutOfRangeError
        A value is outside its range, or there are not three pairs.

    Notes
    -----
    T = sum(S_p T_p) / S, with T_p Eyring's time if every wall were like pair p: the mean by area of three
    decays. Without air and objects it is 24 ln 10 V / (c S^2) sum(S_p / -ln(1 - alpha_p)); air and objects
    act on each of the decays (ours). One hard pair makes it very long; it matters which pair absorbs.

    References
    ----------
    [FITZROY-1959] The formula.

    Examples
    --------
    >>> time = fitzroy_time_s([0.19, 0.1, 0.1], pair_areas_m2=[40.0, 20.0, 20.0], volume_m3=60.0,
    ...                       object_area_m2=0.0, air_attenuation_per_m=0.0, speed_of_sound_m_s=343.2)
    >>> round(float(time), 3)  # -ln 0.81 is twice -ln 0.9: 0.16102 * 60 / (80 * 0.105361) * (1/2 + 1) / 2
    0.86
    """
    pair_part = _pair_part_m2(pair_absorption_coefficients, pair_areas_m2)
    times = _time_s(pair_part, volume_m3, object_area_m2, air_attenuation_per_m, speed_of_sound_m_s)
    return np.asarray(pair_areas_m2, dtype=float) / np.sum(pair_areas_m2) @ times


def arau_puchades_time_s(
    pair_absorption_coefficients: ArrayLike,
    *,
    pair_areas_m2: ArrayLike,
    volume_m3: float,
    object_area_m2: FloatLike,
    air_attenuation_per_m: FloatLike,
    speed_of_sound_m_s: float,
) -> FloatOrArray:
    """Return Arau-Puchades's reverberation time of a box whose wall pairs absorb unequally.

    Parameters
    ----------
    pair_absorption_coefficients, pair_areas_m2 : see `fitzroy_time_s`
        [-, m2]
    volume_m3, object_area_m2, air_attenuation_per_m, speed_of_sound_m_s : see `sabine_time_s`
        [m3, m2, 1/m, m/s]

    Returns
    -------
    ndarray, shape (n_bands,), or float
        Time of a decay by 60 dB; NaN where `fitzroy_time_s` is. [s]

    Raises
    ------
    OutOfRangeError
        As for `fitzroy_time_s`.

    Notes
    -----
    T = product(T_p^(S_p / S)), with T_p Eyring's time if every wall were like pair p, air and objects in
    each: the geometric mean by area of three decays, never above Fitzroy's arithmetic mean.

    References
    ----------
    [ARAU-PUCHADES-1988] The formula.

    Examples
    --------
    >>> time = arau_puchades_time_s([0.19, 0.1, 0.1], pair_areas_m2=[40.0, 20.0, 20.0], volume_m3=60.0,
    ...                             object_area_m2=0.0, air_attenuation_per_m=0.0, speed_of_sound_m_s=343.2)
    >>> round(float(time), 3)  # -ln 0.81 is twice -ln 0.9: 0.16102 * 60 / (80 * 0.105361 * sqrt(2))
    0.81
    """
    pair_part = _pair_part_m2(pair_absorption_coefficients, pair_areas_m2)
    times = _time_s(pair_part, volume_m3, object_area_m2, air_attenuation_per_m, speed_of_sound_m_s)
    return np.exp(np.asarray(pair_areas_m2, dtype=float) / np.sum(pair_areas_m2) @ np.log(times))
