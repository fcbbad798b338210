"""Refusal of facts that are each plausible but do not fit together, such as a seat outside its room."""


class DomainError(ValueError):
    """A request was understood and cannot be answered.

    `pointer` is a JSON pointer (RFC 6901): relative to its own block when the constructor of a domain object
    raises it, and counted from the top of the request when the advice does. `allowed` is text or a list of
    texts.
    """

    def __init__(self, *, pointer, code, detail, given=None, allowed=None, did_you_mean=None):
        self.pointer = pointer
        self.code = code
        self.detail = detail
        self.given = given
        self.allowed = allowed
        self.did_you_mean = did_you_mean
        super().__init__(detail)
