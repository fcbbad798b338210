"""Checked dimensions and orders of a box."""

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.room.box import checked_dimensions_m, checked_orders


def test_dimensions_in_their_order():
    assert checked_dimensions_m(length_m=6, width_m=4.5, height_m=2.7).tolist() == [6.0, 4.5, 2.7]


@pytest.mark.parametrize("name", ["length_m", "width_m", "height_m"])
@pytest.mark.parametrize("bad", [0.0, -1.0, np.nan, np.inf, "5"])
def test_impossible_dimensions_are_refused(name, bad):
    with pytest.raises(OutOfRangeError, match=name):
        checked_dimensions_m(**{"length_m": 6.0, "width_m": 4.5, "height_m": 2.7, name: bad})


def test_orders_keep_their_shape():
    assert checked_orders([(1, 0, 2)]).tolist() == [[1, 0, 2]]
    assert checked_orders(np.zeros((0, 3), dtype=int)).shape == (0, 3)


@pytest.mark.parametrize("orders", [[(0, 0, 0)], [(0, -1, 2)], [(1.5, 0, 0)], [(1, 2)], 3])
def test_impossible_orders_are_refused(orders):
    with pytest.raises(OutOfRangeError, match="orders"):
        checked_orders(orders)
