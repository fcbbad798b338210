"""Faults and their pointers."""

import orjson
import pytest
from marshmallow.exceptions import SCHEMA

from service.advice.language.localise import said
from service.domain.errors import DomainError
from service.web.reading.faults import Fault, as_text, escape, fault_from, flatten, nearest, shortened

FAULT = Fault(code="c", detail="d", given=1, allowed="x")


def pointers(messages):
    return [entry["pointer"] for entry in flatten(messages)]


@pytest.mark.parametrize(
    ("messages", "expected"),
    [
        ({"a": [FAULT]}, ["/a"]),
        ({"a": {"b": {3: [FAULT]}}}, ["/a/b/3"]),
        ({"a": {SCHEMA: [FAULT], "b": [FAULT]}}, ["/a", "/a/b"]),
        ({SCHEMA: [FAULT]}, [""]),
        ({"a": [Fault(code="c", detail="d", pointer="/7/x")]}, ["/a/7/x"]),
        # RFC 6901 section 5: the names a/b and m~n are written /a~1b and /m~0n
        ({"a/b": [FAULT], "m~n": [FAULT], "": [FAULT]}, ["/a~1b", "/m~0n", "/"]),
    ],
)
def test_pointers(messages, expected):
    assert pointers(messages) == expected


def test_escape_does_tilde_before_slash():
    assert escape("~1") == "~01"


def test_an_entry_has_all_its_parts_in_order():
    (entry,) = flatten({"a": [FAULT]})
    assert entry == {
        "pointer": "/a",
        "code": "c",
        "detail": "d",
        "given": 1,
        "allowed": "x",
        "did_you_mean": None,
    }
    assert list(entry) == ["pointer", "code", "detail", "given", "allowed", "did_you_mean"]


def test_a_plain_text_of_marshmallow_is_carried_too():
    (entry,) = flatten({"a": ["Not so."]})
    assert (entry["pointer"], entry["code"], entry["detail"]) == ("/a", "not_valid", "Not so.")


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (None, None),
        (True, True),
        (3, 3),
        (2.5, 2.5),
        ("x" * 80, "x" * 80),
        ("x" * 81, "x" * 77 + "..."),
        (10**20, 1e20),
        (float("nan"), "nan"),
    ],
)
def test_shortened(value, expected):
    assert shortened(value) == expected
    assert type(shortened(value)) is type(expected)
    orjson.dumps(shortened(value))


@pytest.mark.parametrize(
    ("value", "english", "german"),
    [
        ([1] * 10_000, "a list of 10000 items", "eine Liste aus 10000 Einträgen"),
        ([1], "a list of 1 item", "eine Liste aus 1 Eintrag"),
        ({"a": 1, "b": 2}, "an object with 2 fields", "ein Objekt mit 2 Feldern"),
        ({"a": 1}, "an object with 1 field", "ein Objekt mit 1 Feld"),
        (10**400, "a whole number of more than 300 digits", "eine ganze Zahl mit mehr als 300 Stellen"),
        ({1}, "a set", "ein Wert der Art set"),
    ],
)
def test_what_is_too_large_to_show_is_described(value, english, german):
    assert said(shortened(value), "en") == english
    assert said(as_text(value), "de") == german


def test_as_text_spells_values_as_json_does():
    assert [said(as_text(value), "en") for value in ("6", 6, True, None, [1, 2])] == [
        '"6"',
        "6",
        "true",
        "null",
        "a list of 2 items",
    ]


@pytest.mark.parametrize(
    ("name", "near"),
    [("lenght_m", "length_m"), ("WIDTH_M", "width_m"), ("zzz", None), ("length_m" * 5000, None), (5, None)],
)
def test_nearest(name, near):
    assert nearest(name, ["length_m", "width_m"]) == near


def test_a_very_long_name_is_not_compared():
    """The comparison takes time with the square of the length, and anyone may send a long name."""
    assert nearest("n" * 60, ["n" * 61]) == "n" * 61
    assert nearest("n" * 61, ["n" * 61]) is None


def test_a_domain_error_keeps_what_it_says():
    error = DomainError(pointer="/a", code="c", detail="d", given=1, allowed=["x"], did_you_mean="x")
    expected = Fault(pointer="/a", code="c", detail="d", given=1, allowed=["x"], did_you_mean="x")
    assert fault_from(error) == expected


def test_a_whole_word_of_one_known_name_is_near_enough():
    kinds = ("single_ended_triode", "push_pull_valve", "single_ended_with_feedback")
    assert nearest("triode", kinds) == "single_ended_triode"
    assert nearest("ended", kinds) is None, "two names have this word"
    assert nearest("trio", kinds) is None
