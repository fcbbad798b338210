"""Responses of the usual crossover filters, and of the two sections together."""

from typing import Any

import numpy as np

from service.physics.checks import OutOfRangeError, require_finite, require_positive
from service.physics.types import ComplexArray, ComplexOrArray, FloatLike

ORDERS_BY_ALIGNMENT = {"butterworth": (1, 2, 3, 4), "linkwitz_riley": (2, 4)}
"""Filters known here. [LINKWITZ-1976], [BUTTERWORTH-1930]"""

SECTIONS = ("low", "high")


def _butterworth_response(s: ComplexArray, order: int) -> ComplexArray:
    """Return the low-pass response with its -3.01 dB point at |s| = 1, s the complex frequency."""
    angles = np.pi * (2.0 * np.arange(order) + order + 1.0) / (2.0 * order)
    poles = np.exp(1j * angles)
    return 1.0 / np.prod(s[..., None] - poles, axis=-1)


def crossover_response(
    frequency_hz: FloatLike, *, crossover_hz: float, order: int, alignment: str, section: str
) -> ComplexOrArray:
    """Return the complex response of one section of a crossover.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequencies, > 0. [Hz]
    crossover_hz : float
        Crossover frequency, > 0: -3.01 dB of a Butterworth, -6.02 dB of a Linkwitz-Riley filter. [Hz]
    order : int
        1 to 4 for `butterworth`, 2 or 4 for `linkwitz_riley`. [-]
    alignment : str
        `butterworth` or `linkwitz_riley`.
    section : str
        `low` or `high`.

    Returns
    -------
    complex or ndarray of complex, shape of `frequency_hz`
        Response re the pass band, time dependence e^(+j w t). [-]

    Raises
    ------
    OutOfRangeError
        A frequency is not greater than 0, or the order, the alignment or the section is unknown.

    Notes
    -----
    Butterworth: 1 / prod(s - p_i), poles evenly spaced on the left half of the unit circle, s = j f / f_c;
    the high section is the low one at 1 / s. Linkwitz-Riley: the Butterworth response of half the order,
    squared. Electrical or acoustical alike: drivers are taken as flat and at one place.

    References
    ----------
    [LINKWITZ-1976], [BUTTERWORTH-1930].

    Examples
    --------
    1 / (1 + j) at the crossover of the first order:

    >>> response = crossover_response(80.0, crossover_hz=80.0, order=1, alignment="butterworth",
    ...                               section="low")
    >>> complex(np.round(response, 6))
    (0.5-0.5j)
    """
    frequency = np.asarray(require_positive(frequency_hz, name="frequency_hz"), dtype=float)
    require_positive(crossover_hz, name="crossover_hz")
    if alignment not in ORDERS_BY_ALIGNMENT:
        allowed = f"one of {', '.join(ORDERS_BY_ALIGNMENT)}"
        raise OutOfRangeError(name="alignment", value=alignment, allowed=allowed)
    orders = ORDERS_BY_ALIGNMENT[alignment]
    if order not in orders:
        raise OutOfRangeError(name="order", value=order, allowed=f"one of {', '.join(map(str, orders))}")
    if section not in SECTIONS:
        raise OutOfRangeError(name="section", value=section, allowed=f"one of {', '.join(SECTIONS)}")
    s = 1j * frequency / crossover_hz
    if section == "high":
        s = 1.0 / s
    if alignment == "butterworth":
        return _butterworth_response(s, order)
    return _butterworth_response(s, order // 2) ** 2


def _sections(
    frequency_hz: FloatLike, crossover_hz: float, order: int, alignment: str, high_polarity: int
) -> tuple[ComplexOrArray, ComplexOrArray]:
    """Return both sections, the high one with its polarity."""
    if high_polarity not in (1, -1):
        raise OutOfRangeError(name="high_polarity", value=high_polarity, allowed="1 or -1")
    arguments: dict[str, Any] = {"crossover_hz": crossover_hz, "order": order, "alignment": alignment}
    low = crossover_response(frequency_hz, section="low", **arguments)
    return low, high_polarity * crossover_response(frequency_hz, section="high", **arguments)


def crossover_sum_apart(
    frequency_hz: FloatLike,
    *,
    crossover_hz: float,
    order: int,
    alignment: str,
    high_polarity: int,
    high_extra_distance_m: float,
    speed_of_sound_m_s: float,
) -> ComplexOrArray:
    """Return the complex response of both sections where they are not equally far away.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequencies, > 0. [Hz]
    crossover_hz : float
        Crossover frequency, > 0. [Hz]
    order : int
        1 to 4 for `butterworth`, 2 or 4 for `linkwitz_riley`. [-]
    alignment : str
        `butterworth` or `linkwitz_riley`.
    high_polarity : int
        1 with the high section in phase with the low one, -1 inverted. [-]
    high_extra_distance_m : float
        Distance of the high section less that of the low one; a delay of d / c in the high section counts
        alike. [m]
    speed_of_sound_m_s : float
        Speed of sound, > 0. [m/s]

    Returns
    -------
    complex or ndarray of complex, shape of `frequency_hz`
        Response re the pass band, phase re the low section. [-]

    Raises
    ------
    OutOfRangeError
        As `crossover_response`, or the polarity is neither 1 nor -1, the extra distance is not finite, or the speed
        not greater than 0.

    Notes
    -----
    Low + polarity x high x e^(-j k d). Equal levels at the seat: the difference of 1 / r is left to the level
    match.

    References
    ----------
    [LINKWITZ-1976].
    """
    require_finite(high_extra_distance_m, name="high_extra_distance_m")
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    low, high = _sections(frequency_hz, crossover_hz, order, alignment, high_polarity)
    k = 2.0 * np.pi * np.asarray(frequency_hz) / speed_of_sound_m_s
    return low + high * np.exp(-1j * k * high_extra_distance_m)


def louder_high_polarity(
    *, crossover_hz: float, order: int, alignment: str, high_extra_distance_m: float, speed_of_sound_m_s: float
) -> int:
    """Return the polarity of the high section with which both are louder together at the crossover.

    Parameters
    ----------
    crossover_hz : float
        Crossover frequency, > 0. [Hz]
    order : int
        1 to 4 for `butterworth`, 2 or 4 for `linkwitz_riley`. [-]
    alignment : str
        `butterworth` or `linkwitz_riley`.
    high_extra_distance_m : float
        Distance of the high section less that of the low one. [m]
    speed_of_sound_m_s : float
        Speed of sound, > 0. [m/s]

    Returns
    -------
    int
        1 or -1; 1 where both are equal within 0.01 dB, as with the odd orders at equal distance. [-]

    Raises
    ------
    OutOfRangeError
        As `crossover_sum_apart`.

    Notes
    -----
    Compares |`crossover_sum_apart`| of both at the crossover, where the sections are equally loud and the
    polarity matters most.

    References
    ----------
    [LINKWITZ-1976].
    """
    in_phase, inverted = (
        abs(
            crossover_sum_apart(
                crossover_hz,
                crossover_hz=crossover_hz,
                order=order,
                alignment=alignment,
                high_polarity=polarity,
                high_extra_distance_m=high_extra_distance_m,
                speed_of_sound_m_s=speed_of_sound_m_s,
            )
        )
        for polarity in (1, -1)
    )
    return -1 if inverted > in_phase * 10.0 ** (0.01 / 20.0) else 1
