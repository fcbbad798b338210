"""Schemas of places: as coordinates, and as found with a tape measure."""

from service.domain import as_found, limits, position
from service.web.reading.fields import Block, Choice, Flag, ListOf, Number
from service.web.reading.schema_base import StrictSchema
from service.web.reading.shown_defaults import shown_default


class PlaceSchema(StrictSchema):
    """A place: x from the front wall, y from the left wall, z from the floor."""

    x_m = Number("coordinate_m", description="from the front wall", required=True, unit="m")
    y_m = Number("coordinate_m", description="from the left wall", required=True, unit="m")
    z_m = Number("coordinate_m", description="from the floor", required=True, unit="m")

    makes = position.Place


class SpeakerPlaceSchema(PlaceSchema):
    """The place of a speaker's acoustic centre. A placement's speakers can be sent as they are."""

    facing_deg = Number(
        "facing_deg", description="direction in plan, from +x towards +y; left out: towards the seats", unit="degrees"
    )
    toe_in_deg = Number("facing_deg", description="as placements give it; facing_deg decides", unit="degrees")
    radiation = Choice(position.RADIATIONS, description="as placements give it; the speaker's kind decides")

    def make(self, data):
        data.pop("toe_in_deg", None)
        data.pop("radiation", None)
        return super().make(data)


class SourceSchema(PlaceSchema):
    """A point source. A placement's speakers can be sent as they are."""

    radiation = Choice(
        position.RADIATIONS,
        **shown_default("sources/radiation"),
        description="dipole: the equalised far-field figure of eight",
    )
    facing_deg = Number(
        "facing_deg",
        description="axis of a dipole in plan, from +x towards +y",
        **shown_default("sources/facing_deg"),
        unit="degrees",
    )
    toe_in_deg = Number("facing_deg", description="as placements give it; facing_deg decides", unit="degrees")
    gain_db = Number("gain_db", description="gain of this source", **shown_default("sources/gain_db"), unit="dB")
    delay_ms = Number("delay_ms", description="delay of this source", **shown_default("sources/delay_ms"), unit="ms")
    polarity = Choice((1, -1), **shown_default("sources/polarity"), description="-1: wired the other way round")

    makes = position.Source

    def make(self, data):
        data.pop("toe_in_deg", None)
        data.setdefault("facing_deg", 0.0)
        return super().make(data)


class PositionsSchema(StrictSchema):
    """Where the speakers and the ears are: first the left speaker, first the leading seat."""

    speakers = ListOf(Block(SpeakerPlaceSchema), max_length=2, required=True)
    seats = ListOf(Block(PlaceSchema), max_length=limits.MOST_SEATS, required=True)

    makes = position.Positions


class AsFoundSchema(StrictSchema):
    """How pair and chair stand today, in metres as seen from the chair; tell what was measured.

    The mark of a speaker is the middle of its front, that of the chair lies below the ears.
    """

    speakers_on = Choice(
        as_found.WALLS_BEHIND_THE_SPEAKERS,
        description="which wall is behind the speakers; decides which of the room's two sides is its length",
    )
    front_wall_to_baffle_m = Number(
        "distance_m", description="wall behind the speakers to the front of each speaker", unit="m"
    )
    left_wall_to_left_baffle_m = Number(
        "distance_m", description="left wall to the middle of the left speaker", unit="m"
    )
    right_wall_to_right_baffle_m = Number(
        "distance_m", description="right wall to the middle of the right speaker", unit="m"
    )
    spacing_m = Number("distance_m", description="between the middles of the two speakers", unit="m")
    back_wall_to_ears_m = Number("distance_m", description="wall behind you to your ears", unit="m")
    left_wall_to_ears_m = Number("distance_m", description="left wall to the middle of your head", unit="m")
    side_offset_m = Number(
        "side_offset_m", description="middle of the pair from the room's middle; to the right is positive", unit="m"
    )
    sofa_on_wall = Flag(description="the sofa touches the wall behind you")
    ear_height_m = Number("distance_m", description="floor to ears", unit="m")
    speaker_height_m = Number("distance_m", description="floor to the acoustic centre of the speakers", unit="m")
    toe_in_deg = Number(
        "toe_in_deg", description="turned inwards from straight ahead; left out: towards the chair", unit="degrees"
    )

    makes = as_found.AsFound
