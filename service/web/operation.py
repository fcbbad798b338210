"""What the web layer needs to know of one operation: where it is, what it takes, what it gives."""

from collections.abc import Callable
from dataclasses import dataclass

from service.advice.language.localise import localised
from service.web.writing.dump import to_json


def localised_json(answer, language):
    """Return an answer as JSON bytes, its sentences in a language."""
    return to_json(localised(answer, language))


@dataclass(frozen=True, kw_only=True)
class OtherForm:
    """The answer of an operation in a media type beside its own; `write` takes the answer and the posted body."""

    media_type: str
    write: Callable
    file_name: str
    description: str
    security_policy: str | None = None


@dataclass(frozen=True, kw_only=True)
class Operation:
    """One operation of the service.

    `compute` takes what the request schema made of the body, or nothing when there is no schema. `write` takes what
    `compute` returned and the language asked for, and returns bytes of `media_type`; `answer_type`, a dataclass for
    JSON, describes them. `other_forms` are what the Accept header may ask for instead. `query_schema` names the
    parameters of the query; without one, all are refused. `complete` takes the answer and the posted body
    and returns the answer with what it shows of the body itself. `example` returns a body to show, a plain dict.
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
    query_schema: type | None = None
    media_type: str = "application/json"
    write: Callable = localised_json
    other_forms: tuple[OtherForm, ...] = ()
    security_policy: str | None = None
    complete: Callable | None = None
    example: Callable[[], dict] | None = None

    def answer(self, posted, request):
        """Return the answer to a request, and to the body that it was read from."""
        computed = self.compute(request)
        return computed if self.complete is None else self.complete(computed, posted)
