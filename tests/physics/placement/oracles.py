"""Second methods for the tests of searches: one placement by the plain solver, and limits looked at one by one."""

import numpy as np

from service.physics.placement import merit
from service.physics.placement.candidates import plan_geometry
from service.physics.placement.search import HEAD_M, heads_in_room_m, judge_energies, source_weights
from service.physics.room.wave_field import pressure_ratio

_ROUNDING = 1e-9


def judge_placement(setting, *, speakers_m, axes, lead_m):
    """Judge one placement by the solver of a single response at every point of every head."""
    seats_m = heads_in_room_m(lead_m + setting.seat_offsets_m, setting.box)
    ears_m = (seats_m[:, None] + np.array(HEAD_M)).reshape(-1, 3)
    field = pressure_ratio(setting.box, sources_m=speakers_m, axes=axes, seats_m=ears_m)
    field = (field * source_weights(setting, len(speakers_m))).sum(axis=1)
    energies = merit.band_means((np.abs(field) ** 2).T, bands=setting.bands)
    energies = energies.T.reshape(len(seats_m), len(HEAD_M), 1, -1)
    return judge_energies(setting, energies, speakers_m=np.asarray(speakers_m)[None], lead_m=np.asarray(lead_m)[None])


def fitting(*, speakers_m, seats_m, least_depth_m, angle_range_deg, distance_range_m):
    """Which combinations of speakers and seat, shape (j, i, k), keep within a depth, base angles and distances."""
    seen = plan_geometry(speakers_m[:, :, None], seats_m)
    depth_m = seats_m[:, 0] - speakers_m[..., 0].max(axis=2)[..., None]
    allowed = (depth_m >= least_depth_m - _ROUNDING) & _within(seen.distance_m, distance_range_m)
    return allowed & _within(np.degrees(seen.base_angle_rad), angle_range_deg)


def _within(value, ends):
    return (value >= ends[0] - _ROUNDING) & (value <= ends[1] + _ROUNDING)
