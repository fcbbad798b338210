"""Low end: step and roll-off against a filter library, plates against a panel solution, dipole values."""

import math

import numpy as np
import pytest
from scipy import signal

from service.physics.checks import OutOfRangeError
from service.physics.loudspeaker import low_end
from tests.published import Published

SPEED_M_S = 343.2


# Baffle step


def test_baffle_step_is_half_done_at_383_hz_of_a_30_cm_baffle():
    # common practice, no source: 115 / 0.30 = 383 Hz
    gain_db = low_end.baffle_step_gain_db(115.0 / 0.30, baffle_width_m=0.30, low_frequency_gain_db=-6.02)
    assert gain_db == pytest.approx(-3.01, abs=1e-9)


@pytest.mark.parametrize("low_frequency_gain_db", [-6.02, -3.0])
def test_baffle_step_is_a_first_order_shelf(low_frequency_gain_db):
    # (s + z) / (s + p) with z / p = g and sqrt(z p) = 2 pi x the step frequency, evaluated by scipy
    g = 10.0 ** (low_frequency_gain_db / 20.0)
    step_rad_s = 2.0 * math.pi * 115.0 / 0.24
    frequency_hz = np.array([20.0, 150.0, 479.2, 900.0, 5000.0])
    _, shelf = signal.freqs(
        [1.0, step_rad_s * math.sqrt(g)], [1.0, step_rad_s / math.sqrt(g)], worN=2.0 * np.pi * frequency_hz
    )
    gain_db = low_end.baffle_step_gain_db(
        frequency_hz, baffle_width_m=0.24, low_frequency_gain_db=low_frequency_gain_db
    )
    np.testing.assert_allclose(gain_db, 20.0 * np.log10(np.abs(shelf)), atol=1e-9)


def test_baffle_step_has_its_ends_and_vanishes_without_loss():
    ends_db = low_end.baffle_step_gain_db(np.array([0.01, 1e6]), baffle_width_m=0.4, low_frequency_gain_db=-6.02)
    np.testing.assert_allclose(ends_db, [-6.02, 0.0], atol=1e-4)
    corrected_db = low_end.baffle_step_gain_db(
        np.geomspace(20.0, 2e4, 9), baffle_width_m=0.4, low_frequency_gain_db=0.0
    )
    np.testing.assert_allclose(corrected_db, 0.0, atol=1e-12)


def test_a_wider_baffle_loses_less():
    narrow_db = low_end.baffle_step_gain_db(200.0, baffle_width_m=0.2, low_frequency_gain_db=-6.02)
    wide_db = low_end.baffle_step_gain_db(200.0, baffle_width_m=0.6, low_frequency_gain_db=-6.02)
    assert narrow_db < wide_db - 1.0


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"frequency_hz": 0.0}, "frequency_hz"),
        ({"frequency_hz": [100.0, math.nan]}, "frequency_hz"),
        ({"baffle_width_m": 0.0}, "baffle_width_m"),
        ({"low_frequency_gain_db": 0.1}, "low_frequency_gain_db"),
        ({"low_frequency_gain_db": math.nan}, "low_frequency_gain_db"),
    ],
)
def test_baffle_step_refusals(change, name):
    arguments = {"frequency_hz": 100.0, "baffle_width_m": 0.3, "low_frequency_gain_db": -3.0} | change
    with pytest.raises(OutOfRangeError, match=name):
        low_end.baffle_step_gain_db(arguments.pop("frequency_hz"), **arguments)


# Roll-off


@pytest.mark.parametrize("order", [1, 2, 3, 4, 6])
def test_roll_off_is_the_butterworth_filter_of_a_library(order):
    # -6.02 dB at 45 Hz puts the 3 dB point at 45 x 3^(1 / (2 n)) Hz, since 1 + (fc / f)^(2 n) = 4 there
    corner_hz = 45.0 * 3.0 ** (1.0 / (2 * order))
    numerator, denominator = signal.butter(order, 2.0 * math.pi * corner_hz, btype="highpass", analog=True)
    frequency_hz = np.array([12.0, 30.0, 45.0, 60.0, 300.0])
    _, response = signal.freqs(numerator, denominator, worN=2.0 * np.pi * frequency_hz)
    gain_db = low_end.roll_off_gain_db(frequency_hz, low_limit_hz=45.0, order=order)
    np.testing.assert_allclose(gain_db, 20.0 * np.log10(np.abs(response)), atol=1e-8)


@pytest.mark.parametrize("order", [1, 2, 4, 8])
def test_roll_off_is_6_db_at_the_limit_and_6_db_an_octave_and_order_below(order):
    at_limit_db = low_end.roll_off_gain_db(38.0, low_limit_hz=38.0, order=order)
    assert at_limit_db == pytest.approx(10.0 * math.log10(0.25), abs=1e-12)
    far_db = low_end.roll_off_gain_db(np.array([0.25, 0.5]), low_limit_hz=38.0, order=order)
    assert far_db[1] - far_db[0] == pytest.approx(20.0 * order * math.log10(2.0), abs=0.001)


@pytest.mark.parametrize("bad", [0, 9, 2.5, -1, math.nan])
def test_roll_off_refuses_an_order_that_is_no_filter(bad):
    with pytest.raises(OutOfRangeError, match="order"):
        low_end.roll_off_gain_db(50.0, low_limit_hz=40.0, order=bad)


def test_roll_off_refuses_frequencies_of_zero():
    with pytest.raises(OutOfRangeError, match="frequency_hz"):
        low_end.roll_off_gain_db([0.0, 50.0], low_limit_hz=40.0, order=2)
    with pytest.raises(OutOfRangeError, match="low_limit_hz"):
        low_end.roll_off_gain_db(50.0, low_limit_hz=0.0, order=2)


# Path length of a plain plate


def _edges_and_midpoints(half_side, count):
    steps = np.pi * np.arange(count + 1) / count
    return -half_side * np.cos(steps), -half_side * np.cos(steps[:-1] + 0.5 * np.pi / count)


def _potential_jump_in_the_middle(width, height, across):
    """Solve the still flow around a plate of unit velocity with doublet panels, closer together at the edges.

    A panel of unit jump induces the velocity (1 / 4 pi) of the integral of 1 / r^3 over it, in closed form
    -sqrt(x^2 + y^2) / (x y) taken over its corners (finite part on the panel itself).
    """
    along = round(across * min(height / width, 2.0)) | 1
    x_edges, x_mid = _edges_and_midpoints(width / 2.0, across)
    y_edges, y_mid = _edges_and_midpoints(height / 2.0, along)
    x = (x_edges[None, :] - x_mid[:, None])[:, None, :, None]
    y = (y_edges[None, :] - y_mid[:, None])[None, :, None, :]
    corner = -np.hypot(x, y) / (x * y)
    panel = corner[:, :, 1:, 1:] - corner[:, :, :-1, 1:] - corner[:, :, 1:, :-1] + corner[:, :, :-1, :-1]
    count = across * along
    jumps = np.linalg.solve(panel.reshape(count, count) / (4.0 * np.pi), -np.ones(count))
    return jumps.reshape(across, along)[across // 2, along // 2]


@pytest.mark.parametrize("height_m", [0.4, 0.55, 0.8, 1.1, 1.6, 4.0])
def test_path_of_a_rectangle_agrees_with_a_panel_solution(height_m):
    expected_m = _potential_jump_in_the_middle(0.4, height_m, across=21)  # within 0.2 % of a finer mesh
    path_m = low_end.dipole_path_length_of_rectangle_m(width_m=0.4, height_m=height_m)
    assert path_m == pytest.approx(expected_m, rel=0.01)


PLATES = [
    Published(
        printed=printed,
        unit="short sides",
        source="independent panel solution, 1 % on the disc; no printed source",
        where=f"1:{ratio}",
        inputs={"width_m": 1.0, "height_m": float(ratio)},
    )
    for printed, ratio in (("0.70", 1), ("0.89", 2), ("0.98", 4))
]


@pytest.mark.parametrize("row", PLATES, ids=lambda row: row.where)
def test_path_of_plain_plates(row):
    row.check(low_end.dipole_path_length_of_rectangle_m(**row.inputs))


def test_an_endless_strip_is_the_closed_form_of_its_width():
    # The jump across a strip of unit velocity is 2 sqrt(a^2 - x^2): its width in the middle
    path_m = low_end.dipole_path_length_of_rectangle_m(width_m=0.5, height_m=500.0)
    assert path_m == pytest.approx(0.5, rel=1e-4)


def test_a_square_is_between_its_inner_and_its_outer_circle():
    path_m = low_end.dipole_path_length_of_rectangle_m(width_m=1.0, height_m=1.0)
    # the potential jump at the centre of a disc in still fluid is 4 a / pi of its radius [LAMB-HYDRODYNAMICS]
    assert 4.0 * 0.5 / math.pi < path_m < 4.0 * math.sqrt(0.5) / math.pi


def test_path_grows_with_either_side_and_does_not_care_which_is_which():
    heights_m = np.geomspace(0.1, 20.0, 60)
    paths_m = [low_end.dipole_path_length_of_rectangle_m(width_m=0.6, height_m=h) for h in heights_m]
    assert np.all(np.diff(paths_m) > 0)
    turned_m = low_end.dipole_path_length_of_rectangle_m(width_m=0.9, height_m=0.6)
    assert turned_m == low_end.dipole_path_length_of_rectangle_m(width_m=0.6, height_m=0.9)


def test_path_of_a_half_by_one_metre_baffle():
    # 0.447 m by an independent panel solution; c / (6 D) = 343.2 / (6 x 0.447) = 128 Hz
    path_m = low_end.dipole_path_length_of_rectangle_m(width_m=0.5, height_m=1.0)
    assert path_m == pytest.approx(0.447, abs=0.001)
    assert SPEED_M_S / (6.0 * path_m) == pytest.approx(128.0, abs=0.5)


@pytest.mark.parametrize("bad", [0.0, -0.5, math.nan, math.inf])
def test_path_refusals(bad):
    with pytest.raises(OutOfRangeError, match="width_m"):
        low_end.dipole_path_length_of_rectangle_m(width_m=bad, height_m=1.0)
    with pytest.raises(OutOfRangeError, match="height_m"):
        low_end.dipole_path_length_of_rectangle_m(width_m=1.0, height_m=bad)


# Gain of an open baffle


def test_open_baffle_agrees_with_two_sources_far_away():
    # e^(-jkr)/r of both on the axis, 2 km away, against twice one of them (an endless baffle), to 1e-3 dB
    frequency_hz, distance_m, path_m = np.array([30.0, 110.0, 440.0]), 2000.0, 0.38
    k = 2.0 * np.pi * frequency_hz / SPEED_M_S
    near, far = distance_m - path_m / 2.0, distance_m + path_m / 2.0
    pressure = np.exp(-1j * k * near) / near - np.exp(-1j * k * far) / far
    expected_db = 20.0 * np.log10(np.abs(pressure) * distance_m / 2.0)
    gain_db = low_end.dipole_baffle_gain_db(frequency_hz, path_length_m=path_m, speed_of_sound_m_s=SPEED_M_S)
    np.testing.assert_allclose(gain_db, expected_db, atol=1e-3)


def test_open_baffle_against_half_space_by_hand():
    # 20 lg |sin|: -3.01 dB at c/(4D), -6.02 dB at c/(6D), 0 at c/(2D) and above
    frequency_hz = SPEED_M_S / 0.447 * np.array([1 / 6, 1 / 4, 1 / 2, 0.8, 1.0, 3.3])
    gain_db = low_end.dipole_baffle_gain_db(frequency_hz, path_length_m=0.447, speed_of_sound_m_s=SPEED_M_S)
    expected_db = [20 * math.log10(0.5), 10 * math.log10(0.5), 0.0, 0.0, 0.0, 0.0]
    np.testing.assert_allclose(gain_db, expected_db, atol=1e-9)


def test_open_baffle_loses_6_db_an_octave_far_down():
    gain_db = low_end.dipole_baffle_gain_db(np.array([1.0, 2.0]), path_length_m=0.3, speed_of_sound_m_s=SPEED_M_S)
    assert gain_db[1] - gain_db[0] == pytest.approx(20.0 * math.log10(2.0), abs=1e-3)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"frequency_hz": -1.0}, "frequency_hz"),
        ({"path_length_m": 0.0}, "path_length_m"),
        ({"speed_of_sound_m_s": math.inf}, "speed_of_sound_m_s"),
    ],
)
def test_dipole_refusals(change, name):
    arguments = {"frequency_hz": 100.0, "path_length_m": 0.4, "speed_of_sound_m_s": 340.0} | change
    with pytest.raises(OutOfRangeError, match=name):
        low_end.dipole_baffle_gain_db(arguments.pop("frequency_hz"), **arguments)
