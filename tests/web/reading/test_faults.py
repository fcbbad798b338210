"""Faults and their pointers."""

import orjson
import pytest
from marshmallow.exceptions import SCHEMA

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
        ([1] * 10_000, "a list of 10000 items"),
        ([1], "a list of 1 item"),
        ({"a": 1, "b": 2}, "an object with 2 fields"),
        (10**20, 1e20),
        (10**400, "a whole number of more than 300 digits"),
        (float("nan"), "nan"),
    ],
)
def test_shortened(value, expected):
    assert shortened(value) == expected
    assert type(shortened(value)) is type(expected)
    orjson.dumps(shortened(value))


def test_as_text_spells_values_as_json_does():
    assert [as_text(value) for value in ("6", 6, True, None, [1, 2])] == [
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


class OutOfReachError(ValueError):
    name, value, allowed = "length_m", 0.3, "at least 1"


def test_a_refusal_with_name_value_and_allowed_points_at_its_field():
    fault = fault_from(OutOfReachError(), name_to_key={"length_m": "length/m"})
    assert (fault.pointer, fault.code, fault.given, fault.allowed) == (
        "/length~1m",
        "out_of_range",
        0.3,
        "at least 1",
    )
    assert fault.detail == "length/m must be at least 1; got 0.3."


def test_a_refusal_of_another_name_points_at_the_block():
    fault = fault_from(OutOfReachError(), name_to_key={})
    assert fault.pointer == ""
    assert "length_m must be at least 1" in fault.detail


def test_a_domain_error_keeps_what_it_says():
    error = DomainError(pointer="/a", code="c", detail="d", given=1, allowed=["x"], did_you_mean="x")
    expected = Fault(pointer="/a", code="c", detail="d", given=1, allowed=["x"], did_you_mean="x")
    assert fault_from(error, name_to_key={}) == expected


def test_any_other_value_error_is_no_refusal():
    assert fault_from(ValueError("math domain error"), name_to_key={}) is None


def test_a_whole_word_of_one_known_name_is_near_enough():
    kinds = ("single_ended_triode", "push_pull_valve", "single_ended_with_feedback")
    assert nearest("triode", kinds) == "single_ended_triode"
    assert nearest("ended", kinds) is None, "two names have this word"
    assert nearest("trio", kinds) is None
