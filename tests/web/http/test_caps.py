"""What one request may cost: beyond the caps it is refused in words, at the caps it is answered in bounded memory.

Time is not asserted here; the caps were chosen so that the bodies below take at most about three seconds.
"""

import tracemalloc

import pytest

from service.domain import limits
from service.domain.requests import MOST_COMPARED
from service.web.http.app import create_app
from tests.web.problems import assert_problem
from tests.web.real import small_body

MOST_MEMORY_MB = 250
"""More than any request needs; eight at once stay within an ordinary machine."""

LIVELY = {"63": 10, "500": 6, "1000": 4, "4000": 1, "8000": 0.5}
FLAT_HALL = {"length_m": 30, "width_m": 30, "height_m": 3.3, "reverberation_time_by_octave_s": LIVELY}
HIGH_HALL = {"length_m": 14.4, "width_m": 14.4, "height_m": 12, "reverberation_time_by_octave_s": LIVELY}
"""The largest rooms, 3000 m3 nearly: of most length and width, and of most height."""

PAIR = [{"x_m": 1, "y_m": 1, "z_m": 1}, {"x_m": 1, "y_m": 3, "z_m": 1}]
MANY_SEATS = [{"x_m": 4 + 0.5 * (i // 8), "y_m": 2 + 0.3 * (i % 8), "z_m": 1.1} for i in range(limits.MOST_SEATS)]
BESIDE_A_SPEAKER = [{"x_m": 1.04, "y_m": 1.03 + 0.001 * i, "z_m": 1} for i in range(limits.MOST_SEATS)]
BAFFLE = {"sensitivity_db_1w_1m": 95, "kind": "open_baffle", "low_limit_hz": 5}
"""A dipole asks for more modes than a monopole, and a low limit for more bands."""


def response_body(room, *, sources, seats, frequencies, separation_m):
    """A body of the response with this many of each, the seats beside the sources."""
    return {
        "room": room,
        "sources": [{"x_m": 1 + 0.001 * i, "y_m": 1, "z_m": 1, "radiation": "dipole"} for i in range(sources)],
        "seats": [{"x_m": 1, "y_m": 1 + separation_m, "z_m": 1 + 0.002 * i} for i in range(seats)],
        "frequency_hz": [300 - 0.05 * i for i in range(frequencies)],
    }


@pytest.fixture(scope="module")
def client():
    """An application of its own, whose answers are computed here and not kept from elsewhere."""
    return create_app().test_client()


def peak_mb(ask):
    """Return the answer and the peak of the memory that it took, arrays of numpy included."""
    tracemalloc.start()
    try:
        answer = ask()
        return answer, tracemalloc.get_traced_memory()[1] / 1e6
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize(
    "counts",
    [
        {"sources": 1, "seats": 1, "frequencies": 1000, "separation_m": 0.02},
        {"sources": 8, "seats": 32, "frequencies": 156, "separation_m": 0.19},
        {"sources": 8, "seats": 5, "frequencies": 1000, "separation_m": 0.25},
    ],
    ids=["frequencies", "pairs", "both"],
)
def test_a_wave_field_of_too_many_terms_is_refused(client, counts):
    problem = assert_problem(client.post("/v1/response", json=response_body(HIGH_HALL, **counts)), 422)
    (error,) = problem["errors"]
    assert (error["pointer"], error["code"]) == ("/frequency_hz", "too_much_work")
    assert error["given"] > limits.MOST_FIELD_TERMS
    assert error["allowed"] == f"at most {limits.MOST_FIELD_TERMS // 10**6} million terms"


def test_a_response_of_too_many_values_is_refused(client):
    counts = {"sources": 8, "seats": 32, "frequencies": 157}  # 40 192 values
    body = response_body(FLAT_HALL, separation_m=3.0, **counts)
    (error,) = assert_problem(client.post("/v1/response", json=body), 422)["errors"]
    assert (error["code"], error["given"]) == ("too_much_work", 40192)
    assert error["allowed"] == f"at most {limits.MOST_RESPONSE_VALUES} values of one request"


def test_an_ordinary_room_is_far_from_the_cap(client):
    """All sources, seats and frequencies that a response may have, a metre and more apart, in a large living room."""
    room = {"length_m": 8, "width_m": 6, "height_m": 3}
    seats = [{"x_m": 3 + 0.5 * (i // 8), "y_m": 1 + 0.5 * (i % 8), "z_m": 1.1} for i in range(32)]
    sources = [{"x_m": 0.5 + 0.1 * i, "y_m": 0.5 + 0.6 * i, "z_m": 0.4} for i in range(8)]
    body = {"room": room, "sources": sources, "seats": seats, "frequency_hz": [20 + 1.8 * i for i in range(156)]}
    assert client.post("/v1/response", json=body).status_code == 200


MOST_EXPENSIVE = {
    "modes": ("/v1/modes", {"room": {**FLAT_HALL, "temperature_c": -10}, "to_hz": 300}),
    "response, one pair": (
        "/v1/response",
        response_body(FLAT_HALL, sources=1, seats=1, frequencies=1000, separation_m=0.02),
    ),
    "response, many pairs": (
        "/v1/response",
        response_body(FLAT_HALL, sources=8, seats=32, frequencies=156, separation_m=4.0),
    ),
    "level": (
        "/v1/level",
        {
            "speaker": BAFFLE,
            "amplifier": {"power_w": 8},
            "room": HIGH_HALL,
            "positions": {"speakers": PAIR, "seats": BESIDE_A_SPEAKER},
        },
    ),
    "reverberation": (
        "/v1/reverberation",
        {
            "room": {
                **{name: FLAT_HALL[name] for name in ("length_m", "width_m", "height_m")},
                "surfaces": {
                    wall: {
                        "parts": [{"absorption_coefficient": 0.3, "area_m2": 0.1}] * 11 + [{"material": "wool_50_60"}]
                    }
                    for wall in ("front_wall", "back_wall", "left_wall", "right_wall", "floor", "ceiling")
                },
                "furniture": [{"material": "chair_upholstered", "count": 10}] * limits.MOST_OBJECTS,
                "people": 200,
            }
        },
    ),
    "exposure": ("/v1/exposure", {"periods": [{"level_dba": 139, "hours": 0.24}] * limits.MOST_PERIODS}),
    "match, a full table": (
        "/v1/match",
        {
            "speakers": [BAFFLE, {"sensitivity_db_1w_1m": 96}] * (MOST_COMPARED // 2),
            "amplifiers": [{"power_w": 8, "kind": "push_pull_valve", "taps_ohm": [4, 8, 16]}] * MOST_COMPARED,
            "room": HIGH_HALL,
            "listening_distance_m": 0.35,
        },
    ),
    "placement": ("/v1/placement", {"room": HIGH_HALL, "speaker": BAFFLE}),
    "placement, many seats": (
        "/v1/placement",
        {"room": FLAT_HALL, "speaker": BAFFLE, "positions": {"speakers": PAIR, "seats": MANY_SEATS}},
    ),
    "placement, widest search": (
        "/v1/placement",
        {
            "room": FLAT_HALL,
            "speaker": BAFFLE,
            "search": {"front_wall_distance_m": [0.5, 20], "spacing_m": [0.5, 20], "seat_to_back_wall_min_m": 0},
        },
    ),
    "advice": (
        "/v1/advice",
        {"room": HIGH_HALL, "speaker": BAFFLE, "amplifier": {"power_w": 8}, "listening_distance_m": 3},
    ),
    "advice, chair near the speakers": (
        "/v1/advice",
        {"room": HIGH_HALL, "speaker": BAFFLE, "amplifier": {"power_w": 8}, "listening_distance_m": 0.3},
    ),
}


SLOWEST = {"response, one pair", "response, many pairs", "placement, many seats", "placement, widest search"}
"""Four seconds and more each, as much memory as others of their operation; only the deep run waits for them."""


@pytest.mark.parametrize(
    ("path", "body"),
    [
        pytest.param(path, body, id=name, marks=[pytest.mark.deep] if name in SLOWEST else [])
        for name, (path, body) in MOST_EXPENSIVE.items()
    ],
)
def test_the_most_expensive_requests_are_answered_in_bounded_memory(client, path, body):
    answer, memory_mb = peak_mb(lambda: client.post(path, json=body))
    assert answer.status_code == 200, answer.json
    assert len(answer.data) < 10_000_000
    assert memory_mb < MOST_MEMORY_MB


def test_many_seats_beside_a_speaker_in_a_hall_are_refused(client):
    body = {"room": FLAT_HALL, "speaker": BAFFLE, "positions": {"speakers": PAIR, "seats": BESIDE_A_SPEAKER}}
    problem = assert_problem(client.post("/v1/placement", json=body), 422)
    (error,) = problem["errors"]
    assert (error["pointer"], error["code"]) == ("/positions/seats", "too_much_work")


def test_advice_without_a_search_where_the_search_would_take_too_long(client):
    path, body = MOST_EXPENSIVE["advice, chair near the speakers"]
    answer = client.post(path, json=body).json
    assert answer["verdict"]["headline"]
    assert answer["placement"]["placements"] == []
    assert answer["placement"]["candidates_judged"] == 0
    (finding,) = [each for each in answer["findings"] if each["code"] == "search_too_large"]
    assert "fewer seats" in finding["text"]
    usual = client.post("/v1/advice", json=small_body("/v1/advice", listening_distance_m=0.5)).json
    assert usual["placement"]["placements"], "at a desk in a living room places are searched"


def test_a_volume_over_the_most_is_refused_where_each_side_is_allowed(client):
    room = {"length_m": 20, "width_m": 20, "height_m": 7.6}
    (error,) = assert_problem(client.post("/v1/modes", json=small_body("/v1/modes", room=room)), 422)["errors"]
    assert (error["code"], error["allowed"]) == ("room_too_large", "a volume of at most 3000 m3")
