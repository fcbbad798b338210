"""Rooms, their surfaces and what stands in them."""

import pytest

from service.advice.language.localise import said
from service.domain.errors import DomainError
from service.domain.room import Furnishing, Opening, Room, Surfaces
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
    ("parts", "code", "area"),
    [
        ((part(10.1),), "parts_too_large", "10.10 m2"),
        ((part(6.0), part(4.1), part()), "parts_too_large", "10.10 m2"),
        ((part(6.0), part(3.5)), "area_missing", "0.50 m2"),
    ],
)
def test_parts_that_do_not_fit(parts, code, area):
    with pytest.raises(DomainError) as refused:
        Surface(parts=parts, at="/room/surfaces/floor").part_areas_m2(whole_m2=10.0, name="floor")
    assert (refused.value.pointer, refused.value.code) == ("/room/surfaces/floor/parts", code)
    assert area in said(refused.value.detail, "en")
    assert "10.00 m2" in said(refused.value.allowed, "en")


@pytest.mark.parametrize("facts", [{}, {"material": "x", "absorption_coefficient": 0.1}, {"area_m2": 2.0}])
def test_a_part_is_described_in_one_way(facts):
    with pytest.raises(DomainError, match="surface_one_way"):
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
    with pytest.raises(DomainError, match="area_or_count"):
        Furnishing(material="x", **facts)


@pytest.mark.parametrize(
    ("size", "pointer", "code", "allowed"),
    [
        ({}, "", "missing", ["length_m and width_m", "floor_area_m2"]),
        ({"length_m": 5.0}, "/width_m", "missing", "a number from 1.5 to 30"),
        ({"width_m": 5.0}, "/length_m", "missing", "a number from 1.5 to 30"),
        ({"width_m": 5.0, "floor_area_m2": 20.0}, "/length_m", "missing", "a number from 1.5 to 30"),
        # 5 x 4 m: 10 % either way is 18 to 22 m2
        (
            {"length_m": 5.0, "width_m": 4.0, "floor_area_m2": 22.1},
            "/floor_area_m2",
            "contradiction",
            "within 10 % of 20",
        ),
        (
            {"length_m": 5.0, "width_m": 4.0, "floor_area_m2": 17.9},
            "/floor_area_m2",
            "contradiction",
            "within 10 % of 20",
        ),
        ({"floor_area_m2": 600.0, "height_m": 5.1}, "/floor_area_m2", "room_too_large", "a volume of at most 3000 m3"),
    ],
)
def test_sizes_that_do_not_make_a_room(size, pointer, code, allowed):
    with pytest.raises(DomainError) as refused:
        Room(**size)
    assert (refused.value.pointer, refused.value.code) == (pointer, code)
    told = said(refused.value.allowed, "en")
    assert told.startswith(allowed) if isinstance(allowed, str) else told == allowed


def test_a_contradiction_names_both_areas():
    with pytest.raises(DomainError) as refused:
        Room(length_m=5.0, width_m=4.0, floor_area_m2=30.0)
    assert "20.00 m2, but floor_area_m2 says 30.00 m2" in said(refused.value.detail, "en")


@pytest.mark.parametrize("floor_area_m2", [18.0, 20.0, 22.0])
def test_an_area_may_agree_with_the_lengths(floor_area_m2):
    room = Room(length_m=5.0, width_m=4.0, floor_area_m2=floor_area_m2)
    assert room.floor_m2 == 20.0
    assert room.sides_are_told


def test_a_floor_area_holds_furniture():
    assert Room(floor_area_m2=20.0, people=100).floor_m2 == 20.0
    with pytest.raises(DomainError) as refused:
        Room(floor_area_m2=20.0, people=101)
    assert "the floor has 20.0 m2" in said(refused.value.detail, "en")


def test_sides_can_be_required():
    Room(length_m=5.0, width_m=4.0).require_sides()
    with pytest.raises(DomainError, match="needs_sides"):
        Room(floor_area_m2=20.0).require_sides()


def test_rooms_can_be_kept_by():
    opening = Opening(wall="left_wall", area_m2=2.0)
    rooms = {Room(floor_area_m2=20.0, openings=(opening,)), Room(floor_area_m2=20.0, openings=(opening,))}
    assert len(rooms) == 1
