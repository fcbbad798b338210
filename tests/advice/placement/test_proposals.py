"""Where the pair and the seat may go: what was told is kept, what must stay stays, and what to do when nothing fits."""

import itertools
import math

import numpy as np
import pytest

from service.advice.placement import policy
from service.advice.placement.placement import placement
from service.domain.errors import DomainError
from service.domain.position import Place, Positions
from service.domain.room import Room
from tests.advice.placement.asked import (
    PAIR,
    ROOM,
    _xyz,
    ask,
    at_distance,
    codes,
    corners_m,
    positions,
    random_room,
    spacing_m,
    speaker,
)

# constraints ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(24))
def test_every_proposal_keeps_the_constraints(seed):
    rng = np.random.default_rng(seed)
    room = random_room(rng)
    width_m, depth_m = rng.uniform((0.2, 0.2), (0.7, 0.6))
    kind = ["single_driver", "open_baffle", "horn"][seed % 3]
    loudspeaker = speaker(kind=kind, cabinet_width_m=float(width_m), cabinet_depth_m=float(depth_m))
    answer = ask(room, speaker=loudspeaker, search={"seat_not_mid_room": bool(seed % 2)})
    assert answer.placements or codes(answer)[0] == "nothing_fits"
    for placed in answer.placements:
        left, right = placed.speakers
        seat = placed.seats[0]
        for place in placed.speakers:
            for x_m, y_m in corners_m(place, width_m=width_m, depth_m=depth_m):
                assert 0 < x_m < room.length_m
                assert 0 < y_m < room.width_m
            assert place.x_m <= max(2.0, 0.35 * room.length_m)
        assert right.y_m - left.y_m >= width_m
        assert left.y_m + right.y_m == pytest.approx(room.width_m)
        assert seat.y_m == pytest.approx(room.width_m / 2)
        assert room.length_m - seat.x_m >= 0.5 - 1e-9
        plan_m = math.hypot(seat.x_m - left.x_m, seat.y_m - left.y_m)
        assert 2 * math.degrees(math.asin((right.y_m - left.y_m) / 2 / plan_m)) == pytest.approx(placed.base_angle_deg)
        assert placed.base_angle_deg <= policy.BASE_ANGLE_SEARCHED_DEG[1] + 1e-6
        assert plan_m <= policy.DISTANCE_SEARCHED_M[1] + 1e-6
        assert placed.listening_distance_m == pytest.approx(math.dist((left.x_m, left.y_m, left.z_m), _xyz(seat)))
        if seed % 2:
            assert not 0.42 <= seat.x_m / room.length_m <= 0.58


@pytest.mark.parametrize(
    ("length_m", "width_m"), [(4.8, 3.6), (5.4, 4.1), (6.0, 4.5), (7.6, 5.3), (8.2, 5.6), (10.0, 7.0)]
)
def test_usual_rooms_get_usual_places(length_m, width_m):
    """What an acoustician would not be ashamed of: a base angle and a distance in the usual range, a cabinet that is
    neither at the wall nor in mid-room, a chair off the wall behind it."""
    winner = ask(Room(length_m=length_m, width_m=width_m, height_m=2.6)).placements[0]
    assert 42 <= winner.base_angle_deg <= 76
    assert 2.0 <= winner.listening_distance_m <= 4.5
    assert 0.5 <= winner.speakers[0].x_m <= 0.35 * length_m
    assert winner.seats[0].x_m <= length_m - 0.5


@pytest.mark.parametrize("seed", [0, 1, 2, 4, 5, 6])
def test_proposals_differ_and_come_best_first(seed):
    answer = ask(random_room(np.random.default_rng(100 + seed)), speaker=speaker(low_limit_hz=40.0))
    assert len(answer.placements) > 1
    merits = [placed.merit for placed in answer.placements]
    assert merits == sorted(merits)
    assert answer.candidates_judged >= len(answer.placements)
    for one, other in itertools.combinations(answer.placements, 2):
        differences_m = (
            one.speakers[0].x_m - other.speakers[0].x_m,
            spacing_m(one) - spacing_m(other),
            one.seats[0].x_m - other.seats[0].x_m,
        )
        assert max(map(abs, differences_m)) >= policy.DIFFERENT_PLACEMENTS_M - 1e-9


def test_told_ranges_are_kept():
    answer = ask(
        speaker=speaker(cabinet_depth_m=0.3),
        search={"front_wall_distance_m": (0.5, 0.8), "spacing_m": (2.0, 2.3), "seat_to_back_wall_min_m": 1.4},
    )
    for placed in answer.placements:
        assert all(0.5 <= place.x_m <= 0.8 for place in placed.speakers)
        assert 2.0 - 1e-9 <= spacing_m(placed) <= 2.3 + 1e-9
        assert 5.4 - placed.seats[0].x_m >= 1.4 - 1e-9
    assert answer.placements


def test_told_ranges_stop_at_the_walls():
    """Told to stand nearer to the walls than the cabinet is deep and wide, it stands with its back to the wall."""
    answer = ask(
        speaker=speaker(cabinet_depth_m=0.4, cabinet_width_m=0.5),
        search={"front_wall_distance_m": (0.1, 0.5), "spacing_m": (3.55, 4.0)},
    )
    assert answer.placements
    for placed in answer.placements:
        assert placed.speakers[0].x_m >= 0.4
        assert placed.speakers[0].y_m >= 0.25
        assert placed.speakers[1].y_m <= 4.1 - 0.25


@pytest.mark.parametrize("told_m", [0.9, 1.6, 2.4, 3.2])
def test_a_told_listening_distance_is_kept(told_m):
    answer = placement(at_distance(Room(length_m=6.0, width_m=4.5, height_m=2.5), told_m))
    assert answer.placements
    for placed in answer.placements:
        assert 0.8 * told_m - 0.02 <= placed.listening_distance_m <= 1.2 * told_m + 0.02


def test_a_long_listening_distance_in_a_narrow_room_gets_the_widest_pair():
    """4 m in a room 3 m wide leave 30 degrees at best: that is proposed, not refused."""
    winner = placement(at_distance(Room(length_m=6.5, width_m=3.0, height_m=2.5), 4.0)).placements[0]
    assert 20 < winner.base_angle_deg < 42


# what must stay -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seat_m", [(2.9, 2.05, 1.05), (5.3, 2.05, 1.05), (3.6, 1.8, 1.2)])
def test_a_seat_that_must_stay_stays(seat_m):
    """Also at the wall behind it and off the room's axis: the pair then stands across the seat's own axis."""
    found = positions((0.6, 1.0, 0.9), (0.6, 3.1, 0.9), seats=(seat_m,))
    answer = ask(positions=found, search={"must_stay": ("seat",)})
    assert answer.placements
    for placed in answer.placements:
        assert _xyz(placed.seats[0]) == pytest.approx(seat_m)
        assert placed.speakers[0].y_m + placed.speakers[1].y_m == pytest.approx(2 * seat_m[1])
    assert "chair_in_mid_room" not in codes(answer)


def test_a_seat_far_back_in_a_long_room_stays():
    found = positions((1.0, 1.6, 0.9), (1.0, 4.0, 0.9), seats=((7.9, 2.8, 1.05),))
    room = Room(length_m=8.2, width_m=5.6, height_m=2.7)
    answer = ask(room, positions=found, search={"must_stay": ("seat",)})
    assert answer.placements
    assert all(placed.seats[0].x_m == 7.9 for placed in answer.placements)


@pytest.mark.parametrize("kind", ["single_driver", "open_baffle"])
def test_speakers_that_must_stay_stay(kind):
    """At unlike distances from the wall and turned as they were; the seat moves on the axis between them."""
    found = Positions(
        speakers=(
            Place(x_m=0.7, y_m=0.9, z_m=0.8, facing_deg=20.0),
            Place(x_m=0.85, y_m=3.0, z_m=0.95, facing_deg=-35.0),
        ),
        seats=(Place(x_m=5.0, y_m=2.4, z_m=1.05),),
    )
    answer = ask(positions=found, speaker=speaker(kind=kind), search={"must_stay": ("speakers",)})
    assert answer.placements
    for placed in answer.placements:
        assert [(_xyz(place), place.facing_deg) for place in placed.speakers] == [
            (pytest.approx((0.7, 0.9, 0.8)), pytest.approx(20.0)),
            (pytest.approx((0.85, 3.0, 0.95)), pytest.approx(-35.0)),
        ]
        assert placed.seats[0].y_m == pytest.approx(1.95)
    assert len({placed.seats[0].x_m for placed in answer.placements}) == len(answer.placements)


@pytest.mark.parametrize("stays", ["seat", "speakers"])
def test_must_stay_without_positions_is_refused(stays):
    with pytest.raises(DomainError) as refused:
        ask(search={"must_stay": (stays,)})
    assert refused.value.pointer == "/search/must_stay"
    assert refused.value.code == "missing"


@pytest.mark.parametrize(
    ("search", "pointer"),
    [
        ({"spacing_m": (2.0, 4.1)}, "/search/spacing_m/1"),
        ({"front_wall_distance_m": (1.0, 5.4)}, "/search/front_wall_distance_m/1"),
    ],
)
def test_ranges_outside_the_room_are_refused(search, pointer):
    with pytest.raises(DomainError) as refused:
        ask(search=search)
    assert refused.value.pointer == pointer
    assert refused.value.code == "does_not_fit"


# nothing fits ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("room", "told", "give_up"),
    [
        (Room(length_m=1.5, width_m=1.5, height_m=1.8), {}, None),
        (Room(length_m=1.5, width_m=6.0, height_m=2.4), {}, None),
        (ROOM, {"search": {"seat_to_back_wall_min_m": 3.9}}, "seat_to_back_wall"),
        (ROOM, {"search": {"spacing_m": (1.0, 1.2), "front_wall_distance_m": (3.9, 4.3)}}, "seat_to_back_wall"),
        (
            ROOM,
            {
                "positions": positions((0.6, 1.0, 0.9), (0.6, 3.1, 0.9), seats=((2.7, 2.05, 1.05),)),
                "search": {"must_stay": ("seat",), "seat_not_mid_room": True},
            },
            "seat_not_mid_room",
        ),
        (ROOM, {"speaker": speaker(cabinet_width_m=2.2)}, None),
        # two chairs 3.2 m apart do not sit around the axis of a room 4.1 m wide
        (ROOM, {"positions": positions(*map(_xyz, PAIR.speakers), seats=((3, 0.4, 1), (3, 3.6, 1)))}, None),
    ],
)
def test_nothing_fits_is_an_answer(room, told, give_up):
    answer = ask(room, **told)
    assert answer.placements == []
    assert answer.candidates_judged == 0
    assert answer.gain_of_moving_db is None
    assert codes(answer)[0] == "nothing_fits"
    values = answer.findings[0].values
    assert values["give_up_first"] == give_up
    assert ("merit_without_db" in values) == (give_up is not None)
    assert (answer.as_found is None) == ("positions" not in told)


def test_what_is_given_up_first_makes_room():
    assert ask(search={"seat_to_back_wall_min_m": 3.9}).placements == []
    assert ask(search={"seat_to_back_wall_min_m": 0.2}).placements
