"""What a tape measure shows at places, by hand."""

import pytest

from service.domain.as_found import AsFound, tape_readings_m
from service.domain.position import Place, Positions

ROOM_M = (5.0, 4.0, 2.5)
SEAT = Place(x_m=3.6, y_m=2.1, z_m=1.1)


def readings(*speakers):
    return tape_readings_m(Positions(speakers=speakers, seats=(SEAT,)), dimensions_m=ROOM_M)


def test_pair_told_right_first():
    """Middle of the pair (0.7 + 3.1) / 2 = 1.9 m, 0.1 m to the left of the room's, 2 m."""
    found = readings(Place(x_m=0.8, y_m=3.1, z_m=0.9), Place(x_m=0.8, y_m=0.7, z_m=0.95))
    expected = {
        "front_wall_to_baffle_m": (0.8, 0.8),
        "left_wall_to_left_baffle_m": (0.7,),
        "right_wall_to_right_baffle_m": (0.9,),  # 4 - 3.1
        "spacing_m": (2.4,),
        "back_wall_to_ears_m": (1.4,),  # 5 - 3.6
        "left_wall_to_ears_m": (2.1,),
        "side_offset_m": (-0.1,),
        "ear_height_m": (1.1,),
        "speaker_height_m": (0.95, 0.9),  # the left one first
    }
    assert found.keys() == expected.keys()
    for name, value in expected.items():
        assert found[name] == pytest.approx(value, abs=1e-9), name


def test_spacing_is_along_the_line_between_the_speakers():
    """3, 4, 5: 0.9 m along the length and 1.2 m across are 1.5 m; heights are left out."""
    found = readings(Place(x_m=0.5, y_m=1.0, z_m=0.9), Place(x_m=1.4, y_m=2.2, z_m=1.3))
    assert found["spacing_m"] == pytest.approx((1.5,))
    assert found["front_wall_to_baffle_m"] == (0.5, 1.4)


def test_one_speaker_has_both_walls_and_no_spacing():
    found = readings(Place(x_m=0.8, y_m=1.5, z_m=0.9))
    assert "spacing_m" not in found
    assert found["left_wall_to_left_baffle_m"] == (1.5,)
    assert found["right_wall_to_right_baffle_m"] == (2.5,)
    assert found["side_offset_m"] == pytest.approx((-0.5,))


@pytest.mark.parametrize(
    ("told", "says_where"),
    [
        ({"speakers_on": "long_wall", "ear_height_m": 1.1, "speaker_height_m": 0.9, "toe_in_deg": 10.0}, False),
        ({"sofa_on_wall": False}, False),
        ({"sofa_on_wall": True}, True),
        ({"spacing_m": 2.0}, True),
        ({"side_offset_m": 0.0}, True),
    ],
)
def test_what_says_where_something_stands(told, says_where):
    assert AsFound(**told).says_where is says_where


def test_distances_are_coordinates_only():
    told = AsFound(spacing_m=2.0, ear_height_m=1.1, speaker_height_m=0.9, sofa_on_wall=True, toe_in_deg=5.0)
    assert told.distances_m == {"spacing_m": 2.0}
