"""Schema of a request about first reflections."""

from service.domain import requests
from service.web.reading.fields import Block
from service.web.reading.schema_base import RequestSchema
from service.web.requests import shared
from service.web.requests.places import AsFoundSchema, PositionsSchema
from service.web.requests.room import RoomSchema
from service.web.requests.speaker import SpeakerSchema


class ReflectionsRequestSchema(RequestSchema):
    """A room; a speaker, places, or the listening distance where they are known."""

    room = Block(RoomSchema, required=True)
    speaker = Block(SpeakerSchema)
    positions = Block(PositionsSchema)
    as_found = Block(AsFoundSchema)
    listening_distance_m = shared.listening_distance_m()
    speaker_count = shared.speaker_count()

    makes = requests.ReflectionsRequest
