"""Schema of the block that says where a search for a placement may look."""

from service.advice.placement import policy
from service.domain import limits
from service.domain.errors import DomainError
from service.domain.search import EFFORTS, FRONT_WALLS, STANDINGS, STAYING, KeepClear, Search
from service.domain.words import words
from service.web.reading.fields import Block, Choice, Flag, ListOf, Number, NumberArray, Text
from service.web.reading.schema_base import StrictSchema
from service.web.reading.shown_defaults import shown_default

_RANGES = ("front_wall_distance_m", "spacing_m", "seat_distance_m", "base_angle_deg")


def _range(name, description, *, unit):
    return NumberArray(name, min_length=2, max_length=2, description=f"from and to, {description}", unit=unit)


def _efforts():
    caps = ", ".join(f"{name} {effort.candidates}" for name, effort in policy.EFFORTS.items())
    return f"how hard to search; at most so many candidates, counted for each seat that is judged: {caps}"


class KeepClearSchema(StrictSchema):
    """A rectangle in plan in which neither cabinets nor chairs stand: the swing of a door, a window, furniture."""

    name = Text(max_length=60, required=True, description="what it is, for the message where it is in the way")
    x_m = Number("coordinate_m", required=True, description="front wall to its nearer edge", unit="m")
    y_m = Number("coordinate_m", required=True, description="left wall to its nearer edge", unit="m")
    length_m = Number("zone_m", required=True, description="along the length of the room", unit="m")
    width_m = Number("zone_m", required=True, description="along the width of the room", unit="m")

    makes = KeepClear


class SearchSchema(StrictSchema):
    """Where the search for a placement may look."""

    front_walls = ListOf(
        Choice(FRONT_WALLS),
        max_length=len(FRONT_WALLS),
        description="walls that may be behind the speakers, in the room's own names. Left out: the one behind the "
        "speakers where their places or speakers_on are told, else both ends of the length and the long walls",
    )
    front_wall_distance_m = _range(
        "distance_m", "from the wall behind the speakers to the middle of their fronts", unit="m"
    )
    front_wall_to_baffle_max_m = Number(
        "distance_m", description="no speaker's front further into the room than this", unit="m"
    )
    spacing_m = _range("distance_m", "between the speakers", unit="m")
    seat_distance_m = _range("listening_distance_m", "from the speakers to the first seat, in plan", unit="m")
    base_angle_deg = _range("base_angle_deg", "of the pair seen from the first seat", unit="degrees")
    seat_to_back_wall_min_m = Number(
        "coordinate_m",
        description="ears no nearer to the wall behind you",
        unit="m",
        **shown_default("search/seat_to_back_wall_min_m"),
    )
    seat_not_mid_room = Flag(
        description="rule out chairs near the middle of the length", **shown_default("search/seat_not_mid_room")
    )
    walking_room_m = Number(
        "walking_room_m",
        description="way past the chair, on one side at least, measured from 30 cm beside the ears",
        unit="m",
        **shown_default("search/walking_room_m"),
    )
    keep_clear = ListOf(
        Block(KeepClearSchema),
        max_length=limits.MOST_KEEP_CLEAR,
        min_length=0,
        description="where no part of a cabinet and nothing within 30 cm of an ear may be; what must stay is not asked",
    )
    standing = Choice(STANDINGS, description="how the speakers stand; left out: as is usual for their kind")
    must_stay = ListOf(
        Choice(STAYING),
        max_length=len(STAYING),
        description="what stays where positions or as_found say; bass: the bass sections stay where the speakers are",
        min_length=0,
    )
    symmetric = Flag(
        description="the pair stands about the room's axis; false: it may be moved sideways, the chair with it",
        **shown_default("search/symmetric"),
    )
    bass_apart = Flag(
        description="whether the bass sections may stand apart from the tops, anywhere up to 1.2 m before the chair",
        **shown_default("search/bass_apart"),
    )
    step_m = Number(
        "step_m",
        description="step of the first pass; left out: as fine as the effort allows. Proposals lie between the steps",
        unit="m",
    )
    effort = Choice(EFFORTS, description=_efforts())

    makes = Search

    def make(self, data):
        for name in _RANGES:
            if name in data:
                low, high = (float(value) for value in data[name])
                if high < low:
                    raise DomainError(
                        pointer=self.pointer(name, 1),
                        code="upside_down",
                        detail=words("refusals_requests.range_upside_down", name=name, high=high, low=low),
                        given=high,
                        allowed=words("refusals_requests.upside_down.allowed", low=low),
                    )
                data[name] = (low, high)
        for name in ("front_walls", "keep_clear", "must_stay"):
            if name in data:
                data[name] = tuple(dict.fromkeys(data[name]))
        return super().make(data)
