"""Schemas of the surfaces of a room."""

from service.domain import limits, room, surface
from service.web.reading.fields import Block, ListOf, Number, Text
from service.web.reading.schema_base import StrictSchema
from service.web.requests.octaves import AbsorptionByOctave

_ABSORPTION = "share of the sound energy that is not reflected, the same in every octave"
_ADMITTANCE = "specific normal admittance, rho c / Z, a real number of a locally reacting surface"


class SurfacePartSchema(StrictSchema):
    """A part of a surface: exactly one way to say how it absorbs, and its area."""

    material = Text(max_length=60, description="id of a material, see GET /v1/materials")
    absorption_coefficient = Number("absorption_coefficient", description=_ABSORPTION)
    absorption_by_octave = Block(AbsorptionByOctave)
    admittance_ratio = Number("admittance_ratio", description=_ADMITTANCE)
    area_m2 = Number("area_m2", description="area of this part; left out: the rest of the surface", unit="m2")

    makes = surface.SurfacePart


class SurfaceSchema(StrictSchema):
    """One surface of the room: one material or description, or several parts."""

    material = Text(max_length=60, description="id of a material, see GET /v1/materials")
    absorption_coefficient = Number("absorption_coefficient", description=_ABSORPTION)
    absorption_by_octave = Block(AbsorptionByOctave)
    admittance_ratio = Number("admittance_ratio", description=_ADMITTANCE)
    parts = ListOf(
        Block(SurfacePartSchema), max_length=limits.MOST_PARTS, description="a window in a wall, for instance"
    )

    exactly_one_of = (("material", "absorption_coefficient", "absorption_by_octave", "admittance_ratio", "parts"),)

    makes = surface.Surface

    def make(self, data):
        return super().make(data if "parts" in data else {"parts": [surface.SurfacePart(**data)]})


class SurfacesSchema(StrictSchema):
    """The six surfaces. You sit facing the front wall, which is behind the speakers."""

    front_wall = Block(SurfaceSchema)
    back_wall = Block(SurfaceSchema)
    left_wall = Block(SurfaceSchema)
    right_wall = Block(SurfaceSchema)
    floor = Block(SurfaceSchema)
    ceiling = Block(SurfaceSchema)

    makes = room.Surfaces
