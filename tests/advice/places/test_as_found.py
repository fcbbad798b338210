"""Places as people measure them: hand-computed geometry, and what posting an answer back gives."""

import math

import pytest

from service.advice.assumptions import DEFAULTS, Assumptions
from service.advice.places.settle import told_places
from service.advice.places.tape_measure import tape_measure
from service.domain.errors import DomainError
from service.domain.position import Place
from service.domain.requests import PlacementRequest
from tests.advice.tape_readings import (
    ACROSS,
    FULL,
    HEIGHTS,
    PLACES,
    ROOM_M,
    assumed,
    coordinates,
    request,
    standing,
)

# everything measured --------------------------------------------------------------------------------------------------


def test_fully_measured_by_hand():
    """Depth 5.4 - 3.0 - 0.8 = 1.6 m, half the spacing 1.2 m: the distance is 2.0 m, and tan a = 1.2 / 1.6."""
    assume = Assumptions()
    found = standing(FULL, assume=assume)
    assert coordinates(found.positions) == pytest.approx([0.8, 0.9, 3.3, 2.4, 2.1])
    assert found.listening_distance_m == pytest.approx(2.0)
    assert found.found
    assert found.distance_standard_m == 0.0
    # only the direction is open: both face the chair, 36.87 degrees inwards
    assert assumed(assume) == {"/as_found/toe_in_deg": 36.87}
    assert [place.facing_deg for place in found.positions.speakers] == [36.87, -36.87]


def test_heights_count_in_the_distance():
    """Ears 0.5 m above the speakers: sqrt(2.0^2 + 0.5^2) = 2.0616 m."""
    found = standing({**FULL, "ear_height_m": 1.4, "speaker_height_m": 0.9})
    assert found.listening_distance_m == pytest.approx(2.06155, abs=1e-5)
    assert [place.z_m for place in found.positions.speakers] == [0.9, 0.9]
    assert found.positions.seats[0].z_m == 1.4


@pytest.mark.parametrize("told", ACROSS.values(), ids=ACROSS)
def test_the_same_pair_however_it_was_measured(told):
    """4.1 - 1.2 = 2.9 = 0.7 + 2.2; the middle is 1.8, 0.25 m left of 2.05, and the chair is on it."""
    found = standing({**told, "front_wall_to_baffle_m": 0.6, "back_wall_to_ears_m": 2.0})
    assert coordinates(found.positions) == pytest.approx([0.6, 0.7, 2.9, 3.4, 1.8])
    assert found.distance_standard_m == 0.0


def test_shift_moves_pair_and_chair_alike():
    told = {"front_wall_to_baffle_m": 0.6, "spacing_m": 2.0, "back_wall_to_ears_m": 2.0}
    straight, shifted = standing(told), standing({**told, "side_offset_m": 0.3})
    across = [
        [place.y_m for place in (*each.positions.speakers, each.positions.seats[0])] for each in (straight, shifted)
    ]
    assert [b - a for a, b in zip(*across, strict=True)] == pytest.approx([0.3] * 3)
    assert shifted.listening_distance_m == pytest.approx(straight.listening_distance_m)


def test_toe_in_is_inwards_for_both():
    speakers = standing({**FULL, "toe_in_deg": 10.0}).positions.speakers
    assert [place.facing_deg for place in speakers] == [10.0, -10.0]


# partly measured ------------------------------------------------------------------------------------------------------


def test_sofa_on_the_wall_and_nothing_else_of_the_chair():
    """The visit: ears 0.30 m before the wall, x = 5.1; depth 5.1 - 0.5 = 4.6, distance sqrt(4.6^2 + 1.1^2) = 4.7297."""
    assume = Assumptions()
    told = {"front_wall_to_baffle_m": 0.5, "spacing_m": 2.2, "sofa_on_wall": True, **HEIGHTS}
    found = standing(told, assume=assume)
    assert coordinates(found.positions) == pytest.approx([0.5, 0.95, 3.15, 5.1, 2.05])
    assert found.listening_distance_m == pytest.approx(4.7297, abs=1e-4)
    listed = {item.pointer: item for item in assume.listed()}
    assert listed["/as_found/back_wall_to_ears_m"].value == 0.3
    assert listed["/as_found/back_wall_to_ears_m"].spread == (0.15, 0.5)
    # rectangular, half width 0.175 m, along the room: 0.175 / sqrt(3) * 4.6 / 4.7297 = 0.0983 m
    assert found.distance_standard_m == pytest.approx(0.0983, abs=1e-4)


def test_sofa_alone_puts_the_pair_at_60_degrees_within_the_walls():
    """Depth 5.1 - 0.9 = 4.2 asks for 2 * 4.2 * tan 30 = 4.85 m; 4.1 - 2 * 0.3 = 3.5 m is there."""
    assume = Assumptions()
    found = standing({"sofa_on_wall": True, **HEIGHTS}, assume=assume)
    assert coordinates(found.positions) == pytest.approx([0.9, 0.3, 3.8, 5.1, 2.05])
    assert assumed(assume) == {
        "/as_found/front_wall_to_baffle_m": 0.9,
        "/as_found/spacing_m": 3.5,
        "/as_found/back_wall_to_ears_m": 0.3,
        "/as_found/left_wall_to_ears_m": 2.05,
        "/as_found/side_offset_m": 0.0,
        "/as_found/toe_in_deg": pytest.approx(math.degrees(math.atan(1.75 / 4.2)), abs=1e-3),
    }


def test_spacing_alone_puts_the_chair_in_a_triangle_of_equal_sides():
    found = standing({"spacing_m": 2.0, "front_wall_to_baffle_m": 0.7, **HEIGHTS})
    assert found.listening_distance_m == pytest.approx(2.0, abs=1e-3)
    assert found.positions.seats[0].x_m == pytest.approx(0.7 + math.sqrt(3), abs=1e-3)
    assert found.distance_standard_m > 0.1


def test_distance_and_spacing_place_the_chair():
    """sqrt(2.5^2 - 1.5^2) = 2.0 m behind the speakers."""
    found = standing({"spacing_m": 3.0, "front_wall_to_baffle_m": 0.7, **HEIGHTS}, distance_m=2.5)
    assert coordinates(found.positions) == pytest.approx([0.7, 0.55, 3.55, 2.7, 2.05])
    # told from memory: 0.15 m either way, rectangular
    assert found.distance_standard_m == pytest.approx(0.15 / math.sqrt(3))


def test_distance_and_spacing_place_the_speakers_when_the_chair_is_measured():
    found = standing({"spacing_m": 3.0, "back_wall_to_ears_m": 2.4, **HEIGHTS}, distance_m=2.5)
    assert coordinates(found.positions) == pytest.approx([1.0, 0.55, 3.55, 3.0, 2.05])


def test_distance_and_depth_give_the_spacing():
    """Depth 5.4 - 2.4 - 1.0 = 2.0 m and distance 2.5 m: half the spacing 1.5 m."""
    assume = Assumptions()
    told = {"front_wall_to_baffle_m": 1.0, "back_wall_to_ears_m": 2.4, **HEIGHTS}
    found = standing(told, distance_m=2.5, assume=assume)
    assert coordinates(found.positions) == pytest.approx([1.0, 0.55, 3.55, 3.0, 2.05])
    assert "/as_found/spacing_m" not in assumed(assume)


def test_distance_from_a_chair_aside_of_the_pair_is_the_mean_of_both():
    """Speakers at y 1.05 and 3.05, chair 0.6 m to the right of their middle, 1.7 m behind them.

    sqrt(1.7^2 + 0.4^2) = 1.74642 and sqrt(1.7^2 + 1.6^2) = 2.33452, mean 2.04047.
    """
    told = {"spacing_m": 2.0, "front_wall_to_baffle_m": 0.9, "left_wall_to_ears_m": 2.65, **HEIGHTS}
    found = standing(told, distance_m=2.04047)
    assert found.positions.seats[0].x_m == pytest.approx(2.6, abs=1e-4)
    without_spacing = {**told, "back_wall_to_ears_m": 2.8}
    without_spacing.pop("spacing_m")
    assert coordinates(standing(without_spacing, distance_m=2.04047).positions) == pytest.approx(
        [0.9, 1.05, 3.05, 2.6, 2.65], abs=1e-4
    )


def test_sofa_and_distance_let_the_distance_decide():
    """Depth sqrt(4.6^2 - 1.2^2) = 4.4407 m, ears 5.4 - 0.8 - 4.4407 = 0.1593 m from the wall."""
    told = {"front_wall_to_baffle_m": 0.8, "spacing_m": 2.4, "sofa_on_wall": True, **HEIGHTS}
    found = standing(told, distance_m=4.6)
    assert 5.4 - found.positions.seats[0].x_m == pytest.approx(0.1593, abs=1e-4)
    with pytest.raises(DomainError) as refused:
        standing(told, distance_m=3.9)  # depth 3.711, ears 0.889 from the wall
    assert (refused.value.pointer, refused.value.code) == ("/listening_distance_m", "contradiction")


def test_sofa_and_distance_place_the_speakers_where_their_wall_was_not_measured():
    """Ears 0.3 m from the wall, depth sqrt(2.6^2 - 1^2) = 2.4 m: speakers 5.4 - 0.3 - 2.4 = 2.7 m from theirs."""
    found = standing({"spacing_m": 2.0, "sofa_on_wall": True, **HEIGHTS}, distance_m=2.6)
    assert coordinates(found.positions) == pytest.approx([2.7, 1.05, 3.05, 5.1, 2.05])


def test_only_the_speakers_wall_takes_the_usual_distance():
    assume = Assumptions()
    found = standing({"front_wall_to_baffle_m": 0.6, **HEIGHTS}, assume=assume)
    assert assumed(assume)["/listening_distance_m"] == DEFAULTS["listening_distance_m"].value == 3.0
    assert found.listening_distance_m == pytest.approx(3.0, abs=1e-3)
    assert found.positions.seats[0].x_m == pytest.approx(0.6 + 3 * math.sqrt(3) / 2, abs=1e-3)  # 60 degrees
    assert found.distance_standard_m == pytest.approx(1 / math.sqrt(3))


def test_one_speaker():
    """0.6 m right of the middle; straight ahead of the chair sqrt(2.5^2 - 0.5^2) = 2.4495 m behind it."""
    assume = Assumptions()
    told = {"front_wall_to_baffle_m": 0.8, "right_wall_to_right_baffle_m": 1.45, **HEIGHTS}
    found = standing(told, distance_m=2.5, count=1, assume=assume)
    assert coordinates(found.positions) == pytest.approx([0.8, 2.65, 3.3, 2.65])
    assert "/as_found/spacing_m" not in assumed(assume)
    assert "/as_found/side_offset_m" not in assumed(assume)
    in_the_middle = standing({"front_wall_to_baffle_m": 0.8, **HEIGHTS}, distance_m=2.5, count=1)
    assert coordinates(in_the_middle.positions) == pytest.approx([0.8, 2.05, 3.3, 2.05])
    (turned,) = standing(
        {**told, "left_wall_to_ears_m": 2.0, "toe_in_deg": 8.0}, distance_m=2.5, count=1
    ).positions.speakers
    assert turned.facing_deg == -8.0  # right of the chair: inwards is to the left


@pytest.mark.parametrize("count", [1, 2])
@pytest.mark.parametrize("distance_m", [None, 2.7])
@pytest.mark.parametrize(
    "told",
    [
        {"sofa_on_wall": True},
        {"front_wall_to_baffle_m": 0.43},
        {"left_wall_to_left_baffle_m": 0.83},
        {"back_wall_to_ears_m": 1.37, "left_wall_to_ears_m": 1.77},
        {"side_offset_m": 0.21, "toe_in_deg": 12.0},
    ],
    ids=lambda told: "+".join(told),
)
def test_what_was_assumed_posted_back_gives_the_same_places(told, distance_m, count):
    assume = Assumptions()
    first = standing(told, distance_m=distance_m, count=count, assume=assume)
    filled, again_m = dict(told), distance_m
    for pointer, value in assumed(assume).items():
        if pointer == "/listening_distance_m":
            again_m = value
        else:
            filled[pointer.removeprefix("/as_found/")] = value
    second_assume = Assumptions()
    second = standing(filled, distance_m=again_m, count=count, assume=second_assume)
    assert second.positions == first.positions
    assert second_assume.listed() == []
    assert second.listening_distance_m == pytest.approx(first.listening_distance_m, abs=1e-3)


# the tape list --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("ys_m", [(0.7396, 3.3604), (1.2344, 3.0), (1.7,)], ids=["pair", "pair aside", "one"])
def test_tape_list_posted_back_gives_the_same_places(ys_m):
    speakers = tuple(Place(x_m=1.1172, y_m=y_m, z_m=0.9) for y_m in ys_m)
    seat = (3.3178, sum(ys_m) / len(ys_m), 1.05)
    marks = tape_measure(speakers, [seat], dimensions_m=ROOM_M)
    told = {mark.as_found: mark.cm / 100 for mark in marks if mark.as_found is not None}
    assert len([mark for mark in marks if mark.as_found is None]) == len(ys_m)
    found = standing(told, count=len(ys_m)).positions
    for place, expected in zip(
        (*found.speakers, found.seats[0]), (*speakers, Place(x_m=seat[0], y_m=seat[1], z_m=seat[2])), strict=True
    ):
        assert place.xyz_m == pytest.approx(expected.xyz_m, abs=0.005)


# beside coordinates and without places --------------------------------------------------------------------------------


def test_coordinates_that_agree_decide():
    near = {**FULL, "front_wall_to_baffle_m": 0.84, "spacing_m": 2.37}
    assert standing(near, positions=PLACES).positions == PLACES


def test_heights_alone_keep_the_usual_places():
    """Ears told at 1.2 m, speakers at 0.6 m, distance 2.5 m: in plan sqrt(6.25 - 0.36) = 2.4269, half of it aside."""
    found = standing({"ear_height_m": 1.2, "speaker_height_m": 0.6, "toe_in_deg": 15.0}, distance_m=2.5)
    assert not found.found
    assert coordinates(found.positions)[1:3] == pytest.approx([2.05 - 1.2135, 2.05 + 1.2135], abs=6e-4)
    assert [place.z_m for place in (*found.positions.speakers, *found.positions.seats)] == [0.6, 0.6, 1.2]
    assert [place.facing_deg for place in found.positions.speakers] == [15.0, -15.0]


def test_a_distance_alone_keeps_the_usual_places():
    found = standing(None, distance_m=2.9)
    assert not found.found
    assert found.listening_distance_m == 2.9
    assert found.distance_standard_m == pytest.approx(0.15 / math.sqrt(3))


@pytest.mark.parametrize(
    ("told", "positions", "expected"),
    [(None, None, None), ({"ear_height_m": 1.1}, None, None), (FULL, None, 2), (None, PLACES, 2), (FULL, PLACES, 2)],
)
def test_told_places(told, positions, expected):
    asked = request(PlacementRequest, told=told, positions=positions)
    found = told_places(asked, Assumptions(), ROOM_M)
    assert (found is None) is (expected is None)
    if expected:
        assert found.seats[0].xyz_m == pytest.approx((2.4, 2.1, 1.0))
        assert len(found.speakers) == expected
