"""The listening room as a person describes it."""

from dataclasses import dataclass

from service.domain.errors import DomainError
from service.domain.limits import FLOOR_PER_PERSON_M2, MOST_VOLUME_M3
from service.domain.surface import WALLS, Surface


@dataclass(frozen=True, slots=True, kw_only=True)
class Furnishing:
    """Furniture or people: a plan area of an absorbing material, or a number of absorbing objects."""

    material: str
    area_m2: float | None = None
    count: int | None = None

    def __post_init__(self):
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

    def __iter__(self):
        return (getattr(self, name) for name in WALLS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """A rectangular room. Facts that were not told are None; whoever needs them asks the assumptions."""

    length_m: float
    width_m: float
    height_m: float | None = None
    surfaces: Surfaces | None = None
    reverberation_time_s: float | None = None
    reverberation_time_by_octave_s: tuple[tuple[int, float], ...] | None = None
    furniture: tuple[Furnishing, ...] = ()
    people: int | None = None
    temperature_c: float | None = None
    relative_humidity_pct: float | None = None
    pressure_kpa: float | None = None

    def __post_init__(self):
        if self.reverberation_time_s is not None and self.reverberation_time_by_octave_s is not None:
            raise DomainError(
                pointer="/reverberation_time_by_octave_s",
                code="one_of",
                detail="give the reverberation time as one number or by octave, not both.",
                given=self.reverberation_time_s,
                allowed=["reverberation_time_s", "reverberation_time_by_octave_s"],
            )
        volume_m3 = self.length_m * self.width_m * (self.height_m or 1.0)
        if volume_m3 > MOST_VOLUME_M3:
            raise DomainError(
                pointer="/length_m",
                code="room_too_large",
                detail=f"the room has {volume_m3:.0f} m3; rooms up to {MOST_VOLUME_M3:.0f} m3 are computed.",
                given=self.length_m,
                allowed=f"a volume of at most {MOST_VOLUME_M3:.0f} m3",
            )
        floor_m2 = self.length_m * self.width_m
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
