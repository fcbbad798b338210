"""Bodies that cannot be read and numbers that are none, at every operation that takes a body."""

import json

import pytest

from tests.web.problems import assert_problem
from tests.web.real import SMALL_BODIES, WITH_BODY, put
from tests.web.requests.asked_wrongly import post

# not readable: 400 ----------------------------------------------------------------------------------------------------

A_NUMBER = {
    "/v1/advice": "/room/length_m",
    "/v1/level": "/speaker/sensitivity_db_1w_1m",
    "/v1/match": "/speaker/sensitivity_db_1w_1m",
    "/v1/modes": "/room/width_m",
    "/v1/response": "/sources/0/x_m",
    "/v1/placement": "/room/height_m",
    "/v1/reverberation": "/room/length_m",
    "/v1/field-coil": "/cold_resistance_ohm",
    "/v1/open-baffle": "/width_m",
    "/v1/run-in": "/speaker/sensitivity_db_1w_1m",
    "/v1/reflections": "/room/length_m",
    "/v1/exposure": "/periods/0/hours",
}
"""Path -> a number of its small body."""


def with_number(path, spelled):
    """Return the small body with its number spelled in a way that no encoder would write."""
    text = json.dumps(put(SMALL_BODIES[path], A_NUMBER[path], "HERE"))
    return text.replace('"HERE"', spelled).encode()


def with_duplicate(path):
    """Return the small body with the first name of its first block, or of itself without one, written twice."""
    text = json.dumps(SMALL_BODIES[path])
    start = max(text.find("{", 1), 0)
    name = json.loads(text[start + 1 : text.index(":", start)])
    return (text[: start + 1] + f'"{name}": 1, ' + text[start + 1 :]).encode()


UNREADABLE = {
    "empty": (lambda path: b"", "body is missing"),
    "blank": (lambda path: b" \n", "body is empty"),
    "text that is not JSON": (lambda path: b"length_m=6&width_m=4", "not JSON: Expecting value at line 1, column 1"),
    "JSON that breaks off": (lambda path: json.dumps(SMALL_BODIES[path]).encode()[:-1], "not JSON"),
    "single quotes": (lambda path: json.dumps(SMALL_BODIES[path]).replace('"', "'").encode(), "not JSON"),
    "two documents": (lambda path: json.dumps(SMALL_BODIES[path]).encode() + b"{}", "not JSON: Extra data"),
    "an array at the top": (
        lambda path: json.dumps([SMALL_BODIES[path]]).encode(),
        "one JSON object, {...}; this is a list",
    ),
    "a text at the top": (lambda path: b'"room"', "this is a text"),
    "a number at the top": (lambda path: b"6", "this is a number"),
    "null at the top": (lambda path: b"null", "this is null"),
    "not UTF-8": (lambda path: b'{"note": "\xe9"}', "not UTF-8"),
    "UTF-16": (lambda path: json.dumps(SMALL_BODIES[path]).encode("utf-16"), "not UTF-8"),
    "half a surrogate": (lambda path: b'{"note": "\\ud83d"}', "surrogate"),
    "NaN": (lambda path: with_number(path, "NaN"), "NaN is not JSON; only finite numbers"),
    "Infinity": (lambda path: with_number(path, "Infinity"), "Infinity is not JSON"),
    "minus Infinity": (lambda path: with_number(path, "-Infinity"), "-Infinity is not JSON"),
    "1e999": (lambda path: with_number(path, "1e999"), 'number "1e999" is too large'),
    "too many digits": (lambda path: with_number(path, "9" * 5000), "too many digits"),
    "a leading zero": (lambda path: with_number(path, "06"), "not JSON"),
    "a decimal comma": (lambda path: with_number(path, "6,5"), "not JSON"),
    "a hexadecimal number": (lambda path: with_number(path, "0x6"), "not JSON"),
    "duplicate keys": (with_duplicate, "stands twice in the same object"),
    "nested too deeply": (lambda path: b'{"a": ' * 30_000, "nested too deeply"),
}


@pytest.mark.parametrize("path", WITH_BODY)
@pytest.mark.parametrize(("body", "said"), UNREADABLE.values(), ids=list(UNREADABLE))
def test_what_cannot_be_read(client, path, body, said):
    problem = assert_problem(post(client, path, body(path)), 400)
    assert said in problem["detail"]
    assert "Traceback" not in problem["detail"]
    assert len(problem["detail"]) < 200


# numbers that are none: 422 -------------------------------------------------------------------------------------------

NOT_NUMBERS = {
    "a number as text": ("6", "not_a_number", "Write numbers without quotes."),
    "a number as text with a comma": ("6,5", "not_a_number", "Write numbers without quotes."),
    "a number with its unit": ("6 m", "not_a_number", "Write numbers without quotes."),
    "an empty text": ("", "not_a_number", "Write numbers without quotes."),
    "true": (True, "not_a_number", "got true"),
    "false": (False, "not_a_number", "got false"),
    "null": (None, "null_not_allowed", "got null"),
    "a list": ([6], "not_a_number", "a list of 1 item"),
    "an object": ({"value": 6}, "not_a_number", "an object with 1 field"),
    "a huge whole number": (10**400, "out_of_range", "more than 300 digits"),
}


@pytest.mark.parametrize("path", WITH_BODY)
@pytest.mark.parametrize(("value", "code", "said"), NOT_NUMBERS.values(), ids=list(NOT_NUMBERS))
def test_what_is_no_number(client, path, value, code, said):
    pointer = A_NUMBER[path]
    problem = assert_problem(post(client, path, put(SMALL_BODIES[path], pointer, value)), 422)
    (error,) = problem["errors"]
    assert (error["pointer"], error["code"]) == (pointer, code)
    assert said in error["detail"]
    assert error["detail"] == problem["detail"]
    assert error["allowed"].startswith("a number ")
    if isinstance(value, str | bool | None):
        assert error["given"] == value
