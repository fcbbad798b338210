"""Every way of asking wrongly, at every operation that takes a body: status, place, code, what was given and allowed.

A refusal is the whole answer: nothing else happens, and nothing of the service's inside shows.
"""

import json

import pytest

from service.domain import limits
from service.web.http.errors import MAX_BODY_BYTES
from tests.web.problems import assert_problem
from tests.web.real import AMPLIFIER, PLACES, ROOM, SMALL_BODIES, SPEAKER, WITH_BODY, WITHOUT_BODY, put, small_body

JSON = "application/json"
ANY = object()
"""Stands for a part of a refusal that a row does not look at."""


def post(client, path, body):
    """Post a body as it stands when it is bytes, else as JSON."""
    data = body if isinstance(body, bytes) else json.dumps(body).encode()
    return client.post(path, data=data, content_type=JSON)


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


# facts missing, unknown, out of range, at odds: 422 -------------------------------------------------------------------

SURFACES = ("front_wall", "back_wall", "left_wall", "right_wall", "floor", "ceiling")


def surfaces(**told):
    return {**ROOM, "surfaces": told}


def beside(path, pointer, value):
    """Return a row's path and body: the small body with one value changed."""
    return path, put(SMALL_BODIES[path], pointer, value)


FREQUENCY_RANGE = limits.LIMITS["frequency_hz"].words

REFUSED = [
    # (path, body), pointer, code, given, allowed
    # missing facts
    (("/v1/advice", {"room": ROOM, "listening_distance_m": 3}), "", "missing", None, ["speaker", "amplifier"]),
    (("/v1/advice", {}), "/room", "missing", None, ANY),
    (("/v1/advice", small_body("/v1/advice", speaker={})), "/speaker", "missing", None, ANY),
    (("/v1/level", {"listening_distance_m": 3}), "", "missing", None, ["speaker", "amplifier"]),
    (
        ("/v1/level", small_body("/v1/level", listening="loud", listening_level_dba=85)),
        "",
        "give_only_one",
        "listening, listening_level_dba",
        ["listening", "listening_level_dba"],
    ),
    (("/v1/modes", {}), "/room", "missing", None, ANY),
    (
        ("/v1/response", small_body("/v1/response", frequency_hz={"from_hz": 20})),
        "/frequency_hz/to_hz",
        "missing",
        None,
        ANY,
    ),
    (("/v1/placement", {"room": {"length_m": 5}}), "/room/width_m", "missing", None, "a number from 1.5 to 30"),
    (("/v1/reverberation", {"note": "only this"}), "/room", "missing", None, ANY),
    (("/v1/exposure", {"periods": [{"level_dba": 86}]}), "/periods/0/hours", "missing", None, ANY),
    (("/v1/exposure", {"periods": []}), "/periods", "too_short", "a list of 0 items", ANY),
    (beside("/v1/response", "/damping", "uniform"), "/room/reverberation_time_s", "missing", None, ANY),
    (beside("/v1/placement", "/search", {"must_stay": ["seat"]}), "/search/must_stay", "missing", ANY, ANY),
    # only one of
    (
        beside("/v1/advice", "/speaker/sensitivity_db_1m", 97),
        "/speaker",
        "give_only_one",
        "sensitivity_db_1w_1m, sensitivity_db_1m",
        ["sensitivity_db_1w_1m", "sensitivity_db_2v83_1m", "sensitivity_db_1m"],
    ),
    (
        beside("/v1/reverberation", "/room/surfaces", {"floor": {"material": "wool_50_60", "admittance_ratio": 0.1}}),
        "/room/surfaces/floor",
        "give_only_one",
        ANY,
        ANY,
    ),
    (
        beside(
            "/v1/modes", "/room", {**ROOM, "reverberation_time_s": 0.4, "reverberation_time_by_octave_s": {"500": 1}}
        ),
        "/room",
        "give_only_one",
        ANY,
        ANY,
    ),
    # sizes
    *(
        (
            beside(path, "/room/length_m", length_m),
            "/room/length_m",
            "out_of_range",
            length_m,
            "a number from 1.5 to 30",
        )
        for path in WITH_BODY
        if "room" in SMALL_BODIES[path]
        for length_m in (-5.2, 0, 0.3, 400)
    ),
    (beside("/v1/level", "/room/height_m", 1.79), "/room/height_m", "out_of_range", 1.79, "a number from 1.8 to 12"),
    (
        beside("/v1/reverberation", "/room", {"length_m": 30, "width_m": 30, "height_m": 12}),
        "/room/length_m",
        "room_too_large",
        30,
        "a volume of at most 3000 m3",
    ),
    (
        beside("/v1/exposure", "/periods/0/hours", 0),
        "/periods/0/hours",
        "out_of_range",
        0,
        "a number from 0.001 to 24",
    ),
    (
        beside("/v1/exposure", "/periods/0/hours", 25),
        "/periods/0/hours",
        "out_of_range",
        25,
        "a number from 0.001 to 24",
    ),
    (
        beside("/v1/exposure", "/periods", [{"level_dba": 80, "hours": 12.5}] * 2),
        "/periods",
        "too_long",
        25,
        "at most 24 hours together",
    ),
    (beside("/v1/exposure", "/periods/0/level_dba", 141), "/periods/0/level_dba", "out_of_range", 141, ANY),
    (beside("/v1/modes", "/to_hz", 301), "/to_hz", "out_of_range", 301, "a number from 20 to 300"),
    # places
    (
        beside("/v1/response", "/sources/0/x_m", 5.3),
        "/sources/0/x_m",
        "outside_the_room",
        5.3,
        "more than 0 and less than 5.2",
    ),
    (
        beside("/v1/response", "/sources/0/x_m", 0),
        "/sources/0/x_m",
        "outside_the_room",
        0,
        "more than 0 and less than 5.2",
    ),
    (
        beside("/v1/response", "/sources/0/y_m", 4.1),
        "/sources/0/y_m",
        "outside_the_room",
        4.1,
        "more than 0 and less than 4.1",
    ),
    (beside("/v1/response", "/sources/0/z_m", -1), "/sources/0/z_m", "out_of_range", -1, "a number from 0 to 30"),
    (
        beside("/v1/response", "/seats/0/z_m", 2.6),
        "/seats/0/z_m",
        "outside_the_room",
        2.6,
        "more than 0 and less than 2.6",
    ),
    (
        beside("/v1/response", "/seats/0", {"x_m": 0.9, "y_m": 1.0, "z_m": 0.9}),
        "/seats/0",
        "too_close",
        "a list of 3 items",
        ANY,
    ),
    *(
        (
            (path, small_body(path, positions=put(PLACES, "/speakers/1/y_m", y_m))),
            "/positions/speakers/1/y_m",
            "outside_the_room",
            y_m,
            "more than 0 and less than 4.1",
        )
        for path in ("/v1/advice", "/v1/level", "/v1/modes", "/v1/placement", "/v1/reflections")
        for y_m in (0, 4.1, 9)
    ),
    (
        ("/v1/advice", small_body("/v1/advice", positions=PLACES, listening_distance_m=4)),
        "/listening_distance_m",
        "contradiction",
        4,
        ANY,
    ),
    (beside("/v1/level", "/listening_distance_m", 29), "/listening_distance_m", "does_not_fit", 29, ANY),
    (("/v1/level", {"speaker": SPEAKER, "amplifier": AMPLIFIER, "positions": PLACES}), "/room", "missing", None, ANY),
    # speakers, amplifiers
    *(
        (beside(path, "/speaker/sensitivity_db_1w_1m", 125), "/speaker/sensitivity_db_1w_1m", "out_of_range", 125, ANY)
        for path in ("/v1/advice", "/v1/level", "/v1/placement")
    ),
    *(
        (
            (path, small_body(path, speaker={"sensitivity_db_1w_1m": 116, "directivity_index_db": 5})),
            "/speaker/sensitivity_db_1w_1m",
            "above_physics",
            116,
            ANY,
        )
        for path in ("/v1/advice", "/v1/level")
    ),
    (beside("/v1/level", "/speaker/kind", "top_with_bass_section"), "/speaker/bass_section", "missing", None, ANY),
    (
        beside("/v1/level", "/amplifier/power_w", 0),
        "/amplifier/power_w",
        "out_of_range",
        0,
        "a number from 0.001 to 5000",
    ),
    (beside("/v1/level", "/amplifier/power_w", -8), "/amplifier/power_w", "out_of_range", -8, ANY),
    (
        ("/v1/level", small_body("/v1/level", amplifier={"ratings": [{"load_ohm": 8, "power_w": 8}] * 2})),
        "/amplifier/ratings/1/load_ohm",
        "duplicate",
        8,
        "each load once, bridged ratings marked",
    ),
    (beside("/v1/level", "/speaker_count", 3), "/speaker_count", "out_of_range", 3, "a whole number from 1 to 2"),
    (beside("/v1/level", "/speaker_count", 1.5), "/speaker_count", "not_whole", 1.5, "a whole number from 1 to 2"),
    (
        beside("/v1/level", "/speaker/field_coil", "yes"),
        "/speaker/field_coil",
        "not_true_or_false",
        "yes",
        "true or false",
    ),
    (beside("/v1/level", "/speaker/field_coil", 1), "/speaker/field_coil", "not_true_or_false", 1, "true or false"),
    # surfaces
    *(
        (
            beside(path, "/room", surfaces(floor={"absorption_coefficient": 1.2})),
            "/room/surfaces/floor/absorption_coefficient",
            "out_of_range",
            1.2,
            "a number from 0 to 1",
        )
        for path in WITH_BODY
        if "room" in SMALL_BODIES[path]
    ),
    (
        beside("/v1/reverberation", "/room", surfaces(floor={"absorption_by_octave": {"500": 1.01}})),
        "/room/surfaces/floor/absorption_by_octave/500",
        "out_of_range",
        1.01,
        "a number from 0 to 1",
    ),
    (
        beside("/v1/reverberation", "/room", surfaces(floor={"absorption_by_octave": {}})),
        "/room/surfaces/floor/absorption_by_octave",
        "missing",
        None,
        ["63", "125", "250", "500", "1000", "2000", "4000", "8000"],
    ),
    (
        beside("/v1/reverberation", "/room", surfaces(floor={"parts": [{"admittance_ratio": 0.1, "area_m2": 22}]})),
        "/room/surfaces/floor/parts",
        "parts_too_large",
        22,
        ANY,
    ),
    (
        beside("/v1/reverberation", "/room", surfaces(floor={"parts": [{"admittance_ratio": 0.1, "area_m2": 2}]})),
        "/room/surfaces/floor/parts",
        "area_missing",
        2,
        ANY,
    ),
    # how much
    (
        beside("/v1/response", "/seats", SMALL_BODIES["/v1/response"]["seats"] * 5_000),
        "/seats",
        "too_long",
        "a list of 5000 items",
        ANY,
    ),
    (
        beside("/v1/response", "/sources", SMALL_BODIES["/v1/response"]["sources"] * 9),
        "/sources",
        "too_long",
        "a list of 9 items",
        ANY,
    ),
    (beside("/v1/response", "/frequency_hz", [50] * 60_000), "/frequency_hz", "too_long", "a list of 60000 items", ANY),
    (
        beside("/v1/response", "/frequency_hz", {"from_hz": 20, "to_hz": 200, "points_per_octave": 1_000_000}),
        "/frequency_hz/points_per_octave",
        "out_of_range",
        1_000_000,
        "a whole number from 1 to 96",
    ),
    (
        beside("/v1/response", "/frequency_hz", {"from_hz": 20, "to_hz": 20_000, "points_per_octave": 24}),
        "/frequency_hz/to_hz",
        "out_of_range",
        20_000,
        f"a number {FREQUENCY_RANGE}",
    ),
    (
        beside("/v1/response", "/frequency_hz", {"from_hz": 200, "to_hz": 20, "points_per_octave": 24}),
        "/frequency_hz/to_hz",
        "upside_down",
        20,
        "at least 200",
    ),
    (
        beside("/v1/response", "/frequency_hz", [50, "63", None, 0]),
        "/frequency_hz/1",
        "not_a_number",
        "63",
        f"a number {FREQUENCY_RANGE}",
    ),
    (beside("/v1/response", "/frequency_hz", [50, "63", None, 0]), "/frequency_hz/2", "null_not_allowed", None, ANY),
    (beside("/v1/response", "/frequency_hz", [50, "63", None, 0]), "/frequency_hz/3", "out_of_range", 0, ANY),
    (beside("/v1/response", "/frequency_hz", 50), "/frequency_hz", "not_a_list_or_object", 50, ANY),
    (
        beside("/v1/exposure", "/periods", [{"level_dba": 80, "hours": 0.1}] * 101),
        "/periods",
        "too_long",
        "a list of 101 items",
        ANY,
    ),
    (
        beside("/v1/advice", "/note", "x" * 2001),
        "/note",
        "too_long",
        "x" * 77 + "...",
        "a text of 0 to 2000 characters",
    ),
    (beside("/v1/advice", "/programme", "jazz_small_grup"), "/programme", "not_a_choice", "jazz_small_grup", ANY),
    (beside("/v1/placement", "/search", {"spacing_m": [3, 2]}), "/search/spacing_m/1", "upside_down", 2, "at least 3"),
    (beside("/v1/placement", "/search", {"spacing_m": [3]}), "/search/spacing_m", "too_short", "a list of 1 item", ANY),
    (
        beside("/v1/placement", "/search", {"spacing_m": [1, 9]}),
        "/search/spacing_m/1",
        "does_not_fit",
        9,
        ANY,
    ),
]


@pytest.mark.parametrize(
    ("asked", "pointer", "code", "given", "allowed"), REFUSED, ids=[f"{row[0][0]}-{row[2]}-{row[1]}" for row in REFUSED]
)
def test_what_is_read_and_refused(client, asked, pointer, code, given, allowed):
    problem = assert_problem(post(client, *asked), 422)
    error = next((each for each in problem["errors"] if each["pointer"] == pointer), None)
    assert error is not None, problem["errors"]
    assert error["code"] == code
    if given is not ANY:
        assert error["given"] == given
    if allowed is not ANY:
        assert error["allowed"] == allowed
    assert error["allowed"], "a refusal says what is allowed"
    assert 15 < len(error["detail"]) < 700
    assert error["detail"].endswith((".", "?")), error["detail"]


UNKNOWN = [
    # path, pointer of the unknown field, nearest known name
    *((path, "/nota", "note") for path in WITH_BODY),
    *((path, "/rooom", "room") for path in WITH_BODY if "room" in SMALL_BODIES[path]),
    *((path, "/room/lenght_m", "length_m") for path in WITH_BODY if "room" in SMALL_BODIES[path]),
    ("/v1/advice", "/speaker/sensitivity_db_1w", "sensitivity_db_1w_1m"),
    ("/v1/advice", "/amplifier/Power_W", "power_w"),
    ("/v1/level", "/listening_distance", "listening_distance_m"),
    ("/v1/level", "/amplifier/power", "power_w"),
    ("/v1/modes", "/room/length", "length_m"),
    ("/v1/modes", "/room/surfaces/cieling", "ceiling"),
    ("/v1/response", "/sources/0/polarty", "polarity"),
    ("/v1/response", "/seats/0/x", "x_m"),
    ("/v1/placement", "/search/spacing", "spacing_m"),
    ("/v1/reverberation", "/include_aire", "include_air"),
    ("/v1/exposure", "/periods/0/level_db", "level_dba"),
    ("/v1/exposure", "/zzz", None),
    ("/v1/modes", "/room/zzz", None),
]


@pytest.mark.parametrize(("path", "pointer", "near"), UNKNOWN)
def test_an_unknown_field_is_refused_with_the_nearest_known_name(client, path, pointer, near):
    problem = assert_problem(post(client, path, put(SMALL_BODIES[path], pointer, 5)), 422)
    error = next(each for each in problem["errors"] if each["pointer"] == pointer)
    assert (error["code"], error["given"], error["did_you_mean"]) == ("unknown_field", 5, near)
    assert near is None or near in error["allowed"]
    assert (f"did you mean {near}?" if near else "the fields here are ") in error["detail"]


def test_an_unknown_material_is_refused_with_the_nearest_known_one(client):
    body = {"room": surfaces(floor={"material": "parquet_concret"})}
    (error,) = assert_problem(post(client, "/v1/reverberation", body), 422)["errors"]
    assert (error["code"], error["did_you_mean"]) == ("unknown_material", "parquet_concrete")
    assert error["pointer"].startswith("/room/surfaces/floor")


def test_all_faults_of_a_body_are_told_at_once(client):
    body = {"speaker": {"sensitivity_db_1w_1m": "98"}, "amplifier": {"power_w": None}, "rom": {}}
    problem = assert_problem(post(client, "/v1/advice", body), 422)
    assert {error["pointer"] for error in problem["errors"]} == {
        "/speaker/sensitivity_db_1w_1m",
        "/amplifier/power_w",
        "/room",
        "/rom",
    }
    assert problem["detail"].startswith("4 faults; the first: ")


# outside the body: 404, 405, 413, 415, and the query ------------------------------------------------------------------


@pytest.mark.parametrize("path", WITH_BODY)
def test_a_body_over_the_limit(client, path):
    body = small_body(path, note="x" * MAX_BODY_BYTES)
    problem = assert_problem(post(client, path, body), 413)
    assert problem["detail"] == "The body is longer than the 262144 bytes allowed."


@pytest.mark.parametrize("path", ["/v1/response", "/v1/modes", "/v1/advice"])
def test_a_million_frequencies_or_ten_thousand_seats_are_over_the_limit(client, path):
    body = json.dumps({"frequency_hz": [20] * 1_000_000, "seats": [{"x_m": 1, "y_m": 1, "z_m": 1}] * 10_000})
    assert_problem(post(client, path, body.encode()), 413)


@pytest.mark.parametrize("path", WITH_BODY)
@pytest.mark.parametrize(
    "content_type", [None, "text/plain", "text/json", "application/x-www-form-urlencoded", "application/problem+json"]
)
def test_a_wrong_media_type(client, path, content_type):
    response = client.post(path, data=json.dumps(SMALL_BODIES[path]), content_type=content_type)
    problem = assert_problem(response, 415)
    given = "none" if content_type is None else f'"{content_type}"'
    assert problem["detail"] == f"Content-Type must be application/json; got {given}."


@pytest.mark.parametrize(
    ("path", "near"),
    [
        ("/v1/advise", "/v1/advice"),
        ("/v1/advice/", "/v1/advice"),
        ("/advice", "/v1/advice"),
        ("/v1/Level", "/v1/level"),
        ("/v2/modes", "/v1/modes"),
        ("/v1/material", "/v1/materials"),
        ("/openapi", "/openapi.json"),
        ("/zzzzzzzzzzzzz", None),
    ],
)
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_an_unknown_path(client, path, near, method):
    problem = assert_problem(client.open(path, method=method), 404)
    remedy = f" Did you mean {near}?" if near else ""
    assert problem["detail"] == f'There is nothing at "{path}".{remedy}'


@pytest.mark.parametrize("path", [*WITH_BODY, *WITHOUT_BODY, "/health", "/openapi.json", "/docs"])
@pytest.mark.parametrize("method", ["GET", "POST", "PUT", "DELETE", "PATCH"])
def test_a_wrong_method(client, path, method):
    right = "POST" if path in WITH_BODY else "GET"
    if method == right:
        return
    response = client.open(path, method=method, json={})
    problem = assert_problem(response, 405)
    assert right in response.headers["Allow"].split(", ")
    assert method not in response.headers["Allow"].split(", ")
    assert f"does not answer {method}" in problem["detail"]


@pytest.mark.parametrize("path", WITH_BODY)
def test_facts_in_the_query_are_refused(client, path):
    response = client.post(f"{path}?length_m=6", json=SMALL_BODIES[path])
    (error,) = assert_problem(response, 422)["errors"]
    assert (error["code"], error["given"]) == ("unknown_query_parameter", "6")


# limits, one by one ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", limits.LIMITS)
def test_a_limit_allows_its_ends_and_nothing_beyond(name):
    limit = limits.LIMITS[name]
    step = 1 if isinstance(limit.minimum, int) else 1e-9 * max(1.0, abs(limit.maximum))
    assert limit.minimum < limit.maximum
    assert limit.allows(limit.maximum)
    assert not limit.allows(limit.maximum + step)
    assert limit.allows(limit.minimum) is not limit.above
    assert not limit.allows(limit.minimum - step)
