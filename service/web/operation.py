"""What the web layer needs to know of one operation: where it is, what it takes, what it gives."""

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Operation:
    """One operation of the service.

    `compute` takes what the request schema made of the body, or nothing when there is no schema, and returns
    an instance of `answer_type`, a dataclass. `example` returns a body to show, a plain dict.
    """

    method: str
    path: str
    operation_id: str
    tag: str
    summary: str
    description: str
    compute: Callable
    request_schema: type | None
    answer_type: type
    example: Callable[[], dict] | None = None
