"""Schema of a request about a placement."""

from service.domain import requests
from service.web.reading.fields import Block
from service.web.reading.schema_base import RequestSchema
from service.web.requests.places import AsFoundSchema, PositionsSchema
from service.web.requests.room import RoomSchema
from service.web.requests.search import SearchSchema
from service.web.requests.speaker import SpeakerSchema


class PlacementRequestSchema(RequestSchema):
    """A room, a speaker where it is known, present positions where they are known."""

    room = Block(RoomSchema, required=True)
    speaker = Block(SpeakerSchema)
    positions = Block(PositionsSchema)
    as_found = Block(AsFoundSchema)
    search = Block(SearchSchema)

    makes = requests.PlacementRequest
