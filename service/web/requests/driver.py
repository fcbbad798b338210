"""Schemas of a driver: what moves the air in the bass, and its small-signal parameters."""

from service.domain import load
from service.web.reading.fields import Choice, Number
from service.web.reading.schema_base import StrictSchema
from service.web.reading.shown_defaults import shown_default


class DriverSchema(StrictSchema):
    """The driver, or all drivers together, that move the air in the bass."""

    area_m2 = Number("driver_area_m2", description="effective area", required=True, unit="m2")
    peak_excursion_m = Number(
        "peak_excursion_m", description="greatest travel one way from rest", required=True, unit="m"
    )

    makes = load.Driver


class DriverParametersSchema(StrictSchema):
    """Small-signal parameters of the driver, from which the impedance curve follows."""

    resonance_hz = Number("resonance_hz", description="in free air", required=True, unit="Hz")
    mechanical_q = Number("q", description="of the mechanical losses alone", required=True)
    electrical_q = Number("q", description="of the electrical damping alone; or total_q")
    total_q = Number("q", description="of both together; or electrical_q")
    dc_resistance_ohm = Number("impedance_ohm", description="of the voice coil", required=True, unit="ohm")
    inductance_mh = Number(
        "inductance_mh", description="of the voice coil", **shown_default("driver_parameters/inductance_mh"), unit="mH"
    )
    box = Choice(
        load.BOXES,
        **shown_default("driver_parameters/box"),
        description="what is behind it: open baffle, closed box, vented box",
    )
    compliance_volume_l = Number("volume_l", description="volume of air as compliant as the suspension", unit="l")
    box_volume_l = Number("volume_l", description="net volume of the box", unit="l")
    tuning_hz = Number("resonance_hz", description="of a vented box", unit="Hz")
    thermal_resistance_k_w = Number("thermal_resistance_k_w", description="voice coil to room", unit="K/W")

    exactly_one_of = (("electrical_q", "total_q"),)

    makes = load.DriverParameters
