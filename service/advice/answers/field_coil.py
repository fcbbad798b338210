"""Answer about a field coil: what its supply must give, and what warming does to the flux."""

from dataclasses import dataclass
from typing import Annotated

from service.advice.answers.common import Answer, Column


@dataclass(frozen=True, kw_only=True)
class CoilStateAnswer:
    """A field coil at one temperature."""

    temperature_c: Annotated[float, "of the winding"]
    resistance_ohm: float
    voltage_v: Annotated[float, "at the coil"]
    current_a: float
    power_w: float


@dataclass(frozen=True, kw_only=True)
class CoilOnSupplyAnswer:
    """What one kind of supply does on the way from cold to warm. Flux, level and Q are bounds: see the note.

    The flux follows the current at most. Iron near saturation holds it far better.
    """

    cold: CoilStateAnswer
    warm: CoilStateAnswer
    flux_change_pct: Annotated[float, "from cold to warm, at most"]
    level_change_db: Annotated[float, "of the pass band at constant amplifier voltage, at most"]
    electrical_q_change_pct: Annotated[float, "of the driver's electrical Q, at most"]
    highest_voltage_v: Annotated[float, "that the supply must reach"]
    highest_current_a: Annotated[float, "that the supply must give"]
    highest_power_w: float


@dataclass(frozen=True, kw_only=True)
class CoilWarmingAnswer:
    """How the coil warms from a cold start, winding and iron at one temperature."""

    thermal_time_constant_hours: Annotated[float, "at constant power"]
    warm_after_hours: Annotated[float, "until 95 % of the rise is reached"]
    time_hours: Annotated[Column, "since it was switched on"]
    temperature_c: Annotated[Column, "of the winding"]
    resistance_ohm: Column
    voltage_v: Annotated[Column, "at the coil"]
    current_a: Column
    power_w: Column
    level_change_db: Annotated[Column, "against the warm coil, at most; above 0 while it is colder"]


@dataclass(frozen=True, kw_only=True)
class FieldCoilAnswer(Answer):
    """A field coil on its supply, cold and warm."""

    supply: Annotated[str, "constant_voltage or constant_current: the one that was told or follows"]
    warm_resistance_ohm: float
    supply_voltage_v: Annotated[float, "at the warm coil, for the rated flux"]
    current_a: Annotated[float, "through the warm coil, for the rated flux"]
    power_w: Annotated[float, "in the warm coil"]
    flux_change_constant_voltage_pct: Annotated[float, "from cold to warm on a constant voltage, at most"]
    constant_voltage: CoilOnSupplyAnswer
    constant_current: CoilOnSupplyAnswer
    thermal_resistance_k_w: Annotated[
        float | None, "from the coil to the room in kelvin for each watt, as told or from power and temperature"
    ]
    settled_temperature_c: Annotated[
        float | None, "where the coil stops warming by the thermal resistance that was told; null: none told"
    ]
    warming: Annotated[CoilWarmingAnswer | None, "null where no mass was told or nothing warms"]
