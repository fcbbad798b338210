"""Schema of a request about the whole job."""

from service.advice.whole_job.advice import PARTS
from service.domain import requests
from service.web.reading.fields import Block, Choice, ListOf
from service.web.requests import shared
from service.web.requests.amplifier import AmplifierSchema
from service.web.requests.cable_and_source import SignalSourceSchema
from service.web.requests.level import LevelRequestSchema
from service.web.requests.room import RoomSchema
from service.web.requests.search import SearchSchema
from service.web.requests.sheet import SheetSchema


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
    taste = shared.taste()
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
