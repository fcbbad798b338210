"""Which fact would sharpen the answer: each question is answered, and the answer must become as sure as was promised.

Telling a fact that agrees with what was assumed leaves the levels as they are, so that what changes is the
uncertainty alone: there is no expected number here but the service's own promise, held against its own next answer.
"""

import copy
import itertools
import math

import pytest

from service.advice.assumptions import Assumptions
from service.advice.language.localise import LANGUAGES, catalogue
from service.advice.pairing.pairing import paired
from tests.advice.bodies import FEW_FACTS, FLAT_SPEAKER, ask, body, request

AREA = {"length_m": None, "width_m": None, "floor_area_m2": 22}
BASES = {
    "few facts": FEW_FACTS,
    "floor area": body(room={**AREA, "height_m": None}),
    "unstated basis": body(
        speaker={"sensitivity_db_1w_1m": None, "sensitivity_db_1m": 98, "nominal_impedance_ohm": 4},
        amplifier={"load_ohm": 4},
    ),
    "kinds told": body(
        speaker={"kind": "horn"}, amplifier={"kind": "single_ended_triode"}, programme="jazz_small_group"
    ),
    "attic": body(room={"construction": "attic", "height_m": None}),
    "sparse": body(room={"furnishing": "sparse", "height_m": None}),
    "bass section": body(speaker={"bass_section": {"crossover_hz": 100}}),
    "open baffle": body(speaker={"kind": "open_baffle"}, listening="loud"),
    "rated at another load": body(
        amplifier={"power_w": 20, "load_ohm": 8, "kind": "class_d"},
        speaker={"kind": "two_way", "nominal_impedance_ohm": 4},
        listening_level_dba=75,
    ),
    "level and space told": body(
        speaker={"kind": "two_way", "sensitivity_space": "half_space"}, listening_level_dba=75, room={"height_m": None}
    ),
    "room told": body(
        speaker={"kind": "two_way", "sensitivity_space": "free_field"},
        listening_level_dba=75,
        room={"construction": "old_house", "furnishing": "sparse"},
    ),
    "by tape measure": body(
        as_found={"speakers_on": "short_wall", "front_wall_to_baffle_m": 0.6}, listening_distance_m=None
    ),
}
REPLACES = {
    "/listening_level_dba": [(None, "listening")],
    "/speaker/sensitivity_db_1w_1m": [("speaker", "sensitivity_db_1m")],
    "/room/length_m": [("room", "floor_area_m2")],
    "/amplifier/ratings": [("amplifier", "power_w"), ("amplifier", "load_ohm")],
}
"""Fields that a fact stands in the place of."""
WITHIN_DB = 0.05


def put(posted, pointer, value):
    """Return a copy of a body with a value at a pointer, in the place of what it replaces."""
    result = copy.deepcopy(posted)
    for block, name in REPLACES.get(pointer, []):
        (result if block is None else result[block]).pop(name, None)
    *blocks, name = pointer.split("/")[1:]
    target = result
    for block in blocks:
        target = target.setdefault(block, {})
    target[name] = value
    return result


def agreeing(posted, level, pointer):
    """The values of a field that agree with what an answer assumed; several where none is in the middle."""
    by_pointer = {item.pointer: item.value for item in level.assumptions if item.pointer}
    of_method = {}
    for item in level.assumptions:
        if item.pointer is None and isinstance(item.value, dict):
            of_method |= item.value
    name = pointer.rsplit("/", 1)[1]
    if pointer == "/speaker/sensitivity_space":
        return ("free_field", "half_space")  # 0 and -6 dB: -3 dB was assumed
    if pointer == "/amplifier/ratings":
        told = posted["amplifier"]
        return (
            [
                {"load_ohm": told["load_ohm"], "power_w": told["power_w"]},
                {"load_ohm": posted["speaker"]["nominal_impedance_ohm"], "power_w": level.power_into_rated_w},
            ],
        )
    if pointer == "/room/reverberation_time_s":
        times = by_pointer["/room/reverberation_time_by_octave_s"]
        return ((times["500"] + times["1000"]) / 2,)
    if pointer == "/room/length_m":
        return (math.sqrt(posted["room"]["floor_area_m2"] * of_method["length_to_width_ratio"]),)
    if pointer == "/room/width_m":
        return (math.sqrt(22 / of_method["length_to_width_ratio"]),)
    return (by_pointer[pointer] if pointer in by_pointer else of_method[name],)


def drops_db(posted, level, pointers):
    """By how much the uncertainty of the headroom shrinks when the fields are told, for each way to tell them."""
    choices = [agreeing(posted, level, pointer) for pointer in pointers]
    for values in itertools.product(*choices):
        told = posted
        for pointer, value in zip(pointers, values, strict=True):
            told = put(told, pointer, value)
        yield level.headroom_uncertainty_db - ask("level", told).headroom_uncertainty_db


def mean_drop_db(posted, level, pointers):
    found = list(drops_db(posted, level, pointers))
    return sum(found) / len(found)


def questions(posted, language="en"):
    """What an advice asks next, without the parts that take long."""
    return ask("advice", {**posted, "include": ["ask_next"]}, language).ask_next


def parts_of(posted):
    """The contributions to the uncertainty of a body's headroom."""
    told = request("level", posted)
    return paired(told, Assumptions()).leading.parts


# what they say --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["few facts", "floor area", "bass section", "by tape measure"])
def test_the_questions_of_a_whole_advice_are_those_asked_for_alone(name):
    assert ask("advice", BASES[name]).ask_next == questions(BASES[name])


@pytest.mark.parametrize("name", BASES)
def test_at_most_three_the_most_helpful_first_and_worth_asking(name):
    asked = questions(BASES[name])
    assert len(asked) <= 3
    narrowing = [question.narrows_db for question in asked]
    assert narrowing == sorted(narrowing, reverse=True)
    assert all(narrows_db >= 0.05 for narrows_db in narrowing)
    fields = [pointer for question in asked for pointer in question.pointers]
    assert len(fields) == len(set(fields)), "no field is asked for twice"


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_question_has_a_text_and_a_place_where_the_answer_is_found(language):
    keys = {part.question for posted in BASES.values() for part in parts_of(posted) if part.pointers}
    known = {key.removeprefix("questions.") for key in catalogue(language) if key.startswith("questions.")}
    assert keys | {f"{key}.where" for key in keys} <= known
    asked = [question for posted in BASES.values() for question in questions(posted, language)]
    assert {question.about for question in asked} >= {"how_loud", "directivity", "bass_level", "sensitivity_basis"}
    for question in asked:
        assert question.text.endswith("?")
        assert question.where.endswith(".")
        assert max(len(question.text), len(question.where)) <= 320


def test_every_question_of_the_catalogue_can_be_asked():
    bases = [*BASES.values(), body(room=None, listening_distance_m=None)]
    keys = {part.question for posted in bases for part in parts_of(posted) if part.pointers}
    known = {key.removeprefix("questions.") for key in catalogue("en") if key.startswith("questions.")}
    of_a_comparison = {"lowest_impedance"}  # which its own tests ask for
    assert keys | of_a_comparison == {key for key in known if not key.endswith(".where")}


def test_what_no_layman_can_answer_has_no_question():
    parts = [part for posted in BASES.values() for part in parts_of(posted)]
    asked = {part.about for part in parts if part.pointers} | {"distance"}
    assert {part.about for part in parts} - asked == {"sensitivity", "statistical_model", "wave_field"}


# what they promise ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", BASES)
def test_an_answered_question_narrows_as_much_as_was_promised(name):
    posted = BASES[name]
    level = ask("level", posted)
    for question in questions(posted):
        found_db = mean_drop_db(posted, level, question.pointers)
        assert question.narrows_db == pytest.approx(found_db, abs=WITHIN_DB), question.about


@pytest.mark.parametrize("name", BASES)
def test_the_first_question_narrows_most(name):
    posted = BASES[name]
    level, asked = ask("level", posted), questions(posted)
    askable = {part.pointers for part in parts_of(posted) if part.pointers}
    found_db = {pointers: mean_drop_db(posted, level, pointers) for pointers in askable}
    if not asked:
        assert all(drop_db < 2 * WITHIN_DB for drop_db in found_db.values())
        return
    assert found_db[tuple(asked[0].pointers)] == pytest.approx(max(found_db.values()), abs=1e-9)


@pytest.mark.parametrize("name", BASES)
def test_no_question_asks_for_what_was_told(name):
    posted = BASES[name]
    for question in questions(posted):
        for pointer in question.pointers:
            *blocks, last = pointer.split("/")[1:]
            block = posted
            for each in blocks:
                block = block.get(each) or {}
            assert last not in block, pointer


def test_answering_one_question_after_the_other_ends_and_each_answer_is_surer():
    posted, seen, uncertainty_db = FEW_FACTS, [], math.inf
    for _ in range(10):
        level, asked = ask("level", posted), questions(posted)
        assert level.headroom_uncertainty_db < uncertainty_db
        uncertainty_db = level.headroom_uncertainty_db
        if not asked:
            break
        seen.append(asked[0].about)
        for pointer in asked[0].pointers:
            posted = put(posted, pointer, agreeing(posted, level, pointer)[0])
    assert seen[:2] == ["how_loud", "directivity"]
    assert len(seen) == len(set(seen)), "nothing is asked for again"
    assert not asked
    # what is left at least: sensitivity 2 / sqrt(3), the statistical field 1.0, crest factors 1.2 dB
    assert uncertainty_db > math.sqrt(4 / 3 + 1.0 + 1.44)


@pytest.mark.parametrize("name", [*BASES, "free field"])
def test_a_fact_that_agrees_never_widens(name):
    posted = body(room=None, listening_distance_m=None) if name == "free field" else BASES[name]
    first = ask("level", posted)
    pointers = [item.pointer for item in first.assumptions if item.pointer]
    assert len(pointers) >= 8
    everything = posted
    for item in first.assumptions:
        if item.pointer is None:
            continue
        told = ask("level", put(posted, item.pointer, item.value))
        assert told.headroom_uncertainty_db <= first.headroom_uncertainty_db + 1e-9, item.pointer
        assert told.headroom_db == pytest.approx(first.headroom_db, abs=0.01), item.pointer
        everything = put(everything, item.pointer, item.value)
        together = ask("level", everything)
        assert together.headroom_uncertainty_db <= first.headroom_uncertainty_db + 1e-9, item.pointer


def test_a_data_sheet_in_full_and_a_measured_room_leave_nothing_to_ask():
    told = body(
        speaker={**FLAT_SPEAKER, "kind": "two_way", "directivity_index_db": 5},
        room={"reverberation_time_s": 0.45},
        listening_level_dba=80,
    )
    assert questions(told) == []
