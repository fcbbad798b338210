"""The strongest first reflection of a placement, the directivity of its speakers on both ways included."""

import numpy as np

from service.advice.placement.wanted import PlacedSpeaker
from service.advice.policy import LOWEST_OFF_AXIS_DB
from service.physics.frozen import frozen
from service.physics.loudspeaker.off_axis import off_axis_gain_db
from service.physics.placement.search import Setting

_TREBLE = slice(4, 8)  # octaves of 1 to 8 kHz
_NONE_DB = -100.0
_MIRRORED = frozen(np.repeat(np.eye(3), 2, axis=0) * -2 + 1)  # sign of each coordinate behind the six walls


def strongest_reflection_db(
    setting: Setting, speaker: PlacedSpeaker, speakers_m: np.ndarray, facing_rad: np.ndarray, lead_m: np.ndarray
) -> np.ndarray:
    """Return the level of the strongest early reflection re the direct sound, 1 to 8 kHz, shape (1,). [dB]

    Parameters
    ----------
    setting : Setting
        Room, absorption and window. [-]
    speaker : PlacedSpeaker
        Its directivity. [-]
    speakers_m : ndarray, shape (n, 3)
        Places of the speakers. [m]
    facing_rad : ndarray, shape (n,)
        Where they look, in plan. [rad]
    lead_m : ndarray, shape (3,)
        The leading seat. [m]

    Notes
    -----
    The image of the seat behind a wall is in the direction in which the sound leaves that comes off the wall. The level
    is the mean energy of the four octaves.
    """
    extent_m = np.asarray(setting.box.dimensions_m)
    images_m = lead_m * _MIRRORED
    images_m[1::2] += 2 * np.diag(extent_m)
    away_m = np.concatenate([lead_m[None], images_m]) - speakers_m[:, None]
    path_m = np.linalg.norm(away_m, axis=-1)
    ahead = np.stack([np.cos(facing_rad), np.sin(facing_rad), 0 * facing_rad], axis=-1)
    cosine = np.einsum("nwa,na->nw", away_m, ahead) / path_m
    off_axis_db = off_axis_gain_db(
        np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))[..., None],
        directivity_index_db=speaker.directivity_index_db[_TREBLE],
        to_both_sides=speaker.radiation == "dipole",
        lowest_db=LOWEST_OFF_AXIS_DB,
    )
    re_direct_db = off_axis_db[:, 1:] - off_axis_db[:, :1]
    directivity_db = 10 * np.log10((10 ** (re_direct_db / 10)).mean(axis=-1))
    level_db = 20 * np.log10(path_m[:, :1] / path_m[:, 1:]) + 10 * np.log10(1 - setting.treble_absorption)
    late = path_m[:, 1:] - path_m[:, :1] > setting.reflection_window_s * setting.speed_of_sound_m_s
    return np.where(late, _NONE_DB, level_db + directivity_db).max(keepdims=True).reshape(1)
