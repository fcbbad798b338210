"""Open baffle with the resonance of its driver: gain and low limit; what flat bass takes is in `open_baffle_size`."""

import math

import numpy as np
from scipy.optimize import brentq

from service.physics.checks import require_between, require_positive
from service.physics.loudspeaker.low_end import dipole_baffle_gain_db
from service.physics.types import FloatLike, FloatOrArray

LOWEST_LOSS_DB = 1.0
HIGHEST_LOSS_DB = 30.0
LOWEST_Q = 0.1
HIGHEST_Q = 10.0
"""Where limits are sought: beyond them a low limit says nothing. [ours]"""

_POINTS_PER_OCTAVE = 96


def resonance_gain_db(frequency_hz: FloatLike, *, resonance_hz: float, total_q: float) -> FloatOrArray:
    """Return the gain of a driver around its resonance, in an endless baffle or a closed box.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequencies, > 0. [Hz]
    resonance_hz : float
        Resonance, > 0. [Hz]
    total_q : float
        Q of all losses, with the resistance before the driver, > 0. [-]

    Returns
    -------
    float or ndarray, shape of `frequency_hz`
        Gain re the level far above the resonance; 20 lg Q at the resonance. [dB]

    Raises
    ------
    OutOfRangeError
        An argument is not greater than 0.

    Notes
    -----
    20 lg |x^2 / (1 - x^2 + j x / Q)|, x = f / f_s.

    References
    ----------
    [SMALL-1972].
    """
    frequency = np.asarray(require_positive(frequency_hz, name="frequency_hz"), dtype=float)
    require_positive(resonance_hz, name="resonance_hz")
    require_positive(total_q, name="total_q")
    y = (resonance_hz / frequency) ** 2
    return -10.0 * np.log10((1.0 - y) ** 2 + y / total_q**2)


def open_baffle_gain_db(
    frequency_hz: FloatLike, *, path_length_m: float, resonance_hz: float, total_q: float, speed_of_sound_m_s: float
) -> FloatOrArray:
    """Return the on-axis gain of a driver in an open baffle against its half-space level in the pass band.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequencies, > 0. [Hz]
    path_length_m : float
        Path from front to back, > 0; see `low_end.dipole_path_length_of_rectangle_m`. [m]
    resonance_hz : float
        Resonance of the driver on the baffle, > 0; a little below that in free air. [Hz]
    total_q : float
        Q of all losses, with the resistance before the driver, > 0. [-]
    speed_of_sound_m_s : float
        Speed of sound, > 0. [m/s]

    Returns
    -------
    float or ndarray, shape of `frequency_hz`
        Gain in the far field. [dB]

    Raises
    ------
    OutOfRangeError
        An argument is not greater than 0.

    Notes
    -----
    `low_end.dipole_baffle_gain_db` plus `resonance_gain_db`: 6 dB per octave from the baffle and 12 more
    below the resonance. A high Q fills part of the loss of the baffle.

    References
    ----------
    [OLSON-ACOUSTICAL-ENGINEERING] two sources of opposite phase; [SMALL-1972].
    """
    baffle_db = dipole_baffle_gain_db(frequency_hz, path_length_m=path_length_m, speed_of_sound_m_s=speed_of_sound_m_s)
    return baffle_db + resonance_gain_db(frequency_hz, resonance_hz=resonance_hz, total_q=total_q)


def open_baffle_low_limit_hz(
    *, loss_db: float, path_length_m: float, resonance_hz: float, total_q: float, speed_of_sound_m_s: float
) -> float:
    """Return the frequency where the response of an open baffle leaves its pass band downwards.

    Parameters
    ----------
    loss_db : float
        Loss that is allowed, 1 to 30; 3, 6 and 10 are usual. [dB]
    path_length_m : float
        Path from front to back, > 0. [m]
    resonance_hz : float
        Resonance of the driver on the baffle, > 0. [Hz]
    total_q : float
        Q of all losses, 0.1 to 10. [-]
    speed_of_sound_m_s : float
        Speed of sound, > 0. [m/s]

    Returns
    -------
    float
        Highest frequency at which the gain is down by the loss. A driver of high Q may rise above it again
        lower down, around its resonance. [Hz]

    Raises
    ------
    OutOfRangeError
        The loss is outside 1 to 30 dB, the Q outside 0.1 to 10, or another argument is not greater than 0.

    Notes
    -----
    `open_baffle_gain_db` is searched from above, 96 points per octave, and the crossing refined by bisection.

    References
    ----------
    [OLSON-ACOUSTICAL-ENGINEERING] two sources of opposite phase; [SMALL-1972].
    """
    require_loss(loss_db)
    require_between(total_q, name="total_q", low=LOWEST_Q, high=HIGHEST_Q)
    require_positive(path_length_m, name="path_length_m")
    require_positive(resonance_hz, name="resonance_hz")
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")

    def above_db(frequency_hz: FloatLike) -> FloatOrArray:
        gain_db = open_baffle_gain_db(
            frequency_hz,
            path_length_m=path_length_m,
            resonance_hz=resonance_hz,
            total_q=total_q,
            speed_of_sound_m_s=speed_of_sound_m_s,
        )
        return gain_db + loss_db

    pass_band_hz = speed_of_sound_m_s / (2.0 * path_length_m)  # the baffle loses nothing from here up
    # by hand: 1 dB at a Q of 0.1 lies at 20 times the resonance, 30 dB of the baffle alone at 1/50 of its pass band
    highest_hz = 30.0 * max(resonance_hz, pass_band_hz)
    lowest_hz = min(resonance_hz, pass_band_hz) / 100.0
    count = math.ceil(_POINTS_PER_OCTAVE * math.log2(highest_hz / lowest_hz))
    frequency_hz = np.geomspace(highest_hz, lowest_hz, count)
    under = int(np.argmax(above_db(frequency_hz) < 0.0))
    return float(brentq(above_db, frequency_hz[under], frequency_hz[under - 1], rtol=1e-12))


def require_loss(loss_db: float) -> None:
    """Refuse a loss at which no low limit is sought: outside 1 to 30 dB."""
    require_between(loss_db, name="loss_db", low=LOWEST_LOSS_DB, high=HIGHEST_LOSS_DB)
