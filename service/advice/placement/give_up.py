"""Where nothing fits: which constraint to give up first, and how good the best place would be without it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from service.advice.placement import policy
from service.advice.placement.frames import Frame
from service.advice.placement.moves import JudgedPlacement
from service.advice.placement.search import PlacementSearch
from service.advice.placement.wanted import PlacedSpeaker, Wanted
from service.advice.room.model import RoomAcoustics
from service.domain.errors import DomainError


@dataclass(frozen=True, kw_only=True)
class GiveUp:
    """A constraint that alone leaves no place.

    Attributes
    ----------
    name : str
        Of the constraint. [-]
    zone : str or None
        Name of the zone, if it is one. [-]
    best : JudgedPlacement
        The best place without it. [-]
    """

    name: str
    zone: str | None
    best: JudgedPlacement


@dataclass(frozen=True, kw_only=True)
class Looser:
    """What is wanted with one constraint less: the name of that, and of the zone if it is one."""

    name: str
    zone: str | None = None
    wanted: Wanted


def first_to_give_up(
    room: RoomAcoustics, speaker: PlacedSpeaker, wanted: Wanted, frames: Sequence[Frame]
) -> GiveUp | None:
    """Return the constraint that alone leaves no place, the easiest to give up first; None where no single one does.

    Parameters
    ----------
    room : RoomAcoustics
        [-]
    speaker : PlacedSpeaker
        [-]
    wanted : Wanted
        [-]
    frames : sequence of Frame
        [-]
    """
    for looser in without_one(wanted):
        try:
            result = PlacementSearch(room, speaker, looser.wanted, frames, policy.GIVE_UP_EFFORT).result()
        except DomainError:
            continue
        if result.best:
            return GiveUp(name=looser.name, zone=looser.zone, best=result.best[0])
    return None


def without_one(wanted: Wanted) -> Iterator[Looser]:
    """Yield what is wanted with one constraint less each, what is easily given up first.

    Parameters
    ----------
    wanted : Wanted
        Of which a step that was told is not kept. [-]
    """
    wanted = wanted.relaxed(step_m=None)
    search = wanted.search
    if search.seat_not_mid_room:
        yield Looser(name="seat_not_mid_room", wanted=wanted.relaxed(seat_not_mid_room=False))
    if wanted.walking_room_m > 0:
        yield Looser(name="walking_room", wanted=replace(wanted, walking_room_m=0.0))
    if "seat" not in search.must_stay:
        yield Looser(name="seat_to_back_wall", wanted=wanted.relaxed(seat_to_back_wall_min_m=0.0))
    anywhere = wanted.relaxed(seat_distance_m=None, seat_to_back_wall_min_m=0.0)
    yield Looser(name="listening_distance", wanted=replace(anywhere, distance_m=None, distance_is_free=True))
    yield Looser(name="base_angle", wanted=replace(wanted.relaxed(base_angle_deg=None), angle_is_free=True))
    if search.front_wall_to_baffle_max_m is not None:
        yield Looser(name="front_wall_to_baffle_max", wanted=wanted.relaxed(front_wall_to_baffle_max_m=None))
    if search.front_wall_distance_m is not None:
        yield Looser(name="front_wall_distance", wanted=wanted.relaxed(front_wall_distance_m=None))
    if search.spacing_m is not None:
        yield Looser(name="spacing", wanted=wanted.relaxed(spacing_m=None))
    if wanted.ways_of_standing != ("free", "near_wall"):
        yield Looser(name="standing", wanted=replace(wanted, ways_of_standing=("free", "near_wall")))
    for index, zone in enumerate(search.keep_clear):
        others = (*search.keep_clear[:index], *search.keep_clear[index + 1 :])
        yield Looser(name="keep_clear", zone=zone.name, wanted=wanted.relaxed(keep_clear=others))
    if search.symmetric and not search.must_stay:
        yield Looser(name="symmetric", wanted=wanted.relaxed(symmetric=False))
    for name in ("seat", "speakers"):
        if name in search.must_stay:
            staying = tuple(each for each in search.must_stay if each != name)
            yield Looser(name=f"must_stay_{name}", wanted=wanted.relaxed(must_stay=staying))
