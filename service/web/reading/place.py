"""Where in a body the reading is: the JSON pointer (RFC 6901) of the block that is being read."""

import contextlib
from contextvars import ContextVar

from service.web.reading.faults import escape

_steps = ContextVar("steps", default=())


@contextlib.contextmanager
def below(step):
    """Read what stands under a name or an index of the present place."""
    token = _steps.set((*_steps.get(), escape(step)))
    try:
        yield
    finally:
        _steps.reset(token)


def here():
    """Return the pointer of the present place, empty at the top of the body."""
    return "".join(f"/{step}" for step in _steps.get())
