"""Judges every candidate placement of a grid with the exact wave field, and any single placement the same way."""

from dataclasses import dataclass

import numpy as np

from service.physics.placement import merit
from service.physics.placement.grid_field import GridField
from service.physics.room.wave_field import pressure_ratio

HEAD_M = ((0.0, 0.0, 0.0), (0.1, 0, 0), (-0.1, 0, 0), (0, 0.1, 0), (0, -0.1, 0), (0, 0, 0.05), (0, 0, -0.05))
"""Points of a head-sized region around an ear place, over which the energy is averaged. [m]"""


@dataclass(frozen=True, kw_only=True)
class Setting:
    """What all candidates of one search have in common.

    Attributes
    ----------
    box : Box
        The room at the frequencies of `bands`. [-]
    bands : merit.Bands
        Bands in which the bass is judged. [-]
    speaker_z_m : float
        Height of the acoustic centres. [m]
    seat_offsets_m : ndarray, shape (s, 3)
        Ear places relative to the leading one, the first (0, 0, 0). [m]
    ear_z_m : float
        Height of the leading ear place. [m]
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
    """

    box: object
    bands: merit.Bands
    speaker_z_m: float
    seat_offsets_m: np.ndarray
    ear_z_m: float
    dipole: bool
    reverberant_ratio: float
    treble_absorption: np.ndarray
    reflection_window_s: float
    speed_of_sound_m_s: float


@dataclass(frozen=True, kw_only=True)
class Judgement:
    """The parts of the merit of n placements; arrays (n,)."""

    bass: merit.BassParts
    seat_spread_db: np.ndarray
    bass_balance_db: np.ndarray
    strongest_reflection_db: np.ndarray


def judge_grid(setting, grid):
    """Judge every allowed candidate of a grid, in the order of `grid.allowed`.

    Parameters
    ----------
    setting : Setting
        [-]
    grid : Grid
        Candidates, at least one allowed. [-]

    Returns
    -------
    Judgement
    """
    length_m, width_m, _ = setting.box.dimensions_m
    half_m = grid.spacing_m / 2
    across_m = np.stack([width_m / 2 - half_m, width_m / 2 + half_m], axis=1)
    j, i, k = np.nonzero(grid.allowed)
    offsets = setting.seat_offsets_m[:, 0]
    field = GridField(
        setting.box,
        source_x_m=grid.front_m,
        source_y_m=across_m,
        source_z_m=setting.speaker_z_m,
        least_separation_m=float((grid.seat_x_m[k] - grid.front_m[i]).min() + offsets.min() - 0.1),
        dipole=setting.dipole,
    )
    toe_in = grid.geometry().half_angle_rad
    energies = [
        [
            _band_energy(
                setting,
                field,
                seat_x_m=grid.seat_x_m + offset[0] + dx,
                seat_y_m=width_m / 2 + offset[1] + dy,
                seat_z_m=setting.ear_z_m + offset[2] + dz,
                toe_in_rad=toe_in,
                at=(j, i, k),
            )
            for dx, dy, dz in HEAD_M
        ]
        for offset in setting.seat_offsets_m
    ]
    sources_m = np.stack(
        [
            np.stack([grid.front_m[i], across_m[j, side], np.full(len(i), setting.speaker_z_m)], axis=1)
            for side in (0, 1)
        ],
        axis=1,
    )
    lead_m = np.stack(
        [grid.seat_x_m[k], np.full(len(k), width_m / 2), np.full(len(k), setting.ear_z_m)], axis=1
    )
    return _judge(setting, np.array(energies), sources_m=sources_m, lead_m=lead_m)


def judge_placement(setting, *, sources_m, axes, lead_m):
    """Judge one placement, on or off the room's axis.

    Parameters
    ----------
    setting : Setting
        [-]
    sources_m, axes : ndarray, shape (n, 3)
        Places of the speakers, and axes of dipoles or zeros. [m, -]
    lead_m : ndarray, shape (3,)
        The leading ear place. [m]

    Returns
    -------
    Judgement
        With arrays of shape (1,).
    """
    places = (setting.seat_offsets_m[:, None] + np.array(HEAD_M)).reshape(-1, 3) + lead_m
    places = np.clip(places, 1e-3, np.array(setting.box.dimensions_m) - 1e-3)
    field = pressure_ratio(setting.box, sources_m=sources_m, axes=axes, seats_m=places).sum(axis=1)
    energies = merit.band_means((np.abs(field) ** 2).T, bands=setting.bands)
    energies = energies.T.reshape(len(setting.seat_offsets_m), len(HEAD_M), 1, -1)
    return _judge(setting, energies, sources_m=sources_m[None], lead_m=lead_m[None])


def _band_energy(setting, field, *, seat_x_m, seat_y_m, seat_z_m, toe_in_rad, at):
    """Band energies of the candidates `at` = (j, i, k), shape (n, b)."""
    pressure = field.pressure(seat_x_m=seat_x_m, seat_y_m=seat_y_m, seat_z_m=seat_z_m, toe_in_rad=toe_in_rad)
    energy = merit.band_means(pressure.real**2 + pressure.imag**2, bands=setting.bands)
    return energy[:, *at].T


def _judge(setting, energies, *, sources_m, lead_m):
    """Parts of the merit from band energies (seats, head points, n, b), speakers (n, s, 3) and leading place (n, 3)."""
    bands = setting.bands
    at_seats_db = 10 * np.log10(energies.mean(axis=1))
    several = len(at_seats_db) > 1
    spread = merit.seat_spread_db(at_seats_db if several else 10 * np.log10(energies[0]))
    levels_db = at_seats_db.mean(axis=0)
    squared = ((sources_m - lead_m[:, None]) ** 2).sum(axis=-1)
    middle_db = 10 * np.log10((1 / squared + setting.reverberant_ratio).sum(axis=-1))
    reflection_db = merit.strongest_early_reflection_db(
        sources_m,
        np.broadcast_to(lead_m[:, None], sources_m.shape),
        dimensions_m=setting.box.dimensions_m,
        absorption_coefficients=setting.treble_absorption,
        window_s=setting.reflection_window_s,
        speed_of_sound_m_s=setting.speed_of_sound_m_s,
    )
    return Judgement(
        bass=merit.bass_parts(levels_db, bands=bands),
        seat_spread_db=spread,
        bass_balance_db=merit.bass_balance_db(levels_db, bands=bands, middle_level_db=middle_db),
        strongest_reflection_db=reflection_db.max(axis=1),
    )
