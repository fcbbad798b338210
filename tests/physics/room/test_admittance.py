"""Absorption and admittance of a wall: the formula, its inverse, values between bands."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq, minimize_scalar

from service.physics.checks import OutOfRangeError
from service.physics.room.admittance import (
    PEAK_ABSORPTION_COEFFICIENT,
    PEAK_ADMITTANCE_RATIO,
    absorption_from_admittance,
    absorption_is_capped,
    absorption_slope,
    admittance_from_absorption,
    interpolated_absorption,
    porous_slope,
)


def absorption_by_quadrature(admittance_ratio):
    """The mean over diffuse incidence of what a locally reacting wall does not reflect."""

    def share(angle):
        reflection = (np.cos(angle) - admittance_ratio) / (np.cos(angle) + admittance_ratio)
        return (1.0 - reflection**2) * np.sin(2.0 * angle)

    return quad(share, 0.0, np.pi / 2.0, epsabs=1e-12, epsrel=1e-12)[0]


@pytest.mark.parametrize("admittance_ratio", [1e-4, 0.01, 0.2, 0.638, 1.0, 3.0, 50.0])
def test_absorption_agrees_with_the_integral_over_angles(admittance_ratio):
    assert absorption_from_admittance(admittance_ratio) == pytest.approx(
        absorption_by_quadrature(admittance_ratio), abs=1e-10
    )


def test_absorption_closed_form():
    # b = 1: 8 (1 + 1/2 - 2 ln 2) = 12 - 16 ln 2; b = 1/4: 2 (1 + 1/5 - ln 5 / 2) = 2.4 - ln 5
    assert absorption_from_admittance([1.0, 0.25]) == pytest.approx([12 - 16 * np.log(2), 2.4 - np.log(5)], abs=1e-14)
    assert absorption_from_admittance(0.0) == 0.0


def test_absorption_is_eight_times_a_tiny_admittance():
    assert absorption_from_admittance(1e-12) == pytest.approx(8e-12, rel=1e-9)


def test_peak_agrees_with_a_general_maximiser():
    found = minimize_scalar(lambda b: -absorption_by_quadrature(b), bounds=(0.3, 1.2), options={"xatol": 1e-10})
    assert pytest.approx(found.x, abs=1e-5) == PEAK_ADMITTANCE_RATIO
    assert pytest.approx(-found.fun, abs=1e-10) == PEAK_ABSORPTION_COEFFICIENT
    # recomputed by hand from Kuttruff's formula: 0.95122 at b = 0.6382, 1/b = 1.567
    assert pytest.approx(0.95122, abs=5e-6) == PEAK_ABSORPTION_COEFFICIENT
    assert pytest.approx(1.567, abs=5e-4) == 1 / PEAK_ADMITTANCE_RATIO


@pytest.mark.parametrize("admittance_ratio", [1e-6, 0.03, 0.3, 0.6, 1.4])
def test_slope_agrees_with_differences(admittance_ratio):
    step = 1e-4 * admittance_ratio
    below, above = absorption_from_admittance([admittance_ratio - step, admittance_ratio + step])
    assert absorption_slope(admittance_ratio) == pytest.approx((above - below) / (2 * step), rel=1e-6, abs=1e-6)


def test_slope_at_the_ends():
    assert absorption_slope(0.0) == 8.0
    assert absorption_slope(PEAK_ADMITTANCE_RATIO) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    ("absorption", "admittance"),  # recomputed by hand from Kuttruff's formula, five digits
    [(0.02, 0.00257), (0.1, 0.01398), (0.3, 0.05059), (0.5, 0.10349), (0.9, 0.38496)],
)
def test_admittance_of_usual_walls(absorption, admittance):
    assert admittance_from_absorption(absorption) == pytest.approx(admittance, abs=5e-6)


def test_admittance_agrees_with_a_general_root_finder():
    absorption = np.array([1e-6, 0.004, 0.07, 0.33, 0.81, 0.949])
    roots = [brentq(lambda b, a=a: absorption_by_quadrature(b) - a, 0.0, 0.638, xtol=1e-14) for a in absorption]
    assert admittance_from_absorption(absorption) == pytest.approx(roots, abs=1e-10)


def test_inverse_returns_the_absorption_on_its_whole_range():
    absorption = np.concatenate(
        [np.linspace(0, PEAK_ABSORPTION_COEFFICIENT, 4001), PEAK_ABSORPTION_COEFFICIENT - np.logspace(-16, -2, 200)]
    )
    admittance = admittance_from_absorption(absorption)
    assert absorption_from_admittance(admittance) == pytest.approx(absorption, abs=1e-10)
    assert (np.diff(admittance[:4001]) > 0).all()
    assert admittance.min() == 0.0
    assert admittance.max() <= PEAK_ADMITTANCE_RATIO


@pytest.mark.parametrize(("absorption", "too_low_pct"), [(0.1, 11), (0.3, 26)])
def test_an_eighth_of_the_absorption_is_too_low(absorption, too_low_pct):
    # Recomputed by hand: alpha / 8 is 11 % low at 0.1 and 26 % low at 0.3.
    assert 100 * (1 - absorption / 8 / admittance_from_absorption(absorption)) == pytest.approx(too_low_pct, abs=0.5)


def test_absorption_above_the_peak_is_capped_and_says_so():
    absorption = np.array([0.95, 0.9513, 1.0])
    assert absorption_is_capped(absorption).tolist() == [False, True, True]
    assert admittance_from_absorption(absorption)[1:] == pytest.approx([PEAK_ADMITTANCE_RATIO] * 2, abs=1e-12)
    assert admittance_from_absorption(absorption)[0] < PEAK_ADMITTANCE_RATIO


def test_shape_is_kept():
    assert admittance_from_absorption(np.full((6, 8), 0.2)).shape == (6, 8)
    assert absorption_from_admittance(np.full((2, 3, 4), 0.2)).shape == (2, 3, 4)


def test_parts_of_a_wall_are_averaged_as_absorption():
    # A quarter of 0.9 and three quarters of 0.05 are 0.2625: b = 0.0427. The mean of the two admittances is
    # 0.1012, which stands for an absorption of 0.493. Recomputed by hand.
    assert admittance_from_absorption(0.25 * 0.9 + 0.75 * 0.05) == pytest.approx(0.0427, abs=5e-5)
    wrong = np.dot([0.25, 0.75], admittance_from_absorption([0.9, 0.05]))
    assert wrong == pytest.approx(0.1012, abs=5e-5)
    assert absorption_from_admittance(wrong) == pytest.approx(0.493, abs=5e-4)


BANDS = {"octave_midbands_hz": [125.0, 250.0, 500.0]}


def test_interpolation_by_hand():
    found = interpolated_absorption(
        [125.0, 250.0 * np.sqrt(2.0), 400.0, 500.0, 8000.0],
        **BANDS,
        absorption_coefficients=[0.1, 0.3, 0.4],
        slope_below=0.0,
    )
    # sqrt 2 above 250 Hz is half way to 500; 400 Hz is lg 1.6 / lg 2 = 0.678072 of the way
    assert found == pytest.approx([0.1, 0.35, 0.3 + 0.1 * 0.678072, 0.4, 0.4], abs=1e-6)


def test_below_the_first_band():
    held = interpolated_absorption(40.0, **BANDS, absorption_coefficients=[0.27, 0.54, 0.9], slope_below=0.0)
    slope = porous_slope(absorption_250=0.54, absorption_125=0.27)
    falling = interpolated_absorption(40.0, **BANDS, absorption_coefficients=[0.27, 0.54, 0.9], slope_below=slope)
    assert held == pytest.approx(0.27, abs=1e-15)
    assert falling == pytest.approx(0.086, abs=5e-4)  # 0.27 * 40 / 125, by hand; held would be three times as much
    assert held / falling == pytest.approx(3.125, rel=1e-12)


def test_interpolation_of_several_walls_each_with_its_slope():
    found = interpolated_absorption(
        [62.5, 125.0, 500.0],
        **BANDS,
        absorption_coefficients=[[0.1, 0.2, 0.3], [0.4, 0.6, 0.8]],
        slope_below=[0.0, 2.0],
    )
    assert found == pytest.approx(np.array([[0.1, 0.1, 0.3], [0.1, 0.4, 0.8]]), abs=1e-12)


def test_one_band_holds_everywhere():
    found = interpolated_absorption(
        [50.0, 1000.0], octave_midbands_hz=[125.0], absorption_coefficients=[0.2], slope_below=0.0
    )
    assert found == pytest.approx([0.2, 0.2], abs=1e-15)


def test_porous_slope_by_hand():
    # log2(0.6 / 0.3) = 1; log2(0.9 / 0.1) = 3.2, cut to 2; a falling absorption is held
    rising, falling = [0.6, 0.9, 0.2], [0.3, 0.1, 0.4]
    assert porous_slope(absorption_250=rising, absorption_125=falling) == pytest.approx([1.0, 2.0, 0.0], abs=1e-12)


@pytest.mark.parametrize("bad", [-0.1, 100.1, np.nan, np.inf, "0.1"])
def test_impossible_admittances_are_refused(bad):
    for function in (absorption_from_admittance, absorption_slope):
        with pytest.raises(OutOfRangeError, match="admittance_ratio"):
            function(bad)


@pytest.mark.parametrize("bad", [-0.01, 1.01, np.nan, [0.2, np.inf]])
def test_impossible_absorption_is_refused(bad):
    for function in (admittance_from_absorption, absorption_is_capped):
        with pytest.raises(OutOfRangeError, match="absorption_coefficient"):
            function(bad)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"frequency_hz": 0.0}, "frequency_hz"),
        ({"octave_midbands_hz": [250.0, 125.0, 500.0]}, "octave_midbands_hz"),
        ({"octave_midbands_hz": []}, "octave_midbands_hz"),
        ({"absorption_coefficients": [0.1, 1.2, 0.3]}, "absorption_coefficients"),
        ({"absorption_coefficients": [0.1, 0.2]}, "absorption_coefficients"),
        ({"slope_below": -1.0}, "slope_below"),
    ],
)
def test_interpolation_refuses(change, name):
    given = {"frequency_hz": 100.0, **BANDS, "absorption_coefficients": [0.1, 0.2, 0.3], "slope_below": 0.0, **change}
    frequency_hz = given.pop("frequency_hz")
    with pytest.raises(OutOfRangeError, match=name):
        interpolated_absorption(frequency_hz, **given)


@pytest.mark.parametrize(("low", "high", "name"), [(0.0, 0.5, "absorption_125"), (0.5, 1.1, "absorption_250")])
def test_porous_slope_refuses(low, high, name):
    with pytest.raises(OutOfRangeError, match=name):
        porous_slope(absorption_250=high, absorption_125=low)
