"""Candidates on a grid: plan geometry by hand, and choosing what really differs."""

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.placement.candidates import (
    Grid,
    different_best,
    evenly_spaced_m,
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
