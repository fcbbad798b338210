"""Placement in depth: front walls, zones, what is given up, refinement, effort, bass sections, reasons, refusals."""

import itertools
import math

import numpy as np
import pytest

from service.advice.placement import policy
from service.advice.placement.frames import Frame, default_front_walls, front_wall_of
from service.domain.position import Place, Positions
from service.domain.search import FRONT_WALLS

ROOM = {
    "length_m": 6.2,
    "width_m": 4.4,
    "height_m": 2.6,
    "surfaces": {"left_wall": {"absorption_coefficient": 0.3}, "back_wall": {"absorption_coefficient": 0.15}},
}
BAFFLE = {"sensitivity_db_1w_1m": 96, "kind": "open_baffle"}
WITH_BASS = {
    "sensitivity_db_1w_1m": 100,
    "kind": "top_with_bass_section",
    "bass_section": {"crossover_hz": 110, "low_limit_hz": 28},
}
FOUND = {
    "speakers": [{"x_m": 0.6, "y_m": 1.0, "z_m": 0.9}, {"x_m": 0.6, "y_m": 3.4, "z_m": 0.9}],
    "seats": [{"x_m": 5.6, "y_m": 2.2, "z_m": 1.1}],
}


@pytest.fixture(scope="module")
def place(client):
    def ask(search=None, status=200, **body):
        body = {"room": ROOM, "search": {"effort": "quick", **(search or {})}, **body}
        answer = client.post("/v1/placement", json=body)
        assert answer.status_code == status, answer.text
        return answer.json

    return ask


def codes(answer):
    return [finding["code"] for finding in answer["findings"]]


def values(answer, code):
    return next(finding["values"] for finding in answer["findings"] if finding["code"] == code)


def xy(place):
    return place["x_m"], place["y_m"]


# front walls ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("front_wall", "there_m", "facing_deg"),
    [
        # 1 m from the wall in front and 0.5 m from the wall on the left, looking at the wall behind
        ("front_wall", (1.0, 0.5), 0.0),
        ("back_wall", (5.2, 3.9), 180.0),  # 6.2 - 1, 4.4 - 0.5
        ("left_wall", (5.7, 1.0), 90.0),  # facing the left wall the back wall is on the left: 6.2 - 0.5
        ("right_wall", (0.5, 3.4), -90.0),  # facing the right wall the front wall is on the left; 4.4 - 1
    ],
)
def test_frames_by_hand(front_wall, there_m, facing_deg):
    frame = Frame(front_wall=front_wall, room_m=(6.2, 4.4, 2.6))
    place = frame.place_in_room((1.0, 0.5, 0.9), facing_rad=0.0)
    assert (place.x_m, place.y_m) == pytest.approx(there_m)
    assert place.facing_deg == pytest.approx(facing_deg)
    back = frame.place_here(place)
    assert back.xyz_m == pytest.approx((1.0, 0.5, 0.9))
    assert back.facing_deg == pytest.approx(0.0)


def test_the_wall_behind_speakers_follows_from_where_they_look():
    def found(speakers, seat):
        return Positions(
            speakers=tuple(Place(x_m=x, y_m=y, z_m=1) for x, y in speakers),
            seats=(Place(x_m=seat[0], y_m=seat[1], z_m=1),),
        )

    assert front_wall_of(found([(1, 1), (1, 3)], (4, 2))) == "front_wall"
    assert front_wall_of(found([(5, 1), (5, 3)], (2, 2))) == "back_wall"
    assert front_wall_of(found([(2, 1), (4, 1)], (3, 3.5))) == "left_wall"
    assert front_wall_of(found([(2, 3.5), (4, 3.5)], (3, 1))) == "right_wall"


def test_both_ends_and_the_long_walls_unless_places_are_told():
    assert default_front_walls((6.2, 4.4, 2.6)) == FRONT_WALLS
    assert default_front_walls((4.4, 6.2, 2.6)) == ("front_wall", "back_wall")


@pytest.mark.parametrize(("front_wall", "kind"), [*itertools.product(FRONT_WALLS, ("single_driver", "open_baffle"))])
def test_places_posted_to_response_give_the_same_curve_for_each_front_wall(client, place, front_wall, kind):
    answer = place({"front_walls": [front_wall]}, speaker={**BAFFLE, "kind": kind})
    assert answer["front_wall"] == front_wall
    for placed in answer["placements"]:
        assert placed["front_wall"] == front_wall
        body = {"sources": placed["speakers"], "seats": placed["seats"]}
        body["frequency_hz"] = placed["curve"]["frequency_hz"]
        response = client.post("/v1/response", json={"room": ROOM, **body})
        assert response.status_code == 200, response.text
        np.testing.assert_allclose(response.json["seats"][0]["gain_db"], placed["curve"]["gain_db"], atol=0.01)


def test_told_places_fix_the_front_wall_and_front_walls_free_it(place):
    assert place(positions=FOUND)["front_wall"] == "front_wall"
    there = {
        "speakers": [{"x_m": 2.0, "y_m": 0.6, "z_m": 0.9}, {"x_m": 4.2, "y_m": 0.6, "z_m": 0.9}],
        "seats": [{"x_m": 3.1, "y_m": 3.0, "z_m": 1.1}],
    }
    answer = place(positions=there)
    assert answer["front_wall"] == answer["as_found"]["front_wall"] == "left_wall"
    # the long wall on the left: its left-hand speaker is the one further along the room
    assert [p["toe_in_deg"] for p in answer["as_found"]["speakers"]] == pytest.approx([24.6236] * 2, abs=1e-3)
    assert place({"front_walls": ["back_wall"]}, positions=there)["front_wall"] == "back_wall"


def test_a_room_turned_round_gives_the_same_places_turned_round(place):
    """The back wall as front wall of a room is the front wall of the room described from its other end."""
    turned = {name: ROOM[name] for name in ("length_m", "width_m", "height_m")}
    turned["surfaces"] = {"right_wall": {"absorption_coefficient": 0.3}, "front_wall": {"absorption_coefficient": 0.15}}
    one = place({"front_walls": ["front_wall"]})["placements"][0]
    other = place({"front_walls": ["back_wall"]}, room=turned)["placements"][0]
    for here, there in zip([*one["speakers"], *one["seats"]], [*other["speakers"], *other["seats"]], strict=True):
        assert xy(there) == pytest.approx((6.2 - here["x_m"], 4.4 - here["y_m"]), abs=1e-3)
    assert other["merit"] == pytest.approx(one["merit"], abs=1e-3)


def test_a_mirrored_room_gives_mirrored_places(place):
    """Left and right wall changed over: the same distances from front and back, left and right changed over."""
    mirrored = {
        **ROOM,
        "surfaces": {"right_wall": ROOM["surfaces"]["left_wall"], "back_wall": ROOM["surfaces"]["back_wall"]},
    }
    search = {"front_walls": ["front_wall"], "symmetric": False, "spacing_m": [2.0, 2.4]}
    one, other = place(search)["placements"][0], place(search, room=mirrored)["placements"][0]
    assert other["merit"] == pytest.approx(one["merit"], abs=1e-3)
    across = sorted(4.4 - speaker["y_m"] for speaker in other["speakers"])
    assert across == pytest.approx([speaker["y_m"] for speaker in one["speakers"]], abs=2e-3)
    assert other["seats"][0]["x_m"] == pytest.approx(one["seats"][0]["x_m"], abs=2e-3)


# constraints ---------------------------------------------------------------------------------------------------------


def corners_m(speaker, *, width_m=0.35, depth_m=0.4):
    facing = math.radians(speaker["facing_deg"])
    ahead, across = np.array([math.cos(facing), math.sin(facing)]), np.array([-math.sin(facing), math.cos(facing)])
    front = np.array(xy(speaker))
    return [front + s * width_m / 2 * across - b * depth_m * ahead for s in (-1, 1) for b in np.linspace(0, 1, 5)]


@pytest.mark.parametrize("front_wall", FRONT_WALLS)
def test_nothing_stands_in_a_zone(place, front_wall):
    zones = [
        {"name": "door", "x_m": 0.0, "y_m": 0.0, "length_m": 1.3, "width_m": 1.3},
        {"name": "sideboard", "x_m": 2.8, "y_m": 3.4, "length_m": 1.6, "width_m": 1.0},
    ]
    answer = place({"front_walls": [front_wall], "keep_clear": zones, "symmetric": False})
    assert answer["placements"]
    for placed in answer["placements"]:
        for zone in zones:
            x0, y0 = zone["x_m"], zone["y_m"]
            x1, y1 = x0 + zone["length_m"], y0 + zone["width_m"]
            for x, y in itertools.chain.from_iterable(corners_m(each) for each in placed["speakers"]):
                assert not (x0 + 1e-3 < x < x1 - 1e-3 and y0 + 1e-3 < y < y1 - 1e-3), zone["name"]
            x, y = xy(placed["seats"][0])
            assert math.hypot(max(x0 - x, 0, x - x1), max(y0 - y, 0, y - y1)) >= 0.3 - 1e-6


def test_a_fireplace_asks_for_a_pair_off_the_axis(place):
    """On the left up to 2.5 m from the front wall: no pair about the axis, but one further to the right."""
    zone = {"name": "fireplace", "x_m": 0.0, "y_m": 0.0, "length_m": 2.5, "width_m": 1.5}
    search = {"front_walls": ["front_wall"], "keep_clear": [zone]}
    answer = place(search)
    assert answer["placements"] == []
    assert answer["front_wall"] is None
    assert values(answer, "nothing_fits")["give_up_first"] == "keep_clear"
    assert values(answer, "nothing_fits")["zone"] == "fireplace"
    assert "fireplace" in answer["findings"][0]["text"]
    for placed in place({**search, "symmetric": False})["placements"]:
        assert placed["speakers"][0]["y_m"] > 1.5
        assert placed["seats"][0]["y_m"] > 2.2


@pytest.mark.parametrize(
    ("search", "give_up"),
    [
        ({"keep_clear": [{"name": "most", "x_m": 0, "y_m": 0, "length_m": 6.2, "width_m": 4.0}]}, "keep_clear"),
        ({"front_wall_to_baffle_max_m": 0.3}, "front_wall_to_baffle_max"),
        ({"walking_room_m": 4.0}, "walking_room"),
        ({"base_angle_deg": [5, 8]}, "base_angle"),
        ({"seat_distance_m": [0.3, 0.5]}, "listening_distance"),
        ({"spacing_m": [0.2, 0.3]}, "spacing"),
        ({"seat_to_back_wall_min_m": 5.0}, "seat_to_back_wall"),
    ],
)
def test_what_is_given_up_first_and_what_that_gains(place, search, give_up):
    answer = place({"front_walls": ["front_wall"], **search})
    assert answer["placements"] == []
    assert answer["candidates_judged"] == 0
    found = values(answer, "nothing_fits")
    assert found["give_up_first"] == give_up
    free = place({"front_walls": ["front_wall"]})["placements"][0]["merit"]
    # a coarser look at a space that is about the free one, chairs near the speakers included where distance is given up
    assert free - 2.0 <= found["merit_without_db"] <= free + 4.0


def test_told_ranges_and_ways_of_standing(place):
    answer = place({"base_angle_deg": [58, 62], "seat_distance_m": [2.4, 2.7], "front_wall_to_baffle_max_m": 0.7})
    assert answer["placements"]
    for placed in answer["placements"]:
        frame = Frame(front_wall=placed["front_wall"], room_m=(6.2, 4.4, 2.6))
        (left, right), seat = placed["speakers"], placed["seats"][0]
        assert 58 - 1e-6 <= placed["base_angle_deg"] <= 62 + 1e-6
        assert 2.4 - 1e-3 <= math.dist(xy(left), xy(seat)) <= 2.7 + 1e-3
        assert frame.rotation.there_m([*xy(right), 0.9])[0] <= 0.7 + 1e-9
    near = place({"standing": "near_wall", "front_walls": ["front_wall"]})["placements"][0]
    assert near["speakers"][0]["x_m"] <= 0.4 + policy.NEAR_WALL_WITHIN_M + 1e-9
    corner = place({"standing": "corner", "front_walls": ["front_wall"]})["placements"][0]
    # turned by 45 degrees: (0.4 + 0.35 / 2) / sqrt(2) = 0.407 m from both walls at least, up to 0.3 m further out
    for speaker, from_side_m in zip(
        corner["speakers"], (corner["speakers"][0]["y_m"], 4.4 - corner["speakers"][1]["y_m"]), strict=True
    ):
        assert abs(speaker["facing_deg"]) == pytest.approx(45)
        assert 0.4065 <= speaker["x_m"] <= 0.71
        assert 0.4065 <= from_side_m <= 0.71
    baffle = place({"front_walls": ["front_wall"]}, speaker=BAFFLE)["placements"][0]
    assert baffle["speakers"][0]["x_m"] >= policy.DIPOLE_TO_FRONT_WALL_M


# must stay, effort, refinement ---------------------------------------------------------------------------------------


def test_all_that_stays_is_left(place):
    answer = place({"must_stay": ["seat", "speakers"]}, positions=FOUND)
    assert answer["candidates_judged"] == 1
    assert answer["gain_of_moving_db"] == pytest.approx(0.0, abs=0.02)
    assert codes(answer)[0] == "leave_it"


def test_more_effort_is_never_worse_and_refinement_is_off_the_grid(place):
    answers = {effort: place({"effort": effort, "front_walls": ["front_wall"]}) for effort in policy.EFFORTS}
    judged = [answers[effort]["candidates_judged"] for effort in ("quick", "normal", "thorough")]
    assert judged == sorted(judged)
    assert judged[0] < judged[-1]
    for effort, answer in answers.items():
        assert answer["effort"] == effort
        assert answer["candidates_judged"] <= policy.EFFORTS[effort].candidates
    merits = {effort: answer["placements"][0]["merit"] for effort, answer in answers.items()}
    assert merits["thorough"] <= merits["normal"] + 0.05 <= merits["quick"] + 0.1
    # grid steps of 20 cm and of 25 cm end at the same place, once refined
    coarse = [place({"effort": "normal", "front_walls": ["front_wall"], "step_m": step_m}) for step_m in (0.1, 0.125)]
    assert coarse[0]["placements"][0]["merit"] == pytest.approx(coarse[1]["placements"][0]["merit"], abs=0.25)


def test_an_answer_is_the_same_each_time(place):
    assert place(note="one") == place(note="two")


# bass sections -------------------------------------------------------------------------------------------------------


def test_bass_sections_may_stand_apart(place):
    together = place({"front_walls": ["front_wall"]}, speaker=WITH_BASS)
    apart = place({"front_walls": ["front_wall"], "bass_apart": True}, speaker=WITH_BASS)
    assert together["placements"][0]["bass"] is None
    winner = apart["placements"][0]
    left, right = winner["bass"]
    assert left["z_m"] == right["z_m"] == policy.BASS_SECTION_HEIGHT_M
    assert left["y_m"] + right["y_m"] == pytest.approx(4.4, abs=1e-3)
    assert left["x_m"] <= winner["seats"][0]["x_m"] - policy.SMALLEST_DEPTH_M + 1e-9
    marks = {mark["measure_to"] for mark in winner["tape_measure"]}
    assert {"left bass section", "right bass section"} <= marks


def test_bass_sections_that_must_stay_stand_below_the_speakers_as_found(place):
    search = {"bass_apart": True, "must_stay": ["bass", "seat"]}
    answer = place(search, speaker=WITH_BASS, positions=FOUND)
    for placed in [*answer["placements"], answer["as_found"]]:
        assert [xy(each) for each in placed["bass"]] == [(0.6, 1.0), (0.6, 3.4)]


# reasons -------------------------------------------------------------------------------------------------------------


def test_a_gap_of_today_that_is_filled_is_named(place):
    answer = place(positions=FOUND)
    why = values(answer, "why_here")
    text = next(finding["text"] for finding in answer["findings"] if finding["code"] == "why_here")
    assert why["gap_as_found_db"] - why["gap_here_db"] >= policy.WHY_GAP_FILLED_DB
    assert f"{why['gap_hz']:.0f} Hz" in text


def test_a_seat_in_mid_length_hardly_hears_the_first_length_mode():
    """c / (2 * 6.2) = 27.7 Hz: cos(pi / 2) = 0 in mid-length, cos(pi 5.9 / 6.2) = -0.99 at the wall behind."""
    from service.advice.assumptions import Assumptions
    from service.advice.placement.placement import placed_speaker
    from service.advice.placement.reasons import Places, avoided_modes
    from service.advice.placement.setting import setting_of
    from service.advice.room.cached import cached_room_model
    from service.domain.equipment import Loudspeaker
    from service.domain.room import Room

    room_m = (6.2, 4.4, 2.6)
    acoustics = cached_room_model(Room(length_m=6.2, width_m=4.4, height_m=2.6), Assumptions())
    settled = placed_speaker(Loudspeaker(sensitivity_db_1w_1m=97.0, low_limit_hz=20.0), Assumptions())
    setting = setting_of(acoustics, settled, Frame(front_wall="front_wall", room_m=room_m), np.zeros((1, 3)))
    speakers_m = np.array([[0.6, 1.2, 0.9], [0.6, 3.2, 0.9]])
    there, here = (
        Places(speakers_m=speakers_m, lead_m=np.array([x_m, 2.2, 1.1]), facing_rad=np.zeros(2)) for x_m in (5.9, 3.1)
    )
    first = avoided_modes(setting, here, there, front_wall="front_wall")[0]
    assert (first.along, first.by) == ("length", "chair")
    assert first.frequency_hz == pytest.approx(343.2 / 2 / 6.2, rel=0.002)
    (turned, *_) = avoided_modes(setting, here, there, front_wall="left_wall")
    assert turned.along == "width", "listened to across the room"


# refusals ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("search", "pointer", "code"),
    [
        ({"front_walls": ["ceiling"]}, "/search/front_walls/0", "not_a_choice"),
        ({"front_walls": []}, "/search/front_walls", "too_short"),
        ({"step_m": 0.005}, "/search/step_m", "too_much_work"),
        ({"base_angle_deg": [70, 50]}, "/search/base_angle_deg/1", "upside_down"),
        ({"seat_distance_m": [3, 2]}, "/search/seat_distance_m/1", "upside_down"),
        ({"front_wall_distance_m": [2, 1]}, "/search/front_wall_distance_m/1", "upside_down"),
        ({"spacing_m": [2, 7]}, "/search/spacing_m/1", "does_not_fit"),
        ({"bass_apart": True}, "/search/bass_apart", "no_bass_section"),
        ({"must_stay": ["bass"]}, "/search/must_stay", "missing"),
        ({"effort": "utmost"}, "/search/effort", "not_a_choice"),
    ],
)
def test_searches_that_are_refused(place, search, pointer, code):
    (error,) = place(search, status=422)["errors"]
    assert (error["pointer"], error["code"]) == (pointer, code)
    assert error["allowed"]


def test_zones_that_cover_the_room_are_refused(place):
    whole = {"name": "all", "x_m": 0, "y_m": 0, "length_m": 6.2, "width_m": 4.4}
    halves = [{**whole, "length_m": 3.1}, {**whole, "x_m": 3.1, "length_m": 3.1}]
    for zones in ([whole], halves):
        (error,) = place({"keep_clear": zones}, status=422)["errors"]
        assert (error["pointer"], error["code"]) == ("/search/keep_clear", "covers_the_room")
    place({"keep_clear": halves[:1]})


@pytest.mark.parametrize(
    ("zone", "name", "code"),
    [
        ({"x_m": 7.0}, "x_m", "outside_the_room"),
        ({"y_m": 4.4}, "y_m", "outside_the_room"),
        ({"length_m": 6.0}, "length_m", "outside_the_room"),
        ({"width_m": -1.0}, "width_m", "out_of_range"),
        ({"width_m": 0}, "width_m", "out_of_range"),
        ({"name": ""}, "name", "too_short"),
        ({"name": "n" * 61}, "name", "too_long"),
    ],
)
def test_zones_that_are_refused(place, zone, name, code):
    whole = {"name": "door", "x_m": 0.5, "y_m": 0.5, "length_m": 1.0, "width_m": 1.0, **zone}
    (error,) = place({"keep_clear": [whole]}, status=422)["errors"]
    assert (error["pointer"], error["code"]) == (f"/search/keep_clear/0/{name}", code)
    assert place({"keep_clear": [{**whole, **zone}] * 13}, status=422)["errors"][0]["code"] == "too_long"


def test_speakers_that_stay_cannot_be_asked_to_another_wall(place):
    search = {"must_stay": ["speakers"], "front_walls": ["left_wall"]}
    (error,) = place(search, status=422, positions=FOUND)["errors"]
    assert (error["pointer"], error["code"], error["allowed"]) == ("/search/front_walls", "contradiction", "front_wall")


def test_a_seat_outside_the_room_is_refused(place):
    outside = {**FOUND, "seats": [{"x_m": 6.5, "y_m": 2.2, "z_m": 1.1}]}
    (error,) = place({"must_stay": ["seat"]}, status=422, positions=outside)["errors"]
    assert (error["pointer"], error["code"]) == ("/positions/seats/0/x_m", "outside_the_room")


def test_the_caps_stand_in_the_specification(client):
    search = client.get("/openapi.json").json["components"]["schemas"]["Search"]["properties"]
    for name, effort in policy.EFFORTS.items():
        assert f"{name} {effort.candidates}" in search["effort"]["description"]
