"""Figure of merit of a placement, part by part: how even the bass is, its holes, how alike seats are, balance, reflections, geometry.

The straight line through the level over log frequency is that of the literature on room optimisation; bands, the limits of the slope and the other
parts are ours. Every part is in decibels, 0 is best.
"""

from dataclasses import dataclass

import numpy as np

BANDS_PER_OCTAVE = 6
HIGHEST_BAND_HZ = 200.0
LOWEST_BAND_HZ = 20.0

STEEPEST_SLOPE_DB_PER_OCTAVE = -3.0
"""Bass may rise towards low frequency by this much; a room's usual lift is no fault."""

DIP_FROM_DB = 3.0
BALANCE_RANGE_HZ = (40.0, 160.0)


@dataclass(frozen=True, kw_only=True)
class Bands:
    """Bands in which the bass is judged.

    Attributes
    ----------
    midbands_hz : ndarray, shape (b,)
        [Hz]
    frequency_hz : ndarray, shape (b * points,)
        Frequencies of the field, `points` in each band, ascending. [Hz]
    points : int
        [-]
    """

    midbands_hz: np.ndarray
    frequency_hz: np.ndarray
    points: int


def bass_bands(*, low_limit_hz, points):
    """Return about six bands an octave from the speaker's low limit, at least 20 Hz, to 200 Hz.

    Parameters
    ----------
    low_limit_hz : float
        > 0; a limit above 150 Hz is judged from 150 Hz. [Hz]
    points : int
        Frequencies in each band. [-]
    """
    low_hz = min(max(LOWEST_BAND_HZ, low_limit_hz), 0.75 * HIGHEST_BAND_HZ)
    octaves = np.log2(HIGHEST_BAND_HZ / low_hz)
    count = max(2, round(BANDS_PER_OCTAVE * octaves))
    return Bands(
        midbands_hz=low_hz * 2 ** (octaves * (np.arange(count) + 0.5) / count),
        frequency_hz=low_hz * 2 ** (octaves * (np.arange(count * points) + 0.5) / (count * points)),
        points=points,
    )


def band_means(energy, *, bands):
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
    """How even the bass is; arrays (n,).

    Attributes
    ----------
    bass_unevenness_db : ndarray
        Standard deviation of the band levels from their own straight line. [dB]
    dips_db : ndarray
        The same of what lies more than 3 dB below the line. [dB]
    slope_db_per_octave : ndarray
        Slope of the line, between -3 and 0. [dB/octave]
    deepest_hole_db : ndarray
        Lowest band below the line, negative. [dB]
    deepest_hole_hz : ndarray
        Where it is. [Hz]
    """

    bass_unevenness_db: np.ndarray
    dips_db: np.ndarray
    slope_db_per_octave: np.ndarray
    deepest_hole_db: np.ndarray
    deepest_hole_hz: np.ndarray


def bass_parts(levels_db, *, bands):
    """Judge band levels against their own straight line over log frequency.

    Parameters
    ----------
    levels_db : ndarray, shape (n, b)
        Band levels of n placements. [dB]
    bands : Bands
        [-]

    Returns
    -------
    BassParts

    Notes
    -----
    Least squares with the slope held between -3 and 0 dB an octave; the level of the line stays the mean.

    References
    ----------
    [COX-DANTONIO-AVIS-2004] the line through the level response, from memory.
    """
    octaves = np.log2(bands.midbands_hz)
    octaves = octaves - octaves.mean()
    centred = levels_db - levels_db.mean(axis=1, keepdims=True)
    slope = np.clip(centred @ octaves / (octaves @ octaves), STEEPEST_SLOPE_DB_PER_OCTAVE, 0.0)
    deviation = centred - slope[:, None] * octaves
    lowest = deviation.argmin(axis=1)
    return BassParts(
        bass_unevenness_db=np.sqrt((deviation**2).mean(axis=1)),
        dips_db=np.sqrt((np.maximum(-deviation - DIP_FROM_DB, 0.0) ** 2).mean(axis=1)),
        slope_db_per_octave=slope,
        deepest_hole_db=deviation[np.arange(len(deviation)), lowest],
        deepest_hole_hz=bands.midbands_hz[lowest],
    )


def seat_spread_db(levels_db):
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


def bass_balance_db(levels_db, *, bands, middle_level_db):
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
        Mean over the bands within 40 to 160 Hz. [dB]
    """
    low_hz, high_hz = BALANCE_RANGE_HZ
    inside = (bands.midbands_hz >= low_hz) & (bands.midbands_hz <= high_hz)
    inside = inside if inside.any() else np.ones_like(inside)
    return levels_db[:, inside].mean(axis=1) - middle_level_db


def outside_db(value, *, low, high):
    """Return how far a value lies outside a range, 0 inside."""
    return np.maximum(np.maximum(low - value, value - high), 0.0)


def strongest_early_reflection_db(
    sources_m, seats_m, *, dimensions_m, absorption_coefficients, window_s, speed_of_sound_m_s
):
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
    With the distances a and b of source and seat from a wall, the path over that wall is sqrt(r^2 + 4 a b). The source radiates alike in all
    directions; see `room.reflections` for the reflections themselves.
    """
    squared = ((sources_m - seats_m) ** 2).sum(axis=-1)[..., None]
    extent = np.asarray(dimensions_m)
    gaps = [np.stack([place, extent - place], axis=-1).reshape(*place.shape[:-1], 6) for place in (sources_m, seats_m)]
    path_squared = squared + 4 * gaps[0] * gaps[1]
    level_db = 10 * np.log10(squared / path_squared * (1 - absorption_coefficients))
    late = np.sqrt(path_squared) - np.sqrt(squared) > window_s * speed_of_sound_m_s
    return np.where(late, -100.0, level_db).max(axis=-1)
