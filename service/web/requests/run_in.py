"""Schema of a request about the run-in of a new driver."""

from service.domain import run_in
from service.web.reading.fields import Block, Number
from service.web.reading.schema_base import RequestSchema
from service.web.reading.shown_defaults import shown_default
from service.web.requests.speaker import SpeakerSchema


class RunInRequestSchema(RequestSchema):
    """A speaker or a single driver, and how it is to be run in. Its long-term power is that of the data sheet."""

    speaker = Block(SpeakerSchema, required=True)
    share_pct = Number(
        "share_pct", description="share of the rated long-term power", unit="%", **shown_default("share_pct")
    )
    hours = Number("run_in_hours", description="how long", unit="h", **shown_default("hours"))
    distance_m = Number(
        "listening_distance_m", description="where its level matters", unit="m", **shown_default("distance_m")
    )

    makes = run_in.RunInRequest
