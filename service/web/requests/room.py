"""Schema of a room, with what stands in it and what is open."""

from service.advice.reference_tables import construction_ids, furnishing_ids
from service.domain import limits, room, surface
from service.web.reading.fields import Block, Choice, ListOf, Number, Text, Whole
from service.web.reading.schema_base import StrictSchema
from service.web.reading.shown_defaults import shown_default
from service.web.requests.octaves import TimesByOctave
from service.web.requests.surfaces import SurfacesSchema


class FurnishingSchema(StrictSchema):
    """Furniture or people: a plan area, or a number of objects."""

    material = Text(max_length=60, required=True, description="id of a material, see GET /v1/materials")
    area_m2 = Number("area_m2", description="plan area, for materials with an absorption coefficient", unit="m2")
    count = Whole("object_count", description="how many, for materials given as m2 an object or person")

    exactly_one_of = (("area_m2", "count"),)

    makes = room.Furnishing


class OpeningSchema(StrictSchema):
    """A part of a wall that is open to another room or to the outside. A measured time holds with it open."""

    wall = Choice(surface.WALLS, required=True, description="the surface that it is in")
    area_m2 = Number("area_m2", description="area of the opening", required=True, unit="m2")

    makes = room.Opening


class RoomSchema(StrictSchema):
    """A room, inside dimensions, at most 3000 m3: both lengths, or the floor area. All else sharpens the answer.

    A measured time counts before surfaces that are told, and these before what is usual for the construction.
    """

    length_m = Number(
        "length_m", description="from the front wall to the back wall; with width_m, or floor_area_m2", unit="m"
    )
    width_m = Number("width_m", description="from the left wall to the right wall", unit="m")
    floor_area_m2 = Number(
        "floor_area_m2",
        description="in place of length_m and width_m: loudness follows from it, the bass does not",
        unit="m2",
    )
    height_m = Number(
        "height_m",
        description="floor to ceiling; left out: usual for the construction",
        **shown_default("height_m"),
        unit="m",
    )
    construction = Choice(
        construction_ids(), description="how it is built, see GET /v1/room-kinds", **shown_default("construction")
    )
    furnishing = Choice(
        furnishing_ids(), description="how it is furnished, see GET /v1/room-kinds", **shown_default("furnishing")
    )
    shape = Choice(
        room.SHAPES, **shown_default("shape"), description="all but the box are computed as one, which is rough"
    )
    openings = ListOf(
        Block(OpeningSchema), max_length=limits.MOST_OPENINGS, description="archways, doors that stand open"
    )
    surfaces = Block(SurfacesSchema)
    reverberation_time_s = Number("reverberation_time_s", description="measured, the same in every octave", unit="s")
    reverberation_time_by_octave_s = Block(TimesByOctave)
    furniture = ListOf(Block(FurnishingSchema), max_length=limits.MOST_OBJECTS)
    people = Whole("people", description="people in the room", **shown_default("people"))
    temperature_c = Number(
        "temperature_c", description="temperature of the air", **shown_default("temperature_c"), unit="degrees Celsius"
    )
    relative_humidity_pct = Number(
        "relative_humidity_pct",
        description="relative humidity of the air",
        **shown_default("relative_humidity_pct"),
        unit="%",
    )
    pressure_kpa = Number(
        "pressure_kpa", description="pressure of the air", **shown_default("pressure_kpa"), unit="kPa"
    )

    at_most_one_of = (("reverberation_time_s", "reverberation_time_by_octave_s"),)
    one_set_of = (("length_m", "width_m"), ("floor_area_m2",))
    together = (("length_m", "width_m"),)

    makes = room.Room
