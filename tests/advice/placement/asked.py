"""Questions of the tests to the search, and what is looked at in its answers."""

import math

import numpy as np

from service.advice.assumptions import Assumptions
from service.advice.language.localise import localised
from service.advice.placement.frames import Frame
from service.advice.placement.merit import Judge
from service.advice.placement.placement import placed_speaker, placement
from service.advice.placement.setting import setting_of
from service.advice.room.cached import cached_room_model
from service.domain.equipment import Loudspeaker
from service.domain.position import Place, Positions
from service.domain.requests import AdviceRequest, PlacementRequest
from service.domain.room import Room
from service.domain.search import Search

ROOM = Room(length_m=5.4, width_m=4.1, height_m=2.5)


def speaker(**told):
    return Loudspeaker(**{"sensitivity_db_1w_1m": 97.0, **told})


def positions(*speakers, seats=((4.1, 2.05, 1.05),)):
    return Positions(
        speakers=tuple(Place(x_m=x, y_m=y, z_m=z) for x, y, z in speakers),
        seats=tuple(Place(x_m=x, y_m=y, z_m=z) for x, y, z in seats),
    )


PAIR = positions((0.6, 1.0, 0.9), (0.6, 3.1, 0.9))


def ask(room=ROOM, **told):
    """The answer to a quick search with the room's own front wall behind the speakers, unless told otherwise."""
    told["search"] = Search(**{"front_walls": ("front_wall",), "effort": "quick", **told.get("search", {})})
    return localised(placement(PlacementRequest(room=room, **told)), "en")


def setting(room, loudspeaker, seat_offsets_m=((0.0, 0.0, 0.0),)):
    """What is common to all candidates of the room's own front wall."""
    assume = Assumptions()
    acoustics = cached_room_model(room, assume)
    frame = Frame(front_wall="front_wall", room_m=acoustics.dimensions_m)
    return setting_of(acoustics, placed_speaker(loudspeaker, assume), frame, np.array(seat_offsets_m))


def judged_by_hand(room, loudspeaker, speakers_m, lead_m, facing_deg, seat_offsets_m=((0.0, 0.0, 0.0),)):
    """Merit of places of the room's own front wall, judged alone."""
    settled = placed_speaker(loudspeaker, Assumptions())
    judge = Judge(setting(room, loudspeaker, seat_offsets_m), settled, free_m=1.0)
    return judge.merit_db(speakers_m, np.radians(facing_deg), lead_m)


def at_distance(room, listening_distance_m):
    """A request of the whole job, which tells a listening distance."""
    search = Search(front_walls=("front_wall",))
    return AdviceRequest(
        room=room, speaker=speaker(), amplifier=None, listening_distance_m=listening_distance_m, search=search
    )


def codes(answer):
    return [finding.code for finding in answer.findings]


def text_of(answer, code):
    return next(finding.text for finding in answer.findings if finding.code == code)


def spacing_m(placed):
    return placed.speakers[-1].y_m - placed.speakers[0].y_m


def corners_m(place, *, width_m, depth_m):
    """Plan corners of a cabinet whose front stands at the speaker's place, turned as it faces."""
    facing = math.radians(place.facing_deg)
    ahead, across = np.array([math.cos(facing), math.sin(facing)]), np.array([-math.sin(facing), math.cos(facing)])
    front = np.array([place.x_m, place.y_m])
    return [front + side * width_m / 2 * across - back * depth_m * ahead for side in (-1, 1) for back in (0, 1)]


def random_room(rng):
    length_m, width_m, height_m = rng.uniform((3.4, 3.0, 2.2), (9.0, 7.0, 3.6)).round(2)
    time_s = None if rng.random() < 0.5 else float(rng.uniform(0.25, 0.9))
    return Room(length_m=length_m, width_m=width_m, height_m=height_m, reverberation_time_s=time_s)


def _xyz(place):
    return (place.x_m, place.y_m, place.z_m)


def by_hand(room, loudspeaker, placed):
    """Merit of a placement judged alone, from its own coordinates."""
    seats_m = np.array([_xyz(seat) for seat in placed.seats])
    speakers_m = np.array([_xyz(place) for place in placed.speakers])
    facing_deg = [place.facing_deg for place in placed.speakers]
    return judged_by_hand(room, loudspeaker, speakers_m, seats_m[0], facing_deg, seats_m - seats_m[0])
