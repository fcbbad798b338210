"""Answer about running in a new driver: voltage, level, amplifier."""

from dataclasses import dataclass
from typing import Annotated

from service.advice.answers.common import Answer


@dataclass(frozen=True, kw_only=True)
class RunInAnswer(Answer):
    """Noise at a share of the rated power, for a day before a driver is fitted."""

    hours: Annotated[float, "how long, common practice"]
    share_pct: Annotated[float, "of the rated long-term power"]
    rated_power_w: float
    noise_power_w: Annotated[float, "average, into the rated impedance"]
    rated_impedance_ohm: float
    voltage_v: Annotated[float, "rms, as a true-rms meter shows it at the terminals"]
    level_at_1m_db: Annotated[float, "of pink noise, unweighted, free field, one driver"]
    distance_m: float
    level_dba: Annotated[float, "at that distance, free field; a room adds some"]
    allowed_hours_a_day: Annotated[float, "in that level without protection, NIOSH 98-126"]
    amplifier_power_w: Annotated[float, "sine power of an amplifier that passes the peaks of the noise unclipped"]
