"""Places: strictly inside the room, and seats apart from sources."""

import functools

import pytest

from service.advice.language.localise import said
from service.domain.errors import DomainError
from service.domain.position import Place, Positions, require_apart, require_inside

ROOM_M = (5.0, 4.0, 2.5)
INSIDE = Place(x_m=1.0, y_m=2.0, z_m=0.9)
OF_SEATS = functools.partial(Positions(speakers=(), seats=()).pointer, "seats")


@pytest.mark.parametrize(
    ("place", "name", "where"),
    [
        (Place(x_m=0.0, y_m=2.0, z_m=0.9), "x_m", "in a wall"),
        (Place(x_m=5.0, y_m=2.0, z_m=0.9), "x_m", "in a wall"),
        (Place(x_m=1.0, y_m=4.5, z_m=0.9), "y_m", "outside the room"),
        (Place(x_m=1.0, y_m=2.0, z_m=2.6), "z_m", "outside the room"),
    ],
)
def test_places_outside(place, name, where):
    with pytest.raises(DomainError) as refused:
        require_inside([INSIDE, place], dimensions_m=ROOM_M, pointer=OF_SEATS, what="seat")
    assert (refused.value.pointer, refused.value.given) == (f"/positions/seats/1/{name}", getattr(place, name))
    assert said(refused.value.detail, "en").startswith(f"seat 2 is {where}: {name} is ")


def test_places_inside():
    assert require_inside([INSIDE], dimensions_m=ROOM_M, pointer=OF_SEATS, what="seat") is None


def test_apart():
    near = Place(x_m=1.03, y_m=2.04, z_m=0.9)  # 5 cm: 3, 4, 5
    assert require_apart([INSIDE], [near], least_m=0.0499, pointer=OF_SEATS, what="seat") is None
    with pytest.raises(DomainError) as refused:
        require_apart([INSIDE], [near], least_m=0.051, pointer=OF_SEATS, what="seat")
    assert refused.value.pointer == "/positions/seats/0"
    assert said(refused.value.detail, "en") == "seat 1 is 5.0 cm from a source of sound."
