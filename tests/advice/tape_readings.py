"""Tape readings of the tests and the places they are settled to."""

from service.advice.assumptions import Assumptions
from service.advice.places.settle import settled_positions
from service.domain.as_found import AsFound
from service.domain.equipment import Loudspeaker
from service.domain.position import Place, Positions
from service.domain.requests import LevelRequest
from service.domain.room import Room

ROOM_M = (5.4, 4.1, 2.5)
HEIGHTS = {"ear_height_m": 1.0, "speaker_height_m": 1.0}
SPEAKER = Loudspeaker(sensitivity_db_1w_1m=97.0)


def request(kind=LevelRequest, *, room_m=ROOM_M, told=None, **others):
    room = Room(length_m=room_m[0], width_m=room_m[1], height_m=room_m[2])
    return kind(speaker=SPEAKER, room=room, as_found=None if told is None else AsFound(**told), **others)


def standing(told, *, distance_m=None, count=2, positions=None, assume=None):
    return settled_positions(
        request(told=told, listening_distance_m=distance_m, positions=positions),
        assume or Assumptions(),
        dimensions_m=ROOM_M,
        speaker_count=count,
    )


def coordinates(positions):
    """x of the speakers, y of each, and x and y of the chair."""
    places = positions.speakers
    assert len({place.x_m for place in places}) == 1
    seat = positions.seats[0]
    return [places[0].x_m, *(place.y_m for place in places), seat.x_m, seat.y_m]


def assumed(assume):
    return {item.pointer: item.value for item in assume.listed()}


FULL = {
    "front_wall_to_baffle_m": 0.8,
    "left_wall_to_left_baffle_m": 0.9,
    "spacing_m": 2.4,
    "back_wall_to_ears_m": 3.0,
    "left_wall_to_ears_m": 2.1,
    **HEIGHTS,
}

ACROSS = {
    "left and right": {"left_wall_to_left_baffle_m": 0.7, "right_wall_to_right_baffle_m": 1.2},
    "left and spacing": {"left_wall_to_left_baffle_m": 0.7, "spacing_m": 2.2},
    "right and spacing": {"right_wall_to_right_baffle_m": 1.2, "spacing_m": 2.2},
    "spacing and shift": {"spacing_m": 2.2, "side_offset_m": -0.25},
    "left and shift": {"left_wall_to_left_baffle_m": 0.7, "side_offset_m": -0.25},
    "right and shift": {"right_wall_to_right_baffle_m": 1.2, "side_offset_m": -0.25},
    "all of them": {
        "left_wall_to_left_baffle_m": 0.7,
        "right_wall_to_right_baffle_m": 1.2,
        "spacing_m": 2.2,
        "side_offset_m": -0.25,
    },
}

PLACES = Positions(
    speakers=(Place(x_m=0.8, y_m=0.9, z_m=1.0, facing_deg=20.0), Place(x_m=0.8, y_m=3.3, z_m=1.0, facing_deg=-20.0)),
    seats=(Place(x_m=2.4, y_m=2.1, z_m=1.0), Place(x_m=2.4, y_m=2.7, z_m=1.0)),
)
