"""Load impedance: swing by hand and against the analytic driver, laws of a flat curve, refusals."""

import math

import numpy as np
import pytest

from service.physics.chain.load_impedance import (
    impedance_curve,
    impedance_ohm,
    level_change_db,
    load_extremes,
)
from service.physics.checks import OutOfRangeError
from service.physics.loudspeaker.driver_impedance import Resonance, driver_impedance_ohm
from tests.published import Published

BAND = {"low_hz": 30.0, "high_hz": 10e3}


def _curve(points, phases=None):
    frequency_hz, magnitude_ohm = zip(*points, strict=True)
    return impedance_curve(frequency_hz=frequency_hz, magnitude_ohm=magnitude_ohm, phase_deg=phases)


PLAIN = _curve([(20.0, 7.0), (50.0, 20.0), (200.0, 3.2), (2000.0, 11.0), (20e3, 14.0)])
FLAT = _curve([(20.0, 6.0), (700.0, 6.0), (20e3, 6.0)], [0.0, 0.0, 0.0])


def changes_in_band(curve, *, series_ohm, rated_ohm):
    """Frequencies of the band and the change of level there."""
    band = load_extremes(curve, **BAND)
    change_db = level_change_db(band.impedance_ohm, series_resistance_ohm=series_ohm, rated_impedance_ohm=rated_ohm)
    return band.frequency_hz, change_db


def test_swing_of_a_divider():
    # 0.08 ohm and 2 x 5 m of 7.98 ohm/km; 20 lg(20 / 20.1598) - 20 lg(3.2 / 3.3598) = -0.0691 + 0.4232
    frequency_hz, change_db = changes_in_band(PLAIN, series_ohm=0.08 + 0.0798, rated_ohm=4.0)
    row = Published(printed="0.354", unit="dB", source="voltage divider, by hand", where="20 and 3.2 ohm", inputs={})
    row.check(np.ptp(change_db))
    assert (frequency_hz[change_db.argmax()], frequency_hz[change_db.argmin()]) == (50.0, 200.0)


def test_swing_of_a_valve_amplifier_by_hand():
    # 2.5 ohm: 20 / 22.5 = 0.88889, 3.2 / 5.7 = 0.56140, 8 / 10.5 = 0.76190 at the rated impedance
    _, change_db = changes_in_band(PLAIN, series_ohm=2.5, rated_ohm=8.0)
    assert change_db.max() == pytest.approx(20 * math.log10(0.88889 / 0.76190), abs=1e-4)
    assert change_db.min() == pytest.approx(20 * math.log10(0.56140 / 0.76190), abs=2e-4)


def test_a_reactance_loses_less_than_a_resistor_of_its_size():
    # 4 ohm behind 3: resistor 4 / 7, pure reactance 4 / 5
    assert level_change_db(4.0, series_resistance_ohm=3.0, rated_impedance_ohm=4.0) == pytest.approx(0.0, abs=1e-12)
    reactive_db = level_change_db(4j, series_resistance_ohm=3.0, rated_impedance_ohm=4.0)
    assert reactive_db == pytest.approx(20 * math.log10(0.8 / (4 / 7)), abs=1e-12)


@pytest.mark.parametrize("series_ohm", [0.0, 0.1, 3.0])
def test_a_flat_curve_shifts_and_does_not_swing(series_ohm):
    _, change_db = changes_in_band(FLAT, series_ohm=series_ohm, rated_ohm=8.0)
    shift_db = 20 * math.log10(6.0 / (6.0 + series_ohm) / (8.0 / (8.0 + series_ohm)))
    np.testing.assert_allclose(change_db, shift_db, atol=1e-9)


def test_without_series_resistance_nothing_swings():
    _, change_db = changes_in_band(PLAIN, series_ohm=0.0, rated_ohm=8.0)
    np.testing.assert_allclose(change_db, 0.0, atol=1e-12)


def test_swing_grows_with_resistance_and_not_with_the_rated_impedance():
    swings = [
        np.ptp(changes_in_band(PLAIN, series_ohm=r, rated_ohm=z)[1])
        for r, z in ((0.5, 8.0), (1.0, 8.0), (2.0, 8.0), (2.0, 4.0))
    ]
    assert swings[0] < swings[1] < swings[2]
    assert swings[3] == pytest.approx(swings[2], abs=1e-12)


def test_resistor_capacitor_and_inductor_are_met_between_two_points():
    ends_hz, middle_hz = np.array([20.0, 2000.0]), 117.0
    for magnitude, phase in (
        (np.full(2, 8.0), 0.0),
        (2 * np.pi * ends_hz * 0.002, 90.0),
        (1.0 / (2 * np.pi * ends_hz * 1e-4), -90.0),
    ):
        curve = impedance_curve(frequency_hz=ends_hz, magnitude_ohm=magnitude, phase_deg=[phase, phase])
        expected = {0.0: 8.0, 90.0: 2j * math.pi * 117.0 * 0.002, -90.0: 1.0 / (2j * math.pi * 117.0 * 1e-4)}[phase]
        assert impedance_ohm(curve, frequency_hz=middle_hz) == pytest.approx(expected, rel=1e-9)


def test_the_curve_is_met_at_its_points():
    np.testing.assert_allclose(
        impedance_ohm(PLAIN, frequency_hz=PLAIN.frequency_hz), [7.0, 20.0, 3.2, 11.0, 14.0], rtol=1e-12
    )
    assert not np.iscomplex(impedance_ohm(PLAIN, frequency_hz=60.0))


def test_a_sampled_driver_agrees_with_its_circuit():
    driver = Resonance(resonance_hz=45.0, mechanical_q=3.0, electrical_q=0.6)
    inputs = {"resonance": driver, "dc_resistance_ohm": 5.6, "inductance_h": 0.0006}
    sampled_hz, fine_hz = np.geomspace(20.0, 20e3, 241), np.geomspace(30.0, 10e3, 40001)
    impedance = driver_impedance_ohm(sampled_hz, **inputs)
    curve = impedance_curve(
        frequency_hz=sampled_hz, magnitude_ohm=np.abs(impedance), phase_deg=np.degrees(np.angle(impedance))
    )
    _, change_db = changes_in_band(curve, series_ohm=1.7, rated_ohm=8.0)
    exact = driver_impedance_ohm(fine_hz, **inputs)
    exact_db = 20.0 * np.log10(np.abs(exact / (exact + 1.7)))
    assert np.ptp(change_db) == pytest.approx(np.ptp(exact_db), abs=0.03)
    extremes = load_extremes(curve, **BAND)
    assert extremes.lowest_ohm == pytest.approx(np.abs(exact).min(), rel=0.005)
    steepest = np.abs(np.angle(exact, deg=True)).argmax()
    assert extremes.steepest_phase_deg == pytest.approx(np.angle(exact, deg=True)[steepest], abs=0.5)


def test_extremes_count_only_within_the_band():
    inside = load_extremes(PLAIN, low_hz=300.0, high_hz=1000.0)
    # lg Z straight over lg f from 3.2 at 200 to 11 at 2000: 3.2 (f / 200)^lg(11 / 3.2)
    slope = math.log10(11.0 / 3.2)
    assert (inside.lowest_hz, inside.highest_hz) == (300.0, 1000.0)
    assert inside.lowest_ohm == pytest.approx(3.2 * 1.5**slope, rel=1e-9)
    assert inside.highest_ohm == pytest.approx(3.2 * 5.0**slope, rel=1e-9)
    assert inside.steepest_phase_deg is None
    assert inside.steepest_phase_hz is None


def test_steepest_phase_keeps_its_sign():
    curve = _curve([(20.0, 8.0), (100.0, 6.0), (1000.0, 9.0)], [30.0, -52.0, 10.0])
    extremes = load_extremes(curve, low_hz=20.0, high_hz=1000.0)
    assert (extremes.steepest_phase_deg, extremes.steepest_phase_hz) == (pytest.approx(-52.0), 100.0)


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"frequency_hz": [100.0, 50.0]}, "frequency_hz must be two or more, rising"),
        ({"frequency_hz": [100.0, 100.0]}, "frequency_hz must be two or more, rising"),
        ({"frequency_hz": [100.0], "magnitude_ohm": [8.0], "phase_deg": None}, "two or more"),
        ({"frequency_hz": [0.0, 100.0]}, "frequency_hz must be greater"),
        ({"magnitude_ohm": [8.0, 0.0]}, "magnitude_ohm must be greater"),
        ({"magnitude_ohm": [8.0, 8.0, 8.0]}, "magnitude_ohm must be one for each of 2"),
        ({"phase_deg": [0.0]}, "phase_deg must be one for each of 2"),
        ({"phase_deg": [0.0, 91.0]}, "phase_deg must be from -90 to 90"),
    ],
)
def test_curve_refusals(change, match):
    arguments = {"frequency_hz": [50.0, 100.0], "magnitude_ohm": [8.0, 9.0], "phase_deg": [0.0, 5.0]} | change
    with pytest.raises(OutOfRangeError, match=match):
        impedance_curve(**arguments)


def test_nothing_is_guessed_beyond_the_curve():
    with pytest.raises(OutOfRangeError, match="frequency_hz must be from 20 to 20000"):
        impedance_ohm(PLAIN, frequency_hz=[100.0, 25e3])
    with pytest.raises(OutOfRangeError, match="frequency_hz must be from 20 to 20000"):
        load_extremes(PLAIN, low_hz=15.0, high_hz=100.0)
    with pytest.raises(OutOfRangeError, match="high_hz must be above"):
        load_extremes(PLAIN, low_hz=100.0, high_hz=100.0)


def test_other_refusals():
    with pytest.raises(OutOfRangeError, match="series_resistance_ohm"):
        level_change_db(4.0, series_resistance_ohm=-0.1, rated_impedance_ohm=8.0)
    with pytest.raises(OutOfRangeError, match="rated_impedance_ohm"):
        level_change_db(4.0, series_resistance_ohm=0.1, rated_impedance_ohm=0.0)
    with pytest.raises(OutOfRangeError, match="impedance_ohm"):
        level_change_db([4.0, 0.0], series_resistance_ohm=0.1, rated_impedance_ohm=8.0)
    with pytest.raises(OutOfRangeError, match="low_hz"):
        load_extremes(PLAIN, low_hz=0.0, high_hz=100.0)
