"""Speakers as sources of the wave field."""

from collections.abc import Sequence

import numpy as np

from service.domain.position import Place


def source_axes(speakers: Sequence[Place], *, radiation: str) -> np.ndarray:
    """Return the axis of each speaker for the wave field: its direction for a dipole, zeros for a monopole.

    Parameters
    ----------
    speakers : sequence of Place
        Each with its direction. [-]
    radiation : str
        monopole or dipole. [-]

    Returns
    -------
    ndarray, shape (n, 3)
    """
    if radiation != "dipole":
        return np.zeros((len(speakers), 3))
    direction = np.radians([speaker.facing_deg or 0.0 for speaker in speakers])
    return np.stack([np.cos(direction), np.sin(direction), np.zeros(len(speakers))], axis=1)
