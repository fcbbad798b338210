"""The listening room as a person describes it."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.domain.block import Block, names_told
from service.domain.errors import DomainError
from service.domain.limits import FLOOR_AREA_AGREES_RATIO, FLOOR_PER_PERSON_M2, LIMITS, MOST_VOLUME_M3
from service.domain.surface import Surface
from service.domain.words import words

SHAPES = ("box", "l_shape", "sloped_ceiling", "open_plan")
"""Forms of a room; all but the box are computed as one and said to be rough."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening(Block):
    """A part of a wall that is open to another room or to the outside."""

    wall: str
    area_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Furnishing(Block):
    """Furniture or people: a plan area of an absorbing material, or a number of absorbing objects."""

    material: str
    area_m2: float | None = None
    count: int | None = None

    def __post_init__(self) -> None:
        if (self.area_m2 is None) == (self.count is None):
            raise DomainError(
                pointer="",
                code="one_of",
                detail=words("refusals_domain.area_or_count"),
                given=names_told(area_m2=self.area_m2, count=self.count),
                allowed=["area_m2", "count"],
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Surfaces:
    """The six surfaces; None where nothing was told."""

    front_wall: Surface | None = None
    back_wall: Surface | None = None
    left_wall: Surface | None = None
    right_wall: Surface | None = None
    floor: Surface | None = None
    ceiling: Surface | None = None

    def __iter__(self) -> Iterator[Surface | None]:
        """In the order of `WALLS`."""
        return iter((self.front_wall, self.back_wall, self.left_wall, self.right_wall, self.floor, self.ceiling))


@dataclass(frozen=True, slots=True, kw_only=True)
class Room(Block):
    """A room, computed as a rectangular one: both lengths, or the floor area alone.

    Facts that were not told are None; whoever needs them asks the assumptions.
    """

    at: str = "/room"
    length_m: float | None = None
    width_m: float | None = None
    floor_area_m2: float | None = None
    height_m: float | None = None
    construction: str | None = None
    furnishing: str | None = None
    shape: str | None = None
    openings: tuple[Opening, ...] = ()
    surfaces: Surfaces | None = None
    reverberation_time_s: float | None = None
    reverberation_time_by_octave_s: tuple[tuple[int, float], ...] | None = None
    furniture: tuple[Furnishing, ...] = ()
    people: int | None = None
    temperature_c: float | None = None
    relative_humidity_pct: float | None = None
    pressure_kpa: float | None = None

    def __post_init__(self) -> None:
        if self.reverberation_time_s is not None and self.reverberation_time_by_octave_s is not None:
            raise DomainError(
                pointer=self.own("reverberation_time_by_octave_s"),
                code="one_of",
                detail=words("refusals_domain.reverberation_time"),
                given=self.reverberation_time_s,
                allowed=["reverberation_time_s", "reverberation_time_by_octave_s"],
            )
        self._require_a_size()
        floor_m2 = self.floor_m2
        volume_m3 = floor_m2 * (self.height_m or 1.0)
        if volume_m3 > MOST_VOLUME_M3:
            raise DomainError(
                pointer=self.own("length_m" if self.sides_are_told else "floor_area_m2"),
                code="room_too_large",
                detail=words("refusals_domain.room_too_large", volume_m3=volume_m3, most_m3=MOST_VOLUME_M3),
                given=self.length_m if self.sides_are_told else self.floor_area_m2,
                allowed=words("refusals_domain.room_too_large.allowed", most_m3=MOST_VOLUME_M3),
            )
        pieces = (self.people or 0) + sum(piece.count or 0 for piece in self.furniture)
        taken_m2 = FLOOR_PER_PERSON_M2 * pieces + sum(piece.area_m2 or 0.0 for piece in self.furniture)
        if taken_m2 > floor_m2:
            raise DomainError(
                pointer=self.own("furniture" if self.furniture else "people"),
                code="furniture_too_large",
                detail=words("refusals_domain.furniture_too_large", taken_m2=taken_m2, floor_m2=floor_m2),
                given=round(taken_m2, 1),
                allowed=words(
                    "refusals_domain.furniture_too_large.allowed",
                    floor_m2=floor_m2,
                    each_m2=FLOOR_PER_PERSON_M2,
                ),
            )

    def _require_a_size(self) -> None:
        """Refuse a room of one length, of none and no area, or of lengths and area that contradict each other."""
        sides = names_told(length_m=self.length_m, width_m=self.width_m)
        if len(sides) == 1:
            told, untold = sides[0], "width_m" if sides == ["length_m"] else "length_m"
            raise DomainError(
                pointer=self.own(untold),
                code="missing",
                detail=words("refusals_domain.one_side", told=told, untold=untold),
                allowed=words("refusals_fields.number", range=LIMITS[untold].words),
            )
        if not self.sides_are_told:
            if self.floor_area_m2 is None:
                raise DomainError(
                    pointer="",
                    code="missing",
                    detail=words("refusals_domain.size_missing"),
                    allowed=[words("refusals_domain.both_sides"), "floor_area_m2"],
                )
            return
        if self.floor_area_m2 is not None:
            of_sides_m2 = self.floor_m2
            if abs(of_sides_m2 - self.floor_area_m2) > FLOOR_AREA_AGREES_RATIO * of_sides_m2:
                raise DomainError(
                    pointer=self.own("floor_area_m2"),
                    code="contradiction",
                    detail=words(
                        "refusals_domain.floor_area_differs", sides_m2=of_sides_m2, floor_m2=self.floor_area_m2
                    ),
                    given=self.floor_area_m2,
                    allowed=words(
                        "refusals_domain.floor_area_differs.allowed",
                        within_pct=100 * FLOOR_AREA_AGREES_RATIO,
                        sides_m2=of_sides_m2,
                    ),
                )

    @property
    def sides_are_told(self) -> bool:
        """Whether length and width are told, not the floor area alone."""
        return self.length_m is not None and self.width_m is not None

    @property
    def floor_m2(self) -> float:
        """Floor area, from length and width where these are told. [m2]"""
        if self.length_m is not None and self.width_m is not None:
            return self.length_m * self.width_m
        assert self.floor_area_m2 is not None
        return self.floor_area_m2

    def require_sides(self) -> None:
        """Refuse a room of which the floor area alone is told, where length and width decide.

        Raises
        ------
        DomainError
            Length and width are not told.
        """
        if not self.sides_are_told:
            raise DomainError(
                pointer=self.pointer("length_m"),
                code="needs_length_and_width",
                detail=words("refusals_domain.needs_sides"),
                given=self.floor_area_m2,
                allowed=[words("refusals_domain.both_sides")],
            )
