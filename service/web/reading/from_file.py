"""A request from a file instead of from the network: the same reading, the same refusals, as lines of text."""

from dataclasses import dataclass

import marshmallow

from service.advice.language.localise import localised
from service.domain.errors import DomainError
from service.web.reading.faults import as_entry, fault_from, flatten
from service.web.reading.language import asked_language
from service.web.reading.strict_json import StrictJsonError, parse


class UnusableBodyError(ValueError):
    """A body that cannot be answered; `lines` say why, each with the place in the body."""

    def __init__(self, lines):
        self.lines = lines
        super().__init__("; ".join(lines))


@dataclass(frozen=True, kw_only=True)
class Answered:
    """An answer, the language it speaks, and the body that it answers."""

    answer: object
    language: str
    posted: dict


def answer_of(operation, body):
    """Return the answer of an operation to a body, in the language that the body asks for.

    Parameters
    ----------
    operation : Operation
        That takes a body.
    body : bytes
        JSON text.

    Raises
    ------
    UnusableBodyError
        The body is not JSON, or is refused.
    """
    try:
        posted = parse(body)
    except StrictJsonError as error:
        raise UnusableBodyError([str(error)]) from error
    language = asked_language(posted)
    try:
        answer = operation.answer(posted, operation.request_schema().load(posted))
    except marshmallow.ValidationError as error:
        raise UnusableBodyError([_line(entry) for entry in flatten(error.messages, language=language)]) from error
    except DomainError as error:
        raise UnusableBodyError([_line(as_entry(fault_from(error), language=language))]) from error
    return Answered(answer=localised(answer, language), language=language, posted=posted)


def _line(entry):
    return f"{entry['pointer'] or '/'}: {entry['detail']}"
