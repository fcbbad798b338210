"""Octaves and grids of frequencies as requests name them.

The web layer reads the octaves and the grid from here, since it does not reach into the physics.
"""

from collections.abc import Iterable, Sequence

import numpy as np

from service.physics.bands import OCTAVE_NOMINAL_HZ, frequencies_per_octave_hz
from service.physics.types import FloatArray

__all__ = ["OCTAVE_NOMINAL_HZ", "by_octave", "frequencies_per_octave_hz", "over_octaves"]

LOWEST_OCTAVES = slice(0, 2)
"""63 and 125 Hz: the bass."""

TRANSITION_OCTAVES = slice(1, 3)
"""125 and 250 Hz, around the transition frequency."""

MIDDLE_OCTAVES = slice(3, 5)
"""500 Hz and 1 kHz, for which a reverberation time given as one number stands."""

VOICE_OCTAVES = slice(3, 6)
"""500 Hz to 2 kHz, against which the level of a bass section is set."""

HISS_OCTAVES = slice(4, 8)
"""1 to 8 kHz."""

HUM_OCTAVE = 1
"""125 Hz, the octave in which 100 Hz lies."""


def over_octaves(told: Sequence[tuple[int, float]]) -> FloatArray:
    """Return values at the eight octaves from those that were told: linear in lg f, held at the ends, shape (8,).

    Parameters
    ----------
    told : sequence of tuple of int and float
        Nominal octave and value, at least one. [Hz, any]
    """
    octaves, values = zip(*sorted(told), strict=True)
    return np.interp(np.log(OCTAVE_NOMINAL_HZ), np.log(octaves), values)


def by_octave(values: Iterable[float]) -> dict[str, float]:
    """Return eight values as a request writes them: by the name of the octave."""
    return {str(octave): float(value) for octave, value in zip(OCTAVE_NOMINAL_HZ, values, strict=True)}
