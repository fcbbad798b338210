"""Figure of merit of a placement, part by part: how even the bass is, holes, how alike seats are, balance, reflections.

The straight line through the level over log frequency is that of the literature on room optimisation; bands, the
limits of the slope and the other parts are ours. Every part is in decibels.
"""

from dataclasses import dataclass

import numpy as np

from service.physics.checks import require_between
from service.physics.types import BoolArray, FloatArray, FloatLike

BANDS_PER_OCTAVE = 6
HIGHEST_BAND_HZ = 200.0
LOWEST_BAND_HZ = 20.0
HIGHEST_LOW_END_HZ = 150.0
LEAST_POINTS = 4

STEEPEST_SLOPE_DB_PER_OCTAVE = -3.0
"""Bass may rise towards low frequency by this much; a room's usual lift is no fault."""

DIP_FROM_DB = 3.0
BALANCE_RANGE_HZ = (40.0, 160.0)


@dataclass(frozen=True, kw_only=True)
class Bands:
    """Bands in which the bass is judged.

    Attributes
    ----------
    low_hz : float
        Lower edge of the lowest band. [Hz]
    midbands_hz : ndarray, shape (b,)
        [Hz]
    frequency_hz : ndarray, shape (b * points,)
        Frequencies of the field, `points` in each band, ascending. [Hz]
    points : int
        [-]
    """

    low_hz: float
    midbands_hz: np.ndarray
    frequency_hz: np.ndarray
    points: int


def bass_bands(*, low_hz: float, points: int) -> Bands:
    """Return about six bands an octave of equal ratio, from `low_hz` to 200 Hz.

    Parameters
    ----------
    low_hz : float
        Lower edge of the lowest band, 20 to 150. [Hz]
    points : int
        Frequencies in each band, at least 4. [-]

    Returns
    -------
    Bands

    Raises
    ------
    OutOfRangeError
        A value is outside its range.

    Examples
    --------
    One octave and a band of 2^(1/6) each:

    >>> bands = bass_bands(low_hz=100.0, points=4)
    >>> len(bands.midbands_hz), round(float(bands.midbands_hz[0]), 2)  # 100 * 2^(1/12)
    (6, 105.95)
    """
    require_between(low_hz, name="low_hz", low=LOWEST_BAND_HZ, high=HIGHEST_LOW_END_HZ)
    require_between(points, name="points", low=LEAST_POINTS, high=1000)
    octaves = np.log2(HIGHEST_BAND_HZ / low_hz)
    count = round(BANDS_PER_OCTAVE * octaves)
    return Bands(
        low_hz=low_hz,
        midbands_hz=low_hz * 2 ** (octaves * (np.arange(count) + 0.5) / count),
        frequency_hz=low_hz * 2 ** (octaves * (np.arange(count * points) + 0.5) / (count * points)),
        points=points,
    )


def band_means(energy: FloatArray, *, bands: Bands) -> FloatArray:
    """Return the mean energy of each band, over lg f.

    Parameters
    ----------
    energy : ndarray, shape (b * points, ...)
        Squared magnitudes at the frequencies of `bands`, frequency first. [-]
    bands : Bands
        [-]

    Returns
    -------
    ndarray, shape (b, ...)
    """
    return energy.reshape(-1, bands.points, *energy.shape[1:]).mean(axis=1)


@dataclass(frozen=True, kw_only=True)
class BassParts:
    """How even the bass is; arrays (...).

    Attributes
    ----------
    bass_unevenness_db : ndarray
        Standard deviation of the band levels from their own straight line. [dB]
    dips_db : ndarray
        Root mean square of what lies more than 3 dB below the line. [dB]
    slope_db_per_octave : ndarray
        Slope of the line, between -3 and 0. [dB/octave]
    deepest_hole_db : ndarray
        The lowest band re the line, negative. [dB]
    deepest_hole_hz : ndarray
        Where it is. [Hz]
    """

    bass_unevenness_db: np.ndarray
    dips_db: np.ndarray
    slope_db_per_octave: np.ndarray
    deepest_hole_db: np.ndarray
    deepest_hole_hz: np.ndarray


def bass_parts(levels_db: FloatArray, *, bands: Bands) -> BassParts:
    """Judge band levels against their own straight line over log frequency.

    Parameters
    ----------
    levels_db : ndarray, shape (..., b)
        Band levels of any number of places. [dB]
    bands : Bands
        [-]

    Returns
    -------
    BassParts

    Notes
    -----
    Least squares with the slope held between -3 and 0 dB an octave; the level of the line stays the mean. The line
    is that of the source; bands, the limits of the slope and dips are ours.

    References
    ----------
    [COX-DANTONIO-AVIS-2004] The line through the level response, from memory.

    Examples
    --------
    Six bands of one octave, one of them 6 dB down; a free line would rise, so the slope is 0 and the mean is -1 dB:

    >>> parts = bass_parts(np.array([-6.0, 0, 0, 0, 0, 0]), bands=bass_bands(low_hz=100.0, points=4))
    >>> round(float(parts.bass_unevenness_db), 3)  # sqrt((5^2 + 5 * 1^2) / 6) = sqrt(5)
    2.236
    """
    octaves = np.log2(bands.midbands_hz)
    octaves = octaves - octaves.mean()
    centred = levels_db - levels_db.mean(axis=-1, keepdims=True)
    slope = np.clip(centred @ octaves / (octaves @ octaves), STEEPEST_SLOPE_DB_PER_OCTAVE, 0.0)
    deviation = centred - slope[..., None] * octaves
    return BassParts(
        bass_unevenness_db=np.sqrt((deviation**2).mean(axis=-1)),
        dips_db=np.sqrt((np.maximum(-deviation - DIP_FROM_DB, 0.0) ** 2).mean(axis=-1)),
        slope_db_per_octave=slope,
        deepest_hole_db=deviation.min(axis=-1),
        deepest_hole_hz=bands.midbands_hz[deviation.argmin(axis=-1)],
    )


def over_seats(parts: BassParts) -> BassParts:
    """Return the parts of a placement from those of its seats, seats first: the mean, and the deepest hole of all.

    Parameters
    ----------
    parts : BassParts
        Arrays (seats, ...). [-]

    Returns
    -------
    BassParts
        Arrays (...).
    """
    worst = parts.deepest_hole_db.argmin(axis=0)[None]
    return BassParts(
        bass_unevenness_db=parts.bass_unevenness_db.mean(axis=0),
        dips_db=parts.dips_db.mean(axis=0),
        slope_db_per_octave=parts.slope_db_per_octave.mean(axis=0),
        deepest_hole_db=np.take_along_axis(parts.deepest_hole_db, worst, axis=0)[0],
        deepest_hole_hz=np.take_along_axis(parts.deepest_hole_hz, worst, axis=0)[0],
    )


def seat_spread_db(levels_db: FloatArray) -> FloatArray:
    """Return how unlike the band levels of several seats, or of several points of one head, are.

    Parameters
    ----------
    levels_db : ndarray, shape (seats, n, b)
        Band levels. [dB]

    Returns
    -------
    ndarray, shape (n,)
        Square root of the variance over the seats, averaged over the bands. [dB]
    """
    return np.sqrt(levels_db.var(axis=0).mean(axis=1))


def bass_balance_db(levels_db: FloatArray, *, bands: Bands, middle_level_db: FloatArray) -> FloatArray:
    """Return the mean level of the bass above that of the middle frequencies at the same seat.

    Parameters
    ----------
    levels_db : ndarray, shape (n, b)
        Band levels. [dB]
    bands : Bands
        [-]
    middle_level_db : ndarray, shape (n,)
        Level of the same pair around 1 kHz, by statistical acoustics. [dB]

    Returns
    -------
    ndarray, shape (n,)
        Mean over the bands within 40 to 160 Hz, over all where none is. [dB]
    """
    return levels_db[:, within_balance_range(bands)].mean(axis=1) - middle_level_db


def within_balance_range(bands: Bands) -> BoolArray:
    """Return which bands count for the balance, ndarray of bool, shape (b,).

    Parameters
    ----------
    bands : Bands
        [-]
    """
    low_hz, high_hz = BALANCE_RANGE_HZ
    inside = (bands.midbands_hz >= low_hz) & (bands.midbands_hz <= high_hz)
    return inside if inside.any() else np.ones_like(inside)


def outside_db(value: FloatLike, *, low: float, high: float) -> FloatArray:
    """Return how far a value lies outside a range, 0 inside. [dB]

    Parameters
    ----------
    value : array_like of float
        [dB]
    low, high : float
        Ends of the range. [dB]
    """
    return np.maximum(np.maximum(low - value, value - high), 0.0)


def strongest_early_reflection_db(
    sources_m: FloatArray,
    seats_m: FloatArray,
    *,
    dimensions_m: tuple[float, float, float],
    absorption_coefficients: FloatArray,
    window_s: float,
    speed_of_sound_m_s: float,
) -> FloatArray:
    """Return the level of the strongest first reflection within a window, relative to the direct sound.

    Parameters
    ----------
    sources_m, seats_m : ndarray, shape (..., 3)
        Places of speaker and seat. [m]
    dimensions_m : tuple of float, length 3
        Room. [m]
    absorption_coefficients : ndarray, shape (6,)
        Of the six surfaces in the range of frequencies in question, below 1. [-]
    window_s : float
        After the direct sound. [s]
    speed_of_sound_m_s : float
        [m/s]

    Returns
    -------
    ndarray, shape (...)
        -100 dB where none falls into the window. [dB]

    Notes
    -----
    With the distances a and b of source and seat from a wall, the path over that wall is sqrt(r^2 + 4 a b). The
    source radiates alike in all directions; see `room.reflections` for the reflections themselves.
    """
    squared = ((sources_m - seats_m) ** 2).sum(axis=-1)[..., None]
    extent = np.asarray(dimensions_m)
    gaps = [np.stack([place, extent - place], axis=-1).reshape(*place.shape[:-1], 6) for place in (sources_m, seats_m)]
    path_squared = squared + 4 * gaps[0] * gaps[1]
    level_db = 10 * np.log10(squared / path_squared * (1 - absorption_coefficients))
    late = np.sqrt(path_squared) - np.sqrt(squared) > window_s * speed_of_sound_m_s
    return np.where(late, -100.0, level_db).max(axis=-1)
