"""The listening room as a person describes it."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.domain.block import Block
from service.domain.errors import DomainError
from service.domain.limits import FLOOR_AREA_AGREES_RATIO, FLOOR_PER_PERSON_M2, LIMITS, MOST_VOLUME_M3
from service.domain.surface import WALLS, Surface
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
                detail="a piece of furniture has either area_m2 (its plan area) or count (a number of objects).",
                given=[name for name in ("area_m2", "count") if getattr(self, name) is not None],
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
        return (getattr(self, name) for name in WALLS)


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
                pointer="/reverberation_time_by_octave_s",
                code="one_of",
                detail="give the reverberation time as one number or by octave, not both.",
                given=self.reverberation_time_s,
                allowed=["reverberation_time_s", "reverberation_time_by_octave_s"],
            )
        self._require_a_size()
        floor_m2 = self.floor_m2
        volume_m3 = floor_m2 * (self.height_m or 1.0)
        if volume_m3 > MOST_VOLUME_M3:
            size = "length_m" if self.sides_are_told else "floor_area_m2"
            raise DomainError(
                pointer=f"/{size}",
                code="room_too_large",
                detail=f"the room has {volume_m3:.0f} m3; rooms up to {MOST_VOLUME_M3:.0f} m3 are computed.",
                given=getattr(self, size),
                allowed=f"a volume of at most {MOST_VOLUME_M3:.0f} m3",
            )
        pieces = (self.people or 0) + sum(piece.count or 0 for piece in self.furniture)
        taken_m2 = FLOOR_PER_PERSON_M2 * pieces + sum(piece.area_m2 or 0.0 for piece in self.furniture)
        if taken_m2 > floor_m2:
            raise DomainError(
                pointer="/furniture" if self.furniture else "/people",
                code="furniture_too_large",
                detail=f"furniture and people take {taken_m2:.1f} m2, but the floor has {floor_m2:.1f} m2.",
                given=round(taken_m2, 1),
                allowed=f"at most {floor_m2:.1f} m2 together, {FLOOR_PER_PERSON_M2:g} m2 for each piece or person",
            )

    def _require_a_size(self) -> None:
        """Refuse a room of one length, of none and no area, or of lengths and area that contradict each other."""
        for told, untold in (("length_m", "width_m"), ("width_m", "length_m")):
            if getattr(self, told) is not None and getattr(self, untold) is None:
                raise DomainError(
                    pointer=f"/{untold}",
                    code="missing",
                    detail=f"{told} is there without {untold}: give both lengths, or floor_area_m2 alone.",
                    allowed=words("refusals_fields.number", range=LIMITS[untold].words),
                )
        if not self.sides_are_told:
            if self.floor_area_m2 is None:
                raise DomainError(
                    pointer="",
                    code="missing",
                    detail="the size of the room is missing: give length_m and width_m, or floor_area_m2 alone.",
                    allowed=["length_m and width_m", "floor_area_m2"],
                )
            return
        if self.floor_area_m2 is not None:
            of_sides_m2 = self.floor_m2
            if abs(of_sides_m2 - self.floor_area_m2) > FLOOR_AREA_AGREES_RATIO * of_sides_m2:
                raise DomainError(
                    pointer="/floor_area_m2",
                    code="contradiction",
                    detail=f"length_m times width_m is {of_sides_m2:.2f} m2, but floor_area_m2 says "
                    f"{self.floor_area_m2:.2f} m2: leave out the one that is less certain.",
                    given=self.floor_area_m2,
                    allowed=f"within {100 * FLOOR_AREA_AGREES_RATIO:g} % of {of_sides_m2:.2f} m2",
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
                pointer="/room/length_m",
                code="needs_length_and_width",
                detail="this needs length_m and width_m: resonances and places do not follow from the floor area.",
                given=self.floor_area_m2,
                allowed=["length_m and width_m"],
            )
