"""Schema of a request about level."""

from service.advice.reference_tables import listening_ids, programme_ids
from service.domain import requests
from service.web.reading.fields import Block, Choice, Number
from service.web.reading.schema_base import RequestSchema
from service.web.reading.shown_defaults import shown_default
from service.web.requests import shared
from service.web.requests.amplifier import AmplifierSchema
from service.web.requests.background import BackgroundSchema
from service.web.requests.cable_and_source import CableSchema
from service.web.requests.places import AsFoundSchema, PositionsSchema
from service.web.requests.room import RoomSchema
from service.web.requests.speaker import SpeakerSchema


class LevelRequestSchema(RequestSchema):
    """Speaker, amplifier, distance; with a room, or in free field without one. Leave out what you look for."""

    speaker = Block(SpeakerSchema)
    amplifier = Block(AmplifierSchema)
    room = Block(RoomSchema)
    listening_distance_m = shared.listening_distance_m()
    programme = Choice(programme_ids(), description="what is listened to", **shown_default("programme"))
    listening = Choice(listening_ids(), description="how loud, in words; see GET /v1/programmes for the levels")
    listening_level_dba = Number(
        "listening_level_dba", description="average level at the chair, as a phone or meter shows it", unit="dB(A)"
    )
    positions = Block(PositionsSchema)
    as_found = Block(AsFoundSchema)
    speaker_count = shared.speaker_count()
    background = Block(BackgroundSchema)
    cable = Block(CableSchema)

    at_most_one_of = (("listening", "listening_level_dba"),)
    one_set_of = (("speaker",), ("amplifier",))

    makes = requests.LevelRequest
