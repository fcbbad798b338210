"""Answer of the wave field at seats."""

from dataclasses import dataclass
from typing import Annotated

from service.advice.answers.common import Answer, Column


@dataclass(frozen=True, kw_only=True)
class SeatResponse:
    """The field at one seat, one value for each frequency."""

    gain_db: Annotated[Column, "re one source of 0 dB in free field at 1 m"]
    phase_deg: Annotated[Column, "time factor exp(+j w t): free field at r is -k r"]


@dataclass(frozen=True, kw_only=True)
class ResponsePart:
    """Sum of the sources at each seat."""

    frequency_hz: Column
    seats: list[SeatResponse]
    confidence: Annotated[str, "firm, fair or rough: how far the walls are known, and whether the room is a closed box"]


@dataclass(frozen=True, kw_only=True)
class ResponseAnswer(Answer, ResponsePart):
    """Sum of the sources at each seat."""
