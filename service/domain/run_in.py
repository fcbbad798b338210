"""A new driver that is run in with noise before it is fitted."""

from dataclasses import dataclass

from service.domain.block import Block
from service.domain.equipment import Loudspeaker


@dataclass(frozen=True, slots=True, kw_only=True)
class RunInRequest(Block):
    """A speaker or a single driver, and how it is to be run in."""

    speaker: Loudspeaker
    share_pct: float | None = None
    hours: float | None = None
    distance_m: float | None = None
