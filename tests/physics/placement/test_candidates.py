"""Candidates on a grid: plan geometry by hand, constraints, and choosing what really differs."""

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.placement.candidates import (
    Grid,
    different_best,
    evenly_spaced_m,
    fitting,
    pairs_across_m,
    plan_geometry,
)


def test_plan_geometry_of_a_triangle_of_equal_sides():
    """A pair 2 m apart and a seat sqrt(3) m before its middle: 60 degrees, 2 m; heights do not count."""
    speakers_m = np.array([(1.0, 1.0, 0.9), (1.0, 3.0, 0.4)])
    seen = plan_geometry(speakers_m, np.array([1.0 + np.sqrt(3), 2.0, 1.2]))
    assert seen.distance_m == pytest.approx(2.0)
    assert np.degrees(seen.base_angle_rad) == pytest.approx(60.0)
    assert np.degrees(seen.bearing_rad) == pytest.approx([30.0, -30.0])


def test_plan_geometry_of_a_seat_towards_the_front_wall():
    """The other way round the bearings straddle 180 degrees; the angle between the speakers is still 60."""
    speakers_m = np.array([(3.0, 1.0, 0.9), (3.0, 3.0, 0.9)])
    seen = plan_geometry(speakers_m, np.array([3.0 - np.sqrt(3), 2.0, 1.2]))
    assert np.degrees(seen.base_angle_rad) == pytest.approx(60.0)


def test_plan_geometry_of_a_single_speaker():
    seen = plan_geometry(np.array([(1.0, 1.0, 0.9)]), np.array([4.0, 5.0, 0.9]))
    assert seen.distance_m == pytest.approx(5.0)
    assert seen.base_angle_rad == 0
    assert np.degrees(seen.bearing_rad) == pytest.approx([np.degrees(np.arctan2(4, 3))])


@pytest.mark.parametrize(
    ("ends", "step_m", "expected"),
    [
        ((2.0, 2.5), 0.2, [2.0, 2.167, 2.333, 2.5]),
        ((0.3, 0.9), 0.2, [0.3, 0.5, 0.7, 0.9]),
        ((1.8, 1.8), 0.2, [1.8]),
        ((1.0, 1.05), 0.2, [1.0, 1.05]),
    ],
)
def test_evenly_spaced_has_both_ends(ends, step_m, expected):
    assert evenly_spaced_m(from_m=ends[0], to_m=ends[1], step_m=step_m).tolist() == expected


def test_evenly_spaced_refuses_a_step_of_nothing():
    with pytest.raises(OutOfRangeError, match="step_m"):
        evenly_spaced_m(from_m=1.0, to_m=2.0, step_m=0.0)


def test_pairs_stand_across_their_axis():
    places_m = pairs_across_m(front_m=[0.5, 0.8, 1.1], spacing_m=[2.0, 2.4], axis_y_m=1.9, speaker_z_m=0.85)
    assert places_m.shape == (2, 3, 2, 3)
    assert places_m[1, 2].tolist() == pytest.approx(np.array([[1.1, 0.7, 0.85], [1.1, 3.1, 0.85]]))


LIMITS = {"least_depth_m": 1.2, "angle_range_deg": (40.0, 75.0), "distance_range_m": (2.0, 3.0)}


def fits(*, spacing_m, front_m, seat_m, **changed):
    return bool(
        fitting(
            speakers_m=pairs_across_m(front_m=[front_m], spacing_m=[spacing_m], axis_y_m=2.0, speaker_z_m=0.9),
            seats_m=np.array([(seat_m, 2.0, 1.1)]),
            **{**LIMITS, **changed},
        )[0, 0, 0]
    )


@pytest.mark.parametrize(
    ("spacing_m", "front_m", "seat_m", "expected"),
    [
        (2.0, 0.8, 2.6, True),  # 1.8 m deep: 58 degrees, 2.06 m
        (2.0, 0.8, 2.5, False),  # 1.97 m
        (2.0, 0.8, 3.7, False),  # 3.07 m, 38 degrees
        (1.5, 0.8, 3.1, False),  # 36 degrees, 2.42 m
        (3.4, 0.8, 2.9, False),  # 78 degrees, 2.70 m
    ],
)
def test_angle_and_distance_are_kept(spacing_m, front_m, seat_m, expected):
    assert fits(spacing_m=spacing_m, front_m=front_m, seat_m=seat_m) is expected


def test_depth_is_kept_and_limits_include_their_ends():
    wide = {"angle_range_deg": (0.0, 180.0), "distance_range_m": (0.5, 1.3)}
    assert fits(spacing_m=1.0, front_m=0.8, seat_m=2.0, **wide)  # exactly 1.2 m deep, exactly 1.3 m away
    assert not fits(spacing_m=1.0, front_m=0.8, seat_m=1.99, **wide)
    assert not fits(spacing_m=1.0, front_m=2.8, seat_m=1.6, **wide)  # 1.3 m away, but before the speakers


def test_a_single_speaker_is_asked_for_no_angle():
    speaker_m = np.array([[[(0.8, 2.0, 0.9)]]])
    assert fitting(speakers_m=speaker_m, seats_m=np.array([(3.0, 2.0, 1.1)]), **LIMITS).all()


def test_candidates_come_in_the_order_of_the_grid():
    allowed = np.zeros((2, 3, 2), dtype=bool)
    allowed[1, 0, 1] = allowed[0, 2, 0] = True
    grid = Grid(
        speakers_m=pairs_across_m(front_m=[0.5, 0.8, 1.1], spacing_m=[2.0, 2.4], axis_y_m=2.0, speaker_z_m=0.9),
        seats_m=np.array([(3.0, 2.0, 1.1), (3.5, 2.0, 1.1)]),
        facing_rad=None,
        allowed=allowed,
    )
    found = grid.candidates()
    assert grid.count == 2
    assert found.speakers_m[:, :, :2].tolist() == [[[1.1, 1.0], [1.1, 3.0]], [[0.5, 0.8], [0.5, 3.2]]]
    assert found.seats_m[:, 0].tolist() == [3.0, 3.5]


def test_different_best_leaves_out_neighbours():
    """Best first: 0, then 2 (0.3 m off in one coordinate), 3 (0.4 m off) and 1 (0.5 m off)."""
    coordinates_m = np.array([[1.0, 2.0, 3.0], [1.5, 2.0, 3.0], [1.0, 2.3, 3.0], [1.0, 2.0, 3.4]])
    order = [0, 2, 3, 1]
    assert different_best(order, coordinates_m, least_difference_m=0.4, most=3) == [0, 3, 1]
    assert different_best(order, coordinates_m, least_difference_m=0.4, most=2) == [0, 3]
    assert different_best(order, coordinates_m, least_difference_m=9.0, most=3) == [0]
