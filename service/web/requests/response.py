"""Schema of a request about the wave field."""

from service.advice.octaves import frequencies_per_octave_hz
from service.domain import limits, requests
from service.domain.errors import DomainError
from service.domain.words import words
from service.web.reading.fields import Block, Choice, ListOf, ListOrBlock, Number, NumberArray, Whole
from service.web.reading.schema_base import RequestSchema, StrictSchema
from service.web.reading.shown_defaults import shown_default
from service.web.requests.places import PlaceSchema, SourceSchema
from service.web.requests.room import RoomSchema


class FrequencyGridSchema(StrictSchema):
    """Frequencies from one to the other, evenly spaced in lg f."""

    from_hz = Number("frequency_hz", required=True, description="lowest", unit="Hz")
    to_hz = Number("frequency_hz", required=True, description="highest", unit="Hz")
    points_per_octave = Whole("points_per_octave", required=True, description="steps in one octave")

    def make(self, data):
        if data["to_hz"] < data["from_hz"]:
            raise DomainError(
                pointer=self.pointer("to_hz"),
                code="upside_down",
                detail=words("refusals_requests.grid_upside_down", to_hz=data["to_hz"], from_hz=data["from_hz"]),
                given=data["to_hz"],
                allowed=words("refusals_requests.upside_down.allowed", low=data["from_hz"]),
            )
        return frequencies_per_octave_hz(**data)


class ResponseRequestSchema(RequestSchema):
    """Wave field of some sources at some seats."""

    room = Block(RoomSchema, required=True)
    damping = Choice(
        ("surfaces", "uniform"),
        **shown_default("damping"),
        description="uniform: rigid walls and one decay for all waves, from room.reverberation_time_s",
    )
    sources = ListOf(Block(SourceSchema), max_length=limits.MOST_SOURCES, required=True)
    seats = ListOf(Block(PlaceSchema), max_length=limits.MOST_SEATS, required=True)
    frequency_hz = ListOrBlock(
        NumberArray("frequency_hz", max_length=limits.MOST_FREQUENCIES),
        Block(FrequencyGridSchema),
        required=True,
        description=f"a list, or a grid; sources x seats x frequencies at most {limits.MOST_RESPONSE_VALUES}",
    )

    makes = requests.ResponseRequest

    def make(self, data):
        return super().make({**data, "frequency_hz": tuple(float(value) for value in data["frequency_hz"])})
