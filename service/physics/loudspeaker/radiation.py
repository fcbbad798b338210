"""Directivity of simple radiators: a piston in an endless baffle, and a dipole."""

import math

import numpy as np
from scipy.special import j1

from service.physics.checks import require_between, require_positive

DIPOLE_DIRECTIVITY_INDEX_DB = 10.0 * math.log10(3.0)
"""Directivity index of the pattern cos(theta): the mean of its square over all directions is 1/3. 4.77 dB."""


def _wavenumber_radius(frequency_hz, radius_m, speed_of_sound_m_s):
    """Return k a. [-]"""
    frequency = np.asarray(require_positive(frequency_hz, name="frequency_hz"))
    require_positive(radius_m, name="radius_m")
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    return 2.0 * np.pi * frequency * radius_m / speed_of_sound_m_s


def piston_directivity_ratio(frequency_hz, *, radius_m, angle_deg, speed_of_sound_m_s):
    """Return the far-field pressure of a piston in an endless baffle off its axis, re on the axis.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequencies, > 0. [Hz]
    radius_m : float
        Radius of the piston, > 0. [m]
    angle_deg : float or array_like
        Angle from the axis, 0 to 90, broadcast against `frequency_hz`. [deg]
    speed_of_sound_m_s : float
        Speed of sound, > 0. [m/s]

    Returns
    -------
    float or ndarray
        Pressure ratio, 1 on the axis, negative in every second lobe. [-]

    Raises
    ------
    OutOfRangeError
        A frequency, the radius or the speed is not greater than 0, or the angle is outside 0 to 90.

    Notes
    -----
    2 J1(x) / x, x = k a sin(theta). A rigid flat piston; cones decouple towards the treble and beam less.

    References
    ----------
    [BERANEK-ACOUSTICS] piston in an infinite baffle.
    """
    ka = _wavenumber_radius(frequency_hz, radius_m, speed_of_sound_m_s)
    angle = np.radians(require_between(angle_deg, name="angle_deg", low=0.0, high=90.0))
    x = np.maximum(ka * np.sin(angle), 1e-9)  # the limit at 0 is 1, and is reached to rounding well before
    return 2.0 * j1(x) / x


def piston_directivity_index_db(frequency_hz, *, radius_m, speed_of_sound_m_s):
    """Return the directivity index of a piston in an endless baffle.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequencies, > 0. [Hz]
    radius_m : float
        Radius of the piston, > 0. [m]
    speed_of_sound_m_s : float
        Speed of sound, > 0. [m/s]

    Returns
    -------
    float or ndarray, shape of `frequency_hz`
        On-axis level above the mean over full space; 3.01 dB at low frequencies, where the baffle alone
        directs. [dB]

    Raises
    ------
    OutOfRangeError
        A frequency, the radius or the speed is not greater than 0.

    Notes
    -----
    10 lg[(k a)^2 / (1 - J1(2 k a) / (k a))]. The denominator is summed as a series below k a = 0.1, where the
    closed form would lose digits.

    References
    ----------
    [BERANEK-ACOUSTICS] piston in an infinite baffle.
    """
    ka = _wavenumber_radius(frequency_hz, radius_m, speed_of_sound_m_s)
    small = 1.0 / 2.0 - ka**2 / 12.0 + ka**4 / 144.0
    large_ka = np.maximum(ka, 0.1)
    closed = (1.0 - j1(2.0 * large_ka) / large_ka) / large_ka**2
    return -10.0 * np.log10(np.where(ka < 0.1, small, closed))


def dipole_near_field_gain_db(frequency_hz, *, distance_m, speed_of_sound_m_s):
    """Return how much louder a dipole is on its axis than its far field carried inwards as 1 / r.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequencies, > 0. [Hz]
    distance_m : float or array_like
        Distance from the dipole, > 0, broadcast against `frequency_hz`. [m]
    speed_of_sound_m_s : float
        Speed of sound, > 0. [m/s]

    Returns
    -------
    float or ndarray
        Gain, above 0: what a measurement of an open baffle in the bass reads too much. [dB]

    Raises
    ------
    OutOfRangeError
        A frequency, the distance or the speed is not greater than 0.

    Notes
    -----
    10 lg(1 + 1 / (k r)^2), from the pressure cos(theta) (1 + 1 / (j k r)) e^(-j k r) / r of a point dipole.

    References
    ----------
    [OLSON-ACOUSTICAL-ENGINEERING] two sources of opposite phase.
    """
    frequency = np.asarray(require_positive(frequency_hz, name="frequency_hz"))
    distance = np.asarray(require_positive(distance_m, name="distance_m"))
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    kr = 2.0 * np.pi * frequency * distance / speed_of_sound_m_s
    return 10.0 * np.log10(1.0 + 1.0 / kr**2)
