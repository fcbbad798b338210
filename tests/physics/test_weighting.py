"""Weighting: every third octave of the printed table, closed form of the poles, an analogue filter."""

import math

import numpy as np
import pytest
from scipy import signal

from service.physics import weighting
from service.physics.bands import THIRD_OCTAVE_NOMINAL_HZ, third_octave_midbands_hz
from service.physics.checks import OutOfRangeError
from tests.published import Published
from tests.published_tables import published_rows

TABLE_3 = published_rows("iec_61672_1_table_3")
PROGRAMME_NOISE_DB = np.array([float(row["level_db"]) for row in published_rows("iec_60268_1_table_ii")])


A_WEIGHTING = [
    Published(
        printed=row["a_db"],
        unit="dB",
        source="IEC-61672-1",
        where=f"Table 3, {row['nominal_hz']} Hz",
        inputs={"frequency_hz": frequency_hz},
    )
    for row, frequency_hz in zip(TABLE_3, third_octave_midbands_hz(), strict=True)
]


@pytest.mark.parametrize("row", A_WEIGHTING, ids=lambda row: row.where)
def test_a_weighting_published(row):
    row.check(weighting.a_weighting_db(**row.inputs))


def test_the_printed_table_covers_every_third():
    assert tuple(float(row["nominal_hz"]) for row in TABLE_3) == THIRD_OCTAVE_NOMINAL_HZ


def test_poles_follow_from_the_corners_of_the_standard():
    # IEC 61672-1 (form from memory): corners f_L = 10^1.5 and f_H = 10^3.9 Hz, f_A = 10^2.45 Hz, D^2 = 1/2;
    # f1^2 and f4^2 are the negative roots of x^2 + b x + c
    low, high, middle, d = 10.0**1.5, 10.0**3.9, 10.0**2.45, math.sqrt(0.5)
    c = (low * high) ** 2
    b = (1000.0**2 + c / 1000.0**2 - d * (low**2 + high**2)) / (1.0 - d)
    root = math.sqrt(b * b - 4.0 * c)
    assert pytest.approx(math.sqrt((-b - root) / 2.0), rel=1e-6) == weighting.LOW_POLE_HZ
    assert pytest.approx(math.sqrt((-b + root) / 2.0), rel=1e-6) == weighting.HIGH_POLE_HZ
    assert pytest.approx((3.0 - math.sqrt(5.0)) / 2.0 * middle, rel=1e-6) == weighting.FIRST_A_POLE_HZ
    assert pytest.approx((3.0 + math.sqrt(5.0)) / 2.0 * middle, rel=1e-6) == weighting.SECOND_A_POLE_HZ


def test_weighting_is_the_response_of_the_analogue_filter():
    # an independent evaluation: scipy's complex response of the zeros and poles
    frequency_hz = np.array([1000.0, 12.0, 77.0, 345.0, 2900.0, 19000.0])
    poles = -2.0 * np.pi * np.array([20.598997] * 2 + [12194.217] * 2 + [107.65265, 737.86223])
    _, response = signal.freqs_zpk(np.zeros(4), poles, 1.0, worN=2.0 * np.pi * frequency_hz)
    gain_db = 20.0 * np.log10(np.abs(response))
    assert weighting.a_weighting_db(frequency_hz) == pytest.approx(gain_db - gain_db[0], abs=1e-9)


def test_weighting_is_0_at_1_khz():
    assert weighting.a_weighting_db(1000.0) == 0.0


def test_slopes_far_out():
    # with f^4 at the bottom (24.08 dB an octave), with f^-2 at the top
    low = weighting.a_weighting_db([0.01, 0.02])
    high = weighting.a_weighting_db([1e7, 2e7])
    assert low[1] - low[0] == pytest.approx(24.082, abs=0.001)
    assert high[1] - high[0] == pytest.approx(-12.041, abs=0.001)


def test_offset_of_programme_noise():
    # IEC 60268-1 Table II with the weighting of IEC 61672-1, recomputed by hand
    assert weighting.a_weighted_offset_db(PROGRAMME_NOISE_DB) == pytest.approx(-2.615, abs=0.001)


def test_offset_agrees_with_the_printed_weighting():
    # the same sum from the printed tables alone; each weighting is rounded to 0.1 dB
    power = sum(10.0 ** (level_db / 10.0) for level_db in PROGRAMME_NOISE_DB)
    weighted = sum(
        10.0 ** ((level_db + float(row["a_db"])) / 10.0)
        for level_db, row in zip(PROGRAMME_NOISE_DB, TABLE_3, strict=True)
    )
    offset_db = weighting.a_weighted_offset_db(PROGRAMME_NOISE_DB)
    assert offset_db == pytest.approx(10.0 * math.log10(weighted / power), abs=0.05)


def test_offset_of_a_single_band_is_its_weighting():
    levels_db = np.full(31, -300.0)
    levels_db[7] = 60.0  # 100 Hz
    assert weighting.a_weighted_offset_db(levels_db) == pytest.approx(-19.1, abs=0.05)


def test_offset_does_not_depend_on_the_reference_and_keeps_leading_axes():
    both = np.stack([PROGRAMME_NOISE_DB, PROGRAMME_NOISE_DB + 94.0])
    offsets_db = weighting.a_weighted_offset_db(both)
    assert offsets_db.shape == (2,)
    assert offsets_db[0] == pytest.approx(offsets_db[1], rel=1e-12)


@pytest.mark.parametrize("frequency_hz", [0.0, -50.0, math.nan, math.inf, [100.0, 0.0]])
def test_weighting_refuses(frequency_hz):
    with pytest.raises(OutOfRangeError, match="frequency_hz"):
        weighting.a_weighting_db(frequency_hz)


@pytest.mark.parametrize("levels_db", [np.zeros(8), 0.0, [math.nan] * 31])
def test_offset_refuses(levels_db):
    with pytest.raises(OutOfRangeError, match="third_octave_levels_db"):
        weighting.a_weighted_offset_db(levels_db)
