"""Schemas of what the amplifier is connected to: the cable behind it and the source before it."""

from service.domain import load
from service.web.reading.fields import Number
from service.web.reading.schema_base import StrictSchema
from service.web.reading.shown_defaults import shown_default


class CableSchema(StrictSchema):
    """The cable to one speaker."""

    length_m = Number("cable_length_m", description="of the cable, one way", required=True, unit="m")
    cross_section_mm2 = Number("cross_section_mm2", description="of one conductor", unit="mm2")
    awg = Number("awg", description="American wire gauge, in place of cross_section_mm2")
    temperature_c = Number(
        "temperature_c", description="of the copper", **shown_default("cable/temperature_c"), unit="degrees Celsius"
    )

    exactly_one_of = (("cross_section_mm2", "awg"),)

    makes = load.Cable


class SignalSourceSchema(StrictSchema):
    """What plays, and what stands between it and the amplifier."""

    output_v = Number("source_v", description="rms of a full-scale sine", **shown_default("source/output_v"), unit="V")
    preamplifier_gain_db = Number(
        "amplifier_gain_db",
        description="with the volume control fully up; 0: passive or none",
        **shown_default("source/preamplifier_gain_db"),
        unit="dB",
    )

    makes = load.SignalSource
