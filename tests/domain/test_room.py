"""Rooms, their surfaces and what stands in them."""

import pytest

from service.domain.errors import DomainError
from service.domain.room import Furnishing, Room, Surfaces
from service.domain.surface import WALLS, Surface, SurfacePart

PLASTER = SurfacePart(material="plaster_on_brick")


def part(area_m2=None):
    return SurfacePart(absorption_coefficient=0.2, area_m2=area_m2)


@pytest.mark.parametrize(
    ("parts", "expected_m2"),
    [
        ((part(),), [10.0]),
        ((part(3.0), part()), [3.0, 7.0]),
        ((part(), part(3.0), part(2.0)), [5.0, 3.0, 2.0]),
        ((part(), part(3.0), part()), [7.0, 3.0, 0.0]),  # the rest goes to the first without an area
        ((part(4.0), part(6.0)), [4.0, 6.0]),
        ((part(4.0), part(5.995)), [4.0, 5.995]),  # a tape measure is not better than a thousandth
        ((part(10.0), part()), [10.0, 0.0]),
    ],
)
def test_parts_of_a_surface(parts, expected_m2):
    assert Surface(parts=parts).part_areas_m2(whole_m2=10.0, name="floor") == pytest.approx(expected_m2)


@pytest.mark.parametrize(
    ("parts", "code", "words"),
    [
        ((part(10.1),), "parts_too_large", r"10\.10 m2"),
        ((part(6.0), part(4.1), part()), "parts_too_large", r"at most 10\.00|10\.10 m2"),
        ((part(6.0), part(3.5)), "area_missing", r"0\.50 m2"),
    ],
)
def test_parts_that_do_not_fit(parts, code, words):
    with pytest.raises(DomainError, match=words) as refused:
        Surface(parts=parts).part_areas_m2(whole_m2=10.0, name="floor")
    assert (refused.value.pointer, refused.value.code) == ("/room/surfaces/floor/parts", code)
    assert "10.00 m2" in refused.value.allowed


@pytest.mark.parametrize("facts", [{}, {"material": "x", "absorption_coefficient": 0.1}, {"area_m2": 2.0}])
def test_a_part_is_described_in_one_way(facts):
    with pytest.raises(DomainError, match="exactly one way"):
        SurfacePart(**facts)


def test_surfaces_come_in_the_order_of_every_array():
    walls = {name: Surface(parts=(PLASTER,)) if name == "left_wall" else None for name in WALLS}
    assert [wall is not None for wall in Surfaces(**walls)] == [False, False, True, False, False, False]
    assert WALLS == ("front_wall", "back_wall", "left_wall", "right_wall", "floor", "ceiling")


@pytest.mark.parametrize(
    ("facts", "pointer", "code"),
    [
        (
            {"reverberation_time_s": 0.5, "reverberation_time_by_octave_s": ((500, 0.5),)},
            "/reverberation_time_by_octave_s",
            "one_of",
        ),
        ({"length_m": 30.0, "width_m": 20.0, "height_m": 5.1}, "/length_m", "room_too_large"),  # 3060 m3
        ({"people": 101}, "/people", "furniture_too_large"),  # 20 m2, 0.2 m2 each: 100
        ({"furniture": (Furnishing(material="x", area_m2=20.1),)}, "/furniture", "furniture_too_large"),
        ({"people": 50, "furniture": (Furnishing(material="x", count=51),)}, "/furniture", "furniture_too_large"),
    ],
)
def test_rooms_that_cannot_be(facts, pointer, code):
    with pytest.raises(DomainError) as refused:
        Room(**{"length_m": 5.0, "width_m": 4.0, **facts})
    assert (refused.value.pointer, refused.value.code) == (pointer, code)
    assert refused.value.allowed


def test_rooms_that_can_be():
    assert Room(length_m=30.0, width_m=20.0, height_m=5.0).height_m == 5.0
    assert Room(length_m=5.0, width_m=4.0, people=50, furniture=(Furnishing(material="x", area_m2=10.0),)).people == 50


@pytest.mark.parametrize("facts", [{}, {"area_m2": 2.0, "count": 1}])
def test_furniture_is_measured_one_way(facts):
    with pytest.raises(DomainError, match="either area_m2"):
        Furnishing(material="x", **facts)
