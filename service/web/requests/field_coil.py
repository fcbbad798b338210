"""Schema of a request about a field coil."""

from service.domain import field_coil
from service.web.reading.fields import Choice, Number
from service.web.reading.schema_base import RequestSchema
from service.web.reading.shown_defaults import shown_default


class FieldCoilRequestSchema(RequestSchema):
    """A field coil and its supply. Current or voltage is that of the warm coil, for which the flux is rated."""

    cold_resistance_ohm = Number(
        "cold_resistance_ohm", required=True, description="measured at ambient_temperature_c", unit="ohm"
    )
    current_a = Number("current_a", description="through the warm coil", unit="A")
    voltage_v = Number("voltage_v", description="at the warm coil", unit="V")
    supply = Choice(
        field_coil.SUPPLIES, description="what the supply holds; left out: the one of current_a or voltage_v"
    )
    warm_temperature_c = Number(
        "warm_temperature_c",
        description="of the warm winding; left out: by thermal_resistance_k_w, or usual",
        unit="degrees Celsius",
    )
    ambient_temperature_c = Number(
        "ambient_temperature_c",
        description="of the room, and of the coil when it is cold",
        unit="degrees Celsius",
        **shown_default("ambient_temperature_c"),
    )
    thermal_resistance_k_w = Number("field_coil_k_w", description="from the winding to the room", unit="K/W")
    mass_kg = Number("mass_kg", description="of winding and iron together: tells how long it warms", unit="kg")

    exactly_one_of = (("current_a", "voltage_v"),)

    makes = field_coil.FieldCoilRequest
