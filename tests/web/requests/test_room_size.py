"""Length and width, or the floor area: the specification and the service agree on what makes a room."""

import json

import pytest

from tests.web.real import request_validator


@pytest.mark.parametrize(
    ("room", "pointer"),
    [
        ({"length_m": 5, "width_m": 4}, None),
        ({"floor_area_m2": 20}, None),
        ({"length_m": 5, "width_m": 4, "floor_area_m2": 21}, None),
        ({}, "/room"),
        ({"height_m": 2.5}, "/room"),
        ({"length_m": 5}, "/room/width_m"),
        ({"width_m": 4}, "/room/length_m"),
        ({"width_m": 4, "floor_area_m2": 20}, "/room/length_m"),
        ({"length_m": 5, "floor_area_m2": 20}, "/room/width_m"),
        ({"floor_area_m2": 1.9}, "/room/floor_area_m2"),
        ({"floor_area_m2": 901}, "/room/floor_area_m2"),
        ({"floor_area_m2": 20, "construction": "old_hose"}, "/room/construction"),
        ({"floor_area_m2": 20, "furnishing": "empty"}, "/room/furnishing"),
        ({"floor_area_m2": 20, "shape": "round"}, "/room/shape"),
        ({"floor_area_m2": 20, "openings": [{"wall": "floor"}]}, "/room/openings/0/area_m2"),
        ({"floor_area_m2": 20, "openings": [{"wall": "door", "area_m2": 2}]}, "/room/openings/0/wall"),
        ({"floor_area_m2": 20, "openings": [{"wall": "left_wall", "area_m2": 0.1}] * 7}, "/room/openings"),
    ],
)
def test_specification_and_service_agree(client, room, pointer):
    body = {"room": room}
    answer = client.post("/v1/reverberation", data=json.dumps(body), content_type="application/json")
    assert request_validator("/v1/reverberation").is_valid(body) is (pointer is None)
    assert answer.status_code == (200 if pointer is None else 422)
    if pointer is not None:
        assert [error["pointer"] for error in answer.json["errors"]] == [pointer]


def test_places_do_not_follow_from_a_floor_area(client):
    (error,) = client.post("/v1/placement", json={"room": {"floor_area_m2": 20}}).json["errors"]
    assert (error["pointer"], error["code"]) == ("/room/length_m", "needs_length_and_width")


def test_an_unknown_kind_is_refused_with_the_list(client):
    room = {"floor_area_m2": 20, "construction": "old_hose"}
    (error,) = client.post("/v1/reverberation", json={"room": room}).json["errors"]
    assert error["did_you_mean"] == "old_house"
    assert {"brick_and_plaster", "concrete_basement", "hotel_suite"} <= set(error["allowed"])


def test_kinds_of_room_are_a_table(client):
    table = client.get("/v1/room-kinds").json
    assert [row["id"] for row in table["furnishings"]] == ["sparse", "furnished", "well_furnished"]
    assert all(len(row["reverberation_time_s"]) == len(table["octaves_hz"]) == 8 for row in table["constructions"])
    assert all(set(row["names"]) == {"en", "de"} for row in (*table["constructions"], *table["furnishings"]))
