"""Refused bodies that ask for German: every sentence of the refusal is a German one of the catalogue."""

import re
import string

import pytest

from service.advice.language.localise import catalogue
from tests.web.problems import assert_problem
from tests.web.real import AMPLIFIER, ROOM, SMALL_BODIES, SPEAKER, put, small_body
from tests.web.requests.asked_wrongly import post
from tests.web.requests.test_refused_facts import REFUSED, UNKNOWN

OF_THE_READING = {
    "give_only_one",
    "not_a_choice",
    "not_a_list_or_object",
    "not_a_number",
    "not_true_or_false",
    "not_whole",
    "null_not_allowed",
    "out_of_range",
    "too_short",
    "upside_down",
}
"""Codes of refusals that fields and schemas make."""


def speaker(**told):
    return "/v1/level", small_body("/v1/level", speaker={**SPEAKER, **told})


def sheet(**told):
    return "/v1/advice", {**SMALL_BODIES["/v1/advice"], "sheet": told}


BODIES = [
    *{(code, pointer): asked for asked, pointer, code, _, _ in REFUSED if code in OF_THE_READING}.values(),
    *{(pointer, near): (path, put(SMALL_BODIES[path], pointer, 5)) for path, pointer, near in UNKNOWN}.values(),
    ("/v1/modes", {}),
    ("/v1/match", {"speakers": 5, "amplifiers": [AMPLIFIER, None, 7]}),
    ("/v1/level", small_body("/v1/level", speaker=None, amplifier="8 W")),
    ("/v1/level", small_body("/v1/level", listening="lowd", note=5)),
    ("/v1/exposure", {"periods": [{"level_dba": 80, "hours": True}] * 60}),
    ("/v1/reverberation", {"room": {**ROOM, "surfaces": {"floor": {"absorption_by_octave": {}}}}}),
    speaker(impedance_csv=""),
    speaker(impedance_csv="frequency_hz,ohm\n20,8"),
    speaker(impedance_csv="frequency_hz,magnitude_ohm\n20"),
    speaker(impedance_csv="frequency_hz,magnitude_ohm\n20,x"),
    speaker(impedance_csv="frequency_hz,magnitude_ohm\n20,0.01"),
    speaker(impedance_csv="frequency_hz,magnitude_ohm\n" + "20,8\n" * 5000),
    sheet(date="2026-02-30"),
    sheet(date="2026"),
    sheet(paper="a5"),
]
LEAST_LETTERS = 10


def sentences(language):
    """Return what each whole sentence of a refusal looks like with any values in it."""
    found = []
    for key, sentence in catalogue(language).items():
        parts = [(literal, name) for literal, name, *_ in string.Formatter().parse(sentence)]
        letters = sum(len(literal) for literal, _ in parts)
        if key.startswith("refusals_") and sentence.endswith(".") and letters > LEAST_LETTERS:
            pattern = "".join(re.escape(literal) + (".+" if name else "") for literal, name in parts)
            found.append(re.compile(pattern, re.DOTALL))
    return found


GERMAN = sentences("de")


def is_german(detail):
    return any(sentence.fullmatch(detail) for sentence in GERMAN)


def refused(client, path, body, language):
    return assert_problem(post(client, path, {**body, "language": language}), 422)


def test_there_are_many_bodies():
    assert len(BODIES) > 40


@pytest.mark.parametrize(("path", "body"), BODIES)
def test_every_sentence_of_a_refusal_is_german(client, path, body):
    english, german = (refused(client, path, body, language) for language in ("en", "de"))
    assert english["title"] != german["title"]
    assert english["detail"] != german["detail"]
    assert len(english["errors"]) == len(german["errors"])
    for told, gesagt in zip(english["errors"], german["errors"], strict=True):
        assert is_german(gesagt["detail"]), gesagt["detail"]
        assert not is_german(told["detail"]), "else the German pattern takes anything"
        assert {name: told[name] for name in ("pointer", "code", "did_you_mean")} == {
            name: gesagt[name] for name in ("pointer", "code", "did_you_mean")
        }
        if isinstance(told["allowed"], list):
            assert gesagt["allowed"] == told["allowed"], "names of the request are the same in every language"
        else:
            assert gesagt["allowed"] != told["allowed"]


@pytest.mark.parametrize(
    ("path", "body", "detail"),
    [
        (
            "/v1/modes",
            {"room": {**ROOM, "length_m": "5.2"}},
            'length_m: verlangt ist eine Zahl von 1,5 bis 30; angegeben ist "5.2". '
            "Zahlen bitte ohne Anführungszeichen schreiben.",
        ),
        (
            "/v1/exposure",
            {**SMALL_BODIES["/v1/exposure"], "x": 1},
            '"x" ist hier kein Feld; die Felder sind hier note, language, periods.',
        ),
        (
            "/v1/modes",
            {"rom": ROOM, "to_hz": 0.5},
            "3 Fehler; der erste: room fehlt; verlangt ist ein Objekt mit Feldern wie "
            "length_m, width_m, floor_area_m2.",
        ),
        (
            "/v1/exposure",
            {"periods": [7]},
            "Jeder Eintrag von periods: verlangt ist ein Objekt mit den Feldern level_dba, hours; angegeben ist 7.",
        ),
        (
            "/v1/exposure",
            {"periods": []},
            "periods: verlangt ist eine Liste aus 1 bis 100 Einträgen, "
            "jeweils ein Objekt mit den Feldern level_dba, hours; hier sind es 0.",
        ),
        (
            *sheet(date="2026-02-30"),
            "date ist kein Tag des Kalenders, geschrieben als Jahr, Monat und Tag: 2026-11-25.",
        ),
    ],
)
def test_german_sentences_in_full(client, path, body, detail):
    """What a German reader is told, written out by hand: decimal comma, names and what was given as in JSON."""
    assert refused(client, path, body, "de")["detail"] == detail
