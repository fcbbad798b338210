"""Noise rating: curves as printed, A-weighted totals, the inverse, where hiss meets a curve, refusals."""

import math

import numpy as np
import pytest
from scipy import optimize

from service.physics.chain import noise_rating
from service.physics.chain.noise import white_hiss_octaves_db
from service.physics.checks import OutOfRangeError
from tests.published import Published

PRINTED = {
    10.0: ("62.2", "43.4", "30.7", "21.3", "14.5", "10", "6.7", "4.2", "2.3"),
    15.0: ("65.6", "47.4", "35.1", "26.0", "19.4", "15", "11.7", "9.3", "7.5"),
}
TWO_IN_CIRCULATION = {"tolerance": 0.15, "why_wider": "two constants are in circulation at 63 Hz"}
CURVES = [
    Published(
        printed=printed,
        unit="dB",
        source="ISO-R-1996",
        where=f"NR {rating:g}, {octave} Hz (constants from memory)",
        inputs={"noise_rating": rating, "octave": index},
        **(TWO_IN_CIRCULATION if octave == 63 else {}),
    )
    for rating, row in PRINTED.items()
    for index, (octave, printed) in enumerate(zip(noise_rating.NOISE_RATING_OCTAVES_HZ, row, strict=True))
]


@pytest.mark.parametrize("row", CURVES, ids=lambda row: row.where)
def test_noise_rating_curves(row):
    row.check(noise_rating.noise_rating_octaves_db(row.inputs["noise_rating"])[row.inputs["octave"]])


def test_level_of_nr_20_by_hand():
    # octaves 69.0 51.3 39.4 30.6 24.3 20 16.8 14.4 12.6 with the A weighting of IEC 61672-1 (rounded)
    # -39.4 -26.2 -16.1 -8.6 -3.2 0 1.2 1.0 -1.1: energy sum 32.9 dB(A)
    assert noise_rating.noise_rating_level_dba(20.0) == pytest.approx(32.9, abs=0.05)


def test_hiss_meets_nr_20_at_8_khz_long_before_its_total_does():
    # by hand: 12.6 dB in the 8 kHz octave of NR 20 is white hiss of 12.6 + 3.5 = 16.1, NR 20 is 32.9 dB(A)
    top_octave_db = noise_rating.noise_rating_octaves_db(20.0)[-1]
    hiss_dba = top_octave_db - white_hiss_octaves_db(0.0)[-1]
    assert hiss_dba == pytest.approx(16.1, abs=0.05)
    assert noise_rating.noise_rating_level_dba(20.0) - hiss_dba == pytest.approx(16.8, abs=0.05)


def test_a_quiet_evening_is_about_nr_16():
    # 30 dB(A) as NR 16: the usual companion of a quiet living room, to the nearest whole rating
    assert round(float(noise_rating.noise_rating_of_dba(30.0))) == 16


@pytest.mark.parametrize("level_dba", [5.0, 18.0, 33.3, 71.0, 130.0])
def test_rating_of_a_level_agrees_with_a_bracketing_solver(level_dba):
    expected = optimize.brentq(lambda nr: noise_rating.noise_rating_level_dba(nr) - level_dba, -20.0, 130.0)
    assert noise_rating.noise_rating_of_dba(level_dba) == pytest.approx(expected, abs=1e-9)


def test_ratings_of_several_levels_rise_together():
    levels_dba = np.array([20.0, 30.0, 45.0, 60.0])
    ratings = noise_rating.noise_rating_of_dba(levels_dba)
    np.testing.assert_allclose(noise_rating.noise_rating_level_dba(ratings), levels_dba, atol=1e-9)
    assert np.all(np.diff(ratings) > 0)


@pytest.mark.parametrize("bad", [-21.0, 131.0, math.nan])
def test_refuses_ratings_off_the_curves(bad):
    with pytest.raises(OutOfRangeError, match="noise_rating"):
        noise_rating.noise_rating_octaves_db(bad)
    with pytest.raises(OutOfRangeError, match="noise_rating"):
        noise_rating.noise_rating_level_dba(bad)


@pytest.mark.parametrize("bad", [4.0, 131.0, math.inf])
def test_refuses_levels_off_the_curves(bad):
    with pytest.raises(OutOfRangeError, match="level_dba"):
        noise_rating.noise_rating_of_dba(bad)
