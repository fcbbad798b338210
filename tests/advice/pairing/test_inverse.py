"""The question turned round: without an amplifier the watts needed, without a speaker the sensitivity needed.

What is needed is held against an answer to a body that has it: with it nothing is in reserve, with 3 dB more 3 dB.
"""

import math

import marshmallow
import pytest

from service.web.reading.faults import flatten
from tests.advice.bodies import FLAT_SPEAKER, ask, body, codes, level_of, numbers_that_are_not_finite, request

COMFORT_DB = 3.0
COMFORT_RATIO = 10**0.3  # 1.995
AREA = {"length_m": None, "width_m": None, "floor_area_m2": 25}
NO_AMPLIFIER = {
    "few facts": body(amplifier=None),
    "floor area": body(amplifier=None, room={**AREA, "height_m": None}),
    "4 ohm": body(amplifier=None, speaker={"nominal_impedance_ohm": 4}, listening="like_live"),
    "2.83 V": body(
        amplifier=None,
        speaker={"sensitivity_db_1w_1m": None, "sensitivity_db_2v83_1m": 91, "nominal_impedance_ohm": 6},
        programme="pop_rock",
    ),
    "bass section": body(amplifier=None, speaker={"bass_section": {"crossover_hz": 100}}, listening="loud"),
    "free field": body(amplifier=None, room=None, listening_distance_m=None),
}
NO_SPEAKER = {
    "few facts": body(speaker=None),
    "two watts": body(speaker=None, amplifier={"power_w": 2, "load_ohm": 8}, listening="attentive"),
    "triode": body(speaker=None, amplifier={"power_w": 3.5, "kind": "single_ended_triode"}, room=AREA),
    "headphone amplifier": body(
        speaker=None, amplifier={"power_w": 2, "load_ohm": 32, "kind": "headphone_amplifier"}, listening="everyday"
    ),
    "free field": body(speaker=None, room=None, listening_distance_m=2.5),
}
FAR_TOO_WEAK = body(speaker={"sensitivity_db_1w_1m": 70}, amplifier=None, listening="like_live")
FAR_TOO_LITTLE = body(amplifier={"power_w": 0.001}, speaker=None, listening="like_live")


def assumed(answer, pointer):
    """The value that an answer filled in at a pointer."""
    (found,) = [item.value for item in answer.assumptions if item.pointer == pointer]
    return found


def impedance_of(posted):
    return posted["speaker"].get("nominal_impedance_ohm", 8)


# no amplifier ---------------------------------------------------------------------------------------------------------


def test_watts_by_hand():
    # a flat speaker of 98 dB, alone, at 1 m in free field; orchestral peaks 85 + 18 - 3.01 = 99.99 dB: 1.99 dB more
    # than one watt makes, 10^0.199 = 1.581 W (a trace more for the air); average 18 - 3.01 = 14.99 dB below, 0.0501 W
    posted = body(
        amplifier=None,
        speaker=FLAT_SPEAKER,
        room=None,
        listening_distance_m=1,
        speaker_count=1,
        programme="orchestral",
    )
    answer = ask("level", posted)
    assert answer.power_needed_w.for_peaks == pytest.approx(1.581, rel=2e-3)
    assert answer.power_needed_w.comfortable == pytest.approx(1.581 * 1.995, rel=2e-3)
    assert answer.power_needed_w.for_average == pytest.approx(0.0501, rel=3e-3)
    # the same speaker on one watt: 1.99 dB more sensitivity would do as well
    on_one_watt = ask("level", body(posted, amplifier={"power_w": 1}))
    assert on_one_watt.sensitivity_needed_db_1w_1m == pytest.approx(99.99, abs=0.01)


@pytest.mark.parametrize("name", NO_AMPLIFIER)
def test_comfortable_is_3_db_more_than_the_peaks_need(name):
    needed = ask("level", NO_AMPLIFIER[name]).power_needed_w
    assert needed.comfortable == pytest.approx(needed.for_peaks * COMFORT_RATIO, rel=1e-3)
    assert needed.for_average < needed.for_peaks / 4  # crest factors of 12 dB and more: at least 9 dB


@pytest.mark.parametrize("name", NO_AMPLIFIER)
@pytest.mark.parametrize(("which", "headroom_db"), [("for_peaks", 0.0), ("comfortable", COMFORT_DB)])
def test_the_watts_posted_back_leave_that_headroom(name, which, headroom_db):
    posted = NO_AMPLIFIER[name]
    needed_w = getattr(ask("level", posted).power_needed_w, which)
    amplifier = {"power_w": needed_w, "load_ohm": impedance_of(posted)}
    answer = ask("level", body(posted, amplifier=amplifier))
    assert answer.headroom_db == pytest.approx(headroom_db, abs=1e-6)
    assert answer.power_needed_w.for_peaks == pytest.approx(needed_w * 10 ** (-headroom_db / 10))


def test_what_is_needed_does_not_depend_on_what_is_there():
    bodies = [body(amplifier=None), body(), body(amplifier={"power_w": 0.1})]
    needed = [ask("level", posted).power_needed_w for posted in bodies]
    for other in needed[1:]:
        for which in ("for_average", "for_peaks", "comfortable"):
            assert getattr(other, which) == pytest.approx(getattr(needed[0], which))


def test_what_ends_the_level_before_the_amplifier_needs_no_watts():
    # a driver that runs out of travel takes the headroom away; it is not made up by power or sensitivity
    driver = {"driver": {"area_m2": 0.02, "peak_excursion_m": 0.0004}}
    free, held = level_of(), level_of(speaker=driver)
    assert held.headroom_db < free.headroom_db - 3
    assert held.power_needed_w.for_peaks == pytest.approx(free.power_needed_w.for_peaks)
    assert held.sensitivity_needed_db_1w_1m == pytest.approx(free.sensitivity_needed_db_1w_1m)


@pytest.mark.parametrize("name", NO_AMPLIFIER)
def test_the_average_is_the_crest_below_the_steady_peak(name):
    # full sine power less headroom is the target; the crest factor less the 3.01 dB of a sine below it is the average
    answer = ask("level", NO_AMPLIFIER[name])
    crest_db = {"pop_rock": 12}.get(answer.programme, 18)
    expected_w = answer.power_into_rated_w * 10 ** (-(answer.steady_headroom_db + crest_db - 10 * math.log10(2)) / 10)
    assert answer.power_needed_w.for_average == pytest.approx(expected_w, rel=1e-3)
    assert answer.average_power_w == answer.power_needed_w.for_average


@pytest.mark.parametrize("name", NO_AMPLIFIER)
def test_the_amplifier_that_is_taken_is_comfortable_and_listed(name):
    posted = NO_AMPLIFIER[name]
    answer = ask("level", posted)
    power_w = assumed(answer, "/amplifier/power_w")
    assert assumed(answer, "/amplifier/load_ohm") == impedance_of(posted)
    assert answer.power_into_rated_w == pytest.approx(power_w)
    # two digits, rounded up: a tenth more at most
    assert power_w == float(f"{power_w:.2g}")
    assert answer.power_needed_w.comfortable <= power_w * (1 + 1e-9)
    assert power_w < answer.power_needed_w.comfortable * 1.1
    assert COMFORT_DB - 1e-6 <= answer.headroom_db < COMFORT_DB + 0.42  # 10 lg 1.1


# no speaker -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NO_SPEAKER)
@pytest.mark.parametrize("headroom_db", [0.0, COMFORT_DB])
def test_the_sensitivity_posted_back_leaves_that_headroom(name, headroom_db):
    posted = NO_SPEAKER[name]
    needed_db = ask("level", posted).sensitivity_needed_db_1w_1m + headroom_db
    answer = ask("level", body(posted, speaker={"sensitivity_db_1w_1m": needed_db}))
    assert answer.headroom_db == pytest.approx(headroom_db, abs=1e-6)


@pytest.mark.parametrize("name", NO_SPEAKER)
def test_the_speaker_that_is_taken_is_comfortable_and_listed(name):
    answer = ask("level", NO_SPEAKER[name])
    sensitivity_db = assumed(answer, "/speaker/sensitivity_db_1w_1m")
    comfortable_db = answer.sensitivity_needed_db_1w_1m + COMFORT_DB
    assert 2 * sensitivity_db == round(2 * sensitivity_db), "in half decibels, rounded up"
    assert comfortable_db - 1e-9 <= sensitivity_db < comfortable_db + 0.5


def test_ten_times_the_power_needs_ten_decibels_less():
    one, ten = (
        ask("level", body(speaker=None, amplifier={"power_w": power_w, "load_ohm": 8})).sensitivity_needed_db_1w_1m
        for power_w in (1, 10)
    )
    assert one - ten == pytest.approx(10.0)


# what it says ---------------------------------------------------------------------------------------------------------

SAID = {
    "amplifier": (NO_AMPLIFIER["few facts"], "power_needed", "is comfortable", "bequem"),
    "amplifier out of reach": (FAR_TOO_WEAK, "power_needed", "No sensible amplifier", "Kein vernünftiger Verstärker"),
    "speaker": (NO_SPEAKER["two watts"], "sensitivity_needed", "The speaker needs about", "Der Lautsprecher braucht"),
    "speaker out of reach": (FAR_TOO_LITTLE, "sensitivity_needed", "more than most", "mehr als üblich"),
}


@pytest.mark.parametrize("name", SAID)
def test_verdict_has_no_grade_and_the_headline_says_what_is_needed(name):
    posted, code, english, german = SAID[name]
    for language, said in (("en", english), ("de", german)):
        answer = ask("advice", body(posted, include=["verdict", "level"]), language)
        assert answer.verdict.grade is None
        assert answer.verdict.confidence in ("firm", "fair", "rough")
        assert said in answer.verdict.headline
        assert len(answer.verdict.headline) <= 60
        first = answer.findings[0]
        assert (first.code, first.grade) == (code, None)
        assert not {"power_enough", "power_short"} & set(codes(answer.findings))
        assert len(first.text) <= 320


def test_findings_carry_what_is_needed():
    answer = ask("level", NO_AMPLIFIER["few facts"])
    values = answer.findings[0].values
    needed = answer.power_needed_w
    assert (values["for_average_w"], values["for_peaks_w"], values["comfortable_w"]) == (
        needed.for_average,
        needed.for_peaks,
        needed.comfortable,
    )
    assert "power_w" not in values, "nobody told one"
    answer = ask("level", NO_SPEAKER["few facts"])
    values = answer.findings[0].values
    assert values["for_peaks_db"] == answer.sensitivity_needed_db_1w_1m
    assert values["comfortable_db"] == pytest.approx(answer.sensitivity_needed_db_1w_1m + COMFORT_DB)
    assert values["power_w"] == 8.0


def test_out_of_reach_of_any_sensible_amplifier():
    # the level is that of 1000 W then, and falls short
    answer = ask("level", FAR_TOO_WEAK)
    assert answer.power_needed_w.for_peaks > 1000
    assert assumed(answer, "/amplifier/power_w") == 1000
    assert answer.headroom_db < 0
    assert "more efficient speaker" in answer.findings[0].text
    assert list(numbers_that_are_not_finite(answer)) == []


def test_out_of_reach_of_most_speakers():
    # more than 106 dB: the level is that of 106 dB then, and falls short
    answer = ask("level", FAR_TOO_LITTLE)
    assert answer.sensitivity_needed_db_1w_1m > 106
    assert assumed(answer, "/speaker/sensitivity_db_1w_1m") == 106
    assert answer.headroom_db < 0
    assert "more than most speakers reach" in answer.findings[0].text


@pytest.mark.parametrize(("sensitivity_db", "reached"), [(0.3, True), (-0.3, False)])
def test_in_reach_is_what_peaks_need_up_to_1000_w(sensitivity_db, reached):
    posted = body(amplifier=None, programme="orchestral")
    needed_w = ask("level", posted).power_needed_w.for_peaks
    # a speaker that needs 1000 W for the peaks is 10 lg(1000 / needed) less sensitive; 0.3 dB either way
    at_the_edge_db = 98 - 10 * math.log10(1000 / needed_w)
    answer = ask("level", body(posted, speaker={"sensitivity_db_1w_1m": at_the_edge_db + sensitivity_db}))
    assert ("No sensible amplifier" in answer.findings[0].text) is not reached


def test_less_than_any_amplifier_and_any_speaker_has():
    # the least that can be told is taken: 1 mW and 60 dB
    quiet = ask("level", body(amplifier=None, speaker={"sensitivity_db_1w_1m": 110}, listening_level_dba=40))
    assert assumed(quiet, "/amplifier/power_w") == 0.001
    mighty = ask("level", body(speaker=None, amplifier={"power_w": 5000}, listening_level_dba=40))
    assert assumed(mighty, "/speaker/sensitivity_db_1w_1m") == 60
    for answer in (quiet, mighty):
        assert answer.headroom_db > COMFORT_DB
        assert list(numbers_that_are_not_finite(answer)) == []


@pytest.mark.parametrize("name", ["amplifier", "speaker"])
def test_nothing_is_sold_where_what_was_looked_for_is_comfortable(name):
    posted = body(SAID[name][0], speaker={"low_limit_hz": 40} if name == "amplifier" else None)
    steps = ask("advice", posted).next_steps
    assert not {"more_watts", "more_sensitive_speaker", "play_softer", "sit_nearer"} & {step.code for step in steps}


# refused, and posted back ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("operation", ["level", "advice"])
def test_both_missing_is_refused(operation):
    with pytest.raises(marshmallow.ValidationError) as refused:
        request(operation, body(speaker=None, amplifier=None))
    (fault,) = flatten(refused.value.messages)
    assert (fault["pointer"], fault["code"], fault["allowed"]) == ("", "missing", ["speaker", "amplifier"])


@pytest.mark.parametrize(
    "posted",
    [
        NO_AMPLIFIER["few facts"],
        NO_AMPLIFIER["4 ohm"],
        NO_AMPLIFIER["floor area"],
        NO_SPEAKER["few facts"],
        NO_SPEAKER["triode"],
    ],
)
def test_inputs_post_back_as_a_question_the_right_way_round(posted):
    first = ask("advice", posted)
    again = ask("advice", first.inputs)
    assert first.verdict.grade is None
    assert again.verdict.grade is not None
    assert again.findings[0].code == "power_enough"
    assert again.level.peak_spl_db == pytest.approx(first.level.peak_spl_db, abs=0.01)
    assert again.headroom.headroom_db == pytest.approx(first.headroom.headroom_db, abs=0.01)
    assert again.level.power_needed_w.for_peaks == pytest.approx(first.level.power_needed_w.for_peaks, rel=1e-3)
    assert level_of().findings[0].code == "power_enough", "both told: nothing is turned round"
