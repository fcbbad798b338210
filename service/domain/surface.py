"""What a wall, the floor or the ceiling is made of."""

from dataclasses import dataclass

from service.domain.block import Block, names_told
from service.domain.errors import DomainError
from service.domain.words import words

WALLS = ("front_wall", "back_wall", "left_wall", "right_wall", "floor", "ceiling")
"""The six surfaces in the order of every array of the project: x = 0, x = L, y = 0, y = W, z = 0, z = H."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfacePart:
    """A part of a surface, or all of it: exactly one way to say how it absorbs. `area_m2` None means the rest."""

    material: str | None = None
    absorption_coefficient: float | None = None
    absorption_by_octave: tuple[tuple[int, float], ...] | None = None
    admittance_ratio: float | None = None
    area_m2: float | None = None

    def __post_init__(self) -> None:
        ways: dict[str, object] = {
            "material": self.material,
            "absorption_coefficient": self.absorption_coefficient,
            "absorption_by_octave": self.absorption_by_octave,
            "admittance_ratio": self.admittance_ratio,
        }
        given = names_told(**ways)
        if len(given) != 1:
            raise DomainError(
                pointer="",
                code="one_of",
                detail=words("refusals_domain.surface_one_way", count=len(given)),
                given=given,
                allowed=list(ways),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface(Block):
    """One surface of a room, of one or several parts."""

    parts: tuple[SurfacePart, ...]

    def part_areas_m2(self, *, whole_m2: float, name: str) -> list[float]:
        """Return the area of each part, the rest of the surface going to the first part without an area.

        Parameters
        ----------
        whole_m2 : float
            Area of the whole surface. [m2]
        name : str
            Name of the surface, for the message. [-]

        Returns
        -------
        list of float

        Raises
        ------
        DomainError
            Parts without an area are more than one, the parts are larger than the surface, or they leave a rest.
        """
        given_m2 = sum(part.area_m2 for part in self.parts if part.area_m2 is not None)
        open_ended = [part for part in self.parts if part.area_m2 is None]
        rest_m2 = whole_m2 - given_m2
        if rest_m2 < -1e-6 * whole_m2:
            raise DomainError(
                pointer=self.pointer("parts"),
                code="parts_too_large",
                detail=words("refusals_domain.parts_too_large", wall=name, parts_m2=given_m2, whole_m2=whole_m2),
                given=given_m2,
                allowed=words("refusals_domain.parts_too_large.allowed", whole_m2=whole_m2),
            )
        if not open_ended and rest_m2 > 1e-3 * whole_m2:
            raise DomainError(
                pointer=self.pointer("parts"),
                code="area_missing",
                detail=words("refusals_domain.parts_leave_a_rest", wall=name, rest_m2=rest_m2, whole_m2=whole_m2),
                given=given_m2,
                allowed=words("refusals_domain.parts_leave_a_rest.allowed", whole_m2=whole_m2),
            )
        first_open = next(iter(open_ended), None)
        return [
            part.area_m2 if part.area_m2 is not None else (max(rest_m2, 0.0) if part is first_open else 0.0)
            for part in self.parts
        ]
