"""Octave and third-octave bands in the base-ten system, grids of frequencies, shares of power."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError, require_finite, require_not_negative, require_positive
from service.physics.types import FloatArray, FloatLike

OCTAVE_RATIO = 10.0**0.3
"""Ratio of one octave in the base-ten system, 1.99526. [IEC-61260-1] equation 1"""

OCTAVE_NOMINAL_HZ = (63, 125, 250, 500, 1000, 2000, 4000, 8000)
"""Names of the eight octave bands. [ISO-266]"""

THIRD_OCTAVE_NOMINAL_HZ = (
    *(20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160),
    *(200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600),
    *(2000, 2500, 3150, 4000, 5000, 6300, 8000, 10000, 12500, 16000),
    20000,
)
"""Names of the 31 third-octave bands. [ISO-266]"""

_FIRST_OCTAVE = -4  # 63 Hz is four octaves below 1 kHz
_FIRST_THIRD = -17  # 20 Hz is seventeen thirds below 1 kHz
_FIRST_THIRD_OF_OCTAVES = 4  # the 50 Hz third is the lowest of the 63 Hz octave


@dataclass(frozen=True, kw_only=True)
class BandEdges:
    """Lower and upper edge of a band. [Hz]"""

    lower_hz: float
    upper_hz: float


def _midbands_hz(first: int, count: int, bands_per_octave: int) -> FloatArray:
    return 1000.0 * OCTAVE_RATIO ** (np.arange(first, first + count) / bands_per_octave)


def octave_midbands_hz() -> FloatArray:
    """Return the exact mid-band frequencies of the eight octaves 63 Hz to 8 kHz.

    Returns
    -------
    ndarray of float, shape (8,)
        In the order of `OCTAVE_NOMINAL_HZ`. [Hz]

    Notes
    -----
    f = 1000 G^x with G = 10^(3/10) and whole x, so that 8 kHz is exactly 7943.28 Hz.

    References
    ----------
    [IEC-61260-1] equations 1 and 2.
    """
    return _midbands_hz(_FIRST_OCTAVE, len(OCTAVE_NOMINAL_HZ), 1)


def third_octave_midbands_hz() -> FloatArray:
    """Return the exact mid-band frequencies of the 31 third octaves 20 Hz to 20 kHz.

    Returns
    -------
    ndarray of float, shape (31,)
        In the order of `THIRD_OCTAVE_NOMINAL_HZ`. [Hz]

    Notes
    -----
    f = 1000 G^(x/3) = 1000 * 10^(x/10), not the base-two thirds.

    References
    ----------
    [IEC-61260-1] equations 1 and 2.
    """
    return _midbands_hz(_FIRST_THIRD, len(THIRD_OCTAVE_NOMINAL_HZ), 3)


def band_edges_hz(midband_hz: FloatLike, *, bands_per_octave: int) -> BandEdges:
    """Return the edges of a band of equal ratio about its exact mid-band frequency.

    Parameters
    ----------
    midband_hz : float or array_like
        Exact mid-band frequency, > 0. [Hz]
    bands_per_octave : int
        1 for octaves, 3 for third octaves, > 0. [-]

    Returns
    -------
    BandEdges
        Edges, each of the shape of `midband_hz`. [Hz]

    Raises
    ------
    OutOfRangeError
        An argument is not finite and positive.

    Notes
    -----
    f G^(-1/2b) and f G^(+1/2b), G = 10^(3/10).

    References
    ----------
    [IEC-61260-1].

    Examples
    --------
    >>> edges = band_edges_hz(1000.0, bands_per_octave=1)
    >>> round(float(edges.lower_hz), 3), round(float(edges.upper_hz), 3)   # 1000 * 10^-0.15, 1000 * 10^0.15
    (707.946, 1412.538)
    """
    require_positive(bands_per_octave, name="bands_per_octave")
    midband_hz = np.asarray(require_positive(midband_hz, name="midband_hz"))
    half_width_ratio = OCTAVE_RATIO ** (0.5 / bands_per_octave)
    return BandEdges(lower_hz=midband_hz / half_width_ratio, upper_hz=midband_hz * half_width_ratio)


def octave_sums_of_thirds(values: ArrayLike) -> FloatArray:
    """Return the sum over the three thirds of each octave 63 Hz to 8 kHz.

    Parameters
    ----------
    values : array_like, shape (..., 31)
        An energy-like quantity, >= 0, one for each third octave 20 Hz to 20 kHz. [any]

    Returns
    -------
    ndarray of float, shape (..., 8)
        Sums, for instance of the 50, 63 and 80 Hz thirds for the 63 Hz octave. [as given]

    Raises
    ------
    OutOfRangeError
        A value is negative or not finite, or there are not 31 of them.

    Notes
    -----
    The thirds below 50 Hz and above 10 kHz belong to none of the eight octaves and are left out.

    References
    ----------
    [IEC-61260-1].
    """
    values = _thirds(require_not_negative(values, name="values"), name="values")
    count = len(OCTAVE_NOMINAL_HZ)
    inside = values[..., _FIRST_THIRD_OF_OCTAVES : _FIRST_THIRD_OF_OCTAVES + 3 * count]
    return inside.reshape(*values.shape[:-1], count, 3).sum(axis=-1)


def third_octave_power_ratios(third_octave_levels_db: ArrayLike) -> FloatArray:
    """Return the power in each third octave relative to the strongest one.

    Parameters
    ----------
    third_octave_levels_db : array_like, shape (..., 31)
        Level in each third octave 20 Hz to 20 kHz, against any reference. [dB]

    Returns
    -------
    ndarray of float, shape (..., 31)
        Power, 1 in the strongest third. [-]

    Raises
    ------
    OutOfRangeError
        A level is not finite, or there are not 31 of them.

    Notes
    -----
    10^(L/10) against the highest level, so that any reference level is as good as another.

    References
    ----------
    Definition of the level.
    """
    require_finite(third_octave_levels_db, name="third_octave_levels_db")
    levels_db = _thirds(third_octave_levels_db, name="third_octave_levels_db")
    return 10.0 ** ((levels_db - levels_db.max(axis=-1, keepdims=True)) / 10.0)


def octave_power_shares(third_octave_levels_db: ArrayLike) -> FloatArray:
    """Return the share of the power of a spectrum that falls into each octave 63 Hz to 8 kHz.

    Parameters
    ----------
    third_octave_levels_db : array_like, shape (..., 31)
        Level in each third octave 20 Hz to 20 kHz, against any reference. [dB]

    Returns
    -------
    ndarray of float, shape (..., 8)
        Shares, summing to 1 over the eight octaves. [-]

    Raises
    ------
    OutOfRangeError
        A level is not finite, or there are not 31 of them.

    Notes
    -----
    The power below 45 Hz and above 11 kHz is left out before the shares are formed, so that they weight
    octave results without loss.

    References
    ----------
    Definition of the level.
    """
    powers = octave_sums_of_thirds(third_octave_power_ratios(third_octave_levels_db))
    return powers / powers.sum(axis=-1, keepdims=True)


def frequencies_per_octave_hz(*, from_hz: float, to_hz: float, points_per_octave: float) -> FloatArray:
    """Return a grid of frequencies with the same number of points in every octave.

    Parameters
    ----------
    from_hz : float
        First frequency, > 0. [Hz]
    to_hz : float
        Frequency that the grid does not pass, >= `from_hz`. [Hz]
    points_per_octave : float
        Points in each octave (2:1), > 0. [-]

    Returns
    -------
    ndarray of float, shape (n,)
        from_hz * 2^(i / points_per_octave), ascending. The first is always `from_hz`; the last is `to_hz`
        where the step lands on it, else the last point below it. [Hz]

    Raises
    ------
    OutOfRangeError
        An argument is not finite and positive, or `to_hz` is below `from_hz`.

    Notes
    -----
    The step is kept and the upper end gives way, so that grids of the same start share their points. The
    caller bounds the number of points.

    References
    ----------
    Definition of the octave.

    Examples
    --------
    >>> frequencies_per_octave_hz(from_hz=20.0, to_hz=90.0, points_per_octave=1).tolist()
    [20.0, 40.0, 80.0]
    """
    require_positive(from_hz, name="from_hz")
    require_positive(to_hz, name="to_hz")
    require_positive(points_per_octave, name="points_per_octave")
    if to_hz < from_hz:
        raise OutOfRangeError(name="to_hz", value=to_hz, allowed=f"at least from_hz, {from_hz:g}")
    steps = points_per_octave * np.log2(to_hz / from_hz)
    last = int(np.floor(steps + 1e-9))  # a step that lands on the end must not be lost to rounding
    grid_hz = from_hz * 2.0 ** (np.arange(last + 1) / points_per_octave)
    if abs(steps - last) <= 1e-9:
        grid_hz[-1] = to_hz
    return grid_hz


def _thirds(values: ArrayLike, *, name: str) -> FloatArray:
    """Return `values` as an array, refused unless its last axis holds the 31 third octaves."""
    values = np.asarray(values, dtype=float)
    count = len(THIRD_OCTAVE_NOMINAL_HZ)
    if values.ndim == 0 or values.shape[-1] != count:
        allowed = f"{count} values on the last axis"
        raise OutOfRangeError(name=name, value=f"shape {values.shape}", allowed=allowed)
    return values
