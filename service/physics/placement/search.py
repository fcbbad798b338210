"""Judges every candidate placement of a grid with the exact wave field, and any single placement the same way."""

import math
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from service.physics.placement import merit
from service.physics.placement.candidates import plan_geometry
from service.physics.placement.grid_field import GridField
from service.physics.room.wave_field import largest_transverse_wavenumber, pressure_ratio

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

_CHUNK_ELEMENTS = 1_000_000
"""Most complex values of one intermediate array; bounds the memory."""


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

    box: object
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


def judge_grid(setting, grid):
    """Judge every candidate of a grid.

    Parameters
    ----------
    setting : Setting
        [-]
    grid : Grid
        Candidates, at least one. [-]

    Returns
    -------
    Judgement
        In the order of `grid.candidates()`.
    """
    seats_m = head_middles_m(setting, grid)
    separation_m = least_separation_m(setting, grid)
    energies = [
        _energies(part, grid, seats_m, separation_m=separation_m)
        for part in _parts(setting, grid, separation_m=separation_m)
    ]
    found = grid.candidates()
    return judge_energies(setting, np.concatenate(energies, axis=-1), speakers_m=found.speakers_m, lead_m=found.seats_m)


def least_separation_m(setting, grid):
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


def grid_terms(setting, *, separation_m, fronts, seats):
    """Return about how many terms `judge_grid` sums: the measure of the time it takes. [-]

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


def judge_placement(setting, *, speakers_m, axes, lead_m):
    """Judge one placement, on or off the room's axis.

    Parameters
    ----------
    setting : Setting
        [-]
    speakers_m, axes : ndarray, shape (n, 3)
        Places of the speakers, and axes of dipoles or zeros. [m, -]
    lead_m : ndarray, shape (3,)
        The leading ear place. [m]

    Returns
    -------
    Judgement
        With arrays of shape (1,).
    """
    seats_m = heads_in_room_m(lead_m + setting.seat_offsets_m, setting.box)
    ears_m = (seats_m[:, None] + np.array(HEAD_M)).reshape(-1, 3)
    field = pressure_ratio(setting.box, sources_m=speakers_m, axes=axes, seats_m=ears_m)
    field = (field * source_weights(setting, len(speakers_m))).sum(axis=1)
    energies = merit.band_means((np.abs(field) ** 2).T, bands=setting.bands)
    energies = energies.T.reshape(len(seats_m), len(HEAD_M), 1, -1)
    return judge_energies(setting, energies, speakers_m=np.asarray(speakers_m)[None], lead_m=np.asarray(lead_m)[None])


def head_middles_m(setting, grid):
    """Return the middles of the heads at every seat of a grid, no nearer to a wall than a head, shape (s, k, 3). [m]

    Parameters
    ----------
    setting : Setting
        [-]
    grid : Grid
        [-]
    """
    return heads_in_room_m(grid.seats_m + setting.seat_offsets_m[:, None], setting.box)


def middle_energy(setting, count):
    """Return the energy that each speaker radiates around 1 kHz, shape (count,). [-]

    Parameters
    ----------
    setting : Setting
        [-]
    count : int
        Speakers. [-]
    """
    return np.ones(count) if setting.middle_energy_ratio is None else np.asarray(setting.middle_energy_ratio)


def source_weights(setting, count):
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


def _modes(setting, *, separation_m):
    """Products of modes across width and height, in a full table."""
    highest = largest_transverse_wavenumber(setting.box, separation_m=separation_m, dipole=setting.dipole)
    return math.prod(int(highest * length / np.pi) + 1 for length in setting.box.dimensions_m[1:])


def heads_in_room_m(places_m, box):
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


def _parts(setting, grid, *, separation_m):
    """The setting at some bands at a time, so that no intermediate array grows too large."""
    box, points = setting.box, setting.bands.points
    modes = _modes(setting, separation_m=separation_m)
    spacings, fronts, seats = grid.allowed.shape
    elements = max(modes * (fronts + seats), len(HEAD_M) * spacings * fronts * seats)
    step = points * max(1, int(_CHUNK_ELEMENTS / (elements * points)))
    weights = source_weights(setting, grid.speakers_m.shape[2])
    for start in range(0, len(box.wavenumber_per_m), step):
        part = slice(start, start + step)
        here = replace(box, admittance_ratio=box.admittance_ratio[:, part], wavenumber_per_m=box.wavenumber_per_m[part])
        yield replace(setting, box=here, source_weights=weights[:, part])


def _energies(setting, grid, seats_m, *, separation_m):
    """Band energies in some bands, shape (seats, head points, c, b); of several seats only the mean over each head."""
    fields = _fields(setting, grid, separation_m=separation_m)
    result = []
    for places_m in seats_m:
        arrivals = [field.arrivals(places_m[:, 0]) for field, _ in fields]
        _, y_m, z_m = places_m[0]
        heads = []
        for (dx_m, dz_m), points in groupby(HEAD_M, key=lambda point: (point[0], point[2])):
            ears = {"behind_m": dx_m, "seat_y_m": [y_m + dy_m for _, dy_m, _ in points], "seat_z_m": z_m + dz_m}
            pressure = sum(
                field.pressure(arriving, chosen=grid.allowed, turned_rad=turned_rad, **ears)
                for (field, turned_rad), arriving in zip(fields, arrivals, strict=True)
            )
            energy = merit.band_means(pressure.real**2 + pressure.imag**2, bands=setting.bands)
            heads.append(np.moveaxis(energy, 0, -1))
        heads = np.concatenate(heads)
        result.append(heads if len(seats_m) == 1 else heads.mean(axis=0, keepdims=True))
    return np.array(result)


def _fields(setting, grid, *, separation_m):
    """Each field with the direction of its first speaker: one of a pair that turns alike, else one of each speaker."""
    places = grid.speakers_m
    candidates = grid.candidates()
    turned = plan_geometry(candidates.speakers_m, candidates.seats_m).bearing_rad
    together = grid.facing_rad is None and grid.mirrored
    groups = [slice(None)] if together else [slice(n, n + 1) for n in range(places.shape[2])]
    return [
        (
            GridField(
                setting.box,
                source_x_m=places[0, :, group, 0][:, 0],
                source_y_m=places[:, 0, group, 1],
                source_z_m=places[0, 0, group, 2][0],
                source_weights=setting.source_weights[group],
                least_separation_m=separation_m,
                dipole=setting.dipole,
            ),
            turned[..., group][..., 0] if grid.facing_rad is None else grid.facing_rad[group][0],
        )
        for group in groups
    ]


def judge_energies(setting, energies, *, speakers_m, lead_m):
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
