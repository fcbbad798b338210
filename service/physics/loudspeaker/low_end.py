"""Gain of a loudspeaker at low frequencies: baffle step, roll-off, and the loss of an open baffle."""

import numpy as np

from service.physics.checks import OutOfRangeError, require_finite, require_positive
from service.physics.frozen import frozen
from service.physics.types import FloatLike, FloatOrArray

BAFFLE_STEP_HZ_M = 115.0
"""Frequency of half the baffle-step loss times the width of the baffle. [Hz m]
[practice] Common practice, no source."""


def baffle_step_gain_db(
    frequency_hz: FloatLike, *, baffle_width_m: float, low_frequency_gain_db: float
) -> FloatOrArray:
    """Return the gain of a loudspeaker where its baffle becomes small against the wavelength.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequencies, > 0. [Hz]
    baffle_width_m : float
        Width of the front of the cabinet, > 0. [m]
    low_frequency_gain_db : float
        Gain far below the step, at most 0; -6.02 when the driver radiates into a half space above the step
        and into full space below it, 0 when the loudspeaker is corrected for it. [dB]

    Returns
    -------
    float or ndarray, shape of `frequency_hz`
        Gain re the level far above the step. [dB]

    Raises
    ------
    OutOfRangeError
        A frequency or the width is not greater than 0, or the gain is above 0.

    Notes
    -----
    First-order shelf |H|^2 = g (g + x^2) / (1 + g x^2), g = 10^(gain / 20), x = f W / (115 Hz m): half of
    the loss in decibels at x = 1. A smooth stand-in for a real cabinet, whose edges ripple the step by some
    decibels. The 115 Hz m is common practice, no source.

    Examples
    --------
    Half of the loss at 115 / 0.23 Hz:

    >>> gain_db = baffle_step_gain_db(500.0, baffle_width_m=0.23, low_frequency_gain_db=-6.0)
    >>> round(float(gain_db), 6)
    -3.0
    """
    frequency = np.asarray(require_positive(frequency_hz, name="frequency_hz"))
    require_positive(baffle_width_m, name="baffle_width_m")
    require_finite(low_frequency_gain_db, name="low_frequency_gain_db")
    if low_frequency_gain_db > 0:
        raise OutOfRangeError(name="low_frequency_gain_db", value=low_frequency_gain_db, allowed="at most 0")
    g = 10.0 ** (low_frequency_gain_db / 20.0)
    x2 = (frequency * baffle_width_m / BAFFLE_STEP_HZ_M) ** 2
    return 10.0 * np.log10(g * (g + x2) / (1.0 + g * x2))


def roll_off_gain_db(frequency_hz: FloatLike, *, low_limit_hz: float, order: int) -> FloatOrArray:
    """Return the gain of a loudspeaker around its low limit.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequencies, > 0. [Hz]
    low_limit_hz : float
        Frequency at which the response has fallen by 6.02 dB, > 0. [Hz]
    order : int
        Order of the high-pass, 1 to 8: 2 for a closed box or an open baffle, 4 for a vented box. [-]

    Returns
    -------
    float or ndarray, shape of `frequency_hz`
        Gain re the level far above the limit. [dB]

    Raises
    ------
    OutOfRangeError
        A frequency or the limit is not greater than 0, or the order is not a whole number from 1 to 8.

    Notes
    -----
    Butterworth high-pass: |H|^2 = 1 / (1 + 3 (f_low / f)^(2 n)). The 3 puts -6.02 dB (a quarter of the
    power) at f_low; the 3 dB point lies higher by 3^(1 / (2 n)). Real alignments differ by a few decibels
    around the limit.

    References
    ----------
    [BUTTERWORTH-1930].

    Examples
    --------
    >>> round(float(roll_off_gain_db(40.0, low_limit_hz=40.0, order=4)), 2)   # 10 lg(1/4)
    -6.02
    """
    frequency = np.asarray(require_positive(frequency_hz, name="frequency_hz"))
    require_positive(low_limit_hz, name="low_limit_hz")
    if order not in range(1, 9):
        raise OutOfRangeError(name="order", value=order, allowed="a whole number from 1 to 8")
    return -10.0 * np.log10(1.0 + 3.0 * (low_limit_hz / frequency) ** (2 * order))


_SHORT_TO_LONG_RATIO = frozen(np.array([0.0, 1 / 8, 1 / 4, 1 / 3, 1 / 2, 2 / 3, 1.0]))
_PATH_TO_SHORT_SIDE_RATIO = frozen(np.array([1.0, 0.995, 0.975, 0.953, 0.893, 0.827, 0.700]))
"""Path length of a plate per short side. 0 is the endless strip, in closed form; the others are a numerical
solution of the flow through still fluid, within 1 %. [ours]"""


def dipole_path_length_of_rectangle_m(*, width_m: float, height_m: float) -> float:
    """Return the path from front to back around a rectangular open baffle with the driver in its middle.

    Parameters
    ----------
    width_m, height_m : float
        Sides of the plate, > 0. A plate that stands on the floor counts with twice its height. [m]

    Returns
    -------
    float
        Length of the dipole that radiates like the plate at low frequencies. [m]

    Raises
    ------
    OutOfRangeError
        A side is not greater than 0.

    Notes
    -----
    D is the potential jump at the middle of a thin plate that moves with unit velocity: 0.70 of the side
    for a square, 0.89 of the short side at 1:2, 0.98 at 1:4, all of it for an endless strip (closed form).
    The values between are interpolated over short / long. Numerical values: ours, within 1 %. Plain plates
    only: wings, folded sides and a driver near an edge change it.
    """
    require_positive(width_m, name="width_m")
    require_positive(height_m, name="height_m")
    short_m, long_m = min(width_m, height_m), max(width_m, height_m)
    return short_m * float(np.interp(short_m / long_m, _SHORT_TO_LONG_RATIO, _PATH_TO_SHORT_SIDE_RATIO))


def dipole_baffle_gain_db(frequency_hz: FloatLike, *, path_length_m: float, speed_of_sound_m_s: float) -> FloatOrArray:
    """Return the on-axis gain of an open baffle against the same driver in an endless baffle.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequencies, > 0. [Hz]
    path_length_m : float
        Path from front to back, > 0; see `dipole_path_length_of_rectangle_m`. [m]
    speed_of_sound_m_s : float
        Speed of sound, > 0. [m/s]

    Returns
    -------
    float or ndarray, shape of `frequency_hz`
        Gain re the half-space level. [dB]

    Raises
    ------
    OutOfRangeError
        A frequency, the path or the speed is not greater than 0.

    Notes
    -----
    20 lg |sin(pi f D / c)| up to c / (2 D), 0 above, where a real baffle only ripples. -3.01 dB at c / (4
    D) and -6.02 dB at c / (6 D): there the open baffle equals the driver in free space, radiating from its
    front only.

    References
    ----------
    [OLSON-ACOUSTICAL-ENGINEERING] two sources of opposite phase.
    """
    frequency = np.asarray(require_positive(frequency_hz, name="frequency_hz"))
    require_positive(path_length_m, name="path_length_m")
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    half_waves = 2.0 * path_length_m * frequency / speed_of_sound_m_s
    return 20.0 * np.log10(np.sin(np.pi / 2.0 * np.minimum(half_waves, 1.0)))


def dipole_low_limit_hz(*, loss_db: float, path_length_m: float, speed_of_sound_m_s: float) -> float:
    """Return the frequency where an open baffle alone, its driver flat, has lost so much.

    Parameters
    ----------
    loss_db : float
        Loss against an endless baffle, > 0; 3, 6 and 10 are usual. [dB]
    path_length_m : float
        Path from front to back, > 0. [m]
    speed_of_sound_m_s : float
        Speed of sound, > 0. [m/s]

    Returns
    -------
    float
        Frequency, below c / (2 D). [Hz]

    Raises
    ------
    OutOfRangeError
        An argument is not greater than 0.

    Notes
    -----
    c / (pi D) asin(10^(-loss / 20)), the inverse of `dipole_baffle_gain_db`.

    References
    ----------
    [OLSON-ACOUSTICAL-ENGINEERING] two sources of opposite phase.

    Examples
    --------
    Half of the pressure is lost at c / (6 D), 340 / 6 for 1 m:

    >>> round(dipole_low_limit_hz(loss_db=6.0206, path_length_m=1.0, speed_of_sound_m_s=340.0), 2)
    56.67
    """
    require_positive(loss_db, name="loss_db")
    require_positive(path_length_m, name="path_length_m")
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    return float(speed_of_sound_m_s / (np.pi * path_length_m) * np.arcsin(10.0 ** (-loss_db / 20.0)))
