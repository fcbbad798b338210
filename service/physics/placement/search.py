"""What a search for placements asks of each: the setting, the points of a head, and the judgement from the energies."""

import math
from dataclasses import dataclass

import numpy as np

from service.physics.placement import merit
from service.physics.placement.candidates import Grid
from service.physics.room.wave_field import Box, largest_transverse_wavenumber
from service.physics.types import ComplexArray, FloatArray

HEAD_M = (
    (0.0, 0.0, 0.0),
    (0.0, 0.1, 0.0),
    (0.0, -0.1, 0.0),
    (0.0, 0.0, 0.05),
    (0.0, 0.0, -0.05),
    (0.1, 0.0, 0.0),
    (-0.1, 0.0, 0.0),
)
"""Points of a head-sized region around an ear place, over which the energy is averaged; those that differ in y alone
follow one another, since they share most of the work. [m]"""

HEAD_RADIUS_M = 0.1


@dataclass(frozen=True, kw_only=True)
class Setting:
    """What all candidates of one search have in common.

    Attributes
    ----------
    box : Box
        The room at the frequencies of `bands`. [-]
    bands : merit.Bands
        Bands in which the bass is judged. [-]
    seat_offsets_m : ndarray, shape (s, 3)
        Ear places relative to the leading one, the first (0, 0, 0). [m]
    dipole : bool
        Kind of source. [-]
    reverberant_ratio : float
        Energy of the reverberant field of one speaker around 1 kHz, re its free field at 1 m. [-]
    treble_absorption : ndarray, shape (6,)
        Absorption of the surfaces from 1 to 8 kHz. [-]
    reflection_window_s : float
        Reflections within it count as early. [s]
    speed_of_sound_m_s : float
        [m/s]
    source_weights : ndarray of complex, shape (n or 1, f), or None
        What each speaker radiates at the frequencies of the box, re the source of the wave field: a crossover, the fall
        of a dipole's path length, a delay. None where all radiate alike. [-]
    middle_energy_ratio : ndarray, shape (n,), or None
        Energy that each speaker radiates around 1 kHz: 0 for a bass section, whose reflections do not count either.
        None where all radiate alike. [-]
    """

    box: Box
    bands: merit.Bands
    seat_offsets_m: np.ndarray
    dipole: bool
    reverberant_ratio: float
    treble_absorption: np.ndarray
    reflection_window_s: float
    speed_of_sound_m_s: float
    source_weights: np.ndarray | None = None
    middle_energy_ratio: np.ndarray | None = None


@dataclass(frozen=True, kw_only=True)
class Judgement:
    """The parts of the merit of c placements; arrays (c,).

    Evenness is the mean over the seats, the hole the deepest of all seats; balance and reflection are those of the
    leading seat.
    """

    bass: merit.BassParts
    seat_spread_db: np.ndarray
    bass_balance_db: np.ndarray
    strongest_reflection_db: np.ndarray


def least_separation_m(setting: Setting, grid: Grid) -> float:
    """Return the smallest distance along the length between a speaker and an ear of the same candidate. [m]

    Parameters
    ----------
    setting : Setting
        [-]
    grid : Grid
        Candidates, at least one. [-]
    """
    seats_m = head_middles_m(setting, grid)
    nearest_m = seats_m[..., 0].min(axis=0) - HEAD_RADIUS_M - grid.speakers_m[0, ..., 0].max(axis=1)[:, None]
    return float(nearest_m[grid.allowed.any(axis=0)].min())


def grid_terms(setting: Setting, *, separation_m: float, fronts: int, seats: int) -> int:
    """Return about how many terms the sums of a search have: the measure of the time it takes. [-]

    Parameters
    ----------
    setting : Setting
        [-]
    separation_m : float
        Smallest distance along the length between a speaker and an ear, > 0. [m]
    fronts, seats : int
        Distances of the speakers from the front wall, and places of the leading seat. [-]

    Notes
    -----
    Products of modes times frequencies, for every distance of the speakers and for every seat and point of a head.
    """
    places = fronts + seats * len(setting.seat_offsets_m) * len(HEAD_M)
    return _modes(setting, separation_m=separation_m) * len(setting.box.wavenumber_per_m) * places


def head_middles_m(setting: Setting, grid: Grid) -> FloatArray:
    """Return the middles of the heads at every seat of a grid, no nearer to a wall than a head, shape (s, k, 3). [m]

    Parameters
    ----------
    setting : Setting
        [-]
    grid : Grid
        [-]
    """
    return heads_in_room_m(grid.seats_m + setting.seat_offsets_m[:, None], setting.box)


def middle_energy(setting: Setting, count: int) -> FloatArray:
    """Return the energy that each speaker radiates around 1 kHz, shape (count,). [-]

    Parameters
    ----------
    setting : Setting
        [-]
    count : int
        Speakers. [-]
    """
    return np.ones(count) if setting.middle_energy_ratio is None else np.asarray(setting.middle_energy_ratio)


def source_weights(setting: Setting, count: int) -> ComplexArray:
    """Return what each speaker radiates at the frequencies of the box, shape (count, f). [-]

    Parameters
    ----------
    setting : Setting
        [-]
    count : int
        Speakers. [-]
    """
    weights = np.ones((1, 1)) if setting.source_weights is None else np.asarray(setting.source_weights)
    return np.broadcast_to(weights, (count, len(setting.box.wavenumber_per_m)))


def _modes(setting: Setting, *, separation_m: float) -> int:
    """Products of modes across width and height, in a full table."""
    highest = largest_transverse_wavenumber(setting.box, separation_m=separation_m, dipole=setting.dipole)
    return math.prod(int(highest * length / np.pi) + 1 for length in setting.box.dimensions_m[1:])


def heads_in_room_m(places_m: FloatArray, box: Box) -> FloatArray:
    """Return middles of heads moved to where a head fits: no nearer to a wall than its own radius. [m]

    Parameters
    ----------
    places_m : ndarray, shape (..., 3)
        [m]
    box : Box
        [-]
    """
    least_m = HEAD_RADIUS_M + 1e-3
    return np.clip(places_m, least_m, np.array(box.dimensions_m) - least_m)


def judge_energies(setting: Setting, energies: FloatArray, *, speakers_m: FloatArray, lead_m: FloatArray) -> Judgement:
    """Return the parts of the merit from the energies at the ears.

    Parameters
    ----------
    setting : Setting
        [-]
    energies : ndarray, shape (s, points, c, b)
        Mean energy of each band at the points of each head; of several seats the mean over the head will do. [-]
    speakers_m : ndarray, shape (c, n, 3)
        [m]
    lead_m : ndarray, shape (c, 3)
        The leading ear place. [m]

    Returns
    -------
    Judgement
    """
    bands = setting.bands
    levels_db = 10 * np.log10(energies.mean(axis=1))
    several = levels_db if len(levels_db) > 1 else 10 * np.log10(energies[0])
    squared = ((speakers_m - lead_m[:, None]) ** 2).sum(axis=-1)
    shares = middle_energy(setting, speakers_m.shape[1])
    middle_db = 10 * np.log10((1 / squared + setting.reverberant_ratio) @ shares)
    reflection_db = merit.strongest_early_reflection_db(
        speakers_m,
        np.broadcast_to(lead_m[:, None], speakers_m.shape),
        dimensions_m=setting.box.dimensions_m,
        absorption_coefficients=setting.treble_absorption,
        window_s=setting.reflection_window_s,
        speed_of_sound_m_s=setting.speed_of_sound_m_s,
    )
    return Judgement(
        bass=merit.over_seats(merit.bass_parts(levels_db, bands=bands)),
        seat_spread_db=merit.seat_spread_db(several),
        bass_balance_db=merit.bass_balance_db(levels_db[0], bands=bands, middle_level_db=middle_db),
        strongest_reflection_db=reflection_db[:, shares > 0].max(axis=1),
    )
