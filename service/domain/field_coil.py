"""A field coil and its supply as the plate of a magnet, a meter or the maker tells them."""

from dataclasses import dataclass

from service.domain.block import Block, names_told
from service.domain.errors import DomainError
from service.domain.words import words

SUPPLIES = ("constant_voltage", "constant_current")
"""What the supply of a field coil holds while the coil warms."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldCoilRequest(Block):
    """A field coil. Current or voltage is that of the warm coil, for which the flux is rated."""

    cold_resistance_ohm: float
    current_a: float | None = None
    voltage_v: float | None = None
    supply: str | None = None
    warm_temperature_c: float | None = None
    ambient_temperature_c: float | None = None
    thermal_resistance_k_w: float | None = None
    mass_kg: float | None = None

    def __post_init__(self) -> None:
        if (self.current_a is None) == (self.voltage_v is None):
            raise DomainError(
                pointer="",
                code="one_of",
                detail=words("refusals_domain.current_or_voltage"),
                given=names_told(current_a=self.current_a, voltage_v=self.voltage_v),
                allowed=["current_a", "voltage_v"],
            )
