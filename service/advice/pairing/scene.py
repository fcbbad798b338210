"""Room, chair and music of a request: what all its speakers and amplifiers have in common, made into models once."""

from dataclasses import dataclass

from service.advice import policy
from service.advice.assumptions import Assumptions
from service.advice.places.settle import settled_positions
from service.advice.programme import ProgrammeFacts, programme_facts
from service.advice.room.cached import cached_room_model
from service.advice.room.model import Air, RoomAcoustics, air_of
from service.advice.speaker.load import told_cable_ohm
from service.domain.position import Positions, StandingPlaces
from service.domain.requests import PairingRequest
from service.physics.uncertainty import standard_from_half_width


@dataclass(frozen=True, kw_only=True, eq=False)
class Scene:
    """What the speakers and amplifiers of a request have in common.

    `places` is None in free field, and where only the floor area of the room is known; `cable_ohm` is that of the cable
    that was told, else 0.
    """

    request: PairingRequest
    room: RoomAcoustics | None
    air: Air
    programme: ProgrammeFacts
    speaker_count: int
    places: StandingPlaces | None
    distance_m: float
    cable_ohm: float

    @property
    def positions(self) -> Positions | None:
        """Where speakers and seats are, None where that is not known."""
        return None if self.places is None else self.places.positions

    @property
    def join_hz(self) -> float | None:
        """Where the wave field hands over to the statistical field; None in free field. [Hz]"""
        return None if self.room is None else min(self.room.transition_hz, policy.HIGHEST_JOIN_HZ)

    @property
    def distance_standard_m(self) -> float:
        """Standard uncertainty of the listening distance, 0 where the places were measured. [m]"""
        if self.places is not None:
            return self.places.distance_standard_m
        told = self.request.listening_distance_m is not None
        half_width_m = policy.DISTANCE_HALF_WIDTH_M if told else policy.UNTOLD_DISTANCE_HALF_WIDTH_M
        return float(standard_from_half_width(half_width_m))


def room_and_air(request: PairingRequest, assume: Assumptions) -> tuple[RoomAcoustics | None, Air]:
    """Return the model of the room, None in free field, and the air."""
    if request.room is None:
        return None, air_of(None, assume)
    room = cached_room_model(request.room, assume)
    return room, room.air


def scene_of(request: PairingRequest, assume: Assumptions, *, room: RoomAcoustics | None, air: Air) -> Scene:
    """Return what speakers and amplifiers have in common.

    Parameters
    ----------
    request : PairingRequest
        As told. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]
    room : RoomAcoustics or None
        None in free field. [-]
    air : Air
        [-]
    """
    programme = programme_facts(request, assume)
    told_count = request.speaker_count
    if told_count is None and request.positions is not None:
        told_count = len(request.positions.speakers)
    speaker_count = assume.take(request.pointer("speaker_count"), told_count)
    places = None
    if room is None or not room.sides_are_known:
        distance_m = assume.take(request.pointer("listening_distance_m"), request.listening_distance_m)
    else:
        places = settled_positions(request, assume, dimensions_m=room.dimensions_m, speaker_count=speaker_count)
        distance_m = places.listening_distance_m
    return Scene(
        request=request,
        room=room,
        air=air,
        programme=programme,
        speaker_count=speaker_count,
        places=places,
        distance_m=distance_m,
        cable_ohm=told_cable_ohm(request.cable),
    )
