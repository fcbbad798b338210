"""Refusal of facts that are each plausible but do not fit together, such as a seat outside its room."""

import functools
from collections.abc import Sequence

from service.domain.words import Words, words


class DomainError(ValueError):
    """A request was understood and cannot be answered.

    Attributes
    ----------
    pointer : str
        JSON pointer (RFC 6901): relative to its own block when the constructor of a domain object raises it, and
        counted from the top of the request (`Block.pointer`) when the advice does. [-]
    code : str
        The kind of fault, which stays the same. [-]
    detail : Words
        The fault as a sentence, in no language yet. [-]
    given : object
        What was given; None when nothing was. [-]
    allowed : Words, list, or None
        What is allowed: in words, or as the list of choices, each a name or `Words`. [-]
    did_you_mean : str or None
        The nearest known name. [-]
    """

    def __init__(
        self,
        *,
        pointer: str,
        code: str,
        detail: Words,
        given: object = None,
        allowed: Words | Sequence[object] | None = None,
        did_you_mean: str | None = None,
    ) -> None:
        self.pointer = pointer
        self.code = code
        self.detail = detail
        self.given = given
        self.allowed = allowed
        self.did_you_mean = did_you_mean
        super().__init__(detail)


def one_of(numbers: Sequence[float]) -> Words:
    """Return what is allowed where it is one of some numbers."""
    first, *others = numbers
    listed = functools.reduce(
        lambda before, last: words("refusals_domain.then", before=before, last=last),
        others,
        words("refusals_domain.number", value=first),
    )
    return words("refusals_domain.one_of", choices=listed)
