"""Models of rooms, cached for the next request about the same room: a website asks about one room again and again."""

import functools

from service.advice.assumptions import Assumption, Assumptions
from service.advice.room.model import RoomAcoustics
from service.advice.room.settle import room_acoustics
from service.domain.room import Room
from service.physics.frozen import frozen_record

_CACHED = 256


@functools.lru_cache(maxsize=_CACHED)
def _model(room: Room) -> tuple[RoomAcoustics, list[Assumption]]:
    assume = Assumptions()
    return frozen_record(room_acoustics(room, assume)), assume.listed()


def cached_room_model(room: Room, assume: Assumptions) -> RoomAcoustics:
    """Return the model of a room; what had to be assumed goes to `assume`."""
    model, assumptions = _model(room)
    assume.extend(assumptions)
    return model


def clear_room_models() -> None:
    """Empty the cache: for measurements of a first request."""
    _model.cache_clear()
