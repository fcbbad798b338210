"""Smooth number and density of modes against hand sums and a direct count."""

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.room.mode_density import modal_count, modal_density_per_hz
from service.physics.room.modes import mode_orders

LARGE = {"length_m": 6.0, "width_m": 4.5, "height_m": 2.7, "speed_of_sound_m_s": 343.2}
SMALL = {"length_m": 5.0, "width_m": 4.0, "height_m": 2.5, "speed_of_sound_m_s": 343.2}
TO_HZ = np.array([100.0, 200.0, 300.0])


@pytest.mark.parametrize(
    ("room", "expected"),  # (4 pi / 3) V (f/c)^3 + (pi / 4) S (f/c)^2 + (L / 8) (f/c), by hand
    [(LARGE, [16.86, 93.80, 276.16]), (SMALL, [12.52, 67.47, 195.9])],
)
def test_count_by_hand(room, expected):
    found = modal_count(TO_HZ, **room)
    assert found[:2] == pytest.approx(expected[:2], abs=5e-3)
    assert found[2] == pytest.approx(expected[2], abs=5e-2)


@pytest.mark.parametrize("room", [LARGE, SMALL])
def test_count_agrees_with_a_direct_count(room):
    direct = np.array([len(mode_orders(**room, to_hz=to_hz)) for to_hz in TO_HZ])
    assert (np.abs(modal_count(TO_HZ, **room) - direct) <= np.maximum(3, 0.04 * direct)).all()


def test_density_is_the_derivative_of_the_count():
    step_hz = 1e-3
    difference = modal_count(TO_HZ + step_hz, **LARGE) - modal_count(TO_HZ - step_hz, **LARGE)
    assert modal_density_per_hz(TO_HZ, **LARGE) == pytest.approx(difference / (2 * step_hz), rel=1e-8)


def test_volume_term_rules_at_high_frequency():
    # 4 pi V f^2 / c^3 = 4 pi 72.9 (20 000)^2 / 343.2^3 = 9064.8 /Hz; the surface adds 0.6 %
    assert modal_density_per_hz(20000.0, **LARGE) == pytest.approx(9064.8, rel=0.01)


@pytest.mark.parametrize("function", [modal_count, modal_density_per_hz])
@pytest.mark.parametrize("name", ["length_m", "width_m", "height_m", "speed_of_sound_m_s"])
def test_refusals(function, name):
    with pytest.raises(OutOfRangeError, match=name):
        function(100.0, **{**LARGE, name: 0.0})
    with pytest.raises(OutOfRangeError, match="frequency_hz"):
        function(-1.0, **LARGE)
