"""Level of one or two loudspeakers at a seat by octave: direct, reverberant and wave field, joined.

Statistical acoustics holds above the transition frequency, the wave field below. The two are crossfaded in energy,
without forcing them to meet: at real places the wave field lies some decibels below the statistical value, and that
is what is heard.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from service.physics.bands import OCTAVE_RATIO, octave_midbands_hz
from service.physics.frozen import frozen
from service.physics.levels import channel_correlation_ratio, short_build_up_gain_db
from service.physics.room.diffuse_field import direct_energy_ratio, reverberant_energy_ratio
from service.physics.types import ComplexArray, FloatArray, FloatLike, FloatOrArray

POINTS_PER_OCTAVE = 24
HIGHEST_WAVE_FIELD_HZ = 300.0
_JOIN_HALF_WIDTH = 2.0**0.5

_OFFSETS = frozen((np.arange(POINTS_PER_OCTAVE) + 0.5) / POINTS_PER_OCTAVE - 0.5)
GRID_HZ = frozen((octave_midbands_hz()[:, None] * OCTAVE_RATIO**_OFFSETS).ravel())
"""Frequencies at which levels are computed: 24 in each octave 63 Hz to 8 kHz, evenly spaced in lg f. [Hz]"""

_OCTAVES = (8, POINTS_PER_OCTAVE)
_MEAN = frozen(np.full(POINTS_PER_OCTAVE, 1 / POINTS_PER_OCTAVE))
_GRID_CORRELATION = frozen(np.asarray(channel_correlation_ratio(GRID_HZ)))


def wave_field_share_ratio(frequency_hz: ArrayLike, *, join_hz: float) -> FloatArray:
    """Return the share of the wave field in the energy of the joined field.

    Parameters
    ----------
    frequency_hz : array_like of float
        > 0. [Hz]
    join_hz : float
        Middle of the crossfade, > 0. [Hz]

    Returns
    -------
    ndarray
        1 up to join / sqrt 2, 0 from join x sqrt 2, linear in lg f between. [-]
    """
    octaves_above = np.log2(np.asarray(frequency_hz) / join_hz)
    return np.minimum(np.maximum(0.5 - octaves_above, 0.0), 1.0)


def wave_field_share_by_octave(*, join_hz: float) -> FloatArray:
    """Return the share of the wave field in each octave, 63 Hz to 8 kHz, shape (8,). [-]

    Parameters
    ----------
    join_hz : float
        Middle of the crossfade, > 0. [Hz]
    """
    return wave_field_share_ratio(GRID_HZ, join_hz=join_hz).reshape(_OCTAVES) @ _MEAN


def joined_grid_hz(*, join_hz: float) -> FloatArray:
    """Return the part of `GRID_HZ` where the wave field has a share. [Hz]"""
    return GRID_HZ[: np.searchsorted(GRID_HZ, min(join_hz * _JOIN_HALF_WIDTH, HIGHEST_WAVE_FIELD_HZ))]


def pair_energy_ratio(pressures: FloatArray | ComplexArray, *, correlation_ratio: FloatLike) -> FloatArray:
    """Return the mean energy of one or two loudspeakers that play a partly correlated programme.

    Parameters
    ----------
    pressures : ndarray of complex, shape (1 or 2, f)
        Field of each loudspeaker at the seat. [-]
    correlation_ratio : ndarray of float, shape (f,)
        Correlation of the two channels. [-]

    Returns
    -------
    ndarray of float, shape (f,)

    Notes
    -----
    |H1|^2 + |H2|^2 + 2 rho Re(H1 H2*): one rule for the direct sound and for the wave field.
    """
    energy = (np.abs(pressures) ** 2).sum(axis=0)
    if len(pressures) == 2:
        energy = energy + 2 * correlation_ratio * (pressures[0] * pressures[1].conj()).real
    return energy


_PAIR_ENERGY = {
    count: frozen(
        pair_energy_ratio(np.ones((count, GRID_HZ.size)), correlation_ratio=_GRID_CORRELATION).reshape(_OCTAVES)
    )
    for count in (1, 2)
}
"""Energy of the direct sound of one and of two speakers, re one: 2 + 2 rho where both arrive together."""


@dataclass(frozen=True, kw_only=True)
class OctaveLevels:
    """Levels at the seat by octave, 63 Hz to 8 kHz, for the full power in each octave; all arrays (8,).

    Attributes
    ----------
    direct_db, reverberant_db : ndarray
        Of all speakers together; the reverberant one is -inf in free field. [dB SPL]
    level_db : ndarray
        The joined field. [dB SPL]
    short_db : ndarray
        The joined field of a sound too short to fill the room. [dB SPL]
    coherent_db : ndarray
        The joined field if the direct sound of a pair were in phase at every frequency: for hearing limits. [dB SPL]
    wave_field_share_ratio : ndarray
        Share of the wave field in each octave. [-]
    """

    direct_db: np.ndarray
    reverberant_db: np.ndarray
    level_db: np.ndarray
    short_db: np.ndarray
    coherent_db: np.ndarray
    wave_field_share_ratio: np.ndarray


def octave_levels(
    *,
    level_at_1m_db: float,
    low_end_gain_db: FloatArray,
    distance_m: float,
    air_absorption_db_per_m: FloatArray,
    speaker_count: int,
    room_constant_m2: FloatArray | None,
    directivity_index_db: FloatArray,
    reverberation_time_s: FloatArray | None,
    short_window_s: float,
    wave_field: ComplexArray | None,
    join_hz: float | None,
) -> OctaveLevels:
    """Return the levels at the seat, octave by octave.

    Parameters
    ----------
    level_at_1m_db : float
        Free-field level of one speaker at 1 m at the power in question, far above its low end. [dB SPL]
    low_end_gain_db : ndarray, shape (192,)
        Gain of baffle and roll-off on `GRID_HZ`. [dB]
    distance_m : float
        From the speakers to the seat, > 0. [m]
    air_absorption_db_per_m : ndarray, shape (8,)
        [dB/m]
    speaker_count : int
        1 or 2. [-]
    room_constant_m2, directivity_index_db, reverberation_time_s : ndarray, shape (8,)
        Room constant and time are None in free field. [m2, dB, s]
    short_window_s : float
        What arrives within this time counts for a short sound. [s]
    wave_field : ndarray of complex, shape (speaker_count, n), or None
        Field re free field at 1 m of each speaker at the first n of `GRID_HZ`; None without a room. [-]
    join_hz : float or None
        Middle of the crossfade, see `joined_grid_hz`. [Hz]

    Returns
    -------
    OctaveLevels

    Notes
    -----
    Direct: r^-2, times 2 + 2 rho for a pair. Reverberant: 16 pi / (R Q), times the number of speakers, since the room
    mixes phases. An octave's value is the mean of the energy over lg f. The short sound keeps the direct part and
    loses what the reverberant part has not built up; the wave field, in which the two cannot be told apart, is
    lowered by the same ratio.
    """
    source = 10.0 ** ((level_at_1m_db + low_end_gain_db) / 10.0).reshape(_OCTAVES)
    spread = direct_energy_ratio(distance_m=distance_m, air_absorption_db_per_m=air_absorption_db_per_m)
    pair = _PAIR_ENERGY[speaker_count]
    direct = (source * pair) @ _MEAN * spread
    in_phase = source @ _MEAN * spread * speaker_count**2
    if room_constant_m2 is None or reverberation_time_s is None:
        direct_db, coherent_db = _db([direct, in_phase])
        return OctaveLevels(
            direct_db=direct_db,
            reverberant_db=np.full(8, -np.inf),
            level_db=direct_db,
            short_db=direct_db,
            coherent_db=coherent_db,
            wave_field_share_ratio=np.zeros(8),
        )
    gain = speaker_count * reverberant_energy_ratio(
        room_constant_m2=room_constant_m2, directivity_index_db=directivity_index_db
    )
    reverberant = source @ _MEAN * gain
    joined, coherent, share = direct + reverberant, in_phase + reverberant, np.zeros(_OCTAVES)
    built_up = 10.0 ** (
        short_build_up_gain_db(window_s=short_window_s, reverberation_time_s=reverberation_time_s) / 10.0
    )
    short_ratio = (direct + reverberant * built_up) / joined
    if wave_field is not None and join_hz is not None:
        n = wave_field.shape[1]
        share.ravel()[:n] = wave_field_share_ratio(GRID_HZ[:n], join_hz=join_hz)
        waves = np.zeros((2, len(GRID_HZ)))
        waves[0, :n] = pair_energy_ratio(wave_field, correlation_ratio=_GRID_CORRELATION[:n])
        waves[1, :n] = pair_energy_ratio(wave_field, correlation_ratio=1.0)
        at_seat, at_seat_in_phase = (waves.reshape(2, *_OCTAVES) * (share * source)) @ _MEAN
        rest = (1 - share) * source
        joined = at_seat + (rest * pair) @ _MEAN * spread + rest @ _MEAN * gain
        coherent = at_seat_in_phase + rest @ _MEAN * (spread * speaker_count**2 + gain)
    levels_db = _db([direct, reverberant, joined, joined * short_ratio, coherent])
    return OctaveLevels(
        direct_db=levels_db[0],
        reverberant_db=levels_db[1],
        level_db=levels_db[2],
        short_db=levels_db[3],
        coherent_db=levels_db[4],
        wave_field_share_ratio=share @ _MEAN,
    )


def programme_sum_db(octave_levels_db: FloatArray, *, power_shares: FloatArray) -> FloatOrArray:
    """Return the level of a programme whose power is shared out over the octaves. [dB]

    Parameters
    ----------
    octave_levels_db : ndarray, shape (..., 8)
        Level with the full power in each octave. [dB]
    power_shares : ndarray, shape (8,)
        Share of the programme's power in each octave; the sum is 1, or less where a part is played by another
        amplifier. [-]
    """
    return _db(10.0 ** (octave_levels_db / 10.0) @ power_shares)


def _db(energy: Any) -> Any:
    return 10.0 * np.log10(energy)
