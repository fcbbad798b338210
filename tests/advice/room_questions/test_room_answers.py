"""Answers about a room: five formulas, what reaches a goal, modes, and the day's exposure."""

import numpy as np
import pytest

from tests.advice.bodies import FEW_FACTS, all_walls, ask, codes

ROOM = FEW_FACTS["room"]
OWN_ROOM = {
    "length_m": 6.0,
    "width_m": 4.5,
    "height_m": 2.7,
    "surfaces": {
        "front_wall": {"absorption_coefficient": 0.05},
        "back_wall": {"absorption_coefficient": 0.30},
        "left_wall": {"absorption_coefficient": 0.05},
        "right_wall": {"absorption_coefficient": 0.12},
        "floor": {"absorption_coefficient": 0.37},
        "ceiling": {"absorption_coefficient": 0.05},
    },
}


def test_five_formulas_of_one_room():
    # 6 x 4.5 x 2.7 m, recomputed and compared with general-purpose acoustics libraries; Millington by hand
    times = ask("reverberation", {"room": OWN_ROOM, "include_air": False}).times_s
    found = [getattr(times, name)[4] for name in ("sabine", "eyring", "millington", "fitzroy", "arau_puchades")]
    assert found == pytest.approx([0.63981, 0.58520, 0.54048, 0.68981, 0.62587], abs=1e-4)


def test_air_shortens_the_treble():
    # Eyring with the air of 20 degrees and 50 % at 4000 Hz: 0.53233 s; the exact mid-band is 3981 Hz, where the air
    # absorbs 0.9 % less, 0.0004 s
    dry, moist = (ask("reverberation", {"room": OWN_ROOM, "include_air": air}).times_s.eyring for air in (False, True))
    assert moist[6] == pytest.approx(0.53233, abs=5e-4)
    assert (moist < dry).all()


def test_formulas_that_do_not_hold_are_nan_for_null():
    room = {
        **ROOM,
        "surfaces": {**all_walls({"absorption_coefficient": 0.1}), "floor": {"absorption_coefficient": 1.0}},
    }
    times = ask("reverberation", {"room": room}).times_s
    assert np.isnan(times.millington).all()  # ln 0
    assert np.isfinite(times.eyring).all()


def test_absorber_that_reaches_the_goal():
    answer = ask("reverberation", {"room": {**ROOM, "reverberation_time_s": 0.9}})
    home = answer.to_reach[0]
    assert (home.goal, home.time_s) == ("home", 0.5)
    # 91.78 (e^-0.10790 - e^-0.19421) = 91.78 (0.89772 - 0.82348) = 6.81 m2
    assert home.absorption_area_m2 == pytest.approx(6.81, abs=0.02)
    rug = next(option for option in home.options if option.material == "carpet_heavy_underlay")
    # absorbs (0.57 + 0.69) / 2 = 0.63 at 500 Hz and 1 kHz, where the floor absorbs 0.1023: 6.81 / 0.528
    assert rug.area_m2 == pytest.approx(12.9, abs=0.1)
    assert rug.fits
    assert rug.surface == "floor"


def test_absorbers_too_large_for_their_surface_say_so():
    room = {"length_m": 12, "width_m": 8, "height_m": 2.4, "reverberation_time_s": 2.5}
    options = ask("reverberation", {"room": room}).to_reach[1].options
    curtain = next(option for option in options if option.material == "curtain_heavy_half")
    assert not curtain.fits  # back wall 19.2 m2


def test_modes_in_order_with_kind_and_quiet_places():
    # 6.0 x 4.5 x 2.7 m at 343.2 m/s, exact: 28.600 (100), 38.133 (010), 47.667 (110), 57.200 (200), 63.556 (001)
    answer = ask("modes", {"room": OWN_ROOM, "to_hz": 64})
    assert [mode.orders for mode in answer.modes] == [(1, 0, 0), (0, 1, 0), (1, 1, 0), (2, 0, 0), (0, 0, 1)]
    assert [mode.frequency_hz for mode in answer.modes] == pytest.approx(
        [28.600, 38.133, 47.667, 57.200, 63.556], abs=5e-4
    )
    assert answer.modes[3].quiet_length_m == pytest.approx([1.5, 4.5])
    assert answer.modes[0].speaker_coupling_ratio is None


def test_coincident_modes():
    # (0, 3, 0) and (4, 0, 0) both at 114.400 Hz, since 6 / 4.5 = 4 / 3
    answer = ask("modes", {"room": OWN_ROOM, "to_hz": 120})
    groups = [{answer.modes[index].orders for index in group} for group in answer.coincident]
    assert any({(0, 3, 0), (4, 0, 0)} <= group for group in groups)


def test_proportions_do_not_care_which_side_is_longer():
    turned = {**OWN_ROOM, "length_m": 4.5, "width_m": 6.0}
    first, second = (ask("modes", {"room": room}).proportions for room in (OWN_ROOM, turned))
    assert first.range_rule == second.range_rule
    assert first.integer_rule.passes == second.integer_rule.passes


def test_edge_of_the_integer_rule_is_inside_the_forbidden_band():
    # Louden's first ratio 1 : 1.4 : 1.9 lies exactly 5 % below 2
    room = {"length_m": 4.75, "width_m": 3.5, "height_m": 2.5}
    proportions = ask("modes", {"room": room}).proportions
    assert proportions.range_rule.passes
    assert not proportions.integer_rule.passes


def test_coupling_at_nodes_and_corners():
    # the chair in the middle of the length does not hear the first length mode; a speaker in the corner drives all
    positions = {
        "speakers": [{"x_m": 0.001, "y_m": 0.001, "z_m": 0.001}],
        "seats": [{"x_m": 3.0, "y_m": 0.01, "z_m": 0.01}],
    }
    answer = ask("modes", {"room": OWN_ROOM, "to_hz": 64, "positions": positions})
    assert answer.modes[0].seat_coupling_ratio == pytest.approx(0, abs=1e-9)
    assert [mode.speaker_coupling_ratio for mode in answer.modes] == pytest.approx([1] * 5, abs=1e-5)


def test_modes_of_walls_that_absorb_nothing_ring_without_end():
    answer = ask("modes", {"room": {**ROOM, "surfaces": all_walls({"absorption_coefficient": 0})}, "to_hz": 60})
    assert [mode.decay_time_s for mode in answer.modes] == [None] * len(answer.modes)


def test_no_mode_up_to_a_low_frequency():
    answer = ask("modes", {"room": {"length_m": 3, "width_m": 2.5, "height_m": 2.2}, "to_hz": 50})
    assert answer.modes == []
    assert answer.count == 0


def test_exposure_of_a_day():
    # 94 dB(A) for 30 min and 88 dB(A) for 2 h: NIOSH 100.0 %, OSHA (80 dB threshold) 29.8 %
    answer = ask("exposure", {"periods": [{"level_dba": 94, "hours": 0.5}, {"level_dba": 88, "hours": 2}]})
    assert answer.niosh.dose_pct == pytest.approx(100.0, abs=0.1)
    assert answer.niosh.twa_dba == pytest.approx(85.0, abs=0.01)
    assert answer.osha.dose_pct_80_dba_threshold == pytest.approx(29.8, abs=0.1)
    assert answer.allowed_hours[0].niosh_hours_a_day == pytest.approx(1.0)
    assert answer.allowed_hours[1].niosh_hours_a_day == pytest.approx(4.0)


@pytest.mark.parametrize(
    ("periods", "lex_dba", "code"),
    [
        ([{"level_dba": 95, "hours": 1}], 85.97, "dose_exceeded"),  # L + 10 lg(1 / 8)
        ([{"level_dba": 70, "hours": 24}], 74.77, "dose_within_limit"),  # + 10 lg 3
    ],
)
def test_exposure_by_the_european_directive(periods, lex_dba, code):
    answer = ask("exposure", {"periods": periods})
    directive = answer.european_directive
    assert directive.lex_8h_dba == pytest.approx(lex_dba, abs=0.005)
    assert (directive.lower_action_value_dba, directive.upper_action_value_dba, directive.limit_value_dba) == (
        80,
        85,
        87,
    )
    assert directive.above_lower_action_value is (lex_dba >= 80)
    assert directive.above_upper_action_value is (lex_dba >= 85)
    assert not directive.above_limit_value
    assert codes(answer.findings) == [code]


def test_exposure_names_the_average_that_would_fill_the_day():
    # 24 hours: 85 - 3 lg2(24 / 8) = 80.2 dB(A)
    text = ask("exposure", {"periods": [{"level_dba": 70, "hours": 24}]}).findings[0].text
    assert "For 24 hours an average of 80 dB(A)" in text


def test_weekly_share_of_a_day():
    # WHO-ITU H.870: 80 dB(A) for 40 h a week; 83 dB(A) for 20.05 h
    answer = ask("exposure", {"periods": [{"level_dba": 80, "hours": 8}]})
    assert answer.who_itu.adult_week_pct == pytest.approx(20.0)
    assert answer.who_itu.sensitive_week_pct == pytest.approx(63.2, abs=0.1)  # 75 dB(A): 3.162 times as much
