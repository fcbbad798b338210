"""What studio recommendations ask of a listening room: facts for comparison, which a home need not obey."""

from dataclasses import dataclass

import numpy as np

from service.physics.checks import require_between, require_positive
from service.physics.types import FloatLike

EARLY_REFLECTION_LIMIT_DB = -10.0
"""Reflections inside the window, 1 to 8 kHz, are to lie this far below the direct sound. [ITU-R-BS-1116] from memory"""

EARLY_REFLECTION_WINDOW_S = 0.015
"""Length of the window after the direct sound. [ITU-R-BS-1116] from memory"""

_TOLERANCE_HZ = (63.0, 200.0, 4000.0, 8000.0)
_LONGER_S = (0.30, 0.05, 0.05, 0.10)
_SHORTER_S = (0.05, 0.05, 0.05, 0.10)


@dataclass(frozen=True, slots=True, kw_only=True)
class StudioTolerance:
    """How far each band may differ from the studio time.

    Attributes
    ----------
    longer_s, shorter_s : ndarray or float
        Allowed excess and allowed shortfall, both positive. [s]
    """

    longer_s: np.ndarray
    shorter_s: np.ndarray


def studio_time_s(volume_m3: float) -> float:
    """Return the mean reverberation time that studio recommendations ask of a listening room.

    Parameters
    ----------
    volume_m3 : float
        > 0. [m3]

    Returns
    -------
    float
        Mean of 200 Hz to 4 kHz. [s]

    Raises
    ------
    OutOfRangeError
        The volume is not finite and positive.

    Notes
    -----
    0.25 (V / 100 m3)^(1/3) s, as the formula gives it. EBU keeps it within 0.2 and 0.4 s, which begins to
    matter below 51.2 and above 409.6 m3; that limit is not applied here. Homes are livelier, 0.3 to 0.6 s.

    References
    ----------
    [ITU-R-BS-1116] [EBU-TECH-3276] Formula and range, as quoted by a secondary text.

    Examples
    --------
    >>> round(float(studio_time_s(51.2)), 9)  # 0.25 * 0.8
    0.2
    """
    require_positive(volume_m3, name="volume_m3")
    return 0.25 * np.cbrt(volume_m3 / 100.0)


def studio_tolerance_s(frequency_hz: FloatLike) -> StudioTolerance:
    """Return how far the reverberation time of a band may lie from the studio time.

    Parameters
    ----------
    frequency_hz : float or array_like of float
        Nominal mid-band frequencies, 63 to 8000. [Hz]

    Returns
    -------
    StudioTolerance

    Raises
    ------
    OutOfRangeError
        A frequency is outside 63 to 8000 Hz.

    Notes
    -----
    0.05 s both ways from 200 Hz to 4 kHz; longer by up to 0.3 s at 63 Hz; 0.1 s both ways at 8 kHz; straight
    lines over lg f between. Outside 200 Hz to 4 kHz the values are from memory.

    References
    ----------
    [ITU-R-BS-1116] Figure of the tolerance, its middle part seen in a secondary text.

    Examples
    --------
    >>> studio_tolerance_s([63, 1000, 8000]).longer_s.tolist()
    [0.3, 0.05, 0.1]
    """
    require_between(frequency_hz, name="frequency_hz", low=_TOLERANCE_HZ[0], high=_TOLERANCE_HZ[-1])
    position = np.log(np.asarray(frequency_hz, dtype=float))
    corners = np.log(_TOLERANCE_HZ)
    return StudioTolerance(
        longer_s=np.interp(position, corners, _LONGER_S), shorter_s=np.interp(position, corners, _SHORTER_S)
    )
