"""The nearest of the published proportions."""

import pytest

from service.physics.checks import OutOfRangeError
from service.physics.room.published_ratios import PUBLISHED_RATIOS, nearest_published_ratio


@pytest.mark.parametrize("ratio", PUBLISHED_RATIOS, ids=lambda ratio: ratio.name)
def test_a_room_of_a_published_ratio_finds_it(ratio):
    height_m = 2.6
    room = [ratio.width_to_height_ratio * height_m, ratio.length_to_height_ratio * height_m]
    for length_m, width_m in (room, room[::-1]):
        found = nearest_published_ratio(length_m=length_m, width_m=width_m, height_m=height_m)
        assert found.ratio is ratio
        assert found.distance_pct == pytest.approx(0.0, abs=1e-9)


def test_distance_by_hand():
    # 5.4 x 4.1 x 2.5 m is 1 : 1.64 : 2.16. To 1 : 1.5 : 2.1 it is 9.3 and 2.9 %, to 1 : 1.6 : 2.33 2.5 and 7.3 %,
    # to 1 : 1.48 : 2.12 10.8 and 1.9 %: Sepmeyer C is nearest.
    found = nearest_published_ratio(length_m=5.4, width_m=4.1, height_m=2.5)
    assert found.ratio.name == "Sepmeyer C"
    assert found.distance_pct == pytest.approx(100 * (1 - 2.16 / 2.33), abs=1e-9)


def test_impossible_dimension_is_refused():
    with pytest.raises(OutOfRangeError, match="height_m"):
        nearest_published_ratio(length_m=5.0, width_m=4.0, height_m=0.0)
