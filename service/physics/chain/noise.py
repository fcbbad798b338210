"""Noise of the electronics as a level at the seat, and the room noise that hides it."""

import numpy as np
from numpy.typing import ArrayLike

from service.physics.bands import OCTAVE_NOMINAL_HZ, band_edges_hz, octave_midbands_hz
from service.physics.checks import OutOfRangeError, require_finite, require_positive
from service.physics.constants import TEST_VOLTAGE_V
from service.physics.frozen import frozen
from service.physics.types import FloatArray, FloatLike, FloatOrArray
from service.physics.weighting import a_weighting_db

HISS_OCTAVES_HZ = (1000, 2000, 4000, 8000)
"""Octaves in which hiss is compared with what hides it."""

HEARING_THRESHOLD_HISS_OCTAVES_DB = (2.4, -1.3, -5.4, 12.6)
"""Threshold of hearing at the mid-bands of `HISS_OCTAVES_HZ`: tone, free field, from the front, both ears.
[ISO-389-7], from memory."""

HIGHEST_AUDIBLE_HZ = 20e3
"""Where the A-weighted total of white noise is taken to end. Common practice, no source."""


def _white_octaves_re_total_db() -> FloatArray:
    """Return the unweighted octaves of white noise, 1 to 8 kHz, re its A-weighted total."""
    frequency_hz = np.linspace(10.0, HIGHEST_AUDIBLE_HZ, 4001)
    total_hz = np.trapezoid(10.0 ** (a_weighting_db(frequency_hz) / 10.0), frequency_hz)
    first = OCTAVE_NOMINAL_HZ.index(HISS_OCTAVES_HZ[0])
    edges = band_edges_hz(octave_midbands_hz()[first:], bands_per_octave=1)
    return 10.0 * np.log10((edges.upper_hz - edges.lower_hz) / total_hz)


_WHITE_OCTAVES_RE_TOTAL_DB = frozen(_white_octaves_re_total_db())


def _level_of_voltage_db(
    sensitivity_db_2v83_1m: FloatLike, voltage_v: FloatLike, distance_m: FloatLike
) -> FloatOrArray:
    require_finite(sensitivity_db_2v83_1m, name="sensitivity_db_2v83_1m")
    distance = np.asarray(require_positive(distance_m, name="distance_m"))
    return sensitivity_db_2v83_1m + 20.0 * np.log10(np.asarray(voltage_v) / TEST_VOLTAGE_V / distance)


def noise_level_dba(
    *, sensitivity_db_2v83_1m: FloatLike, noise_voltage_v: FloatLike, distance_m: FloatLike
) -> FloatOrArray:
    """Return the A-weighted level that the noise of an amplifier makes in front of one loudspeaker.

    Parameters
    ----------
    sensitivity_db_2v83_1m : float or array_like
        On-axis free-field level at 1 m for 2.83 V. [dB]
    noise_voltage_v : float or array_like
        A-weighted noise voltage at the output of the amplifier, rms, > 0. [V]
    distance_m : float or array_like
        Distance from the loudspeaker, > 0. [m]

    Returns
    -------
    float or ndarray
        A-weighted sound pressure level. [dB]

    Raises
    ------
    OutOfRangeError
        The sensitivity is not finite, or the voltage or the distance is not greater than 0.

    Notes
    -----
    L = S(2.83 V) + 20 lg(V / 2.83 V) - 20 lg r: direct sound only, and a flat response. The room adds little,
    because loudspeakers are directive where hiss is.

    Examples
    --------
    100 dB, 80 dB below the test voltage, and 20 dB for the distance:

    >>> level = noise_level_dba(sensitivity_db_2v83_1m=100.0, noise_voltage_v=283e-6, distance_m=10.0)
    >>> round(float(level), 6)
    0.0
    """
    require_positive(noise_voltage_v, name="noise_voltage_v")
    return _level_of_voltage_db(sensitivity_db_2v83_1m, noise_voltage_v, distance_m)


def hum_level_db(*, sensitivity_db_2v83_1m: FloatLike, hum_voltage_v: FloatLike, distance_m: FloatLike) -> FloatOrArray:
    """Return the unweighted level that the hum of an amplifier makes in front of one loudspeaker.

    Parameters
    ----------
    sensitivity_db_2v83_1m : float or array_like
        On-axis free-field level at 1 m for 2.83 V, at the frequency of the hum. [dB]
    hum_voltage_v : float or array_like
        Unweighted hum voltage at the output of the amplifier, rms, > 0. [V]
    distance_m : float or array_like
        Distance from the loudspeaker, > 0. [m]

    Returns
    -------
    float or ndarray
        Sound pressure level re 20 uPa; for its threshold see `noise_floor.tone_threshold_db`. [dB]

    Raises
    ------
    OutOfRangeError
        The sensitivity is not finite, or the voltage or the distance is not greater than 0.

    Notes
    -----
    As `noise_level_dba`. Unweighted because the A weighting takes 19 dB off a 100 Hz hum and so hides it.
    """
    require_positive(hum_voltage_v, name="hum_voltage_v")
    return _level_of_voltage_db(sensitivity_db_2v83_1m, hum_voltage_v, distance_m)


def white_hiss_octaves_db(level_dba: FloatLike) -> FloatArray:
    """Return the octave levels, 1 to 8 kHz, of white hiss of a given A-weighted level.

    Parameters
    ----------
    level_dba : float or array_like
        A-weighted level of the whole hiss. [dB]

    Returns
    -------
    ndarray, shape (..., 4)
        Unweighted level in each of `HISS_OCTAVES_HZ`. [dB]

    Raises
    ------
    OutOfRangeError
        A level is not finite.

    Notes
    -----
    White noise of unit density has the bandwidth of an octave in it, f_m (10^0.15 - 10^-0.15), and the
    integral of the squared A weighting up to 20 kHz in all. Their ratios are about -12.5, -9.5, -6.5 and
    -3.5 dB.

    References
    ----------
    [IEC-61672-1] A weighting.
    """
    return np.asarray(require_finite(level_dba, name="level_dba"))[..., None] + _WHITE_OCTAVES_RE_TOTAL_DB


def hiss_margin_db(
    hiss_octaves_db: ArrayLike, *, background_octaves_db: ArrayLike, threshold_octaves_db: ArrayLike
) -> FloatArray:
    """Return how far hiss stands above what hides it, octave by octave.

    Parameters
    ----------
    hiss_octaves_db : array_like, shape (..., bands)
        Level of the hiss at the seat. [dB]
    background_octaves_db : array_like, shape (..., bands)
        Level of the background noise of the room. [dB]
    threshold_octaves_db : array_like, shape (..., bands)
        Threshold of hearing, such as `HEARING_THRESHOLD_HISS_OCTAVES_DB`. [dB]

    Returns
    -------
    ndarray, shape (..., bands)
        Hiss re the energy sum of background and threshold; the largest decides. [dB]

    Raises
    ------
    OutOfRangeError
        A level is not finite, or the numbers of bands differ.

    Notes
    -----
    L_hiss - 10 lg(10^(L_background / 10) + 10^(L_threshold / 10)). One A-weighted number against another
    will not do: hiss has its energy at 8 kHz, room noise in the bass. An octave of noise is compared with
    the threshold of a tone at its mid-band, which is ours.

    Examples
    --------
    Hiss like the background and like the threshold is 10 lg 2 below both together:

    >>> margin = hiss_margin_db([10.0], background_octaves_db=[10.0], threshold_octaves_db=[10.0])
    >>> round(float(margin[0]), 2)
    -3.01
    """
    hiss = np.asarray(require_finite(hiss_octaves_db, name="hiss_octaves_db"))
    background = np.asarray(require_finite(background_octaves_db, name="background_octaves_db"))
    threshold = np.asarray(require_finite(threshold_octaves_db, name="threshold_octaves_db"))
    for name, levels in (("background_octaves_db", background), ("threshold_octaves_db", threshold)):
        if levels.shape[-1:] != hiss.shape[-1:]:
            allowed = "one level for each band of the hiss"
            raise OutOfRangeError(name=name, value=levels.tolist(), allowed=allowed)
    return hiss - 10.0 * np.log10(10.0 ** (background / 10.0) + 10.0 ** (threshold / 10.0))
