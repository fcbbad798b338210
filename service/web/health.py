"""The sign of life: that the service runs, and which version of it."""

from dataclasses import dataclass
from typing import Annotated, Literal

import service
from service.web.operation import Operation


@dataclass(frozen=True, kw_only=True)
class Health:
    """Sign of life."""

    status: Literal["ok"]
    version: Annotated[str, "Version of the service."]


def health():
    """Return the sign of life."""
    return Health(status="ok", version=service.__version__)


HEALTH = Operation(
    method="GET",
    path="/health",
    operation_id="health",
    tag="service",
    summary="Sign of life",
    description="Answers as soon as the service can, with its version.",
    compute=health,
    request_schema=None,
    answer_type=Health,
)
