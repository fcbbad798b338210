"""Invented rooms and grids for the tests of searches: no two walls, heights or coordinates alike."""

import numpy as np

from service.physics.placement import merit
from service.physics.placement.candidates import Grid, plan_geometry
from service.physics.placement.search import Setting
from service.physics.room.wave_field import Box, box_wavenumbers, pressure_ratio

C_M_S = 343.2
UNEQUAL = (0.02, 0.04, 0.03, 0.12, 0.08, 0.025)
ONE_SEAT = np.zeros((1, 3))


def setting(
    *, dimensions_m=(5.4, 4.1, 2.5), beta=UNEQUAL, low_hz=20.0, points=5, seat_offsets_m=ONE_SEAT, dipole=False, **more
):
    bands = merit.bass_bands(low_hz=low_hz, points=points)
    k = box_wavenumbers(bands.frequency_hz, speed_of_sound_m_s=C_M_S)
    return Setting(
        box=Box(
            dimensions_m=dimensions_m,
            admittance_ratio=np.repeat(np.array(beta, dtype=float)[:, None], len(k), axis=1),
            wavenumber_per_m=k,
        ),
        bands=bands,
        seat_offsets_m=seat_offsets_m,
        dipole=dipole,
        reverberant_ratio=0.6,
        treble_absorption=np.array([0.1, 0.2, 0.05, 0.3, 0.4, 0.15]),
        reflection_window_s=0.015,
        speed_of_sound_m_s=C_M_S,
        **more,
    )


def grid(*, across_m, front_m, seats_m, facing_rad=None, height_m=0.9, share=1.0, seed=0):
    """A grid of n speakers: places across (j, n), distances from the front wall (i,) or (i, n), seats (k, 3)."""
    across_m, front_m = np.asarray(across_m), np.asarray(front_m)
    front_m = front_m[:, None] if front_m.ndim == 1 else front_m
    places_m = np.empty((len(across_m), len(front_m), across_m.shape[1], 3))
    places_m[..., 0], places_m[..., 1], places_m[..., 2] = front_m, across_m[:, None], height_m
    allowed = np.random.default_rng(seed).random((*places_m.shape[:2], len(seats_m))) < share
    return Grid(speakers_m=places_m, seats_m=np.asarray(seats_m), facing_rad=facing_rad, allowed=allowed)


def axes_of(setting, grid, *, speakers_m, seat_m):
    """Axes of the speakers of one candidate, zeros for monopoles."""
    bearing_rad = grid.facing_rad
    if bearing_rad is None:
        bearing_rad = plan_geometry(speakers_m, seat_m).bearing_rad
    return np.stack([np.cos(bearing_rad), np.sin(bearing_rad), 0 * bearing_rad], axis=1) * setting.dipole


def single_levels_db(setting, grid, index, *, offset_m=(0.0, 0.0, 0.0)):
    """Band levels (b,) of one candidate (j, i, k) at the middle of a head, by the solver of a single response."""
    j, i, k = index
    speakers_m, seat_m = grid.speakers_m[j, i], grid.seats_m[k]
    axes = axes_of(setting, grid, speakers_m=speakers_m, seat_m=seat_m)
    ears_m = [seat_m + np.asarray(offset_m)]
    field = pressure_ratio(setting.box, sources_m=speakers_m, axes=axes, seats_m=ears_m)[0]
    if setting.source_weights is not None:
        field = field * setting.source_weights
    energy = np.abs(field.sum(axis=0)) ** 2
    return 10 * np.log10(energy.reshape(-1, setting.bands.points).mean(axis=1))
