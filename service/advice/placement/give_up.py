"""Where nothing fits: which limit to give up first, and how good the best place would be without it."""

from dataclasses import dataclass

from service.advice import policy
from service.advice.placement.search import PlacementSearch, relaxed
from service.domain.errors import DomainError


@dataclass(frozen=True, kw_only=True)
class GiveUp:
    """A limit that alone leaves no place: its name, the name of the zone if it is one, and the best place without."""

    name: str
    zone: str | None
    best: object


def first_to_give_up(room, speaker, wanted, frames):
    """Return the limit that alone leaves no place, the easiest to give up first; None where no single one does.

    Parameters
    ----------
    room : RoomAcoustics
        [-]
    speaker : PlacedSpeaker
        [-]
    wanted : Wanted
        [-]
    frames : list of Frame
        [-]
    """
    for name, zone, looser in _looser(wanted):
        try:
            result = PlacementSearch(room, speaker, looser, frames, policy.GIVE_UP_EFFORT).result()
        except DomainError:
            continue
        if result.best:
            return GiveUp(name=name, zone=zone, best=result.best[0])
    return None


def _looser(wanted):
    """Searches with one limit less each, what is easily given up first."""
    wanted = relaxed(wanted, step_m=None)
    search = wanted.search
    if search.seat_not_mid_room:
        yield "seat_not_mid_room", None, relaxed(wanted, seat_not_mid_room=False)
    if wanted.walking_room_m > 0:
        yield "walking_room", None, relaxed(wanted, walking_room_m=0.0)
    if "seat" not in search.must_stay:
        yield "seat_to_back_wall", None, relaxed(wanted, seat_to_back_wall_min_m=0.0)
    free = {"distance_m": None, "distance_is_free": True, "seat_distance_m": None, "seat_to_back_wall_min_m": 0.0}
    yield "listening_distance", None, relaxed(wanted, **free)
    yield "base_angle", None, relaxed(wanted, base_angle_deg=None, angle_is_free=True)
    for name in ("front_wall_to_baffle_max_m", "front_wall_distance_m", "spacing_m"):
        if getattr(search, name) is not None:
            yield name.removesuffix("_m"), None, relaxed(wanted, **{name: None})
    if wanted.standings != ("free", "near_wall"):
        yield "standing", None, relaxed(wanted, standings=("free", "near_wall"))
    for index, zone in enumerate(search.keep_clear):
        others = (*search.keep_clear[:index], *search.keep_clear[index + 1 :])
        yield "keep_clear", zone.name, relaxed(wanted, keep_clear=others)
    if search.symmetric and not search.must_stay:
        yield "symmetric", None, relaxed(wanted, symmetric=False)
    for name in ("seat", "speakers"):
        if name in search.must_stay:
            stays = tuple(each for each in search.must_stay if each != name)
            yield f"must_stay_{name}", None, relaxed(wanted, must_stay=stays)
