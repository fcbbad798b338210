"""Parts of the whole job that a request asks for: the others are null, say why, and are not computed."""

import dataclasses

import marshmallow
import numpy as np
import pytest

from service.advice.language.localise import LANGUAGES
from service.advice.whole_job import advice as advice_module
from service.advice.whole_job.advice import PARTS
from service.web.reading.faults import flatten
from tests.advice.bodies import FEW_FACTS, ask, body, codes, request

AREA = {"length_m": None, "width_m": None, "floor_area_m2": 25}
NEED_SIDES = {"modes", "response", "placement"}
NOT_ASKED = {"en": "not asked for", "de": "nicht gefragt"}
NEEDS_SIDES = {"en": "needs the length and width of the room", "de": "braucht Länge und Breite des Raums"}
COMPUTED_BY = {
    # function of the advice -> the parts that need it
    "reverberation_answer": {"room", "next_steps"},
    "placement_answer": {"placement", "next_steps"},
    "modes_answer": {"modes"},
    "pair_curve": {"response"},
    "next_steps": {"next_steps"},
    "match_part": {"match", "inputs"},
}


def reasons(answer):
    return {each.part: each.reason for each in answer.left_out}


def alike(one, other):
    """Whether two parts hold the same, column by column."""
    if dataclasses.is_dataclass(one):
        return type(one) is type(other) and all(
            alike(getattr(one, field.name), getattr(other, field.name)) for field in dataclasses.fields(one)
        )
    if isinstance(one, np.ndarray):
        return np.array_equal(one, other)
    if isinstance(one, list | tuple):
        return len(one) == len(other) and all(map(alike, one, other))
    return one == other


@pytest.fixture(scope="module")
def whole():
    return ask("advice", FEW_FACTS)


def test_everything_comes_unless_told_otherwise(whole):
    assert len(PARTS) == len(set(PARTS)) == 12
    assert all(getattr(whole, part) is not None for part in PARTS)
    assert whole.left_out == []


@pytest.mark.parametrize("part", PARTS)
def test_one_part_alone_is_what_it_is_in_the_whole(part, whole):
    answer = ask("advice", body(include=[part]))
    assert [name for name in PARTS if getattr(answer, name) is not None] == [part]
    assert reasons(answer) == {name: "not_asked_for" for name in PARTS if name != part}
    found, expected = getattr(answer, part), getattr(whole, part)
    if part == "headroom":  # the recommended place is only known where a place was searched for
        assert found.at_recommended_place is None
        expected = dataclasses.replace(expected, at_recommended_place=None)
    if part == "inputs":  # what nothing was computed from is not filled in
        assert found["include"] == ["inputs"]
        assert found["room"] == expected["room"]
        found, expected = found["amplifier"], expected["amplifier"]
    assert alike(found, expected)


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_is_left_out_says_why(language):
    answer = ask("advice", body(room=AREA, include=["verdict", "placement", "modes"]), language)
    assert reasons(answer) == {
        **{part: "not_asked_for" for part in PARTS if part not in ("verdict", "placement", "modes")},
        "placement": "needs_length_and_width",
        "modes": "needs_length_and_width",
    }
    said = {"not_asked_for": NOT_ASKED[language], "needs_length_and_width": NEEDS_SIDES[language]}
    assert all(each.text == said[each.reason] for each in answer.left_out)
    assert [each.part for each in answer.left_out] == [part for part in PARTS if part != "verdict"]


def test_a_floor_area_leaves_out_what_needs_the_sides_and_nothing_else():
    answer = ask("advice", body(room=AREA))
    assert reasons(answer) == dict.fromkeys(NEED_SIDES, "needs_length_and_width")
    assert {part for part in PARTS if getattr(answer, part) is None} == NEED_SIDES
    assert answer.headroom.at_recommended_place is None
    assert "needs_length_and_width" in codes(answer.findings)


def test_findings_cautions_and_assumptions_come_with_any_part(whole):
    answer = ask("advice", body(include=["verdict"]))
    assert answer.findings[0] == whole.findings[0]
    # moving cabinets is only cautioned where a place was searched for
    assert set(codes(answer.cautions)) == set(codes(whole.cautions)) - {"heavy"}
    assert {"hearing", "mains", "calculation"} <= set(codes(answer.cautions))
    told = {item.pointer for item in answer.assumptions}
    assert told <= {item.pointer for item in whole.assumptions}
    assert "/speaker/kind" in told
    # of the placement nothing was computed, so that nothing is said of it and no cabinet is assumed for it
    assert {"place_here", "leave_it", "move"}.isdisjoint(codes(answer.findings))
    assert "/speaker/cabinet_depth_m" not in told


@pytest.mark.parametrize("function", COMPUTED_BY)
def test_what_is_not_asked_for_is_not_computed(function, monkeypatch):
    calls = []
    original = getattr(advice_module, function)

    def counted(*arguments, **options):
        calls.append(function)
        return original(*arguments, **options)

    monkeypatch.setattr(advice_module, function, counted)
    needed_for = COMPUTED_BY[function]
    ask("advice", body(include=[part for part in PARTS if part not in needed_for]))
    assert calls == []
    for part in needed_for:
        ask("advice", body(include=[part]))
        assert calls == [function], part
        calls.clear()


def test_the_recommended_place_comes_with_the_search():
    together = ask("advice", body(include=["headroom", "placement"]))
    assert together.headroom.at_recommended_place is not None
    assert together.verdict is None


def test_order_and_repetition_do_not_matter():
    one, other = (ask("advice", body(include=parts)) for parts in (["verdict", "level"], ["level", "verdict", "level"]))
    assert alike(one.level, other.level)
    assert reasons(one) == reasons(other)


@pytest.mark.parametrize(
    ("include", "pointer", "code"),
    [
        (["verdict", "placment"], "/include/1", "not_a_choice"),
        (["findings"], "/include/0", "not_a_choice"),
        ([], "/include", "too_short"),
        (["verdict"] * 13, "/include", "too_long"),
        ("verdict", "/include", "not_a_list"),
    ],
)
def test_an_unknown_part_is_refused_with_the_list(include, pointer, code):
    with pytest.raises(marshmallow.ValidationError) as refused:
        request("advice", body(include=include))
    (fault,) = flatten(refused.value.messages)
    assert (fault["pointer"], fault["code"]) == (pointer, code)
    if code == "not_a_choice":
        assert list(fault["allowed"]) == list(PARTS)
    if "placment" in include:
        assert fault["did_you_mean"] == "placement"
