"""Absorption by octave from values with gaps."""

import numpy as np
import pytest

from service.advice.room.materials import by_octave_with_gaps


def test_a_measured_coefficient_above_one_counts_as_one_also_for_the_fall_below():
    """ISO 354 coefficients may exceed 1 (edge effect): both are then full absorption; nothing falls between them."""
    filled = by_octave_with_gaps([125, 250], [1.2, 1.05], porous=True)
    assert filled.slope_below == pytest.approx(0.0, abs=1e-12)
    assert np.all(filled.values <= 1.0)


def test_porous_absorption_falls_below_its_first_octave_and_a_hard_surface_keeps_its_value():
    """0.2 at 125 Hz and 0.4 at 250 Hz: less than 0.2 at 63 Hz where porous, 0.2 where not."""
    at_63_hz = 0
    octaves, values = [125, 250], [0.2, 0.4]
    assert by_octave_with_gaps(octaves, values, porous=False).values[at_63_hz] == pytest.approx(0.2)
    porous = by_octave_with_gaps(octaves, values, porous=True)
    assert porous.values[at_63_hz] < 0.2
    assert porous.first_known == 1
