"""Levels: sums by hand, short and long sounds, peak and average."""

import math

import numpy as np
import pytest

from service.physics import levels
from service.physics.checks import OutOfRangeError
from tests.published import Published
from tests.published_tables import published_rows


@pytest.mark.parametrize(
    ("levels_db", "expected_db"),
    [
        ([80.0, 80.0], 83.0103),  # 80 + 10 lg 2
        ([80.0, 83.0, 86.0], 88.4363),  # 80 + 10 lg(1 + 1.99526 + 3.98107)
        ([90.0, 84.0], 90.9732),  # 90 + 10 lg(1 + 0.251189)
        ([72.5], 72.5),
    ],
)
def test_incoherent_sum_by_hand(levels_db, expected_db):
    assert levels.sum_incoherent_db(levels_db) == pytest.approx(expected_db, abs=1e-4)


def test_programme_noise_published():
    row = Published(
        printed="12.5",
        unit="dB",
        source="IEC-60268-1",
        where="note to Table II: full-range level re the plateau",
        inputs={"levels_db": [float(row["level_db"]) for row in published_rows("iec_60268_1_table_ii")]},
        tolerance=0.1,
        why_wider="the note says about 12.5; the printed thirds add up to 12.56",
    )
    row.check(levels.sum_incoherent_db(**row.inputs))


def test_sums_do_not_depend_on_order_or_grouping():
    in_one = levels.sum_incoherent_db([81.0, 74.0, 92.0, 66.0])
    in_two = levels.sum_incoherent_db([levels.sum_incoherent_db([66.0, 92.0]), levels.sum_incoherent_db([74.0, 81.0])])
    assert in_one == pytest.approx(in_two, rel=1e-14)


def test_incoherent_sum_along_either_axis():
    table_db = [[60.0, 70.0, 80.0], [60.0, 60.0, 60.0]]
    # columns: 60 + 3.0103; 70 + 10 lg 1.1; 80 + 10 lg 1.01
    assert levels.sum_incoherent_db(table_db, axis=0) == pytest.approx([63.0103, 70.4139, 80.0432], abs=1e-4)
    assert levels.sum_incoherent_db(table_db) == pytest.approx([80.4532, 64.7712], abs=1e-4)


def test_correlation_between_the_edges_is_linear_in_the_logarithm():
    # 120 * 2^(1/4) Hz is a quarter of the octave from 1 to 0
    frequency_hz = [15.0, 120.0, 120.0 * 2.0**0.25, 120.0 * 2.0**0.5, 240.0, 5000.0]
    assert levels.channel_correlation_ratio(frequency_hz) == pytest.approx([1.0, 1.0, 0.75, 0.5, 0.0, 0.0], abs=1e-12)


@pytest.mark.parametrize(
    ("window_s", "reverberation_time_s", "expected_db"),
    # 10 lg(1 - e^(-13.8155 t/T)): exponents 1.0745, 1.5351, 0.8059
    [(0.035, 0.45, -1.81), (0.050, 0.45, -1.05), (0.035, 0.60, -2.57)],
)
def test_short_build_up_by_hand(window_s, reverberation_time_s, expected_db):
    calculated = levels.short_build_up_gain_db(window_s=window_s, reverberation_time_s=reverberation_time_s)
    assert calculated == pytest.approx(expected_db, abs=0.005)


def test_short_build_up_mirrors_the_decay():
    # what has not yet built up after t is what would be left after t of decay: 1e-6 after T
    built_up = 10.0 ** (levels.short_build_up_gain_db(window_s=0.7, reverberation_time_s=0.7) / 10.0)
    assert 1.0 - built_up == pytest.approx(1e-6, rel=1e-6)


def test_short_build_up_grows_to_the_steady_level():
    gains_db = levels.short_build_up_gain_db(window_s=np.geomspace(1e-6, 10.0, 50), reverberation_time_s=0.5)
    assert np.all(np.diff(gains_db) >= 0.0)
    assert gains_db[-1] == pytest.approx(0.0, abs=1e-12)
    # at first in proportion to time: 13.8155e-6 / 0.5
    assert gains_db[0] == pytest.approx(10.0 * math.log10(27.631e-6), abs=1e-3)


def test_peak_target_by_hand():
    # 85 + 18 - 3.0103; the crest of the pressure is 103 again
    target_db = levels.peak_target_db(average_level_db=85.0, crest_factor_db=18.0)
    assert target_db == pytest.approx(99.99, abs=0.005)
    assert target_db + levels.CREST_OF_SINE_DB == pytest.approx(103.0, rel=1e-14)


def test_a_sine_is_its_own_peak_target():
    target_db = levels.peak_target_db(average_level_db=91.0, crest_factor_db=levels.CREST_OF_SINE_DB)
    assert target_db == pytest.approx(91.0, rel=1e-14)


def test_crest_of_a_sine():
    sine = np.sin(2.0 * np.pi * np.arange(1000) / 1000.0)
    crest_db = 20.0 * math.log10(sine.max() / math.sqrt(np.mean(sine**2)))
    assert pytest.approx(crest_db, rel=1e-9) == levels.CREST_OF_SINE_DB


def test_average_from_peak_by_hand():
    # 100 - (15 - 3.01) - 2.6 = 85.41
    average_dba = levels.average_from_peak_db(peak_target_db=100.0, crest_factor_db=15.0, a_weighted_offset_db=-2.6)
    assert average_dba == pytest.approx(85.41, abs=0.005)


def test_average_and_peak_undo_each_other():
    target_db = levels.peak_target_db(average_level_db=[71.0, 88.0], crest_factor_db=[12.0, 17.0])
    average_db = levels.average_from_peak_db(
        peak_target_db=target_db, crest_factor_db=[12.0, 17.0], a_weighted_offset_db=0.0
    )
    assert average_db == pytest.approx([71.0, 88.0], rel=1e-14)


NOT_FINITE = [math.nan, math.inf, -math.inf, "80", None]


@pytest.mark.parametrize("value", [*NOT_FINITE, []])
def test_sums_refuse_levels(value):
    with pytest.raises(OutOfRangeError, match="levels_db"):
        levels.sum_incoherent_db(value if value == [] else [80.0, value])


@pytest.mark.parametrize("value", [0.0, -1.0, *NOT_FINITE])
@pytest.mark.parametrize(
    ("function", "good", "name"),
    [
        (levels.channel_correlation_ratio, {"frequency_hz": 100.0}, "frequency_hz"),
        (levels.short_build_up_gain_db, {"window_s": 0.035, "reverberation_time_s": 0.5}, "window_s"),
        (
            levels.short_build_up_gain_db,
            {"window_s": 0.035, "reverberation_time_s": 0.5},
            "reverberation_time_s",
        ),
    ],
)
def test_what_must_be_positive(function, good, name, value):
    with pytest.raises(OutOfRangeError, match=name):
        function(**{**good, name: value})


@pytest.mark.parametrize(("name", "value"), [("crest_factor_db", -0.1), *(("crest_factor_db", v) for v in NOT_FINITE)])
def test_crest_factor_refused(name, value):
    with pytest.raises(OutOfRangeError, match=name):
        levels.peak_target_db(average_level_db=85.0, crest_factor_db=value)
    with pytest.raises(OutOfRangeError, match=name):
        levels.average_from_peak_db(peak_target_db=100.0, crest_factor_db=value, a_weighted_offset_db=-2.6)


@pytest.mark.parametrize("value", NOT_FINITE)
def test_levels_refused_in_peak_and_average(value):
    with pytest.raises(OutOfRangeError, match="average_level_db"):
        levels.peak_target_db(average_level_db=value, crest_factor_db=12.0)
    good = {"peak_target_db": 100.0, "crest_factor_db": 12.0, "a_weighted_offset_db": -2.6}
    for name in ("peak_target_db", "a_weighted_offset_db"):
        with pytest.raises(OutOfRangeError, match=name):
            levels.average_from_peak_db(**{**good, name: value})
