"""Proportion rules against the ratios of the literature, hand counts and a printed worked room."""

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.room.proportions import integer_rule, range_rule, third_octave_rule

FOOT_M = 0.3048
CUBE_ROOT = 2 ** (1 / 3)

# Height : width : length; lowest and highest l/h as 1.1 w/h and 4.5 w/h - 4; passes the range rule; clear of whole
# numbers. Verdicts recomputed by hand from the formula. Attributions: Sepmeyer, Louden 2 and 3 from memory.
RATIOS = [
    ("Sepmeyer A", 1.14, 1.39, 1.254, 1.130, False, True),
    ("Sepmeyer B", 1.28, 1.54, 1.408, 1.760, True, True),
    ("Sepmeyer C", 1.60, 2.33, 1.760, 3.200, True, True),
    ("Louden 1", 1.4, 1.9, 1.540, 2.300, True, False),  # exactly 5 % below 2
    ("Louden 2", 1.3, 1.9, 1.430, 1.850, False, False),
    ("Louden 3", 1.5, 2.1, 1.650, 2.750, True, False),  # exactly 5 % above 2
    ("Bolt 2 : 3 : 5", 1.5, 2.5, 1.650, 2.750, True, True),
    ("Bolt, cube roots", CUBE_ROOT, CUBE_ROOT**2, 1.386, 1.670, True, True),
    ("cube roots, rounded", 1.25, 1.60, 1.375, 1.625, True, True),
    ("golden", 1.618, 2.618, 1.780, 3.281, True, True),
    ("Rindel A", 1.20, 1.45, 1.320, 1.400, False, True),
    ("Rindel B", 1.40, 1.89, 1.540, 2.300, True, True),
    ("Rindel C", 1.48, 2.12, 1.628, 2.660, True, True),
    ("16 x 12 x 8 ft", 1.5, 2.0, 1.650, 2.750, True, False),
    ("5 x 4 x 2.5 m", 1.6, 2.0, 1.760, 3.200, True, False),
    ("cube", 1.0, 1.0, 1.100, 0.500, False, False),
    ("1 : 2 : 3", 2.0, 3.0, 2.200, 5.000, False, False),
]


@pytest.mark.parametrize("height_m", [1.0, 2.5, 2.7, 3.1])
@pytest.mark.parametrize("row", RATIOS, ids=lambda row: row[0])
def test_ratios_of_the_literature(row, height_m):
    _, width, length, lowest, highest, in_range, clear = row
    room = {"length_m": length * height_m, "width_m": width * height_m, "height_m": height_m}
    rule = range_rule(**room)
    assert rule.passes is in_range
    assert rule.lowest_ratio == pytest.approx(lowest, abs=1e-3)
    assert rule.highest_ratio == pytest.approx(highest, abs=1e-3)
    assert integer_rule(**room).passes is clear
    turned = {"length_m": room["width_m"], "width_m": room["length_m"], "height_m": height_m}
    assert range_rule(**turned) == rule
    assert integer_rule(**turned) == integer_rule(**room)


def test_range_rule_gives_its_numbers():
    # 4.0 / 2.5 = 1.6 and 8.0 / 2.5 = 3.2: inside 1.76 to 3.2, but more than three heights long
    rule = range_rule(length_m=4.0, width_m=8.0, height_m=2.5)
    assert rule.length_to_height_ratio == pytest.approx(3.2, abs=1e-12)
    assert rule.width_to_height_ratio == pytest.approx(1.6, abs=1e-12)
    assert (rule.length_below_three_heights, rule.width_below_three_heights, rule.passes) == (False, True, False)


def test_three_heights_exactly_is_too_long_whatever_the_rounding():
    # in floating point 8.1 / 2.7 is just below 3
    assert range_rule(length_m=8.1, width_m=5.4, height_m=2.7).length_below_three_heights is False
    assert range_rule(length_m=8.09, width_m=5.4, height_m=2.7).length_below_three_heights is True


def test_edges_of_the_range_belong_to_it():
    # w/h = 1.5: l/h from 1.65 to 2.75
    for length_m, passes in ((1.65 * 2.7, True), (1.649 * 2.7, False), (2.75 * 2.7, True), (2.751 * 2.7, False)):
        assert range_rule(length_m=length_m, width_m=1.5 * 2.7, height_m=2.7).passes is passes


def test_integer_rule_gives_its_numbers():
    # 5.7 / 2.5 = 2.28, 14 % above 2; 3.6 / 2.5 = 1.44, 28 % below 2; 5.7 / 3.6 = 1.5833, 20.8 % below 2
    ratios = integer_rule(length_m=3.6, width_m=5.7, height_m=2.5).ratios
    assert [ratio.name for ratio in ratios] == ["length_to_height", "width_to_height", "length_to_width"]
    assert [ratio.nearest_integer for ratio in ratios] == [2, 2, 2]
    assert [ratio.distance_pct for ratio in ratios] == pytest.approx([14.0, 28.0, 20.833], abs=1e-3)


def test_square_plan_and_low_ratios_are_against_one():
    square = integer_rule(length_m=4.4, width_m=4.2, height_m=3.0)  # 4.4 / 4.2 is 4.8 % above 1
    assert square.passes is False
    assert [ratio.clear for ratio in square.ratios] == [True, True, False]
    tall = integer_rule(length_m=3.9, width_m=2.9, height_m=3.0)  # width is 3.3 % below the height
    assert [ratio.clear for ratio in tall.ratios] == [True, False, True]


def test_third_octave_rule_printed_room():
    """[BALLOU-HANDBOOK] pp. 132-133: 23 x 17 x 9 ft at 1130 ft/s meets both criteria. Counts by hand."""
    rule = third_octave_rule(
        length_m=23 * FOOT_M, width_m=17 * FOOT_M, height_m=9 * FOOT_M, speed_of_sound_m_s=1130 * FOOT_M
    )
    assert rule.counts.tolist() == [1, 1, 1, 1, 4, 8, 11, 23, 39, 79]  # 25 to 200 Hz
    assert rule.midbands_hz[[0, -1]] == pytest.approx([25.119, 199.526], abs=5e-4)
    assert (rule.passes, rule.counts_never_fall, rule.coincidences_are_masked) == (True, True, True)


def test_third_octave_rule_cube():
    rule = third_octave_rule(length_m=4.0, width_m=4.0, height_m=4.0, speed_of_sound_m_s=343.2)
    assert rule.counts.tolist() == [3, 0, 3, 4, 9, 15, 28, 52]  # 40 to 200 Hz, by hand
    assert rule.midbands_hz[0] == pytest.approx(39.811, abs=5e-4)
    assert (rule.passes, rule.counts_never_fall) == (False, False)


def test_third_octave_rule_coincidence():
    """5 x 4 x 2.5 m: (2, 0, 0) and (0, 0, 1) are both 68.64 Hz, in a band of two modes."""
    rule = third_octave_rule(length_m=5.0, width_m=4.0, height_m=2.5, speed_of_sound_m_s=343.2)
    assert rule.counts.tolist() == [1, 1, 1, 2, 5, 7, 9, 25, 40]  # 31.5 to 200 Hz, by hand
    assert (rule.passes, rule.counts_never_fall, rule.coincidences_are_masked) == (False, True, False)


def test_lower_edge_belongs_to_the_band():
    # 10^(1.95) Hz is the edge between 80 and 100 Hz; the speed puts (1, 0, 0) on it: L = 1.9 m
    on_edge = 2 * 1.9 * 10**1.95
    for speed, first_hz in ((on_edge, 100.0), (on_edge * 0.9999, 10**1.9)):
        rule = third_octave_rule(length_m=1.9, width_m=1.3, height_m=1.1, speed_of_sound_m_s=speed)
        assert rule.midbands_hz[0] == pytest.approx(first_hz, rel=1e-9)


def test_third_octave_rule_of_a_long_room_starts_below_20_hz():
    # 343.2 / 24 = 14.3 Hz, the band of 12.6 reaches to 14.125, that of 15.8 from there
    rule = third_octave_rule(length_m=12.0, width_m=7.1, height_m=3.3, speed_of_sound_m_s=343.2)
    assert rule.midbands_hz[0] == pytest.approx(10**1.2, rel=1e-12)
    assert rule.counts[0] == 1


@pytest.mark.parametrize("name", ["length_m", "width_m", "height_m"])
@pytest.mark.parametrize("bad", [0.0, -2.0, np.nan])
def test_impossible_dimensions_are_refused(name, bad):
    room = {"length_m": 5.0, "width_m": 4.0, "height_m": 2.5, name: bad}
    for rule in (range_rule, integer_rule):
        with pytest.raises(OutOfRangeError, match=name):
            rule(**room)
    with pytest.raises(OutOfRangeError, match=name):
        third_octave_rule(**room, speed_of_sound_m_s=343.2)


def test_a_room_without_modes_is_refused():
    with pytest.raises(OutOfRangeError, match="length_m"):
        third_octave_rule(length_m=0.5, width_m=0.4, height_m=0.3, speed_of_sound_m_s=343.2)
