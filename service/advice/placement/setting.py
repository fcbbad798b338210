"""What all candidates of one front wall have in common: the room as it is seen from there, and how it is judged."""

from dataclasses import replace

import numpy as np

from service.advice.placement import policy
from service.advice.placement.frames import Frame
from service.advice.placement.wanted import PlacedSpeaker
from service.advice.policy import MOST_TREBLE_ABSORPTION
from service.advice.room.model import RoomAcoustics
from service.physics.bands import octave_midbands_hz
from service.physics.placement import merit
from service.physics.placement.search import Setting
from service.physics.room.target import EARLY_REFLECTION_WINDOW_S

_MIDDLE = slice(3, 6)  # 500 Hz to 2 kHz
_TREBLE = slice(4, 8)  # 1 to 8 kHz


def setting_of(room: RoomAcoustics, speaker: PlacedSpeaker, frame: Frame, seat_offsets_m: np.ndarray) -> Setting:
    """Return what all candidates of a frame have in common.

    Parameters
    ----------
    room : RoomAcoustics
        [-]
    speaker : PlacedSpeaker
        [-]
    frame : Frame
        [-]
    seat_offsets_m : ndarray, shape (s, 3)
        Judged seats re the leading one, in the frame. [m]

    Returns
    -------
    Setting
    """
    lively = float(room.time_s[:3].mean()) > policy.LIVELY_FROM_S
    least_hz, most_hz = policy.BASS_JUDGED_FROM_HZ
    bands = merit.bass_bands(
        low_hz=min(max(least_hz, speaker.low_limit_hz), most_hz),
        points=policy.POINTS_PER_BAND_LIVELY if lively else policy.POINTS_PER_BAND,
    )
    reverberant = 16 * np.pi / room.room_constant_m2 * 10 ** (-speaker.directivity_index_db / 10)
    treble = room.wall_absorption(octave_midbands_hz()[_TREBLE]).mean(axis=1)
    setting = Setting(
        box=room.box(bands.frequency_hz),
        bands=bands,
        seat_offsets_m=np.zeros((1, 3)),
        dipole=speaker.radiation == "dipole",
        reverberant_ratio=float(reverberant[_MIDDLE].mean()),
        treble_absorption=np.minimum(treble, MOST_TREBLE_ABSORPTION),
        reflection_window_s=EARLY_REFLECTION_WINDOW_S,
        speed_of_sound_m_s=room.air.speed_of_sound_m_s,
    )
    return replace(frame.rotation.setting(setting), seat_offsets_m=seat_offsets_m)
