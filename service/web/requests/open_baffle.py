"""Schema of a request about an open baffle."""

from service.domain import open_baffle
from service.web.reading.fields import Block, Flag, Number
from service.web.reading.schema_base import RequestSchema, StrictSchema
from service.web.reading.shown_defaults import shown_default


class BaffleDriverSchema(StrictSchema):
    """The driver of an open baffle, or all of its drivers together; resonance and Q are those on the baffle."""

    resonance_hz = Number(
        "bass_resonance_hz", description="its resonance", unit="Hz", **shown_default("driver/resonance_hz")
    )
    total_q = Number("baffle_q", description="Q of all losses", **shown_default("driver/total_q"))
    area_m2 = Number("driver_area_m2", description="effective area: tells the travel that bass takes", unit="m2")
    peak_excursion_m = Number("peak_excursion_m", description="greatest travel one way from rest", unit="m")

    together = (("resonance_hz", "total_q"), ("area_m2", "peak_excursion_m"))

    makes = open_baffle.BaffleDriver


class OpenBaffleRequestSchema(RequestSchema):
    """A flat baffle with its driver in the middle of the width, and what is wanted of it."""

    width_m = Number("baffle_m", required=True, description="width of the plate", unit="m")
    height_m = Number("baffle_m", required=True, description="height of the plate", unit="m")
    stands_on_floor = Flag(description="its lower edge touches the floor", **shown_default("stands_on_floor"))
    driver = Block(BaffleDriverSchema)
    flat_down_to_hz = Number(
        "bass_hz", description="down to here the bass is to be flat", unit="Hz", **shown_default("flat_down_to_hz")
    )
    level_db = Number(
        "bass_level_db",
        description="wanted level of a bass tone, rms, in free field",
        unit="dB",
        **shown_default("level_db"),
    )
    distance_m = Number(
        "listening_distance_m", description="where that level is wanted", unit="m", **shown_default("distance_m")
    )
    wanted_hz = Number(
        "bass_hz", description="that a baffle is to reach: sizes follow", unit="Hz", **shown_default("wanted_hz")
    )

    makes = open_baffle.OpenBaffleRequest
