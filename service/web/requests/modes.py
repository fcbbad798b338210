"""Schema of a request about the modes of a room."""

from service.domain import requests
from service.web.reading.fields import Block, Number
from service.web.reading.schema_base import RequestSchema
from service.web.reading.shown_defaults import shown_default
from service.web.requests.places import PositionsSchema
from service.web.requests.room import RoomSchema


class ModesRequestSchema(RequestSchema):
    """Modes of a room."""

    room = Block(RoomSchema, required=True)
    to_hz = Number("modes_to_hz", description="modes up to here", unit="Hz", **shown_default("to_hz"))
    positions = Block(PositionsSchema)

    makes = requests.ModesRequest
