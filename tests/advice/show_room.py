"""A room and speakers of which much can be had by hand, for the tests of what the numbers mean."""

from service.advice.assumptions import Assumptions
from service.advice.room.model import air_of
from service.advice.room.settle import room_acoustics
from service.advice.speaker.model import loudspeaker_model
from tests.advice.bodies import FLAT_SPEAKER, ask, body, request

SHOW_ROOM = {"length_m": 5.4, "width_m": 4.1, "height_m": 2.5}
"""55.35 m3 and 91.78 m2."""


def acoustics_of(**changes):
    """The settled acoustics of the show room with changes."""
    return room_acoustics(request("reverberation", {"room": {**SHOW_ROOM, **changes}}).room, Assumptions())


def speaker_of(**facts):
    """The settled model of a loudspeaker of 98 dB with more facts."""
    told = {"sensitivity_db_1w_1m": 98, **facts}
    assume = Assumptions()
    return loudspeaker_model(
        request("level", body(speaker=told)).speaker, assume, speed_of_sound_m_s=air_of(None, assume).speed_of_sound_m_s
    )


def free_field(**changes):
    """The level in free field of a flat speaker of 98 dB, alone, on one watt at one metre."""
    base = body(speaker=FLAT_SPEAKER, amplifier={"power_w": 1}, room=None, listening_distance_m=1, speaker_count=1)
    return ask("level", body(base, **changes))


_SEAT = {"x_m": 3.4, "y_m": 2.05, "z_m": 1.05}


THE_PAIR = {"speakers": [{"x_m": 0.9, "y_m": y, "z_m": 0.9} for y in (0.9, 3.2)], "seats": [_SEAT]}


ONE_OF_THE_PAIR = {**THE_PAIR, "speakers": THE_PAIR["speakers"][:1]}
