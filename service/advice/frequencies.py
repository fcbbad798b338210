"""Octaves and grids of frequencies as requests name them, for the web layer, which does not reach into the physics."""

from service.physics.bands import OCTAVE_NOMINAL_HZ, frequencies_per_octave_hz

__all__ = ["OCTAVE_NOMINAL_HZ", "frequencies_per_octave_hz"]
