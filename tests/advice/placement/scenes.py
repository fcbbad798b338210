"""Constraints, speakers and wishes of tests, all in a room of 6 x 4 x 2.5 m unless told otherwise."""

import numpy as np

from service.advice.placement.constraints import Constraints
from service.advice.placement.frames import Frame
from service.advice.placement.wanted import PlacedSpeaker, Wanted
from service.domain.position import Place, Positions
from service.domain.search import Search

ROOM_M = (6.0, 4.0, 2.5)


def frame(front_wall="front_wall", room_m=ROOM_M):
    return Frame(front_wall=front_wall, room_m=room_m)


def constraints(room_m=ROOM_M, **changes):
    """Wide constraints of a pair and one seat, of which a test narrows those that it is about."""
    wide = {
        "frame": frame(room_m=room_m),
        "front_m": (0.5, 2.0),
        "seat_x_m": (1.0, 5.8),
        "axis_y_m": (room_m[1] / 2,) * 2,
        "spacing_m": (1.0, 3.0),
        "side_m": 0.2,
        "seat_y_m": None,
        "seat_offsets_m": np.zeros((1, 3)),
        "head_to_wall_m": 0.0,
        "least_depth_m": 0.5,
        "distance_m": (0.0, 9.0),
        "angle_deg": (0.0, 180.0),
        "seat_not_within_m": None,
        "walking_room_m": 0.0,
        "zones_m": np.empty((0, 4)),
        "cabinet_m": (0.3, 0.4),
        "heights_m": (0.9, 1.1),
        "fixed_speakers": None,
        "fixed_facing_rad": None,
        "speaker_count": 2,
    }
    return Constraints(**{**wide, **changes})


def placed_speaker(**changes):
    """A cabinet 0.3 m wide and 0.4 m deep."""
    usual = {
        "radiation": "monopole",
        "low_limit_hz": 40.0,
        "directivity_index_db": np.zeros(8),
        "cabinet_width_m": 0.3,
        "cabinet_depth_m": 0.4,
        "ways_of_standing": ("free",),
        "crossover_hz": None,
    }
    return PlacedSpeaker(**{**usual, **changes})


def wanted(*, search=None, **changes):
    usual = {
        "search": Search(**(search or {})),
        "present": None,
        "count": 2,
        "distance_m": None,
        "speaker_z_m": 0.9,
        "ear_z_m": 1.1,
        "seat_offsets_m": np.zeros((1, 3)),
        "judged": np.arange(1),
        "ways_of_standing": ("free",),
        "walking_room_m": 0.6,
    }
    return Wanted(**{**usual, **changes})


def present(seats=((5.0, 1.6, 1.1),)):
    """A pair at unlike distances from the front wall, and seats."""
    return Positions(
        speakers=(
            Place(x_m=0.7, y_m=0.9, z_m=0.8, facing_deg=20.0),
            Place(x_m=0.8, y_m=2.9, z_m=0.8, facing_deg=-35.0),
        ),
        seats=tuple(Place(x_m=x, y_m=y, z_m=z) for x, y, z in seats),
    )
