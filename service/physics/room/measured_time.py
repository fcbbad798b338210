"""What a reverberation time, measured or wanted, says about the absorption of a room."""

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError, require_between, require_finite, require_positive
from service.physics.room.absorption import require_patches
from service.physics.room.admittance import (
    LARGEST_ADMITTANCE_RATIO,
    absorption_from_admittance,
    absorption_slope,
    admittance_from_absorption,
)
from service.physics.room.reverberation import DECAY_CONSTANT, objects_and_air_area_m2
from service.physics.types import FloatLike, FloatOrArray

_MOST_STEPS = 60  # usual rooms need 5 to 8; a time just within reach halves its error a step


def eyring_exponent(
    *, reverberation_time_s: FloatLike, volume_m3: float, surface_area_m2: float, speed_of_sound_m_s: float
) -> FloatOrArray:
    """Return the exponent x of a room's decay: a reflection leaves exp(-x) of the energy.

    Parameters
    ----------
    reverberation_time_s : float or array_like of float, shape (n_bands,)
        > 0. [s]
    volume_m3, surface_area_m2, speed_of_sound_m_s : float
        > 0. [m3, m2, m/s]

    Returns
    -------
    ndarray, shape (n_bands,), or float
        Exponent, > 0. [-]

    Raises
    ------
    OutOfRangeError
        A value is not finite and positive.

    Notes
    -----
    x = 24 ln 10 V / (c S T), which is -ln(1 - mean absorption) in Eyring's formula, all losses of the room
    counted as if they happened at its surfaces. The mean absorption is 1 - exp(-x).

    References
    ----------
    [EYRING-1930] [KUTTRUFF-ROOM-ACOUSTICS] Eyring's formula, solved for the absorption exponent.

    Examples
    --------
    >>> x = eyring_exponent(reverberation_time_s=0.45, volume_m3=55.35, surface_area_m2=91.78,
    ...                     speed_of_sound_m_s=343.2)
    >>> round(float(x), 4)  # 0.16102 * 55.35 / (91.78 * 0.45)
    0.2158
    """
    require_positive(reverberation_time_s, name="reverberation_time_s")
    require_positive(volume_m3, name="volume_m3")
    require_positive(surface_area_m2, name="surface_area_m2")
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    time_scale_s = DECAY_CONSTANT * volume_m3 / (speed_of_sound_m_s * surface_area_m2)
    return time_scale_s / np.asarray(reverberation_time_s)


def room_constant_m2(*, exponent: FloatLike, surface_area_m2: float) -> FloatOrArray:
    """Return the room constant that sets the level of the reverberant field.

    Parameters
    ----------
    exponent : float or array_like of float, shape (n_bands,)
        > 0; see `eyring_exponent`. [-]
    surface_area_m2 : float
        > 0. [m2]

    Returns
    -------
    ndarray, shape (n_bands,), or float
        Room constant R. [m2]

    Raises
    ------
    OutOfRangeError
        A value is not finite and positive.

    Notes
    -----
    R = S (exp(x) - 1), the same as S a / (1 - a) with the mean absorption a = 1 - exp(-x) of Eyring's
    formula. The area A = 24 ln 10 V / (c T) of Sabine's formula divided by 1 - A / S would mix the two
    theories.

    References
    ----------
    [BERANEK-ACOUSTICS] Room constant S a / (1 - a).

    Examples
    --------
    >>> constant = room_constant_m2(exponent=np.log(1.25), surface_area_m2=80.0)
    >>> round(float(constant), 9)  # a = 0.2; 80 * 0.2 / 0.8
    20.0
    """
    require_positive(exponent, name="exponent")
    require_positive(surface_area_m2, name="surface_area_m2")
    return surface_area_m2 * np.expm1(exponent)


def absorption_area_needed_m2(
    *,
    present_time_s: FloatLike,
    wanted_time_s: FloatLike,
    volume_m3: float,
    surface_area_m2: float,
    speed_of_sound_m_s: float,
) -> FloatOrArray:
    """Return the area of perfect absorber that takes a room from one reverberation time to another.

    Parameters
    ----------
    present_time_s, wanted_time_s : float or array_like of float, shape (n_bands,)
        > 0. [s]
    volume_m3, surface_area_m2, speed_of_sound_m_s : float
        > 0. [m3, m2, m/s]

    Returns
    -------
    ndarray, shape (n_bands,), or float
        Absorption area to add; negative where there is too much. [m2]

    Raises
    ------
    OutOfRangeError
        A value is not finite and positive.

    Notes
    -----
    S (exp(-x) at present - exp(-x) wanted), x of `eyring_exponent`: the difference of S times the mean
    absorption. Sabine's formula asks for more (ours: Eyring's, since short times are what is asked about).
    What the absorber covers no longer absorbs: see `absorber_area_m2`.

    References
    ----------
    [EYRING-1930] Mean absorption from a time.

    Examples
    --------
    >>> room = {"volume_m3": 55.35, "surface_area_m2": 91.78, "speed_of_sound_m_s": 343.2}
    >>> area = absorption_area_needed_m2(present_time_s=0.5, wanted_time_s=0.4, **room)
    >>> round(float(area), 2)  # 91.78 (exp(-0.194212) - exp(-0.242765))
    3.58
    """
    room = {
        "volume_m3": volume_m3,
        "surface_area_m2": surface_area_m2,
        "speed_of_sound_m_s": speed_of_sound_m_s,
    }
    require_positive(present_time_s, name="present_time_s")
    require_positive(wanted_time_s, name="wanted_time_s")
    present = eyring_exponent(reverberation_time_s=present_time_s, **room)
    wanted = eyring_exponent(reverberation_time_s=wanted_time_s, **room)
    return surface_area_m2 * (np.exp(-present) - np.exp(-wanted))


def absorber_area_m2(
    *, added_absorption_area_m2: FloatLike, absorber_absorption: FloatLike, covered_absorption: FloatLike
) -> FloatOrArray:
    """Return the area of a given absorber that adds a given absorption area.

    Parameters
    ----------
    added_absorption_area_m2 : float or array_like of float, shape (n_bands,)
        May be negative. [m2]
    absorber_absorption, covered_absorption : float or array_like of float, shape (n_bands,)
        Absorption coefficients of the absorber and of the surface behind it, 0 to 1. [-]

    Returns
    -------
    ndarray, shape (n_bands,), or float
        Area of the absorber; NaN where it absorbs no more than what it covers. [m2]

    Raises
    ------
    OutOfRangeError
        A coefficient is outside 0 to 1, or a value is not finite.

    Notes
    -----
    dA / (alpha_absorber - alpha_covered): the wall behind an absorber is taken out of the sum.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Absorption areas add.

    Examples
    --------
    >>> area = absorber_area_m2(added_absorption_area_m2=6.0, absorber_absorption=0.85,
    ...                         covered_absorption=0.1)
    >>> round(float(area), 9)  # 6 / 0.75
    8.0
    """
    require_between(absorber_absorption, name="absorber_absorption", low=0.0, high=1.0)
    require_between(covered_absorption, name="covered_absorption", low=0.0, high=1.0)
    require_finite(added_absorption_area_m2, name="added_absorption_area_m2")
    gain = np.subtract(absorber_absorption, covered_absorption)
    return np.where(gain > 0, added_absorption_area_m2 / np.where(gain > 0, gain, 1.0), np.nan)[()]


def admittance_scale_for_time(
    absorption_coefficients: ArrayLike,
    *,
    areas_m2: ArrayLike,
    volume_m3: float,
    object_area_m2: FloatLike,
    air_attenuation_per_m: FloatLike,
    speed_of_sound_m_s: float,
    wanted_time_s: FloatLike,
) -> FloatOrArray:
    """Return the one factor on all admittances with which Eyring's formula gives the wanted time.

    Parameters
    ----------
    absorption_coefficients : array_like of float, shape (n_patches,) or (n_patches, n_bands)
        0 to 1. [-]
    areas_m2 : array_like of float, shape (n_patches,)
        All surfaces of the room. [m2]
    volume_m3, object_area_m2, air_attenuation_per_m, speed_of_sound_m_s : see `eyring_time_s`
        [m3, m2, 1/m, m/s]
    wanted_time_s : float or array_like of float, shape (n_bands,)
        Measured, or assumed, > 0. [s]

    Returns
    -------
    ndarray, shape (n_bands,), or float
        Factor for the admittances of `admittance_from_absorption`. [-]

    Raises
    ------
    OutOfRangeError
        A value is outside its range, or no factor reaches the time: it is longer than air and objects alone
        allow, or so short that these surfaces cannot absorb enough, or there is no absorption to scale.

    Notes
    -----
    Solves sum(S_i alpha(s b_i)) / S = 1 - exp(-x) for s, x being the exponent of the wanted time less the
    part of objects and air. Newton's method from below: alpha(b) <= 8 b gives a start that is never too high,
    and the mean absorption is concave up to its peak, so that the steps do not pass the answer. Where that
    peak is too low the time is refused, although walls driven far beyond it (a pressure release) might rise
    again. Scaling the admittances, not the coefficients, keeps each absorption within what a wall can have;
    the rule is ours.

    References
    ----------
    [EYRING-1930] [KUTTRUFF-ROOM-ACOUSTICS] The two formulas that are combined.

    Examples
    --------
    alpha(1/4) = 2.4 - ln 5, alpha(1/2) = 16/3 - 4 ln 3: from the one to the other the admittance doubles.

    >>> time = DECAY_CONSTANT / 343.2 * 55.0 / (-90.0 * np.log(4.0 * np.log(3.0) - 13.0 / 3.0))
    >>> scale = admittance_scale_for_time([2.4 - np.log(5.0)], areas_m2=[90.0], volume_m3=55.0,
    ...                                   object_area_m2=0.0, air_attenuation_per_m=0.0,
    ...                                   speed_of_sound_m_s=343.2, wanted_time_s=time)
    >>> round(float(scale), 9)
    2.0
    """
    require_patches(absorption_coefficients, areas_m2=areas_m2)
    extra = objects_and_air_area_m2(
        object_area_m2=object_area_m2, air_attenuation_per_m=air_attenuation_per_m, volume_m3=volume_m3
    )
    surface = float(np.sum(areas_m2))
    exponent = eyring_exponent(
        reverberation_time_s=wanted_time_s,
        volume_m3=volume_m3,
        surface_area_m2=surface,
        speed_of_sound_m_s=speed_of_sound_m_s,
    )
    wanted = -np.expm1(extra / surface - exponent)  # mean absorption of the surfaces
    if (wanted <= 0).any():
        allowed = "shorter than air and objects alone give"
        raise OutOfRangeError(name="wanted_time_s", value=wanted_time_s, allowed=allowed)
    b = np.asarray(admittance_from_absorption(absorption_coefficients))
    one_band = b.ndim == 1
    b = b[:, np.newaxis] if one_band else b
    weights = np.asarray(areas_m2, dtype=float) / surface
    if (weights @ b <= 0).any():
        raise OutOfRangeError(name="absorption_coefficients", value=0.0, allowed="above 0 somewhere in each band")
    scale = wanted / (8.0 * (weights @ b))
    for _ in range(_MOST_STEPS):
        scaled = scale * b
        if (scaled > LARGEST_ADMITTANCE_RATIO).any():
            break
        missing = wanted - weights @ absorption_from_admittance(scaled)
        if (np.abs(missing) < 1e-12).all():
            return scale[0] if one_band and np.ndim(wanted) == 0 else scale
        slope = weights @ (b * absorption_slope(scaled))
        if (slope <= 0).any():
            break
        scale = scale + missing / slope
    raise OutOfRangeError(
        name="wanted_time_s", value=wanted_time_s, allowed="longer: these surfaces cannot absorb so much"
    )
