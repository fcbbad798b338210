"""Laws of an answer to few facts: an area is as good as two lengths, and the language changes no number."""

import json

import pytest

from service.advice import policy
from service.advice.assumptions import DEFAULTS
from service.advice.pairing.caches import clear_caches
from service.web.writing.dump import to_json
from tests.advice.bodies import ask, body

TEXTS = {"text", "why", "headline", "where", "power_rule", "measure_from", "measure_to", "language"}

NAMES = {"name", "speaker", "amplifier"}
"""What is called by its number where it has no name of its own."""


@pytest.fixture
def ratio(monkeypatch):
    """Sets the length-to-width ratio that is assumed for a floor area."""

    def set_to(value):
        clear_caches()
        monkeypatch.setattr(policy, "ASSUMED_LENGTH_TO_WIDTH", value)

    yield set_to
    clear_caches()


@pytest.mark.parametrize("area_m2", [12, 25, 60])
def test_any_length_to_width_ratio_gives_the_same_loudness(ratio, area_m2):
    found = []
    for value in (1.0, 1.2, 1.5, 2.0):
        ratio(value)
        found.append(ask("level", body(room={"length_m": None, "width_m": None, "floor_area_m2": area_m2})))
    for name in ("peak_spl_db", "short_peak_db", "headroom_db"):
        levels_db = [getattr(answer, name) for answer in found]
        assert max(levels_db) - min(levels_db) < 0.3, name


def test_an_area_says_less_about_the_bass_than_two_lengths():
    sides = ask("level", body())
    area = ask("level", body(room={"length_m": None, "width_m": None, "floor_area_m2": 22.14}))
    assert area.uncertainty_db > sides.uncertainty_db
    # one chair in one room against the mean over all: the low octaves scatter by some dB, the sum by less
    assert area.peak_spl_db == pytest.approx(sides.peak_spl_db, abs=2.5)
    assert area.transition_hz == pytest.approx(sides.transition_hz, rel=1e-6)


def numbers(value):
    """Everything of an answer but its texts."""
    if isinstance(value, dict):
        said = TEXTS | {name for name in NAMES if isinstance(value.get(name), str)}
        return {name: numbers(item) for name, item in value.items() if name not in said}
    if isinstance(value, list):
        return [numbers(item) for item in value]
    return value


def test_german_and_english_give_the_same_numbers():
    posted = body(amplifier={"kind": "single_ended_triode"}, programme="jazz_small_group", listening="loud")
    said = [json.loads(to_json(ask("advice", posted, language))) for language in ("en", "de")]
    assert numbers(said[0]) == numbers(said[1])
    assert said[0]["findings"][0]["text"] != said[1]["findings"][0]["text"]


def test_a_kind_that_is_told_gives_the_answer_of_the_kind_that_is_assumed():
    assumed = ask("level", body())
    told = ask(
        "level",
        body(
            speaker={"kind": DEFAULTS["speaker/kind"].value},
            room={"construction": "brick_and_plaster", "furnishing": "furnished"},
        ),
    )
    for name in ("peak_spl_db", "short_peak_db", "headroom_db", "average_power_w"):
        assert getattr(told, name) == getattr(assumed, name)
    assert told.uncertainty_db < assumed.uncertainty_db


def test_an_untold_distance_is_three_metres_or_what_the_room_has_space_for():
    # 5.4 m long: 3 m fit; 2.6 m long: 2.6 - 0.6 = 2 m deep and 2 tan 30 = 1.15 m aside, hypot 2.31 m, rounded down
    for length_m, distance_m in ((5.4, 3.0), (2.6, 2.3)):
        answer = ask("level", body(room={"length_m": length_m}, listening_distance_m=None))
        assert answer.listening_distance_m == distance_m
        assert {item.pointer: item.value for item in answer.assumptions}["/listening_distance_m"] == distance_m
    told = ask("level", body(listening_distance_m=3.0))
    untold = ask("level", body(listening_distance_m=None))
    assert untold.peak_spl_db == told.peak_spl_db
    assert untold.uncertainty_db > told.uncertainty_db


def test_nobody_is_asked_for_the_data_sheet_of_what_is_looked_for():
    asked = ask("advice", body(speaker=None)).ask_next
    pointers = {pointer for question in asked for pointer in question.pointers}
    assert "/speaker/kind" in pointers
    assert not any(pointer.startswith("/speaker/") for pointer in pointers - {"/speaker/kind"})
