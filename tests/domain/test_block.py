"""A block names its own fields under the place where it stands."""

import pytest

from service.domain.equipment import Amplifier
from service.domain.requests import AdviceRequest
from service.domain.room import Room
from service.web.requests.advice import AdviceRequestSchema
from tests.web.real import small_body


@pytest.mark.parametrize(
    ("block", "steps", "expected"),
    [
        (Amplifier(power_w=8), ("load_ohm",), "/amplifier/load_ohm"),
        (Amplifier(power_w=8, at="/amplifiers/2"), ("load_ohm",), "/amplifiers/2/load_ohm"),
        (Room(floor_area_m2=20), ("openings", 1, "area_m2"), "/room/openings/1/area_m2"),
        (AdviceRequest(amplifier=Amplifier(power_w=8)), ("programme",), "/programme"),
    ],
)
def test_a_pointer_leads_to_the_field(block, steps, expected):
    assert block.pointer(*steps) == expected


def test_a_field_that_is_not_declared_has_no_pointer():
    with pytest.raises(AttributeError, match="Amplifier declares no field colour"):
        Amplifier(power_w=8).pointer("colour")


def test_what_is_read_knows_where_it_stood():
    body = small_body(
        "/v1/advice",
        amplifiers=[{"power_w": 3}, {"power_w": 8}],
        room={"length_m": 5, "width_m": 4, "surfaces": {"floor": {"absorption_coefficient": 0.1}}},
        search={"keep_clear": [{"name": "door", "x_m": 0, "y_m": 0, "length_m": 1, "width_m": 1}]},
    )
    request = AdviceRequestSchema().load(body)
    assert [each.at for each in request.amplifiers] == ["/amplifiers/0", "/amplifiers/1"]
    assert (request.at, request.speaker.at, request.search.at) == ("", "/speaker", "/search")
    assert request.room.surfaces.floor.at == "/room/surfaces/floor"


def test_the_same_facts_at_another_place_are_another_block():
    assert Amplifier(power_w=8) == Amplifier(power_w=8)
    assert Amplifier(power_w=8) != Amplifier(power_w=8, at="/amplifiers/0")
