"""Schema of the background noise."""

from service.domain import equipment
from service.web.reading.fields import Choice, Number
from service.web.reading.schema_base import StrictSchema


class BackgroundSchema(StrictSchema):
    """Background noise at the chair: in words, as a level or as a noise rating."""

    kind = Choice(equipment.BACKGROUND_KINDS, description="how quiet it is, see GET /v1/room-kinds")
    level_dba = Number("background_dba", description="level as a phone or meter shows it", unit="dB(A)")

    nr = Number("nr", description="noise rating NR of the room")

    exactly_one_of = (("kind", "level_dba", "nr"),)

    makes = equipment.Background
