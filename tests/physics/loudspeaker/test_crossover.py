"""Crossovers: known sums at the crossover, the filters of a general library, laws of the sums, refusals."""

import math

import numpy as np
import pytest
from scipy import signal

from service.physics.checks import OutOfRangeError
from service.physics.loudspeaker.crossover import (
    ORDERS_BY_ALIGNMENT,
    crossover_response,
    crossover_sum_apart,
    louder_high_polarity,
)

CROSSOVER_HZ = 112.0
TOGETHER = {"high_extra_distance_m": 0.0, "speed_of_sound_m_s": 343.2}
ALL_FILTERS = [(alignment, order) for alignment, orders in ORDERS_BY_ALIGNMENT.items() for order in orders]

# alignment, order, polarity of the high section, sum at the crossover. Linkwitz 1976 (from memory),
# recomputed by hand: all Butterworth halves are 3.01 dB down; those of order 1 and 3 are 90 degrees apart,
# those of order 2 opposite, those of order 4 in phase.
SUMS_DB = [
    ("butterworth", 1, 1, 0.0),
    ("butterworth", 1, -1, 0.0),
    ("butterworth", 2, -1, 10 * math.log10(2.0)),
    ("butterworth", 3, 1, 0.0),
    ("butterworth", 3, -1, 0.0),
    ("butterworth", 4, 1, 10 * math.log10(2.0)),
    ("linkwitz_riley", 2, -1, 0.0),
    ("linkwitz_riley", 4, 1, 0.0),
]


@pytest.mark.parametrize(("alignment", "order", "high_polarity", "expected_db"), SUMS_DB)
def test_sum_at_the_crossover(alignment, order, high_polarity, expected_db):
    total = crossover_sum_apart(
        CROSSOVER_HZ,
        crossover_hz=CROSSOVER_HZ,
        order=order,
        alignment=alignment,
        high_polarity=high_polarity,
        **TOGETHER,
    )
    assert 20.0 * math.log10(abs(total)) == pytest.approx(expected_db, abs=1e-6)


@pytest.mark.parametrize(
    ("alignment", "order", "high_polarity"),
    [("butterworth", 2, 1), ("butterworth", 4, -1), ("linkwitz_riley", 2, 1), ("linkwitz_riley", 4, -1)],
)
def test_sections_of_even_order_cancel_with_the_wrong_polarity(alignment, order, high_polarity):
    total = crossover_sum_apart(
        CROSSOVER_HZ,
        crossover_hz=CROSSOVER_HZ,
        order=order,
        alignment=alignment,
        high_polarity=high_polarity,
        **TOGETHER,
    )
    assert abs(total) < 1e-12


@pytest.mark.parametrize("section", ["low", "high"])
@pytest.mark.parametrize(("alignment", "order"), ALL_FILTERS)
def test_each_section_at_the_crossover(alignment, order, section):
    expected_db = -10 * math.log10(2.0) if alignment == "butterworth" else -20 * math.log10(2.0)
    response = crossover_response(
        CROSSOVER_HZ, crossover_hz=CROSSOVER_HZ, order=order, alignment=alignment, section=section
    )
    assert 20.0 * math.log10(abs(response)) == pytest.approx(expected_db, abs=1e-9)


@pytest.mark.parametrize("section", ["low", "high"])
@pytest.mark.parametrize(("alignment", "order"), ALL_FILTERS)
def test_sections_are_those_of_a_library(alignment, order, section):
    frequency_hz = np.geomspace(20.0, 2000.0, 25)
    half = alignment == "linkwitz_riley"
    numerator, denominator = signal.butter(
        order // 2 if half else order, 2 * math.pi * CROSSOVER_HZ, btype=f"{section}pass", analog=True
    )
    _, expected = signal.freqs(numerator, denominator, worN=2 * np.pi * frequency_hz)
    response = crossover_response(
        frequency_hz, crossover_hz=CROSSOVER_HZ, order=order, alignment=alignment, section=section
    )
    np.testing.assert_allclose(response, expected**2 if half else expected, atol=1e-9)


@pytest.mark.parametrize(
    ("alignment", "order", "high_polarity"),
    [
        ("butterworth", 1, 1),
        ("butterworth", 1, -1),
        ("butterworth", 3, 1),
        ("butterworth", 3, -1),
        ("linkwitz_riley", 2, -1),
        ("linkwitz_riley", 4, 1),
    ],
)
def test_these_sums_are_flat_everywhere(alignment, order, high_polarity):
    total = crossover_sum_apart(
        np.geomspace(5.0, 20e3, 60),
        crossover_hz=CROSSOVER_HZ,
        order=order,
        alignment=alignment,
        high_polarity=high_polarity,
        **TOGETHER,
    )
    np.testing.assert_allclose(np.abs(total), 1.0, atol=1e-12)


def test_sum_around_the_crossover_follows_the_polarity():
    # Butterworth 2 inverted by hand at half the crossover: (1 + x^2) / |1 - x^2 + j sqrt(2) x|, x = 1/2
    total = crossover_sum_apart(40.0, crossover_hz=80.0, order=2, alignment="butterworth", high_polarity=-1, **TOGETHER)
    assert abs(total) == pytest.approx(1.25 / math.hypot(0.75, math.sqrt(0.5)), abs=1e-12)


@pytest.mark.parametrize("order", [1, 2, 3, 4])
def test_butterworth_sections_share_the_power(order):
    frequency_hz = np.geomspace(20.0, 2000.0, 9)
    arguments = {"crossover_hz": CROSSOVER_HZ, "order": order, "alignment": "butterworth"}
    low = crossover_response(frequency_hz, section="low", **arguments)
    high = crossover_response(frequency_hz, section="high", **arguments)
    np.testing.assert_allclose(np.abs(low) ** 2 + np.abs(high) ** 2, 1.0, atol=1e-12)
    assert np.all(np.diff(np.abs(low)) < 0)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"frequency_hz": 0.0}, "frequency_hz"),
        ({"crossover_hz": -80.0}, "crossover_hz"),
        ({"order": 5}, "order"),
        ({"order": 3, "alignment": "linkwitz_riley"}, "order"),
        ({"alignment": "bessel"}, "alignment"),
        ({"section": "middle"}, "section"),
    ],
)
def test_response_refusals(change, name):
    arguments = {
        "frequency_hz": 90.0,
        "crossover_hz": 80.0,
        "order": 2,
        "alignment": "butterworth",
        "section": "low",
    } | change
    with pytest.raises(OutOfRangeError, match=name):
        crossover_response(arguments.pop("frequency_hz"), **arguments)


def test_sum_refuses_a_polarity_that_is_a_gain():
    with pytest.raises(OutOfRangeError, match="high_polarity"):
        crossover_sum_apart(90.0, crossover_hz=80.0, order=2, alignment="butterworth", high_polarity=2, **TOGETHER)


# Sections that are not equally far away

APART = {"crossover_hz": CROSSOVER_HZ, "order": 2, "alignment": "linkwitz_riley", "speed_of_sound_m_s": 343.2}
HALF_WAVE_M = 343.2 / CROSSOVER_HZ / 2.0


@pytest.mark.parametrize("high_polarity", [1, -1])
@pytest.mark.parametrize(("alignment", "order"), ALL_FILTERS)
def test_without_a_difference_of_distance_it_is_the_plain_sum(alignment, order, high_polarity):
    frequency_hz = np.geomspace(20.0, 2000.0, 9)
    arguments = {"crossover_hz": CROSSOVER_HZ, "order": order, "alignment": alignment}
    together = crossover_sum_apart(frequency_hz, **arguments, **TOGETHER, high_polarity=high_polarity)
    low, high = (crossover_response(frequency_hz, **arguments, section=section) for section in ("low", "high"))
    np.testing.assert_allclose(together, low + high_polarity * high, atol=1e-15)


def test_half_a_wave_further_is_the_other_polarity():
    for polarity in (1, -1):
        apart = crossover_sum_apart(CROSSOVER_HZ, **APART, high_polarity=polarity, high_extra_distance_m=HALF_WAVE_M)
        turned = crossover_sum_apart(CROSSOVER_HZ, **APART | TOGETHER, high_polarity=-polarity)
        assert apart == pytest.approx(turned, abs=1e-12)


def test_a_quarter_wave_by_hand():
    # sections of 1/2 each at the crossover, then 90 degrees apart: sqrt(1/4 + 1/4), -3.01 dB, in either polarity
    for polarity in (1, -1):
        for distance_m in (HALF_WAVE_M / 2.0, -HALF_WAVE_M / 2.0):
            total = crossover_sum_apart(CROSSOVER_HZ, **APART, high_polarity=polarity, high_extra_distance_m=distance_m)
            assert 20.0 * math.log10(abs(total)) == pytest.approx(-10.0 * math.log10(2.0), abs=1e-9)


def test_a_distance_delays_the_high_section():
    # first order, in phase: low (1 - j) / 2, high (1 + j) / 2; a quarter wave further, times -j, high is (1 - j) / 2 as
    # well: together 1 - j, +3.01 dB; a quarter wave nearer they cancel
    arguments = APART | {"order": 1, "alignment": "butterworth", "high_polarity": 1}
    further = crossover_sum_apart(CROSSOVER_HZ, **arguments, high_extra_distance_m=HALF_WAVE_M / 2.0)
    nearer = crossover_sum_apart(CROSSOVER_HZ, **arguments, high_extra_distance_m=-HALF_WAVE_M / 2.0)
    assert further == pytest.approx(1.0 - 1.0j, abs=1e-12)
    assert abs(nearer) < 1e-12


@pytest.mark.parametrize(
    ("alignment", "order", "extra_half_waves", "expected"),
    [
        # at equal distance as Linkwitz 1976 (from memory), half a wave turns it round, odd orders do not care
        ("linkwitz_riley", 2, 0.0, -1),
        ("linkwitz_riley", 4, 0.0, 1),
        ("butterworth", 2, 0.0, -1),
        ("butterworth", 4, 0.0, 1),
        ("butterworth", 1, 0.0, 1),
        ("butterworth", 3, 0.0, 1),
        ("linkwitz_riley", 2, 1.0, 1),
        ("linkwitz_riley", 4, 1.0, -1),
        ("butterworth", 1, -0.5, -1),
        ("butterworth", 1, 0.5, 1),
        ("butterworth", 3, 0.5, -1),
    ],
)
def test_louder_polarity(alignment, order, extra_half_waves, expected):
    polarity = louder_high_polarity(
        crossover_hz=CROSSOVER_HZ,
        order=order,
        alignment=alignment,
        high_extra_distance_m=extra_half_waves * HALF_WAVE_M,
        speed_of_sound_m_s=343.2,
    )
    assert polarity == expected


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"high_polarity": 0}, "high_polarity"),
        ({"high_extra_distance_m": math.nan}, "high_extra_distance_m"),
        ({"speed_of_sound_m_s": 0.0}, "speed_of_sound_m_s"),
        ({"order": 3}, "order"),
    ],
)
def test_apart_refusals(change, name):
    arguments = APART | {"high_polarity": 1, "high_extra_distance_m": 0.3} | change
    with pytest.raises(OutOfRangeError, match=name):
        crossover_sum_apart(100.0, **arguments)
    if name != "high_polarity":
        del arguments["high_polarity"]
        with pytest.raises(OutOfRangeError, match=name):
            louder_high_polarity(**arguments)


@pytest.mark.parametrize("order", [1, 3])
def test_equal_polarities_are_called_in_phase_whatever_the_rounding(order):
    # odd orders are equally loud either way at whole waves of distance too
    for waves in range(-6, 7):
        polarity = louder_high_polarity(
            crossover_hz=CROSSOVER_HZ,
            order=order,
            alignment="butterworth",
            high_extra_distance_m=2.0 * waves * HALF_WAVE_M,
            speed_of_sound_m_s=343.2,
        )
        assert polarity == 1, waves
