"""Rooms, wave fields and speakers that were just settled, kept for the next request about them.

A website asks about one room with many speakers and amplifiers. All of it is pure, so a kept result is the same result.
"""

import functools

import numpy as np

from service.advice.assumptions import Assumptions
from service.advice.room.settle import room_acoustics
from service.advice.speaker.model import loudspeaker_model
from service.physics.level_budget import joined_grid_hz
from service.physics.room.wave_field import pressure_ratio

_KEPT = 256


@functools.lru_cache(maxsize=_KEPT)
def _settled_room(room):
    assume = Assumptions()
    return room_acoustics(room, assume), assume.listed()


def settled_room(room, assume):
    """Return the acoustics of a room; what had to be assumed goes to `assume`."""
    acoustics, assumptions = _settled_room(room)
    assume.extend(assumptions)
    return acoustics


@functools.lru_cache(maxsize=_KEPT)
def _settled_speaker(speaker, speed_of_sound_m_s):
    assume = Assumptions()
    return loudspeaker_model(speaker, assume, speed_of_sound_m_s=speed_of_sound_m_s), assume.listed()


def settled_speaker(speaker, assume, *, speed_of_sound_m_s):
    """Return the model of a loudspeaker; what had to be assumed goes to `assume`."""
    model, assumptions = _settled_speaker(speaker, speed_of_sound_m_s)
    assume.extend(assumptions)
    return model


@functools.lru_cache(maxsize=_KEPT)
def wave_field(room, positions, *, radiation, join_hz):
    """Return the field of each speaker at the first seat on the grid of the level budget, shape (speakers, n)."""
    acoustics, _ = _settled_room(room)
    box = acoustics.box(joined_grid_hz(join_hz=join_hz))
    field = pressure_ratio(
        box,
        sources_m=np.array([speaker.xyz_m for speaker in positions.speakers]),
        axes=source_axes(positions.speakers, radiation=radiation),
        seats_m=np.array([positions.seats[0].xyz_m]),
    )[0]
    field.setflags(write=False)
    return field


def source_axes(speakers, *, radiation):
    """Return the axis of each speaker for the wave field: its direction for a dipole, zeros for a monopole."""
    if radiation != "dipole":
        return np.zeros((len(speakers), 3))
    direction = np.radians([speaker.facing_deg or 0.0 for speaker in speakers])
    return np.stack([np.cos(direction), np.sin(direction), np.zeros(len(speakers))], axis=1)


def forget():
    """Drop everything that is kept: for measurements of a first request."""
    _settled_room.cache_clear()
    _settled_speaker.cache_clear()
    wave_field.cache_clear()
