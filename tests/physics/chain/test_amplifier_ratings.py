"""Ratings: taps by hand and as in the amplifier model, clipped sines by hand and by Fourier, refusals."""

import math

import numpy as np
import pytest

from service.physics.chain.amplifier import amplifier_model, power_into_w
from service.physics.chain.amplifier_ratings import (
    best_tap_ohm,
    clean_power_ratio,
    tap_loss_db,
    tap_output_impedance_ohm,
)
from service.physics.checks import OutOfRangeError

TAPS_OHM = [16.0, 4.0, 8.0]


def test_wrong_taps_by_hand():
    # 10 lg 2, 10 lg 4, 10 lg 2, 0
    loss_db = tap_loss_db(tap_ohm=[8.0, 16.0, 4.0, 8.0], load_ohm=[4.0, 4.0, 8.0, 8.0])
    np.testing.assert_allclose(loss_db, [3.0103, 6.0206, 3.0103, 0.0], atol=1e-4)


def test_loss_is_that_of_the_amplifier_model():
    model = amplifier_model(loads_ohm=[8.0], powers_w=[12.0], behaviour="matched_tap", current_limit_a=None)
    loads = np.array([2.0, 5.0, 8.0, 11.0, 30.0])
    expected_db = 10.0 * np.log10(12.0 / power_into_w(model, load_ohm=loads))
    np.testing.assert_allclose(tap_loss_db(tap_ohm=8.0, load_ohm=loads), expected_db, atol=1e-9)


@pytest.mark.parametrize(
    ("load_ohm", "tap_ohm"),
    # between two taps the geometric mean divides: 5.66 and 11.3 ohm
    [(1.0, 4.0), (5.6, 4.0), (5.7, 8.0), (8.0, 8.0), (11.2, 8.0), (11.4, 16.0), (60.0, 16.0), (math.sqrt(32.0), 4.0)],
)
def test_best_tap(load_ohm, tap_ohm):
    assert best_tap_ohm(taps_ohm=TAPS_OHM, load_ohm=load_ohm) == tap_ohm


def test_output_impedance_follows_the_tap():
    # 2.5 ohm at 8: half at 4, twice at 16
    impedances = tap_output_impedance_ohm(output_impedance_ohm=2.5, tap_ohm=8.0, other_tap_ohm=[4.0, 8.0, 16.0])
    np.testing.assert_allclose(impedances, [1.25, 2.5, 5.0], rtol=1e-12)


def test_damping_of_a_matched_load_is_the_same_at_every_tap():
    taps = np.array([4.0, 8.0, 16.0])
    impedances = tap_output_impedance_ohm(output_impedance_ohm=0.7, tap_ohm=4.0, other_tap_ohm=taps)
    np.testing.assert_allclose(taps / impedances, 4.0 / 0.7, rtol=1e-12)


def _by_fourier(amplitude):
    """Distortion in percent and clean power ratio of a sine of this amplitude clipped at 1, sampled finely."""
    samples = np.clip(amplitude * np.sin(2.0 * np.pi * (np.arange(2**16) + 0.5) / 2**16), -1.0, 1.0)
    lines = np.abs(np.fft.rfft(samples)) / 2**15
    distortion = math.sqrt((lines[2:] ** 2).sum()) / lines[1]
    return 100.0 * distortion, 0.5 / (samples**2).mean()


@pytest.mark.parametrize("amplitude", [1.02, 1.1, 1.2389, 1.5, 3.0])
def test_clean_power_by_fourier(amplitude):
    distortion_pct, expected = _by_fourier(amplitude)
    assert clean_power_ratio(rated_distortion_pct=distortion_pct) == pytest.approx(expected, abs=1e-6)


def test_clean_power_by_hand():
    # Clipped at 1 / sqrt 2 of its amplitude, t = pi/4: lobe (0.785398 - 0.5) / 2 = 0.142699; mean square 2/pi (2 x
    # 0.142699 + 0.785398) = 0.681690; fundamental 4/pi (1.414214 x 0.142699 + 0.707107) = 1.157265; harmonics
    # 0.681690 - 0.669631 = 0.012059: distortion sqrt(0.024118) / 1.157265 = 13.42 %; ratio 0.5 / 0.681690 = 0.7335
    assert clean_power_ratio(rated_distortion_pct=13.42) == pytest.approx(0.7335, abs=2e-4)


def test_ten_percent_is_worth_about_a_decibel():
    # common practice, no source: a rating at 10 % promises a fifth to a third more than there is
    assert -1.3 < 10.0 * math.log10(clean_power_ratio(rated_distortion_pct=10.0)) < -0.8


def test_clean_power_falls_with_the_distortion_and_starts_at_all():
    ratios = [clean_power_ratio(rated_distortion_pct=d) for d in (0.0, 0.001, 0.1, 1.0, 5.0, 10.0, 40.0)]
    assert ratios[0] == 1.0
    assert (np.diff(ratios) < 0).all()
    assert ratios[1] > 0.999
    assert ratios[-1] > 0.5  # a square wave has twice the power of its sine


@pytest.mark.parametrize(
    ("function", "arguments", "name"),
    [
        (tap_loss_db, {"tap_ohm": 0.0, "load_ohm": 8.0}, "tap_ohm"),
        (tap_loss_db, {"tap_ohm": 8.0, "load_ohm": -8.0}, "load_ohm"),
        (best_tap_ohm, {"taps_ohm": [], "load_ohm": 8.0}, "taps_ohm must be one tap or more"),
        (best_tap_ohm, {"taps_ohm": [8.0, 0.0], "load_ohm": 8.0}, "taps_ohm"),
        (best_tap_ohm, {"taps_ohm": [8.0], "load_ohm": 0.0}, "load_ohm"),
        (tap_output_impedance_ohm, {"output_impedance_ohm": -1, "tap_ohm": 8, "other_tap_ohm": 4}, "output_imp"),
        (tap_output_impedance_ohm, {"output_impedance_ohm": 1, "tap_ohm": 0, "other_tap_ohm": 4}, "^tap_ohm"),
        (tap_output_impedance_ohm, {"output_impedance_ohm": 1, "tap_ohm": 8, "other_tap_ohm": 0}, "other_tap_ohm"),
        (clean_power_ratio, {"rated_distortion_pct": -0.1}, "rated_distortion_pct"),
        (clean_power_ratio, {"rated_distortion_pct": 41.0}, "rated_distortion_pct must be from 0 to 40"),
    ],
)
def test_refusals(function, arguments, name):
    with pytest.raises(OutOfRangeError, match=name):
        function(**arguments)
