"""Records of printed check values: what was printed, where, and the tolerance that its last digit allows."""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, kw_only=True)
class Published:
    """One printed number and the inputs it was printed for.

    `tolerance` is left out where the printed digits decide (half of the last one). A wider one is stated with its
    reason in `why_wider`, for instance that the inputs of the source are rounded.
    """

    printed: str
    unit: str
    source: str
    where: str
    inputs: dict
    tolerance: float | None = None
    why_wider: str | None = None

    def __post_init__(self):
        if (self.tolerance is None) != (self.why_wider is None):
            raise ValueError(f"{self.where}: a tolerance of its own needs its reason, and the other way round")

    def check(self, calculated):
        """Assert that `calculated` agrees with the printed number."""
        half_digit = 0.5 * 10.0 ** Decimal(self.printed).as_tuple().exponent
        allowed = half_digit if self.tolerance is None else self.tolerance
        difference = abs(calculated - float(self.printed))
        assert difference <= allowed * (1 + 1e-9), (
            f"{self.source}, {self.where}: printed {self.printed} {self.unit}, "
            f"calculated {calculated!r}, allowed {allowed:g}"
        )
