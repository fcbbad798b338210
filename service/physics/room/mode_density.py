"""How many modes a rectangular room has below a frequency, and how close they lie."""

import numpy as np

from service.physics.checks import require_not_negative, require_positive
from service.physics.room.box import checked_dimensions_m
from service.physics.types import FloatLike, FloatOrArray


def _volume_surface_edges(length_m: float, width_m: float, height_m: float) -> tuple[float, float, float]:
    """V, S and L of the counting formula: L is the length of all twelve edges."""
    dimensions_m = checked_dimensions_m(length_m=length_m, width_m=width_m, height_m=height_m)
    volume = dimensions_m.prod()
    return volume, 2.0 * volume * (1.0 / dimensions_m).sum(), 4.0 * dimensions_m.sum()


def modal_count(
    frequency_hz: FloatLike, *, length_m: float, width_m: float, height_m: float, speed_of_sound_m_s: float
) -> FloatOrArray:
    """Return about how many modes lie below a frequency.

    Parameters
    ----------
    frequency_hz : float or array_like of float
        >= 0. [Hz]
    length_m, width_m, height_m : float
        Inside dimensions, > 0. [m]
    speed_of_sound_m_s : float
        > 0. [m/s]

    Returns
    -------
    ndarray or float
        Smooth count, not a whole number. [-]

    Raises
    ------
    OutOfRangeError
        A value is outside its range.

    Notes
    -----
    N = (4 pi / 3) V (f/c)^3 + (pi / 4) S (f/c)^2 + (L / 8) (f/c), with S the whole surface and L the length
    of all edges, 4 (length + width + height). In a small room the volume term alone misses half of the modes
    at 100 Hz.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Number of normal modes below a frequency.

    Examples
    --------
    >>> n = modal_count(100.0, length_m=6.0, width_m=4.5, height_m=2.7, speed_of_sound_m_s=343.2)
    >>> round(float(n), 2)  # 7.554 + 7.382 + 1.923
    16.86
    """
    require_not_negative(frequency_hz, name="frequency_hz")
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    volume, surface, edges = _volume_surface_edges(length_m, width_m, height_m)
    waves_per_m = np.asarray(frequency_hz, dtype=float) / speed_of_sound_m_s
    lower_terms = edges / 8.0 + np.pi / 4.0 * surface * waves_per_m
    return waves_per_m * (lower_terms + 4.0 * np.pi / 3.0 * volume * waves_per_m**2)


def modal_density_per_hz(
    frequency_hz: FloatLike, *, length_m: float, width_m: float, height_m: float, speed_of_sound_m_s: float
) -> FloatOrArray:
    """Return about how many modes there are for each hertz.

    Parameters
    ----------
    frequency_hz, length_m, width_m, height_m, speed_of_sound_m_s : see `modal_count`
        [Hz, m, m, m, m/s]

    Returns
    -------
    ndarray or float
        Modes per hertz. [1/Hz]

    Raises
    ------
    OutOfRangeError
        A value is outside its range.

    Notes
    -----
    The derivative of `modal_count`: 4 pi V f^2 / c^3 + (pi / 2) S f / c^2 + L / (8 c).

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Density of normal modes.

    Examples
    --------
    >>> density = modal_density_per_hz(0.0, length_m=6.0, width_m=4.5, height_m=2.5, speed_of_sound_m_s=325.0)
    >>> round(float(density), 9)  # 4 * 13 / (8 * 325)
    0.02
    """
    require_not_negative(frequency_hz, name="frequency_hz")
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    volume, surface, edges = _volume_surface_edges(length_m, width_m, height_m)
    waves_per_m = np.asarray(frequency_hz, dtype=float) / speed_of_sound_m_s
    lower_terms = edges / 8.0 + np.pi / 2.0 * surface * waves_per_m
    return (lower_terms + 4.0 * np.pi * volume * waves_per_m**2) / speed_of_sound_m_s
