"""What a placement must keep: each constraint by hand at its edge, and two rectangles apart by another method."""

import numpy as np
import pytest

from tests.advice.placement.scenes import constraints, present

EDGE_M = 0.001


def fits(kept, *leads_m):
    return kept.seats_fit(np.array([(x, y, 1.1) for x, y in leads_m])).tolist()


def pair_m(*places_m):
    return np.array([[(x, y, 0.9) for x, y in places_m]])


@pytest.mark.parametrize("name", ["front_m", "seat_x_m", "axis_y_m", "spacing_m"])
def test_a_range_that_ends_before_it_begins_has_no_place(name):
    assert constraints(**{name: (1.5, 1.4)}).upside_down
    assert not constraints(**{name: (1.5, 1.5)}).upside_down
    assert not constraints(**{name: (1.5, 1.6)}).upside_down


def test_a_spacing_below_nothing_has_no_place():
    assert constraints(spacing_m=(-0.2, 0.1)).upside_down
    assert not constraints(spacing_m=(0.0, 0.0)).upside_down


def test_spacing_about_an_axis_keeps_off_the_nearer_side_wall():
    """2 x (1.2 - 0.4) = 1.6 m about 1.2 m from the left, 2 x (1.0 - 0.4) = 1.2 m about 1.0 m from the right wall."""
    kept = constraints(spacing_m=(1.0, 3.0), side_m=0.4)
    assert kept.spacing_at_m(1.2) == (1.0, 1.6)
    assert kept.spacing_at_m(3.0) == (1.0, 1.2)
    assert constraints(spacing_m=(1.0, 1.1), side_m=0.4).spacing_at_m(1.2) == (1.0, 1.1)
    assert constraints(spacing_m=(1.0, 3.0), side_m=0.4003).spacing_at_m(1.2) == (1.0, 1.599), "whole millimetres"
    assert constraints(spacing_m=(0.0, 3.0), side_m=0.4, speaker_count=1).spacing_at_m(1.2) == (0.0, 3.0)
    assert constraints(spacing_m=(2.0, 2.0), side_m=0.4, fixed_speakers=present()).spacing_at_m(1.2) == (2.0, 2.0)


def test_speakers_face_the_seat_unless_they_keep_their_direction():
    """From (1, 1) to (3, 3): 45 degrees; from (1, 3) to (3, 3): straight ahead."""
    speakers_m, lead_m = pair_m((1, 1), (1, 3)), np.array([(3.0, 3.0, 1.1)])
    assert np.degrees(constraints().facing_rad(speakers_m, lead_m)) == pytest.approx(np.array([[45.0, 0.0]]))
    kept = constraints(fixed_facing_rad=np.array([0.3, -0.2]))
    assert kept.facing_rad(speakers_m, lead_m).tolist() == [[0.3, -0.2]]


# seats ---------------------------------------------------------------------------------------------------------------


def test_heads_keep_off_both_side_walls():
    kept = constraints(head_to_wall_m=0.12)
    assert fits(kept, (3, 0.12), (3, 0.12 - EDGE_M), (3, 3.88), (3, 3.88 + EDGE_M)) == [True, False, True, False]


def test_every_seat_counts_for_the_walls():
    """A second seat 0.6 m to the right, a third 0.5 m to the left of the leading one."""
    offsets_m = np.array([(0, 0, 0), (0, 0.6, 0), (0, -0.5, 0)])
    kept = constraints(head_to_wall_m=0.1, seat_offsets_m=offsets_m)
    assert fits(kept, (3, 3.3), (3, 3.3 + EDGE_M), (3, 0.6), (3, 0.6 - EDGE_M)) == [True, False, True, False]


def test_there_is_a_way_past_the_chair_on_one_side():
    """0.6 m of way from 0.3 m beside the ears: 0.9 m to the further side wall of a room 1.6 m wide, so up to 0.7 m from
    one of them."""
    kept = constraints((6.0, 1.6, 2.5), walking_room_m=0.6)
    leads_m = [(3, 0.7), (3, 0.7 + EDGE_M), (3, 0.9), (3, 0.9 - EDGE_M)]
    assert fits(kept, *leads_m) == [True, False, True, False]
    assert all(fits(constraints((6.0, 1.6, 2.5)), *leads_m)), "no way is asked for"


def test_mid_room_is_ruled_out_for_the_leading_seat():
    offsets_m = np.array([(0, 0, 0), (0.6, 0, 0)])
    kept = constraints(seat_not_within_m=(2.5, 3.5), seat_offsets_m=offsets_m)
    assert fits(kept, (2.4, 2), (2.5, 2), (3.0, 2), (3.5, 2), (3.6, 2)) == [True, False, False, False, True]


ZONE = (2.0, 3.0, 1.0, 2.0)


@pytest.mark.parametrize(
    ("lead_m", "clear"),
    [
        ((2.5, 1.5), False),
        # 0.3 m from each side, one at a time
        ((1.7, 1.5), True),
        ((1.7 + EDGE_M, 1.5), False),
        ((3.3, 1.5), True),
        ((3.3 - EDGE_M, 1.5), False),
        ((2.5, 0.7), True),
        ((2.5, 0.7 + EDGE_M), False),
        ((2.5, 2.3), True),
        ((2.5, 2.3 - EDGE_M), False),
        # 0.22 m out both ways is 0.311 m from the corner, 0.2 m both ways 0.283 m
        ((3.22, 2.22), True),
        ((3.2, 2.2), False),
        ((1.78, 0.78), True),
        ((1.8, 0.8), False),
    ],
)
def test_nobody_sits_in_a_zone(lead_m, clear):
    assert fits(constraints(zones_m=np.array([ZONE])), lead_m) == [clear]
    assert fits(constraints(zones_m=np.array([(5.0, 5.1, 3.8, 3.9), ZONE])), lead_m) == [clear], "one of two zones"


def test_a_neighbour_does_not_sit_in_a_zone_either():
    kept = constraints(zones_m=np.array([ZONE]), seat_offsets_m=np.array([(0, 0, 0), (0, -0.7, 0)]))
    assert fits(kept, (2.5, 2.9), (2.5, 3.0)) == [False, True]


def test_a_seat_that_stays_is_not_asked_about_zones():
    zones_m = np.array([ZONE])
    assert fits(constraints(zones_m=zones_m, seat_y_m=1.5, seat_x_m=(2.5, 2.5)), (2.5, 1.5)) == [True]
    assert fits(constraints(zones_m=zones_m, seat_y_m=1.5, seat_x_m=(2.0, 2.5)), (2.5, 1.5)) == [False]
    assert fits(constraints(zones_m=zones_m, seat_y_m=None, seat_x_m=(2.5, 2.5)), (2.5, 1.5)) == [False]


# cabinets ------------------------------------------------------------------------------------------------------------


def corners_m(front_m, facing_rad, *, width_m, depth_m):
    ahead = np.array([np.cos(facing_rad), np.sin(facing_rad)])
    aside = np.array([-ahead[1], ahead[0]])
    sides = ((0, -1), (0, 1), (1, 1), (1, -1))
    return [np.array(front_m) - back * depth_m * ahead + side * width_m / 2 * aside for back, side in sides]


def common_area_m2(polygon, zone):
    """Area of a polygon within a rectangle: cut off by one side of the rectangle after the other."""
    x0, x1, y0, y1 = zone
    for axis, sign, end in ((0, 1, x0), (0, -1, x1), (1, 1, y0), (1, -1, y1)):
        cut = []
        for start, stop in zip(polygon, [*polygon[1:], *polygon[:1]], strict=True):
            here, there = sign * (start[axis] - end), sign * (stop[axis] - end)
            if here >= 0:
                cut.append(start)
            if (here >= 0) != (there >= 0):
                cut.append(start + (stop - start) * here / (here - there))
        polygon = cut
        if not polygon:
            return 0.0
    x, y = np.array(polygon).T
    return abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


def test_a_cabinet_is_clear_exactly_where_it_shares_no_area_with_a_zone():
    """Random cabinets about random zones; the area in common by clipping, a method without separating axes."""
    rng = np.random.default_rng(3)
    answers = []
    for _ in range(1500):
        width_m, depth_m = rng.uniform((0.2, 0.2), (0.9, 0.9))
        (x0, y0), size_m = rng.uniform(1.0, 2.0, size=2), rng.uniform(0.2, 1.2, size=2)
        zone = (x0, x0 + size_m[0], y0, y0 + size_m[1])
        front_m, facing_rad = rng.uniform(0.6, 3.1, size=2), rng.uniform(-np.pi, np.pi)
        kept = constraints(zones_m=np.array([zone]), cabinet_m=(width_m, depth_m))
        clear = bool(kept.cabinets_clear(np.array([*front_m, 0.9]), np.array(facing_rad)))
        area_m2 = common_area_m2(corners_m(front_m, facing_rad, width_m=width_m, depth_m=depth_m), zone)
        assert clear == (area_m2 < 1e-12), (front_m, facing_rad, zone)
        answers.append(clear)
    assert 300 < sum(answers) < 1200


@pytest.mark.parametrize(
    ("front_m", "facing_deg", "clear"),
    [
        # straight: a cabinet 0.4 m deep behind its front and 0.3 m wide, beside each side of the zone
        ((2.0, 1.5), 0.0, True),
        ((2.0 + EDGE_M, 1.5), 0.0, False),
        ((3.4, 1.5), 0.0, True),
        ((3.4 - EDGE_M, 1.5), 0.0, False),
        ((2.5, 0.85), 0.0, True),
        ((2.5, 0.85 + EDGE_M), 0.0, False),
        ((2.5, 2.15), 0.0, True),
        ((2.5, 2.15 - EDGE_M), 0.0, False),
        # facing across, it is 0.4 m deep along y
        ((2.5, 1.0), 90.0, True),
        ((2.5, 1.0 + EDGE_M), 90.0, False),
        ((2.5, 2.4), 90.0, True),
        # at 45 degrees the middle of its front touches the corner (2, 1), which no side of the zone separates it from
        ((2.0, 1.0), 45.0, True),
        ((2.0 + EDGE_M, 1.0 + EDGE_M), 45.0, False),
        # at -45 degrees the middle of its side does: 0.15 sqrt(1/2) before it both ways, the front 0.2 m further ahead
        ((2.0 - 0.10607 + 0.14142, 1.0 - 0.10607 - 0.14142), -45.0, True),
        ((2.0 - 0.10507 + 0.14142, 1.0 - 0.10507 - 0.14142), -45.0, False),
    ],
)
def test_cabinets_by_hand(front_m, facing_deg, clear):
    kept = constraints(zones_m=np.array([ZONE]))
    assert bool(kept.cabinets_clear(np.array([*front_m, 0.9]), np.radians(facing_deg))) is clear
    assert constraints(zones_m=np.array([ZONE]), fixed_speakers=present()).cabinets_clear(
        np.array([*front_m, 0.9]), np.radians(facing_deg)
    ), "speakers that stay are not asked"


def test_one_of_several_zones_is_enough():
    kept = constraints(zones_m=np.array([(5.0, 5.5, 0.1, 0.2), ZONE, (5.0, 5.5, 3.0, 3.2)]))
    speakers_m = np.array([(2.5, 1.5, 0.9), (1.0, 3.0, 0.9)])
    assert kept.cabinets_clear(speakers_m, np.zeros(2)).tolist() == [False, True]


# both together -------------------------------------------------------------------------------------------------------


def test_depth_distance_and_angle():
    """Speakers 2 m apart at x = 1 and 1.2, the chair at x: depth from the further one, distances by Pythagoras."""
    speakers_m = pair_m((1.0, 1.0), (1.2, 3.0))

    def together(x_m, **told):
        return bool(constraints(**told).together(speakers_m, np.array([(x_m, 2.0, 1.1)]))[0])

    assert together(2.2, least_depth_m=1.0)
    assert not together(2.2 - EDGE_M, least_depth_m=1.0)
    mean_m = (np.hypot(2.0, 1.0) + np.hypot(1.8, 1.0)) / 2  # at x = 3
    angle_deg = np.degrees(np.arctan2(1.0, 2.0) + np.arctan2(1.0, 1.8))
    assert together(3.0, distance_m=(mean_m, mean_m), angle_deg=(angle_deg, angle_deg))
    assert not together(3.0, distance_m=(mean_m + EDGE_M, 9.0))
    assert not together(3.0, distance_m=(0.0, mean_m - EDGE_M))
    assert not together(3.0, angle_deg=(angle_deg + 0.01, 180.0))
    assert not together(3.0, angle_deg=(0.0, angle_deg - 0.01))


def test_one_speaker_has_no_base_angle():
    kept = constraints(speaker_count=1, angle_deg=(42.0, 76.0), distance_m=(1.0, 3.0))
    one_m, lead_m = pair_m((1.0, 2.0)), np.array([(3.0, 2.0, 1.1)])
    assert kept.together(one_m, lead_m).tolist() == [True]
    assert kept.together(one_m, lead_m + np.array((1.1, 0, 0))).tolist() == [False], "4.1 - 1 = 3.1 m is too far"


@pytest.mark.parametrize(
    ("told", "broken"),
    [
        ({"front_m": (1.0, 1.0)}, {"front_m": (1.0 + EDGE_M, 2.0)}),
        ({"front_m": (1.0, 1.0)}, {"front_m": (0.5, 1.0 - EDGE_M)}),
        ({"seat_x_m": (3.0, 3.0)}, {"seat_x_m": (3.0 + EDGE_M, 4.0)}),
        ({"seat_x_m": (3.0, 3.0)}, {"seat_x_m": (2.0, 3.0 - EDGE_M)}),
        ({"spacing_m": (2.2, 2.2)}, {"spacing_m": (2.2 + EDGE_M, 3.0)}),
        ({"spacing_m": (2.2, 2.2)}, {"spacing_m": (1.0, 2.2 - EDGE_M)}),
        # the left one is 0.7 m from its wall, the right one 4 - 2.9 = 1.1 m
        ({"side_m": 0.7}, {"side_m": 0.7 + EDGE_M}),
        ({"least_depth_m": 2.0}, {"least_depth_m": 2.0 + EDGE_M}),
        ({"head_to_wall_m": 1.8}, {"head_to_wall_m": 1.8 + EDGE_M}),
        # turned in by 28.8 degrees, the left cabinet ends 0.4 cos + 0.15 sin = 0.423 m behind its front
        ({"zones_m": np.array([(0.1, 0.57, 0.1, 3.9)])}, {"zones_m": np.array([(0.1, 0.58, 0.1, 3.9)])}),
    ],
)
def test_every_constraint_is_kept_by_itself(told, broken):
    speakers_m, lead_m = pair_m((1.0, 0.7), (1.0, 2.9)), np.array([(3.0, 1.8, 1.1)])
    assert constraints(**told).allows(speakers_m, lead_m).tolist() == [True]
    assert constraints(**broken).allows(speakers_m, lead_m).tolist() == [False]


def test_speakers_that_stay_are_asked_for_distance_and_seat_alone():
    speakers_m, lead_m = pair_m((1.0, 0.7), (1.0, 2.9)), np.array([(3.0, 1.8, 1.1)])
    nowhere = {"front_m": (1.5, 2.0), "spacing_m": (1.0, 1.1), "side_m": 1.5, "zones_m": np.array([(0, 1, 0, 4)])}
    assert constraints(**nowhere, fixed_speakers=present()).allows(speakers_m, lead_m).tolist() == [True]
    assert constraints(**nowhere).allows(speakers_m, lead_m).tolist() == [False]
    assert not constraints(seat_x_m=(4.0, 5.0), fixed_speakers=present()).allows(speakers_m, lead_m)[0]


def test_the_spacing_of_one_speaker_is_not_asked():
    kept = constraints(speaker_count=1, spacing_m=(0.0, 0.0))
    assert kept.allows(pair_m((1.0, 2.0)), np.array([(3.0, 2.0, 1.1)])).tolist() == [True]
