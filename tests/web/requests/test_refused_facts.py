"""Facts missing, unknown, out of range or at odds: refused with place, code, what was given and what is allowed."""

import pytest

from service.advice.language.localise import said
from service.domain import limits
from tests.web.problems import assert_problem
from tests.web.real import AMPLIFIER, PLACES, ROOM, SMALL_BODIES, SPEAKER, WITH_BODY, put, small_body
from tests.web.requests.asked_wrongly import ANY, post

SURFACES = ("front_wall", "back_wall", "left_wall", "right_wall", "floor", "ceiling")


def surfaces(**told):
    return {**ROOM, "surfaces": told}


def beside(path, pointer, value):
    """Return a row's path and body: the small body with one value changed."""
    return path, put(SMALL_BODIES[path], pointer, value)


FREQUENCY_RANGE = said(limits.LIMITS["frequency_hz"].words, "en")

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
