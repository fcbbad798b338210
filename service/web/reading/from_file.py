"""A request from a file instead of from the network: the same reading, the same refusals, as lines of text."""

from dataclasses import dataclass

import marshmallow

from service.advice.language.localise import LANGUAGES, localised
from service.domain.errors import DomainError
from service.web.reading.faults import fault_from, flatten
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
        answer = operation.answer(posted, operation.request_schema().load(posted))
    except StrictJsonError as error:
        raise UnusableBodyError([str(error)]) from error
    except marshmallow.ValidationError as error:
        raise UnusableBodyError([f"{e['pointer'] or '/'}: {e['detail']}" for e in flatten(error.messages)]) from error
    except DomainError as error:
        fault = fault_from(error, name_to_key={})
        raise UnusableBodyError([f"{fault.pointer or '/'}: {fault.detail}"]) from error
    language = posted.get("language", LANGUAGES[0])
    return Answered(answer=localised(answer, language), language=language, posted=posted)
