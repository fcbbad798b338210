"""Schemas of whole requests, one for each operation that takes a body."""

from service.advice.octaves import frequencies_per_octave_hz
from service.advice.reference_tables import listening_ids, programme_ids
from service.advice.whole_job.advice import PARTS
from service.domain import limits, requests
from service.domain.errors import DomainError
from service.web.reading.fields import Block, Choice, Flag, ListOf, ListOrBlock, Number, NumberArray, Whole
from service.web.reading.schema_base import RequestSchema, StrictSchema
from service.web.reading.shown_defaults import shown_default
from service.web.requests.blocks import (
    AmplifierSchema,
    AsFoundSchema,
    BackgroundSchema,
    PeriodSchema,
    PlaceSchema,
    PositionsSchema,
    RoomSchema,
    SourceSchema,
    SpeakerSchema,
)
from service.web.requests.load import CableSchema, SignalSourceSchema
from service.web.requests.search import SearchSchema
from service.web.sheet.details import SheetSchema


class FrequencyGridSchema(StrictSchema):
    """Frequencies from one to the other, evenly spaced in lg f."""

    from_hz = Number("frequency_hz", required=True, description="lowest", unit="Hz")
    to_hz = Number("frequency_hz", required=True, description="highest", unit="Hz")
    points_per_octave = Whole("points_per_octave", required=True, description="steps in one octave")

    def make(self, data):
        if data["to_hz"] < data["from_hz"]:
            raise DomainError(
                pointer="/to_hz",
                code="upside_down",
                detail=f"to_hz is {data['to_hz']:g}, below from_hz, {data['from_hz']:g}.",
                given=data["to_hz"],
                allowed=f"at least {data['from_hz']:g}",
            )
        return frequencies_per_octave_hz(**data)


class ResponseRequestSchema(RequestSchema):
    """Wave field of some sources at some seats."""

    room = Block(RoomSchema, required=True)
    damping = Choice(
        ("surfaces", "uniform"),
        default="surfaces",
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


class ModesRequestSchema(RequestSchema):
    """Modes of a room."""

    room = Block(RoomSchema, required=True)
    to_hz = Number("modes_to_hz", description="modes up to here", unit="Hz", **shown_default("to_hz"))
    positions = Block(PositionsSchema)

    makes = requests.ModesRequest


class ReflectionsRequestSchema(RequestSchema):
    """A room; a speaker, places, or the listening distance where they are known."""

    room = Block(RoomSchema, required=True)
    speaker = Block(SpeakerSchema)
    positions = Block(PositionsSchema)
    as_found = Block(AsFoundSchema)
    listening_distance_m = Number(
        "listening_distance_m", description="from the ear to the front of each speaker", unit="m"
    )
    speaker_count = Whole("speaker_count", description="a pair, or one speaker", **shown_default("speaker_count"))

    makes = requests.ReflectionsRequest


class ReverberationRequestSchema(RequestSchema):
    """Reverberation of a room."""

    room = Block(RoomSchema, required=True)
    include_air = Flag(description="whether the air absorbs", **shown_default("include_air"))

    makes = requests.ReverberationRequest


class ExposureRequestSchema(RequestSchema):
    """Periods of one day."""

    periods = ListOf(Block(PeriodSchema), max_length=limits.MOST_PERIODS, required=True)

    makes = requests.ExposureRequest


class LevelRequestSchema(RequestSchema):
    """Speaker, amplifier, distance; with a room, or in free field without one. Leave out what you look for."""

    speaker = Block(SpeakerSchema)
    amplifier = Block(AmplifierSchema)
    room = Block(RoomSchema)
    listening_distance_m = Number(
        "listening_distance_m", description="from the ear to the front of each speaker", unit="m"
    )
    programme = Choice(programme_ids(), description="what is listened to", **shown_default("programme"))
    listening = Choice(listening_ids(), description="how loud, in words; see GET /v1/programmes for the levels")
    listening_level_dba = Number(
        "listening_level_dba", description="average level at the chair, as a phone or meter shows it", unit="dB(A)"
    )
    positions = Block(PositionsSchema)
    as_found = Block(AsFoundSchema)
    speaker_count = Whole("speaker_count", description="a pair, or one speaker", **shown_default("speaker_count"))
    background = Block(BackgroundSchema)
    cable = Block(CableSchema)

    at_most_one_of = (("listening", "listening_level_dba"),)
    one_set_of = (("speaker",), ("amplifier",))

    makes = requests.LevelRequest


class PlacementRequestSchema(RequestSchema):
    """A room, a speaker where it is known, present positions where they are known."""

    room = Block(RoomSchema, required=True)
    speaker = Block(SpeakerSchema)
    positions = Block(PositionsSchema)
    as_found = Block(AsFoundSchema)
    search = Block(SearchSchema)

    makes = requests.PlacementRequest


class AdviceRequestSchema(LevelRequestSchema):
    """The whole job: sensitivity, power, distance and room are enough."""

    room = Block(RoomSchema, required=True)
    search = Block(SearchSchema)
    amplifiers = ListOf(
        Block(AmplifierSchema),
        max_length=requests.MOST_COMPARED,
        description="to be compared; the best stands for amplifier",
    )
    source = Block(SignalSourceSchema)
    taste = Choice(
        requests.TASTES, default="no_preference", description="how much an amplifier may follow the speaker's impedance"
    )
    include = ListOf(
        Choice(PARTS),
        max_length=len(PARTS),
        description="parts of the answer that are wanted; the others are null and are not computed. Left out: all",
    )

    sheet = Block(SheetSchema)

    makes = requests.AdviceRequest

    def make(self, data):
        data.pop("sheet", None)  # the sheet's own: the advice does not depend on it
        return super().make(data)
