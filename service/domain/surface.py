"""What a wall, the floor or the ceiling is made of."""

from dataclasses import dataclass

from service.domain.block import Block
from service.domain.errors import DomainError

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
        ways = ("material", "absorption_coefficient", "absorption_by_octave", "admittance_ratio")
        given = [way for way in ways if getattr(self, way) is not None]
        if len(given) != 1:
            raise DomainError(
                pointer="",
                code="one_of",
                detail=f"a surface or part is described in exactly one way; {len(given)} were given.",
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
        pointer = f"/room/surfaces/{name}/parts"
        given_m2 = sum(part.area_m2 for part in self.parts if part.area_m2 is not None)
        open_ended = [part for part in self.parts if part.area_m2 is None]
        rest_m2 = whole_m2 - given_m2
        if rest_m2 < -1e-6 * whole_m2:
            raise DomainError(
                pointer=pointer,
                code="parts_too_large",
                detail=f"the parts of {name} cover {given_m2:.2f} m2, but the surface has {whole_m2:.2f} m2.",
                given=given_m2,
                allowed=f"at most {whole_m2:.2f} m2 together",
            )
        if not open_ended and rest_m2 > 1e-3 * whole_m2:
            raise DomainError(
                pointer=pointer,
                code="area_missing",
                detail=f"the parts of {name} leave {rest_m2:.2f} m2 of {whole_m2:.2f} m2 without a material: "
                "add a part without area_m2 for the rest.",
                given=given_m2,
                allowed=f"{whole_m2:.2f} m2 together, or one part without area_m2",
            )
        first_open = next(iter(open_ended), None)
        return [
            part.area_m2 if part.area_m2 is not None else (max(rest_m2, 0.0) if part is first_open else 0.0)
            for part in self.parts
        ]
