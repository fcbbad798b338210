"""Sentences: short, whole, without leftovers, in both languages, whatever the numbers."""

import dataclasses
import itertools
import re

import pytest

from service.advice import policy
from service.advice.answers.level import LimitAnswer, PowerNeededAnswer
from service.advice.language.localise import LANGUAGES, catalogue, decibels, text_of, watts
from service.advice.pairing.inverse import comfortable_power_w, missing_for_comfort_db
from service.advice.pairing.reasons import graded_line, needed_power_line, needed_sensitivity_line
from service.domain.words import Words, words
from tests.advice.bodies import FEW_FACTS, OPERATIONS, all_walls, ask, body, codes, level_of, request

POWERS_W = (0.001, 0.00123, 0.0456, 0.5, 1, 2.55, 9.96, 10, 87.5, 99.4, 99.6, 100, 1234.5, 5000)
HEADROOMS_DB = (-60, -12.3, -2.04, -1.96, -0.5, -0.04, -0.001, 0, 0.001, 0.4, 1.96, 3, 9.99, 60)
RESERVE = {"en": "reserve", "de": "Reserve"}


@pytest.mark.parametrize(
    ("power_w", "said"),
    [
        (5e-9, "< 0.0001 mW"),
        (5e-7, "0.0005 mW"),
        (0.00005, "0.05 mW"),
        (0.001, "0.001 W"),
        (0.0123, "0.012 W"),
        (2.55, "2.5 W"),
        (99.4, "99 W"),
        (99.6, "100 W"),
        (5000, "5000 W"),
    ],
)
def test_watts(power_w, said):
    assert watts(power_w, "en") == said
    assert watts(power_w, "de") == said.replace(".", ",")


@pytest.mark.parametrize(
    ("value_db", "said"),
    [(-0.01, "0.0 dB"), (0.04, "0.0 dB"), (-1.23, "-1.2 dB"), (1.9, "1.9 dB"), (2.4, "2 dB"), (-7.6, "-8 dB")],
)
def test_decibels(value_db, said):
    assert decibels(value_db, "en") == said
    assert decibels(value_db, "de") == said.replace(".", ",")


def grade_of(headroom_db, uncertainty_db):
    """The grade of a power alone."""
    place = next((place for place, count in enumerate((2, 1, -1)) if headroom_db >= count * uncertainty_db), 3)
    return policy.GRADES[place]


def of_plain_size(text):
    """Whether a headline fits, without a number in powers of ten or below zero."""
    return len(text) <= 60 and not re.search(r"\de[+-]", text) and not re.search(r"(?<!\w)-", text)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("headroom_db", HEADROOMS_DB)
def test_headlines_are_at_most_60_characters_and_keep_their_sign(headroom_db, language):
    for power_w, uncertainty_db in itertools.product((*POWERS_W, 1e-8, 4e-5), (0.5, 2.4, 6)):
        text = text_of(
            graded_line(grade_of(headroom_db, uncertainty_db), power_w=power_w, headroom_db=headroom_db), language
        )
        assert of_plain_size(text), text
        assert (RESERVE[language] in text) is (headroom_db > -0.05)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("out_of_reach", [False, True])
@pytest.mark.parametrize("power_w", [1e-8, 4e-5, *POWERS_W, 1.3e7])
def test_headlines_of_what_is_looked_for_are_as_short(power_w, out_of_reach, language):
    power = PowerNeededAnswer(for_average=power_w / 100, for_peaks=power_w, comfortable=2 * power_w)
    text = text_of(needed_power_line(power, out_of_reach=out_of_reach), language)
    assert of_plain_size(text), text
    assert (watts(2 * power_w, language) in text) is not out_of_reach
    for needed_db in (-12.4, 59.6, 97.26, 100.0, 143.2):
        text = text_of(needed_sensitivity_line(needed_db, out_of_reach=out_of_reach), language)
        assert len(text) <= 60
        assert f"{needed_db:.0f} dB" in text


# every text that there is ---------------------------------------------------------------------------------------------

ROOM = FEW_FACTS["room"]
AREA = {"length_m": None, "width_m": None, "floor_area_m2": 25}
PLACES = {
    "speakers": [{"x_m": 0.5, "y_m": 0.95, "z_m": 0.9}, {"x_m": 0.5, "y_m": 3.15, "z_m": 0.9}],
    "seats": [{"x_m": 5.1, "y_m": 2.05, "z_m": 1.05}],
}
DOOR = {"parts": [{"absorption_coefficient": 0.1}, {"absorption_coefficient": 1, "area_m2": 2}]}
TRIODE = {"kind": "single_ended_triode", "hum_mv": 5, "noise_uv": 2000}
PHONES = {"power_w": 2, "load_ohm": 32, "kind": "headphone_amplifier"}
OF_A_BAFFLE = {"resonance_hz": 40, "total_q": 0.5, "area_m2": 0.05, "peak_excursion_m": 0.003}
ASKED = [
    ("level", body()),
    ("level", body(amplifier={"power_w": 0.01})),
    (
        "level",
        body(amplifier={"power_w": 0.001}, speaker={"sensitivity_db_1w_1m": 60}, programme="orchestral_concert_level"),
    ),
    ("level", body(amplifier={"power_w": 5000}, programme="background")),
    ("level", body(speaker={"sensitivity_db_1w_1m": 112, "kind": "horn", "low_limit_hz": 60})),
    ("level", body(speaker={"driver": {"area_m2": 0.02, "peak_excursion_m": 0.0004}}, amplifier={"power_w": 200})),
    ("level", body(speaker={"bass_section": {"crossover_hz": 300}})),
    ("level", body(room={"reverberation_time_s": 1.6})),
    ("level", body(room={"reverberation_time_s": 0.15})),
    ("level", body(room={"surfaces": all_walls({"material": "plaster_on_brick"})})),
    ("level", body(room={"length_m": 20, "width_m": 14, "height_m": 8})),
    ("level", body(room={"surfaces": {"ceiling": {"absorption_coefficient": 1}, "back_wall": DOOR}})),
    ("level", body(room=AREA, listening="like_live")),
    ("level", body(room={"construction": "attic", "furnishing": "sparse"}, listening_level_dba=77.7)),
    ("level", body(amplifier=TRIODE, background={"kind": "quiet_night"}, speaker={"kind": "ordinary_box"})),
    ("level", body(amplifier=PHONES)),
    ("level", body(amplifier={**PHONES, "maximum_current_a": 0.3})),
    ("level", body(amplifier=None)),
    ("level", body(amplifier=None, speaker={"sensitivity_db_1w_1m": 60}, listening_distance_m=8, room=None)),
    ("level", body(speaker=None)),
    ("level", body(speaker=None, amplifier={"power_w": 0.01}, listening="like_live")),
    ("level", body(as_found={"speakers_on": "long_wall"})),
    ("advice", body()),
    ("advice", body(positions=PLACES, listening_distance_m=None)),
    ("advice", body(room={"length_m": 2.2, "width_m": 1.6, "height_m": 2.0}, listening_distance_m=1.2)),
    ("advice", body(amplifier={"power_w": 0.3}, room={"reverberation_time_s": 0.9}, listening="loud")),
    ("advice", body(room=AREA, amplifier=None, include=["verdict", "placement"])),
    ("modes", {"room": ROOM, "to_hz": 120, "positions": PLACES}),
    ("exposure", {"periods": [{"level_dba": 70, "hours": 24}]}),
    ("exposure", {"periods": [{"level_dba": 140, "hours": 8}]}),
    ("exposure", {"periods": [{"level_dba": 91, "hours": 3.3}]}),
    ("reflections", {"room": ROOM, "listening_distance_m": 2.6}),
    ("reflections", {"room": {**ROOM, "surfaces": all_walls({"absorption_coefficient": 0.95})}, "positions": PLACES}),
    (
        "reflections",
        {
            "room": {**ROOM, "surfaces": {"floor": {"absorption_coefficient": 0.75}}},
            "as_found": {"front_wall_to_baffle_m": 2.2, "back_wall_to_ears_m": 2.4, "spacing_m": 2.6},
            "speaker": {"sensitivity_db_1w_1m": 96, "kind": "open_baffle"},
        },
    ),
    ("reverberation", {"room": {**ROOM, "reverberation_time_s": 0.9}}),
    ("field-coil", {"cold_resistance_ohm": 8, "voltage_v": 20, "warm_temperature_c": 130, "mass_kg": 7}),
    (
        "field-coil",
        {"cold_resistance_ohm": 2000, "current_a": 0.1, "warm_temperature_c": 50, "thermal_resistance_k_w": 3},
    ),
    ("open-baffle", {"width_m": 0.4, "height_m": 0.8, "flat_down_to_hz": 30}),
    ("open-baffle", {"width_m": 0.7, "height_m": 1.2, "driver": OF_A_BAFFLE, "flat_down_to_hz": 90}),
    ("open-baffle", {"width_m": 0.7, "height_m": 1.2, "driver": OF_A_BAFFLE, "level_db": 110, "wanted_hz": 25}),
    ("run-in", {"speaker": {"sensitivity_db_1w_1m": 96}}),
    (
        "match",
        {
            "speakers": [FEW_FACTS["speaker"]] * 2,
            "amplifiers": [{"power_w": 8}] * 2,
            "room": ROOM,
            "listening_distance_m": 2.6,
        },
    ),
]
OF_A_COMPARISON = {
    "tap_choice",
    "load_too_low",
    "dip_costs_level",
    "steep_phase",
    "bridged_rating",
    "clean_power",
    "gain_too_low",
    "full_output_not_reached",
    "gain_high",
    "input_overload",
    "equal_within_uncertainty",
    "bass_section_trim",
    "trim_out_of_reach",
    "sections_cancel",
}
"""Of one amplifier on one speaker: the tests of the comparison meet every one of them."""
OF_A_SEARCH = {"nothing_fits", "search_too_large", "chair_in_mid_room", "why_here", "other_front_wall"}
SEEN_ELSEWHERE = OF_A_SEARCH | OF_A_COMPARISON
"""By the tests of placement and comparison. Of place_here, leave_it and move the scenes here meet one or two."""
PLACED = {"place_here", "leave_it", "move"}
AMERICAN = ("center", "meter ", "meters", "color", "favor", "behavior", "program ", "gray", "analyz", "judgment")
LEFT_OVER = {
    "en": r"\b(und|oder|der|die|das|nicht|Sie)\b|\d,\d",
    "de": r"\b(the|and|or|with|your|you|of|is|not|chair|speakers?|du|dein\w*)\b|\d\.\d",
}
"""What shows that a sentence, or a number in it, is in the other language or too familiar."""
SIGNS = {"en": "²", "de": "²äöüÄÖÜß"}
"""What a text has beside ASCII."""


def sentences_of(answer):
    """Yield every sentence of an answer in no language yet, wherever it stands."""
    if isinstance(answer, Words):
        yield answer
    elif dataclasses.is_dataclass(answer):
        for field in dataclasses.fields(answer):
            yield from sentences_of(getattr(answer, field.name))
    elif isinstance(answer, dict):
        yield from sentences_of(list(answer.values()))
    elif isinstance(answer, list | tuple):
        for item in answer:
            yield from sentences_of(item)


@pytest.fixture(scope="module")
def answers():
    """The answers in no language yet."""
    return [OPERATIONS[operation].compute(request(operation, posted)) for operation, posted in ASKED]


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_text_is_whole_plain_and_short(answers, language):
    for sentence in itertools.chain.from_iterable(map(sentences_of, answers)):
        text = text_of(sentence, language)
        assert text.strip() == text != "", sentence
        assert not set("{}[]") & set(text), text
        assert text.translate(str.maketrans("", "", SIGNS[language])).isascii(), text
        assert len(text) <= (60 if sentence.key.startswith("headlines.") else 320), text
        assert "  " not in text, text
        assert not re.search(r"\b(nan|inf|None|True|False)\b|\de[+-]\d|\w_\w", text), text
        assert not re.search(LEFT_OVER[language], text), text
        lower = f"{text.lower()} "
        assert not [word for word in ("perfect", "bad room", "perfekt", "schlechter raum") if word in lower], text
        assert language != "en" or not [word for word in AMERICAN if word in lower], text


@pytest.mark.parametrize("language", LANGUAGES)
def test_findings_are_sentences_with_known_grades_and_finite_values(answers, language):
    for answer in answers:
        assert len(codes(answer.findings)) == len(set(codes(answer.findings)))
        for finding in answer.findings:
            text = text_of(finding.text, language)
            assert re.fullmatch(r"[a-z][a-z0-9_]*", finding.code)
            assert text[0].isupper() or text[0].isdigit(), text
            assert text.endswith((".", "?")), text
            assert finding.grade is None or finding.grade in policy.GRADES
            assert not list(sentences_of(finding.values)), "values are numbers and codes, not sentences"


def test_every_finding_has_been_seen(answers):
    seen = {code for answer in answers for code in codes(answer.findings)}
    parts_of_a_sentence = {"needs", "give_up_first", "why"}
    known = {key.split(".")[1] for key in catalogue("en") if key.startswith("findings.")} - parts_of_a_sentence
    assert known - seen - SEEN_ELSEWHERE <= PLACED
    assert PLACED & seen


def test_only_the_power_is_graded(answers):
    graded = {finding.code for answer in answers for finding in answer.findings if finding.grade is not None}
    assert graded == {"power_enough", "power_short"}


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_programme_and_level_in_words_makes_a_whole_sentence(language):
    programmes = [key.split(".")[2] for key in catalogue(language) if key.startswith("terms.programme.")]
    assert len(programmes) == 7
    for programme in programmes:
        for key in ("findings.needs", "findings.needs.at_your_level"):
            said = text_of(words(key, programme=programme), language)
            assert catalogue(language)[f"terms.programme.{programme}"] in said


def test_power_short_says_from_where_it_is_comfortable():
    answer = level_of(amplifier={"power_w": 0.1})
    short = answer.findings[0]
    assert short.code == "power_short"
    # 3 dB of comfort: 0.1 W times 10^((3 - headroom) / 10)
    needed_w = 0.1 * 10 ** ((3 - answer.headroom_db) / 10)
    assert short.values["comfortable_power_w"] == pytest.approx(needed_w)
    assert f"start from {watts(needed_w, 'en')}" in short.text
    comfortable = level_of(amplifier={"power_w": needed_w})
    assert comfortable.headroom_db == pytest.approx(3.0, abs=1e-6)


def test_no_watts_are_sold_where_something_else_gives_out():
    posted = body(speaker={"driver": {"area_m2": 0.02, "peak_excursion_m": 0.0004}}, amplifier={"power_w": 5})
    for language, sold in (("en", "start from"), ("de", "Beginnen Sie")):
        answer = ask("level", posted, language)
        short, average, other = answer.findings[:3]
        assert (short.code, average.code, other.code) == ("power_short", "average_power", "other_limit_first")
        assert short.values["comfortable_power_w"] is None
        assert sold not in short.text


def limit(code, peak_spl_db):
    return LimitAnswer(code=code, peak_spl_db=peak_spl_db, text=words("limits.excursion"))


def test_comfortable_power():
    clipping = limit("amplifier_clipping", 100.0)
    assert missing_for_comfort_db(1.0) == 2.0
    assert missing_for_comfort_db(5.0) == 0.0
    # 10 W, 7 dB short of comfort: 10 * 10^0.7 = 50.1 W
    assert comfortable_power_w(10, headroom_db=-4, limits=[clipping]) == pytest.approx(50.12, abs=0.01)
    assert comfortable_power_w(10, headroom_db=-4, limits=[clipping, limit("excursion", 108.0)]) == pytest.approx(
        50.12, abs=0.01
    )
    assert comfortable_power_w(10, headroom_db=-4, limits=[clipping, limit("excursion", 106.0)]) is None
    assert comfortable_power_w(10, headroom_db=-4, limits=[limit("excursion", 99.0), clipping]) is None
    assert comfortable_power_w(10, headroom_db=-40, limits=[clipping]) is None  # 200 kW


# steps ----------------------------------------------------------------------------------------------------------------


def test_steps_go_from_free_to_buy():
    posted = body(
        amplifier={"power_w": 0.3}, room={"reverberation_time_s": 0.9}, positions=PLACES, listening_distance_m=None
    )
    costs = [step.cost for step in ask("advice", posted).next_steps]
    assert costs == ["free", "cheap", "buy"]


def test_no_purchase_where_nothing_is_missing():
    steps = ask("advice", body(amplifier={"power_w": 100}, speaker={"low_limit_hz": 40})).next_steps
    assert "buy" not in [step.cost for step in steps]
