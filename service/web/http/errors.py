"""Every refusal and failure as a problem (`problems`).

One handler stands for the whole application. It is the only place of the web layer that turns an error into
an answer.
"""

import logging
from http import HTTPStatus

import marshmallow
from flask import Response, current_app, g, request
from werkzeug.exceptions import HTTPException, MethodNotAllowed, NotFound, RequestEntityTooLarge

from service.advice.language.localise import LANGUAGES, text_of
from service.domain.errors import DomainError
from service.domain.words import words
from service.web.problems import KINDS, MEDIA_TYPE, MOST_FAULTS, problem_body
from service.web.reading.faults import as_entry, as_text, fault_from, flatten, nearest
from service.web.reading.strict_json import StrictJsonError

_log = logging.getLogger(__name__)


class RequestError(Exception):
    """A request refused before its body could be read; `detail` is English, for no language has been asked for yet."""

    def __init__(self, status, detail):
        self.status = status
        self.detail = detail
        super().__init__(detail)


def register(app):
    """Make `app` answer every error as a problem."""
    app.register_error_handler(Exception, _answer)


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
        return _invalid([as_entry(fault_from(error), language=_language())])
    if isinstance(error, RequestError):
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
    count, first = len(entries), entries[0]["detail"]
    language = _language()
    if count == 1:
        detail = first
    elif count <= MOST_FAULTS:
        detail = text_of(words("problems.invalid-fields.several", count=count, first=first), language)
    else:
        detail = text_of(words("problems.invalid-fields.more", most=MOST_FAULTS, first=first), language)
    return _problem(422, detail, kind=KINDS[422], entries=entries, language=language)


def _failure(error):
    _log.error("%s %r failed", request.method, request.path, exc_info=error)
    language = _language()
    return _problem(500, text_of(KINDS[500].meaning, language), kind=KINDS[500], language=language)


def _problem(status, detail, *, kind, entries=None, headers=(), language=LANGUAGES[0]):
    body = problem_body(status, detail, kind=kind, entries=entries, language=language)
    response = Response(body, status=status, content_type=MEDIA_TYPE)
    response.headers.extend(headers)
    return response
