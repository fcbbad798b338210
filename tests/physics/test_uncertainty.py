"""Uncertainty: closed forms, a sampled population, the chance by an independent integral."""

import math

import numpy as np
import pytest
from scipy import integrate, stats

from service.physics import uncertainty
from service.physics.checks import OutOfRangeError


def test_standard_of_a_tolerance_by_hand():
    # +-2 dB: 2 / 1.73205 = 1.1547
    assert uncertainty.standard_from_half_width(2.0) == pytest.approx(1.1547, abs=5e-5)
    assert uncertainty.standard_from_half_width([0.0, 3.0]) == pytest.approx([0.0, math.sqrt(3.0)], rel=1e-14)


def test_standard_is_that_of_the_rectangular_distribution():
    assert uncertainty.standard_from_half_width(0.7) == pytest.approx(stats.uniform(-0.7, 1.4).std(), rel=1e-12)


def test_budget_by_hand():
    # squares 1.3225 + .0676 + .81 + 1.9321 + 1 + .3844 + .2704 = 5.787, root 2.4056;
    # headroom 3 dB: Phi(1.2471) = 0.894 from a table of the normal distribution
    u_db = uncertainty.combined_standard([1.15, 0.26, 0.90, 1.39, 1.0, 0.62, 0.52])
    assert u_db == pytest.approx(2.4056, abs=1e-4)
    assert uncertainty.chance_above(3.0, standard_uncertainty_db=u_db) == pytest.approx(0.894, abs=5e-4)


def test_distance_of_the_budget_by_hand():
    # +-0.15 m at 2.9 m: 8.686 * 0.0866 / 2.9 = 0.2594 dB
    u_ratio = uncertainty.standard_from_half_width(0.15) / 2.9
    assert uncertainty.amplitude_uncertainty_db(relative_uncertainty_ratio=u_ratio) == pytest.approx(0.2594, abs=5e-5)


def test_relative_uncertainties_by_hand():
    # 25 %: 8.6859 / 4 = 2.1715; 4.3429 / 4 = 1.0857
    assert uncertainty.amplitude_uncertainty_db(relative_uncertainty_ratio=0.25) == pytest.approx(2.1715, abs=5e-5)
    assert uncertainty.power_uncertainty_db(relative_uncertainty_ratio=0.25) == pytest.approx(1.0857, abs=5e-5)


def test_relative_uncertainties_are_the_slope_of_the_level():
    step = 1e-6
    amplitude_db = uncertainty.amplitude_uncertainty_db(relative_uncertainty_ratio=step)
    power_db = uncertainty.power_uncertainty_db(relative_uncertainty_ratio=step)
    assert amplitude_db == pytest.approx(20.0 * math.log10(1.0 + step), rel=1e-5)
    assert power_db == pytest.approx(10.0 * math.log10(1.0 + step), rel=1e-5)


def test_combined_standard_for_each_band():
    by_band = uncertainty.combined_standard([[3.0, 5.0, 0.0], [4.0, 12.0, 2.0]])
    assert by_band == pytest.approx([5.0, 13.0, 2.0], rel=1e-14)


def test_combined_standard_does_not_depend_on_order_sign_or_grouping():
    whole = uncertainty.combined_standard([0.4, 1.1, 2.3])
    assert uncertainty.combined_standard([2.3, -0.4, 1.1]) == pytest.approx(whole, rel=1e-14)
    part = uncertainty.combined_standard([1.1, 0.4])
    assert uncertainty.combined_standard([2.3, part]) == pytest.approx(whole, rel=1e-14)
    assert uncertainty.combined_standard([-1.7]) == 1.7


def test_combined_standard_agrees_with_sampling():
    # an independent way: the spread of a sum of rectangular inputs, 4e5 draws (standard error 0.1 %)
    half_widths = np.array([2.0, 0.8, 1.3])
    draws = np.random.default_rng(20240611).uniform(-half_widths, half_widths, size=(400_000, 3)).sum(axis=1)
    combined = uncertainty.combined_standard(uncertainty.standard_from_half_width(half_widths))
    assert combined == pytest.approx(draws.std(), rel=5e-3)


@pytest.mark.parametrize(("margin_db", "standard_uncertainty_db"), [(3.0, 2.4), (-1.0, 0.7), (0.4, 5.0)])
def test_chance_is_the_integral_of_the_normal_density(margin_db, standard_uncertainty_db):
    def density(x_db):
        z = (x_db - margin_db) / standard_uncertainty_db
        return math.exp(-0.5 * z * z) / (standard_uncertainty_db * math.sqrt(2.0 * math.pi))

    above, _ = integrate.quad(density, 0.0, max(margin_db, 0.0) + 12.0 * standard_uncertainty_db)
    calculated = uncertainty.chance_above(margin_db, standard_uncertainty_db=standard_uncertainty_db)
    assert calculated == pytest.approx(above, abs=1e-9)


def test_chance_one_and_two_standard_uncertainties_away():
    # normal distribution: 84.13 % and 97.72 %
    chances = uncertainty.chance_above([2.5, 5.0], standard_uncertainty_db=2.5)
    assert chances == pytest.approx([0.8413, 0.9772], abs=5e-5)


def test_chance_grows_with_the_margin_and_its_complement_mirrors_it():
    margins_db = np.linspace(-8.0, 8.0, 33)
    chances = uncertainty.chance_above(margins_db, standard_uncertainty_db=1.9)
    assert np.all(np.diff(chances) > 0.0)
    assert chances + chances[::-1] == pytest.approx(np.ones(33), rel=1e-14)


NOT_FINITE = [math.nan, math.inf, "1", None]


@pytest.mark.parametrize("value", [-0.1, *NOT_FINITE])
def test_negative_widths_are_refused(value):
    with pytest.raises(OutOfRangeError, match="half_width"):
        uncertainty.standard_from_half_width(value)
    for function in (uncertainty.amplitude_uncertainty_db, uncertainty.power_uncertainty_db):
        with pytest.raises(OutOfRangeError, match="relative_uncertainty_ratio"):
            function(relative_uncertainty_ratio=value)


@pytest.mark.parametrize("contributions", [[], 1.0, [1.0, math.nan], [1.0, math.inf], ["1"]])
def test_contributions_refused(contributions):
    with pytest.raises(OutOfRangeError, match="contributions"):
        uncertainty.combined_standard(contributions)


@pytest.mark.parametrize("value", [0.0, -1.0, *NOT_FINITE])
def test_chance_refuses(value):
    with pytest.raises(OutOfRangeError, match="standard_uncertainty_db"):
        uncertainty.chance_above(1.0, standard_uncertainty_db=value)
    if value not in (0.0, -1.0):
        with pytest.raises(OutOfRangeError, match="margin_db"):
            uncertainty.chance_above(value, standard_uncertainty_db=1.0)
