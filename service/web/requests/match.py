"""Schema of a comparison of amplifiers and speakers."""

from service.domain import requests
from service.web.reading.fields import Block, Choice, ListOf
from service.web.requests.blocks import AmplifierSchema, SpeakerSchema
from service.web.requests.load import SignalSourceSchema
from service.web.requests.operations import LevelRequestSchema


class MatchRequestSchema(LevelRequestSchema):
    """One speaker and several amplifiers, or one amplifier and several speakers, or several of both."""

    speakers = ListOf(
        Block(SpeakerSchema), max_length=requests.MOST_COMPARED, description="in place of speaker: several to compare"
    )
    amplifiers = ListOf(
        Block(AmplifierSchema),
        max_length=requests.MOST_COMPARED,
        description="in place of amplifier: several to compare",
    )
    source = Block(SignalSourceSchema)
    taste = Choice(
        requests.TASTES, default="no_preference", description="how much an amplifier may follow the speaker's impedance"
    )

    exactly_one_of = (("speaker", "speakers"), ("amplifier", "amplifiers"))
    one_set_of = ()

    makes = requests.MatchRequest
