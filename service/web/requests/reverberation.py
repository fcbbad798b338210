"""Schema of a request about reverberation."""

from service.domain import requests
from service.web.reading.fields import Block, Flag
from service.web.reading.schema_base import RequestSchema
from service.web.reading.shown_defaults import shown_default
from service.web.requests.room import RoomSchema


class ReverberationRequestSchema(RequestSchema):
    """Reverberation of a room."""

    room = Block(RoomSchema, required=True)
    include_air = Flag(description="whether the air absorbs", **shown_default("include_air"))

    makes = requests.ReverberationRequest
