"""One fault of a request, and the flat list of faults that a refusal carries.

Fields and schemas put `Fault` objects into marshmallow's messages, in place of its texts; `flatten` gives
each of them the JSON pointer (RFC 6901) of the place where it was found.
"""

import difflib
import json
import math
from dataclasses import dataclass

from marshmallow.exceptions import SCHEMA

from service.advice.language.localise import LANGUAGES, said
from service.domain.words import Words, words

MOST_FAULTS_PER_LIST = 20
"""Faults looked for in one list or one object before the rest of it is left unread."""

_LONGEST_TEXT = 80
_LONGEST_NAME_COMPARED = 60
_LARGEST_EXACT_WHOLE_NUMBER = 2**53


@dataclass(frozen=True, kw_only=True)
class Fault:
    """What is wrong at one place.

    `pointer` is relative to the field or block that reports it; `allowed` is a sentence or a list of names.
    """

    code: str
    detail: Words | str
    given: object = None
    allowed: object = None
    did_you_mean: str | None = None
    pointer: str = ""


def fault_from(error):
    """Return the fault that a DomainError stands for."""
    return Fault(
        pointer=error.pointer,
        code=error.code,
        detail=error.detail,
        given=error.given,
        allowed=error.allowed,
        did_you_mean=error.did_you_mean,
    )


def escape(name):
    """Return `name` as one step of a JSON pointer."""
    return str(name).replace("~", "~0").replace("/", "~1")


def nearest(name, known):
    """Return the known name most like `name`, or None when none is like it; first of all `name` with a unit.

    A whole word of a single known name will do: triode for single_ended_triode.
    """
    if not isinstance(name, str) or len(name) > _LONGEST_NAME_COMPARED:
        return None
    folded = {each.lower(): each for each in known}
    with_unit = [each for each in folded if each.startswith(f"{name.lower()}_")]
    if name and with_unit:
        return folded[min(with_unit, key=len)]
    found = difflib.get_close_matches(name.lower(), folded, n=1, cutoff=0.6)
    if found:
        return folded[found[0]]
    having_word = [each for each in folded if name.lower() in each.split("_")]
    return folded[having_word[0]] if len(having_word) == 1 else None


def shortened(value):
    """Return what was given, cut to a size and a kind that any answer can carry; `Words` for what is only described."""
    if hasattr(value, "tolist"):  # numpy arrays and scalars
        value = value.tolist()
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return value if len(value) <= _LONGEST_TEXT else value[: _LONGEST_TEXT - 3] + "..."
    if isinstance(value, int):
        return value if abs(value) <= _LARGEST_EXACT_WHOLE_NUMBER else _large_whole_number(value)
    if isinstance(value, float):
        return value if math.isfinite(value) else str(value)
    if isinstance(value, list | tuple):
        return _described("list", len(value))
    if isinstance(value, dict):
        return _described("object", len(value))
    return words("refusals_fields.given.other", type=type(value).__name__)


def _described(kind, count):
    if count == 1:
        return words(f"refusals_fields.given.{kind}_of_one")
    return words(f"refusals_fields.given.{kind}", count=count)


def _large_whole_number(value):
    try:
        return float(value)
    except OverflowError:
        return words("refusals_fields.given.large_whole_number")


def as_text(value):
    """Return what was given as it stands in a sentence: texts in quotes, the rest as JSON spells it or described."""
    short = shortened(value)
    if isinstance(short, Words) or (isinstance(short, str) and not isinstance(value, str)):
        return short
    return json.dumps(short, ensure_ascii=False)


def flatten(messages, *, language=LANGUAGES[0]):
    """Return marshmallow's tree of messages as a flat list of entries in a language, each with its pointer."""
    return list(_walk(messages, "", language))


def as_entry(fault, *, language=LANGUAGES[0], prefix=""):
    """Return one fault as it stands in an answer in a language, its pointer lengthened by `prefix` in front."""
    return {
        "pointer": prefix + fault.pointer,
        "code": fault.code,
        "detail": said(fault.detail, language),
        "given": said(shortened(fault.given), language),
        "allowed": said(fault.allowed, language),
        "did_you_mean": fault.did_you_mean,
    }


def _walk(node, path, language):
    if isinstance(node, dict):
        for key, below in node.items():
            yield from _walk(below, path if key == SCHEMA else f"{path}/{escape(key)}", language)
    elif isinstance(node, list | tuple):
        for each in node:
            yield from _walk(each, path, language)
    elif isinstance(node, Fault):
        yield as_entry(node, prefix=path, language=language)
    else:
        yield as_entry(Fault(code="not_valid", detail=str(node)), prefix=path, language=language)
