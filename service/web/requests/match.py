"""Schema of a comparison of amplifiers and speakers."""

from service.domain import requests
from service.web.reading.fields import Block, ListOf
from service.web.requests import shared
from service.web.requests.amplifier import AmplifierSchema
from service.web.requests.cable_and_source import SignalSourceSchema
from service.web.requests.level import LevelRequestSchema
from service.web.requests.speaker import SpeakerSchema


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
    taste = shared.taste()

    exactly_one_of = (("speaker", "speakers"), ("amplifier", "amplifiers"))
    one_set_of = ()

    makes = requests.MatchRequest
