"""Ranges of a search by hand, in a room of 6 x 4 x 2.5 m, for a cabinet 0.3 m wide and 0.4 m deep.

Turned in by 30 degrees the middle of its front is 0.15 cos 30 + 0.4 sin 30 + 0.1 m = 0.4299 m from the side wall; its
rear edges reach sqrt(0.4^2 + 0.15^2) = 0.4272 m behind the front, and 0.1 m of air; in a corner the front is
(0.4 + 0.15) / sqrt(2) = 0.3889 m from both walls.
"""

import math

import numpy as np
import pytest

from service.advice.language.localise import text_of
from service.advice.placement.ranges import search_constraints
from service.domain.errors import DomainError
from service.domain.search import KeepClear
from tests.advice.placement.scenes import ROOM_M, frame, placed_speaker, present, wanted

NEAREST_M = 0.42720 + 0.1
SIDE_M = 0.42990
CORNER_M = 0.38891


def ranges(room_m=ROOM_M, *, front_wall="front_wall", speaker=None, **told):
    return search_constraints(frame(front_wall, room_m), placed_speaker(**(speaker or {})), wanted(**told))


def close(expected):
    return pytest.approx(expected, abs=1e-4)


# along the room ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("told", "front_m"),
    [
        ({}, (NEAREST_M, 2.0)),
        ({"room_m": (5.0, 4.0, 2.5)}, (NEAREST_M, 1.75)),  # 0.35 x 5
        ({"room_m": (1.4, 4.0, 2.5)}, (NEAREST_M, NEAREST_M)),  # 0.35 x 1.4 = 0.49 is less than the cabinet needs
        ({"speaker": {"radiation": "dipole"}}, (1.0, 2.0)),
        ({"speaker": {"radiation": "dipole"}, "room_m": (2.5, 4.0, 2.5)}, (0.875, 0.875)),
        ({"ways_of_standing": ("near_wall",)}, (NEAREST_M, 1.0)),  # 0.4 + 0.6
        ({"ways_of_standing": ("near_wall",), "room_m": (2.0, 4.0, 2.5)}, (NEAREST_M, 0.7)),
        ({"ways_of_standing": ("near_wall", "free")}, (NEAREST_M, 2.0)),
        ({"ways_of_standing": ("corner",)}, (CORNER_M, CORNER_M + 0.3)),
        ({"search": {"front_wall_distance_m": (0.2, 0.9)}}, (0.4, 0.9)),  # no cabinet in the wall
        ({"search": {"front_wall_distance_m": (0.6, 3.0)}}, (0.6, 3.0)),
        ({"search": {"front_wall_to_baffle_max_m": 0.8}}, (NEAREST_M, 0.8)),
        ({"search": {"front_wall_to_baffle_max_m": 2.5}}, (NEAREST_M, 2.0)),
        ({"search": {"front_wall_to_baffle_max_m": 0.45}}, (0.45, 0.45)),
        ({"search": {"front_wall_to_baffle_max_m": 0.3}}, (0.4, 0.3)),  # has no place
        ({"search": {"front_wall_distance_m": (0.5, 0.9), "front_wall_to_baffle_max_m": 0.7}}, (0.5, 0.7)),
        ({"search": {"front_wall_distance_m": (0.5, 0.9), "front_wall_to_baffle_max_m": 1.5}}, (0.5, 0.9)),
        ({"search": {"front_wall_distance_m": (0.8, 0.9), "front_wall_to_baffle_max_m": 0.7}}, (0.8, 0.7)),
        ({"search": {"must_stay": ("speakers",)}, "present": present()}, (0.8, 0.8)),
    ],
)
def test_front(told, front_m):
    assert ranges(**told).front_m == close(front_m)


@pytest.mark.parametrize(
    ("told", "depth_m"),
    [
        ({}, 1.2),
        ({"distance_m": 1.0}, 0.8 * math.cos(math.radians(38))),
        ({"distance_m": 0.7}, 0.5),  # 0.56 cos 38 = 0.44
        ({"distance_m": 1.0, "ways_of_standing": ("corner",)}, 0.5),  # 0.8 cos 55 = 0.46
        ({"distance_m": 1.2, "ways_of_standing": ("corner",)}, 0.96 * math.cos(math.radians(55))),
        ({"seat_offsets_m": np.array([(0, 0, 0), (-0.4, 0.5, 0)])}, 1.6),  # the nearer seat keeps it too
        ({"seat_offsets_m": np.array([(0, 0, 0), (0.4, 0.5, 0)])}, 1.2),
    ],
)
def test_least_depth(told, depth_m):
    assert ranges(**told).least_depth_m == close(depth_m)


@pytest.mark.parametrize(
    ("told", "seat_x_m"),
    [
        ({}, (NEAREST_M + 1.2, 5.5)),
        ({"search": {"seat_to_back_wall_min_m": 1.4}}, (NEAREST_M + 1.2, 4.6)),
        ({"search": {"seat_to_back_wall_min_m": 0.0}}, (NEAREST_M + 1.2, 5.88)),  # a head's radius
        ({"seat_offsets_m": np.array([(0, 0, 0), (0.3, 0.5, 0)])}, (NEAREST_M + 1.2, 5.2)),
        ({"seat_offsets_m": np.array([(0, 0, 0), (-0.3, 0.5, 0)])}, (NEAREST_M + 1.5, 5.5)),
        # 1.5 m give or take a fifth from a pair at 2 m at most
        ({"distance_m": 1.5}, (NEAREST_M + 1.2 * math.cos(math.radians(38)), 3.8)),
        ({"search": {"must_stay": ("seat",)}, "present": present()}, (5.0, 5.0)),
    ],
)
def test_seat(told, seat_x_m):
    assert ranges(**told).seat_x_m == close(seat_x_m)


@pytest.mark.parametrize(
    ("told", "distance_m"),
    [
        ({}, (2.4, 4.5)),  # 0.4 x 6
        ({"room_m": (9.0, 4.0, 2.5)}, (3.0, 4.5)),
        ({"room_m": (4.0, 4.0, 2.5)}, (2.0, 4.5)),
        ({"room_m": (6.0, 3.0, 2.5)}, (2.14, 4.5)),  # 2 x (1.5 - 0.4299) m wide at most, in whole millimetres
        ({"distance_m": 2.5}, (2.0, 3.0)),
        ({"search": {"seat_distance_m": (2.2, 2.3)}, "distance_m": 4.0}, (2.2, 2.3)),
        ({"distance_is_free": True}, (0.0, math.inf)),
        # a seat that stays at 5 m is 3 m behind the furthest pair at least: that and a fifth, where that is more
        ({"search": {"must_stay": ("seat",)}, "present": present(((5.0, 2, 1),))}, (2.4, 4.5)),
        ({"search": {"must_stay": ("seat",)}, "present": present(((5.9, 2, 1),))}, (2.4, 1.2 * 3.9)),
        # at 1.5 m it is 0.973 m from the nearest pair at most
        ({"search": {"must_stay": ("seat",)}, "present": present(((1.5, 2, 1),))}, (1.5 - NEAREST_M, 4.5)),
        (
            {"search": {"must_stay": ("seat",), "seat_distance_m": (1.0, 9.0)}, "present": present(((5.9, 2, 1),))},
            (1, 9),
        ),
    ],
)
def test_distance(told, distance_m):
    assert ranges(**told).distance_m == close(distance_m)


def test_mid_room_is_a_part_of_the_length():
    assert ranges().seat_not_within_m is None
    assert ranges(search={"seat_not_mid_room": True}).seat_not_within_m == close((2.52, 3.48))


# across the room -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("told", "axis_y_m"),
    [
        ({}, (2.0, 2.0)),
        ({"search": {"must_stay": ("seat",)}, "present": present()}, (1.6, 1.6)),
        ({"search": {"must_stay": ("speakers",)}, "present": present()}, (1.9, 1.9)),
        # half a pair of 1.8 m, half a cabinet and 0.1 m of air: 1.15 m from each wall
        ({"search": {"symmetric": False}}, (1.15, 2.85)),
        ({"search": {"symmetric": False, "spacing_m": (1.0, 2.0)}}, (0.75, 3.25)),
        ({"search": {"symmetric": False, "spacing_m": (0.1, 2.0)}}, (0.4, 3.6)),  # cabinets side by side
        ({"search": {"symmetric": False}, "count": 1}, (0.25, 3.75)),
        # 0.3 m beside a seat that stays
        ({"search": {"symmetric": False, "must_stay": ("seat",)}, "present": present()}, (1.3, 1.9)),
        ({"search": {"symmetric": False, "must_stay": ("seat",)}, "present": present(((5, 1.2, 1),))}, (1.15, 1.5)),
        ({"search": {"symmetric": False, "must_stay": ("seat",)}, "present": present(((5, 2.8, 1),))}, (2.5, 2.85)),
    ],
)
def test_axis(told, axis_y_m):
    assert ranges(**told).axis_y_m == close(axis_y_m)


@pytest.mark.parametrize(
    ("told", "spacing_m", "side_m"),
    [
        ({}, (1.8, 3.14), SIDE_M),
        ({"room_m": (6.0, 7.0, 2.5)}, (1.8, 4.0), SIDE_M),
        ({"room_m": (6.0, 2.0, 2.5)}, (1.14, 1.14), SIDE_M),
        ({"room_m": (6.0, 1.1, 2.5)}, (0.3, 0.24), SIDE_M),  # two cabinets do not fit: has no place
        ({"speaker": {"cabinet_depth_m": 0.05, "cabinet_width_m": 0.1}}, (1.8, 3.4), 0.3),
        ({"search": {"spacing_m": (1.0, 3.5)}}, (1.0, 3.5), 0.15),
        ({"search": {"spacing_m": (0.1, 3.9)}}, (0.3, 3.7), 0.15),
        ({"ways_of_standing": ("corner",)}, (2.622, 3.222), CORNER_M),
        ({"ways_of_standing": ("corner",), "room_m": (6.0, 1.5, 2.5)}, (0.3, 0.722), CORNER_M),
        ({"count": 1}, (0.0, 0.0), 0.15),
        ({"count": 1, "ways_of_standing": ("corner",)}, (0.0, 0.0), CORNER_M),
        ({"count": 1, "ways_of_standing": ("corner",), "room_m": (6.0, 0.7, 2.5)}, (0.0, -1.0), CORNER_M),
        ({"count": 1, "room_m": (6.0, 0.7, 2.5)}, (0.0, 0.0), 0.15),
        ({"search": {"must_stay": ("speakers",)}, "present": present()}, (math.hypot(0.1, 2.0),) * 2, 0.0),
        # 42 degrees at the nearest, 76 at the furthest of 2 to 3 m: 2 x 2 sin 21, 2 x 3 sin 38 beyond what fits
        ({"distance_m": 2.5}, (1.43347, 3.14), SIDE_M),
        ({"distance_m": 2.5, "search": {"base_angle_deg": (50, 52)}}, (1.69047, 2.63023), SIDE_M),
        ({"search": {"seat_distance_m": (2.0, 2.2), "base_angle_deg": (50, 52)}}, (1.69047, 2.0), SIDE_M),
        ({"count": 1, "search": {"must_stay": ("seat",)}, "present": present(((5, 3.9, 1),))}, (0.0, -1.0), 0.15),
        ({"count": 1, "search": {"must_stay": ("seat",)}, "present": present(((5, 0.1, 1),))}, (0.0, -1.0), 0.15),
        # a range of axes counts at its place nearest to the middle: 2.5 of 2.5 to 2.85 m, 1.5 of 1.15 to 1.5 m
        (
            {"search": {"symmetric": False, "must_stay": ("seat",)}, "present": present(((5, 2.8, 1),))},
            (1.8, 2.14),
            SIDE_M,
        ),
        (
            {"search": {"symmetric": False, "must_stay": ("seat",)}, "present": present(((5, 1.2, 1),))},
            (1.8, 2.14),
            SIDE_M,
        ),
        # off the axis of a seat that stays, 1.6 m from the left wall: 2 x (1.6 - 0.4299)
        ({"search": {"must_stay": ("seat",)}, "present": present()}, (1.8, 2.34), SIDE_M),
    ],
)
def test_spacing(told, spacing_m, side_m):
    found = ranges(**told)
    assert found.spacing_m == close(spacing_m)
    assert found.side_m == close(side_m)


@pytest.mark.parametrize(
    ("told", "angle_deg"),
    [
        ({}, (42.0, 76.0)),
        ({"search": {"base_angle_deg": (50, 60)}}, (50, 60)),
        ({"search": {"base_angle_deg": (50, 60)}, "angle_is_free": True}, (0, 180)),
        ({"ways_of_standing": ("corner",)}, (30.0, 110.0)),
        # 1.14 m at 2 m: 0.8 of 2 asin 0.285
        ({"room_m": (6.0, 2.0, 2.5)}, (26.494, 76.0)),
        # 3.5 m apart at 2 - 0.5272 m of depth at most: 2 atan(1.75 / 1.4728)
        (
            {"search": {"spacing_m": (3.5, 3.6), "must_stay": ("seat",)}, "present": present(((2.0, 2, 1),))},
            (42.0, 2 * math.degrees(math.atan(1.75 / (2.0 - NEAREST_M)))),
        ),
    ],
)
def test_base_angle(told, angle_deg):
    assert ranges(**told).angle_deg == pytest.approx(angle_deg, abs=2e-3)


# what is handed on ---------------------------------------------------------------------------------------------------


def test_directions_that_speakers_keep():
    assert ranges().fixed_facing_rad is None
    assert np.degrees(ranges(ways_of_standing=("corner",)).fixed_facing_rad) == close(np.array([45.0, -45.0]))
    assert np.degrees(ranges(ways_of_standing=("corner",), count=1).fixed_facing_rad) == close(np.array([45.0]))
    assert ranges(ways_of_standing=("corner", "free")).fixed_facing_rad is None
    stay = ranges(search={"must_stay": ("speakers",)}, present=present())
    assert np.degrees(stay.fixed_facing_rad) == close(np.array([20.0, -35.0]))
    assert stay.fixed_speakers == present()


def test_a_seat_that_stays_keeps_its_place_and_neighbours():
    """Of three seats the first and the third are judged; no way past them is asked, and no distance from a wall."""
    seats = ((5.0, 1.6, 1.1), (5.1, 1.0, 1.1), (5.2, 2.2, 1.2))
    told = {"present": present(seats), "judged": np.array([0, 2]), "seat_offsets_m": np.full((2, 3), 9.0)}
    stays = ranges(search={"must_stay": ("seat",)}, **told)
    assert stays.seat_y_m == 1.6
    assert stays.seat_offsets_m == close(np.array([(0, 0, 0), (0.2, 0.6, 0.1)]))
    assert (stays.head_to_wall_m, stays.walking_room_m) == (0.0, 0.0)
    free = ranges(walking_room_m=0.7)
    assert free.seat_y_m is None
    assert (free.head_to_wall_m, free.walking_room_m) == (0.12, 0.7)
    assert ranges(search={"must_stay": ("speakers",)}, **told).seat_offsets_m.tolist() == [[9.0] * 3] * 2


def test_what_stays_is_seen_from_the_wall_behind_the_speakers():
    """Facing the back wall of 6 x 4 m, a chair at (2, 1) is 4 m from it and 3 m from the wall on the left."""
    found = ranges(front_wall="back_wall", search={"must_stay": ("seat",)}, present=present(((2.0, 1.0, 1.1),)))
    assert (found.seat_x_m, found.seat_y_m) == (close((4.0, 4.0)), close(3.0))
    assert ranges(front_wall="left_wall").dimensions_m == (4.0, 6.0, 2.5)


def test_zones_cabinet_and_heights():
    zone = KeepClear(name="door", x_m=0.5, y_m=0.2, length_m=1.0, width_m=0.7)
    found = ranges(search={"keep_clear": (zone, zone)}, speaker_z_m=0.8, ear_z_m=1.2)
    assert found.zones_m == close(np.array([(0.5, 1.5, 0.2, 0.9)] * 2))
    assert ranges().zones_m.shape == (0, 4)
    assert found.cabinet_m == (0.3, 0.4)
    assert found.heights_m == (0.8, 1.2)
    assert found.speaker_count == 2


@pytest.mark.parametrize(
    ("name", "ends_m", "sentence"),
    [
        ("spacing_m", (2.0, 4.0), "a pair 4 m apart does not fit into a width of 4 m."),
        ("front_wall_distance_m", (1.0, 6.5), "6.5 m from the front wall is outside a room 6 m long."),
    ],
)
def test_ranges_that_end_outside_the_room(name, ends_m, sentence):
    with pytest.raises(DomainError) as refused:
        ranges(search={name: ends_m})
    assert refused.value.pointer == f"/search/{name}/1"
    assert refused.value.given == ends_m[1]
    assert text_of(refused.value.detail, "en") == sentence
    assert text_of(refused.value.allowed, "en") == ("less than 4" if name == "spacing_m" else "less than 6")
    assert ranges(search={name: (ends_m[0], ends_m[1] - 0.6)})
