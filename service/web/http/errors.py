"""Every refusal and failure as one shape: problem details by RFC 9457, `application/problem+json`.

One handler stands for the whole application. It is the only place of the web layer that turns an error into
an answer.
"""

import logging
from dataclasses import dataclass
from http import HTTPStatus

import marshmallow
import orjson
from flask import Response, current_app, g, request
from werkzeug.exceptions import HTTPException, MethodNotAllowed, NotFound, RequestEntityTooLarge

from service.advice.language.localise import LANGUAGES
from service.domain.errors import DomainError
from service.web.reading.faults import MOST_FAULTS, as_entry, as_text, fault_from, flatten, nearest
from service.web.reading.strict_json import StrictJsonError

MAX_BODY_BYTES = 262144
"""Longest body that is read."""

MEDIA_TYPE = "application/problem+json"

_log = logging.getLogger(__name__)


@dataclass(frozen=True, kw_only=True)
class Kind:
    """One kind of problem: `slug` is the stable end of its `type`."""

    slug: str
    title: str
    meaning: str

    @property
    def type(self):
        return f"/docs#{self.slug}"


KINDS = {
    400: Kind(
        slug="unreadable-body",
        title="The body could not be read",
        meaning="The body is not one JSON object in UTF-8: not JSON, a name written twice, NaN, empty.",
    ),
    404: Kind(
        slug="unknown-path",
        title="There is nothing at this path",
        meaning="The path is not one that the service has.",
    ),
    405: Kind(
        slug="wrong-method",
        title="The path does not answer this method",
        meaning="The path exists and answers other methods; the Allow header lists them.",
    ),
    406: Kind(
        slug="no-such-form",
        title="The answer cannot be had in the form asked for",
        meaning="The Accept header allows none of the media types that the operation answers in.",
    ),
    413: Kind(
        slug="body-too-large",
        title="The body is too large",
        meaning=f"The body has more than {MAX_BODY_BYTES} bytes.",
    ),
    415: Kind(
        slug="wrong-media-type",
        title="The body is not application/json",
        meaning="A body must be sent as Content-Type application/json, uncompressed.",
    ),
    422: Kind(
        slug="invalid-fields",
        title="The request was read and cannot be answered as it stands",
        meaning="Some fields are missing, unknown, out of range or at odds; `errors` points at each.",
    ),
    500: Kind(
        slug="internal-error",
        title="The service failed",
        meaning="A fault of the service, not of the request. It has been logged.",
    ),
}

PROBLEM_SCHEMA = {
    "type": "object",
    "title": "Problem",
    "description": "Problem details by RFC 9457.",
    "required": ["type", "title", "status", "detail"],
    "properties": {
        "type": {
            "type": "string",
            "description": "The kind of problem, as a relative reference that stays the same.",
        },
        "title": {"type": "string", "description": "The kind of problem in words."},
        "status": {"type": "integer", "minimum": 400, "maximum": 599, "description": "The HTTP status."},
        "detail": {
            "type": "string",
            "description": "What is wrong this time, and the remedy where there is one.",
        },
        "errors": {
            "type": "array",
            "description": f"The faults found, at most {MOST_FAULTS}. Present when the status is 422.",
            "minItems": 1,
            "maxItems": MOST_FAULTS,
            "items": {
                "type": "object",
                "required": ["pointer", "code", "detail", "given", "allowed", "did_you_mean"],
                "properties": {
                    "pointer": {
                        "type": "string",
                        "description": "JSON pointer (RFC 6901) into the request's body; ?name for a query parameter.",
                    },
                    "code": {"type": "string", "description": "The kind of fault; it stays the same."},
                    "detail": {"type": "string", "description": "The fault in words."},
                    "given": {"description": "What was given, shortened; null when nothing was."},
                    "allowed": {
                        "type": ["string", "array", "null"],
                        "items": {"type": "string"},
                        "description": "What is allowed: in words, or as the list of choices.",
                    },
                    "did_you_mean": {"type": ["string", "null"], "description": "The nearest known name."},
                },
            },
        },
    },
}
"""The shape of every problem, for the specification and for the tests."""


class RequestError(Exception):
    """A request refused before its fields were looked at, or for something outside its body."""

    def __init__(self, status, detail, *, faults=None):
        self.status = status
        self.detail = detail
        self.faults = faults
        super().__init__(detail)


def register(app):
    """Make `app` answer every error as a problem."""
    app.register_error_handler(Exception, _answer)


def problem_body(status, detail, *, kind, entries=None):
    """Return the JSON bytes of one problem; `entries` are its faults. `kind` None: the status alone."""
    problem = {
        "type": kind.type if kind else "about:blank",
        "title": kind.title if kind else HTTPStatus(status).phrase,
        "status": int(status),
        "detail": detail,
    }
    if entries:
        problem["errors"] = entries[:MOST_FAULTS]
    return orjson.dumps(problem)


def too_large(limit_bytes):
    """Return what a body over the limit is told."""
    return f"The body is longer than the {limit_bytes} bytes allowed."


def _answer(error):
    if isinstance(error, HTTPException):
        if error.code is None or error.code < 400:
            return error
        return _http_problem(error)
    if isinstance(error, StrictJsonError):
        return _problem(400, error.detail, kind=KINDS[400])
    if isinstance(error, marshmallow.ValidationError):
        return _invalid(flatten(error.messages, language=_language()))
    if isinstance(error, DomainError):
        return _invalid([as_entry(fault_from(error, name_to_key={}), language=_language())])
    if isinstance(error, RequestError):
        if error.faults:
            return _invalid([as_entry(fault, language=_language()) for fault in error.faults])
        return _problem(error.status, error.detail, kind=KINDS[error.status])
    return _failure(error)


def _language():
    """Language that the request asked for, as far as it could be read."""
    return g.get("language", LANGUAGES[0])


def _http_problem(error):
    status = error.code
    if status >= 500:
        return _failure(error)
    headers = [(name, value) for name, value in error.get_headers() if name.lower() not in ("content-type", "allow")]
    detail = " ".join((error.description or HTTPStatus(status).phrase).split())
    if isinstance(error, NotFound):
        near = nearest(request.path, _paths())
        detail = f"There is nothing at {as_text(request.path)}." + (f" Did you mean {near}?" if near else "")
    elif isinstance(error, MethodNotAllowed):
        allowed = ", ".join(sorted(error.valid_methods or ()))
        headers.append(("Allow", allowed))
        detail = f"{request.path} does not answer {request.method}; it answers {allowed}."
    elif isinstance(error, RequestEntityTooLarge):
        detail = too_large(current_app.config["MAX_CONTENT_LENGTH"])
    kind = None if status == 400 else KINDS.get(status)  # 400 of the protocol's own, not of the body
    return _problem(status, detail, kind=kind, headers=headers)


def _paths():
    return [rule.rule for rule in current_app.url_map.iter_rules() if not rule.arguments]


def _invalid(entries):
    count = len(entries)
    if count == 1:
        detail = entries[0]["detail"]
    elif count <= MOST_FAULTS:
        detail = f"{count} faults; the first: {entries[0]['detail']}"
    else:
        detail = f"More than {MOST_FAULTS} faults; the first: {entries[0]['detail']}"
    return _problem(422, detail, kind=KINDS[422], entries=entries)


def _failure(error):
    _log.error("%s %r failed", request.method, request.path, exc_info=error)
    return _problem(500, KINDS[500].meaning, kind=KINDS[500])


def _problem(status, detail, *, kind, entries=None, headers=()):
    body = problem_body(status, detail, kind=kind, entries=entries)
    response = Response(body, status=status, content_type=MEDIA_TYPE)
    response.headers.extend(headers)
    return response
