"""Schema of a request about the exposure of a day."""

from service.domain import limits, requests
from service.web.reading.fields import Block, ListOf, Number
from service.web.reading.schema_base import RequestSchema, StrictSchema


class PeriodSchema(StrictSchema):
    """Some hours at a level."""

    level_dba = Number("level_dba", description="average level in this time", required=True, unit="dB(A)")
    hours = Number("hours", description="how long", required=True, unit="h")

    makes = requests.Period


class ExposureRequestSchema(RequestSchema):
    """Periods of one day."""

    periods = ListOf(Block(PeriodSchema), max_length=limits.MOST_PERIODS, required=True)

    makes = requests.ExposureRequest
