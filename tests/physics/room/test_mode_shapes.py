"""Shapes of modes and their nodes."""

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.room.mode_shapes import mode_shape, nodal_positions_m

ROOM = {"length_m": 6.0, "width_m": 4.5, "height_m": 2.7}


def test_shape_by_hand():
    # (1.5, 1.5, 0.9) is a quarter, a third and a third of the way: cos 45 deg cos 60 deg, cos 90 deg, cos 60 cos 120
    found = mode_shape([(1, 1, 0), (2, 0, 0), (0, 1, 2)], [(1.5, 1.5, 0.9), (0.0, 0.0, 0.0)], **ROOM)
    assert found.shape == (2, 3)
    assert found[0] == pytest.approx([np.sqrt(0.125), 0.0, -0.25], abs=1e-12)
    assert found[1] == pytest.approx([1.0, 1.0, 1.0], abs=1e-15)


def test_corners_have_the_full_pressure_of_every_mode():
    corners = [(x, y, z) for x in (0.0, 6.0) for y in (0.0, 4.5) for z in (0.0, 2.7)]
    assert np.abs(mode_shape([(1, 0, 0), (2, 3, 1)], corners, **ROOM)) == pytest.approx(np.ones((8, 2)), abs=1e-12)


def test_mean_square_is_halved_by_every_axis_of_variation():
    middles = [(np.arange(40) + 0.5) / 40 * size for size in (6.0, 4.5, 2.7)]
    places = np.stack(np.meshgrid(*middles, indexing="ij"), axis=-1).reshape(-1, 3)
    found = mode_shape([(1, 0, 0), (2, 3, 0), (1, 1, 4)], places, **ROOM)
    assert (found**2).mean(axis=0) == pytest.approx([1 / 2, 1 / 4, 1 / 8], abs=1e-12)
    assert (found[:, 0] * found[:, 2]).mean() == pytest.approx(0.0, abs=1e-12)


def test_nodes_by_hand():
    assert nodal_positions_m(0, length_m=6.0).tolist() == []
    assert nodal_positions_m(1, length_m=6.0).tolist() == [3.0]
    assert nodal_positions_m(3, length_m=6.0) == pytest.approx([1.0, 3.0, 5.0], abs=1e-15)


@pytest.mark.parametrize("order", [1, 2, 5])
def test_pressure_vanishes_on_the_nodes(order):
    places = [(1.0, y, 0.5) for y in nodal_positions_m(order, length_m=4.5)]
    assert mode_shape([(0, order, 0)], places, **ROOM) == pytest.approx(np.zeros((order, 1)), abs=1e-12)


@pytest.mark.parametrize("place", [(6.1, 1.0, 1.0), (1.0, -0.1, 1.0), (1.0, 1.0, 2.8), (1.0, np.nan, 1.0), (1.0, 1.0)])
def test_places_outside_are_refused(place):
    with pytest.raises(OutOfRangeError, match="positions_m"):
        mode_shape([(1, 0, 0)], [place], **ROOM)


@pytest.mark.parametrize("order", [-1, 1.0, True])
def test_impossible_order_is_refused(order):
    with pytest.raises(OutOfRangeError, match="order"):
        nodal_positions_m(order, length_m=6.0)


def test_impossible_length_is_refused():
    with pytest.raises(OutOfRangeError, match="length_m"):
        nodal_positions_m(1, length_m=0.0)
    with pytest.raises(OutOfRangeError, match="width_m"):
        mode_shape([(1, 0, 0)], [(1.0, 1.0, 1.0)], **{**ROOM, "width_m": -4.5})
