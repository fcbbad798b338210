"""The kinds of problem and their one shape: problem details by RFC 9457, `application/problem+json`."""

from dataclasses import dataclass
from http import HTTPStatus

import orjson

from service.advice.language.localise import LANGUAGES, said
from service.domain.words import Words, words

MAX_BODY_BYTES = 262144
"""Longest body that is read."""

MOST_FAULTS = 50
"""Faults listed in one answer; a refusal stays small, whatever was sent."""

MEDIA_TYPE = "application/problem+json"


@dataclass(frozen=True, kw_only=True)
class Kind:
    """One kind of problem: `slug` is the stable end of its `type`."""

    slug: str
    title: Words
    meaning: Words

    @property
    def type(self):
        return f"/docs#{self.slug}"


def _kind(slug, **values):
    return Kind(slug=slug, title=words(f"problems.{slug}.title"), meaning=words(f"problems.{slug}.meaning", **values))


KINDS = {
    400: _kind("unreadable-body"),
    404: _kind("unknown-path"),
    405: _kind("wrong-method"),
    406: _kind("no-such-form"),
    413: _kind("body-too-large", most=MAX_BODY_BYTES),
    415: _kind("wrong-media-type"),
    422: _kind("invalid-fields"),
    500: _kind("internal-error"),
}
"""HTTP status -> the kind of problem that it stands for."""

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


def problem_body(status, detail, *, kind, entries=None, language=LANGUAGES[0]):
    """Return the JSON bytes of one problem; `entries` are its faults. `kind` None: the status alone.

    Parameters
    ----------
    status : int
        Of HTTP. [-]
    detail : str
        What is wrong this time, in the language given. [-]
    kind : Kind or None
        Its title is said in the language given. [-]
    entries : list of dict, optional
        Of which the first `MOST_FAULTS` are listed. [-]
    language : str
        One of `LANGUAGES`. [-]
    """
    problem = {
        "type": kind.type if kind else "about:blank",
        "title": said(kind.title, language) if kind else HTTPStatus(status).phrase,
        "status": int(status),
        "detail": detail,
    }
    if entries:
        problem["errors"] = entries[:MOST_FAULTS]
    return orjson.dumps(problem)
