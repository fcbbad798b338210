"""An open baffle with its driver, and what is wanted of it."""

from dataclasses import dataclass

from service.domain.block import Block, names_told
from service.domain.errors import DomainError
from service.domain.words import words


@dataclass(frozen=True, slots=True, kw_only=True)
class BaffleDriver(Block):
    """The driver of an open baffle, or all of its drivers together; resonance and Q are those on the baffle."""

    at: str = "/driver"
    resonance_hz: float | None = None
    total_q: float | None = None
    area_m2: float | None = None
    peak_excursion_m: float | None = None

    def __post_init__(self) -> None:
        pairs: tuple[dict[str, float | None], ...] = (
            {"resonance_hz": self.resonance_hz, "total_q": self.total_q},
            {"area_m2": self.area_m2, "peak_excursion_m": self.peak_excursion_m},
        )
        for pair in pairs:
            told = names_told(**pair)
            if len(told) == 1:
                one, other = pair
                raise DomainError(
                    pointer=self.own(other if told == [one] else one),
                    code="missing",
                    detail=words("refusals_domain.belong_together", one=one, other=other),
                    allowed=[one, other],
                )

    @property
    def knows_resonance(self) -> bool:
        """Whether resonance and Q were told."""
        return self.resonance_hz is not None

    @property
    def knows_travel(self) -> bool:
        """Whether area and travel were told."""
        return self.area_m2 is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenBaffleRequest(Block):
    """A flat baffle with its driver in the middle of the width, and what is wanted of it."""

    width_m: float
    height_m: float
    stands_on_floor: bool | None = None
    driver: BaffleDriver | None = None
    flat_down_to_hz: float | None = None
    level_db: float | None = None
    distance_m: float | None = None
    wanted_hz: float | None = None
