"""Which wall is behind the speakers decides which of the two sides is the length."""

import dataclasses

import pytest

from service.advice.assumptions import Assumptions
from service.advice.places.as_found import sides_findings, with_sides_mapped
from service.advice.places.settle import told_places
from service.domain.as_found import AsFound
from service.domain.errors import DomainError
from service.domain.requests import AdviceRequest, LevelRequest, PlacementRequest
from service.domain.room import Room
from tests.advice.bodies import ask, body, codes, part_db
from tests.advice.tape_readings import (
    PLACES,
    SPEAKER,
    request,
)

# sides and floor area -------------------------------------------------------------------------------------------------


def mapped(kind=AdviceRequest, *, room_m, assume=None, **told):
    return with_sides_mapped(request(kind, room_m=room_m, told=told), assume or Assumptions())


@pytest.mark.parametrize(
    ("room_m", "speakers_on", "expected_m"),
    [
        ((5.4, 4.1, 2.5), "long_wall", (4.1, 5.4)),
        ((4.1, 5.4, 2.5), "long_wall", (4.1, 5.4)),
        ((5.4, 4.1, 2.5), "short_wall", (5.4, 4.1)),
        ((4.1, 5.4, 2.5), "short_wall", (5.4, 4.1)),
        ((4.1, 5.4, 2.5), None, (4.1, 5.4)),
        ((4.1, 4.1, 2.5), "long_wall", (4.1, 4.1)),
    ],
)
def test_the_wall_that_was_named_is_behind_the_speakers(room_m, speakers_on, expected_m):
    assume = Assumptions()
    found = mapped(room_m=room_m, assume=assume, speakers_on=speakers_on)
    assert (found.room.length_m, found.room.width_m) == expected_m
    turned = room_m[:2] != expected_m
    completing = dict(zip(("/room/length_m", "/room/width_m"), expected_m, strict=True)) if turned else {}
    assert assume.completing() == completing
    assert [item.pointer for item in assume.listed()] == [None] * turned
    assert [item.code for item in sides_findings(assume)] == ["sides_taken_the_other_way"] * turned


def test_turned_sides_equal_the_sides_told_the_other_way():
    turned = mapped(PlacementRequest, room_m=(5.4, 4.1, 2.5), speakers_on="long_wall", spacing_m=2.5)
    plain = request(PlacementRequest, room_m=(4.1, 5.4, 2.5), told={"spacing_m": 2.5})
    assert turned.room == plain.room
    dimensions_m = (4.1, 5.4, 2.5)
    assert told_places(turned, Assumptions(), dimensions_m) == told_places(plain, Assumptions(), dimensions_m)
    again = with_sides_mapped(turned, Assumptions())
    assert again.room == turned.room


def test_coordinates_in_sides_that_the_wall_contradicts_are_refused():
    asked = request(told={"speakers_on": "long_wall"}, positions=PLACES)
    with pytest.raises(DomainError) as refused:
        with_sides_mapped(asked, Assumptions())
    assert (refused.value.pointer, refused.value.code) == ("/as_found/speakers_on", "contradiction")
    assert with_sides_mapped(request(told={"speakers_on": "short_wall"}, positions=PLACES), Assumptions())


def test_a_floor_area_alone_takes_no_distances():
    def of_area(**told):
        return LevelRequest(speaker=SPEAKER, room=Room(floor_area_m2=22.0), as_found=AsFound(**told))

    unused = of_area(speakers_on="short_wall", sofa_on_wall=True, ear_height_m=1.1, toe_in_deg=5.0)
    assert with_sides_mapped(unused, Assumptions()) is unused
    with pytest.raises(DomainError, match="spacing_m") as refused:
        with_sides_mapped(of_area(spacing_m=2.0), Assumptions())
    assert (refused.value.pointer, refused.value.code) == ("/room/length_m", "needs_length_and_width")


def test_places_need_a_room():
    with pytest.raises(DomainError) as refused:
        LevelRequest(speaker=SPEAKER, listening_distance_m=2.0, as_found=AsFound(spacing_m=2.0))
    assert (refused.value.pointer, refused.value.code) == ("/room", "missing")


def test_every_request_without_places_is_left_alone():
    plain = request(listening_distance_m=2.9)
    assert with_sides_mapped(plain, Assumptions()) is plain
    free_field = dataclasses.replace(plain, room=None)
    assert with_sides_mapped(free_field, Assumptions()) is free_field


# whole requests -------------------------------------------------------------------------------------------------------

SOFA = {"front_wall_to_baffle_m": 0.5, "spacing_m": 2.2, "sofa_on_wall": True}


def posted(length_m, width_m, **told):
    room = {"length_m": length_m, "width_m": width_m}
    return body(room=room, as_found={**SOFA, **told}, listening_distance_m=None)


def test_levels_follow_the_wall_that_was_named():
    turned, plain = ask("level", posted(5.4, 4.1, speakers_on="long_wall")), ask("level", posted(4.1, 5.4))
    assert turned.peak_spl_db == plain.peak_spl_db
    assert turned.listening_distance_m == plain.listening_distance_m
    assert turned.peak_spl_db != ask("level", posted(5.4, 4.1)).peak_spl_db
    assert codes(turned.findings)[1] == "sides_taken_the_other_way"
    assert "sides_taken_the_other_way" not in codes(plain.findings)


def test_inputs_carry_the_sides_as_taken_and_give_the_same_levels():
    """Depth 4.1 - 0.3 - 0.5 = 3.3 m, half the spacing 1.1 m, ears 0.15 m higher: sqrt(12.1225) = 3.4817 m."""
    first = ask("advice", {**posted(5.4, 4.1, speakers_on="long_wall"), "include": ["level", "inputs"]})
    assert (first.inputs["room"]["length_m"], first.inputs["room"]["width_m"]) == (4.1, 5.4)
    assert first.inputs["as_found"]["back_wall_to_ears_m"] == 0.3
    assert first.level.listening_distance_m == pytest.approx(3.4817, abs=1e-4)
    again = ask("advice", first.inputs)
    assert again.level.peak_spl_db == pytest.approx(first.level.peak_spl_db, abs=0.005)
    assert "sides_taken_the_other_way" not in codes(again.findings)


def test_a_measured_place_leaves_no_doubt_about_the_distance():
    about = {
        name: part_db(ask("level", posted(5.4, 4.1, **told)), "distance")
        for name, told in (("assumed", {}), ("measured", {"back_wall_to_ears_m": 0.3}))
    }
    assert about["measured"] == 0.0
    assert about["assumed"] > 0.0
