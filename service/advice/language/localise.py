"""Sentences in the languages that the service speaks: keys and numbers until an answer is done, then text.

The advice makes `Words`, a key of the catalogue with the values that its sentence names. `localised` turns all of them
into text of one language when the answer is complete, so that nothing in between depends on a language. The catalogue
is a folder of JSON files for each language; a key is the name of the file, a point, and the key in it.
"""

import dataclasses
import functools
import json
import string
import types
from pathlib import Path
from typing import Annotated, Union, get_args, get_origin, get_type_hints

from service.domain.words import Words, words

LANGUAGES = ("en", "de")
"""What the service speaks; the first unless asked otherwise."""

_FOLDER = Path(__file__).parent / "texts"
_DECIMAL_POINTS = {"en": ".", "de": ","}
_ROUNDS_TO_NOTHING_DB = 0.05


@functools.cache
def catalogue(language):
    """Return all sentences of a language, by key."""
    found = {}
    for path in sorted((_FOLDER / language).glob("*.json")):
        for key, sentence in json.loads(path.read_text(encoding="utf-8")).items():
            found[f"{path.stem}.{key}"] = sentence
    return types.MappingProxyType(found)


def text_of(sentence, language):
    """Return `Words` as text of a language.

    A sentence names its values in braces, each with the form of its number behind a colon: `db` for decibels, `watts`
    for a power, `0`, `1` or `2` for that many decimals, `g` for as many as it needs, `hours` for a time, or the name of
    a group of the catalogue such as `terms.kind`, in which the value is looked up. A list, which is never empty,
    is joined by commas and a last "and".
    """
    values = sentence.values
    return "".join(
        [
            literal if name is None else literal + _said(values[name], form, language)
            for literal, name, form in _parts(sentence.key, language)
        ]
    )


def said(value, language):
    """Return `Words`, alone or in a list, as text of a language; anything else as it is."""
    if isinstance(value, Words):
        return text_of(value, language)
    if isinstance(value, list | tuple):
        return [said(item, language) for item in value]
    return value


@functools.cache
def _parts(key, language):
    """A sentence as tuples of literal text, and name and form of the value that follows it."""
    return tuple(part[:3] for part in string.Formatter().parse(catalogue(language)[key]))


def _said(value, form, language):
    """One value of a sentence, in the form that the sentence asks for."""
    if isinstance(value, Words):
        return text_of(value, language)
    if isinstance(value, list | tuple):
        *first, last = (_said(item, form, language) for item in value)
        return text_of(words("terms.and", first=", ".join(first), last=last), language) if first else last
    if form in _FORMS:
        return _FORMS[form](value, language)
    if "." in form:
        return catalogue(language)[f"{form}.{value}"]
    if form:
        raise ValueError(f"{form} is no form of a number")
    if isinstance(value, float):
        raise ValueError(f"the number {value} is named without its form")
    return str(value)


def number(value, decimals, language):
    """Return a number with so many decimals in the form of a language; never a minus before a zero."""
    text = f"{value:.{decimals}f}"
    if not text.strip("-0."):
        text = text.lstrip("-")
    return text.replace(".", _DECIMAL_POINTS[language])


def general(value, language):
    """Return a number with as many digits as it needs, six at most."""
    return f"{value:g}".replace(".", _DECIMAL_POINTS[language])


def watts(power_w, language):
    """Return a power as a person says it, to two digits: 0.05 mW, 0.01 W, 2.5 W, 30 W, 250 W."""
    point = _DECIMAL_POINTS[language]
    if power_w >= 99.5:
        return f"{power_w:.0f} W"
    if power_w >= 0.001:
        return f"{power_w:.2g} W".replace(".", point)
    return (f"{1000 * power_w:.2g} mW" if power_w >= 1e-7 else "< 0.0001 mW").replace(".", point)


def decibels(value_db, language):
    """Return a whole number of decibels, or one decimal below 2."""
    return f"{number(value_db, 1 if abs(value_db) < 2 else 0, language)} dB"


def hours(time_h, language):
    """Return a time as a person says it, rounded down: 4 hours, 2.5 hours, 30 minutes, 50 seconds."""
    if time_h >= 2:
        return text_of(words("terms.hours", count=int(2 * time_h) / 2), language)
    if time_h * 60 >= 2:
        return text_of(words("terms.minutes", count=int(time_h * 60)), language)
    seconds = int(time_h * 3600)
    key = {0: "terms.less_than_a_second", 1: "terms.one_second"}.get(seconds, "terms.seconds")
    return text_of(words(key, count=seconds), language)


_FORMS = {
    "db": decibels,
    "watts": watts,
    "hours": hours,
    "g": general,
    **{
        str(decimals): functools.partial(lambda d, value, language: number(value, d, language), decimals)
        for decimals in range(4)
    },
}
"""Form of a number -> the function that says it."""


def localised(answer, language):
    """Return an answer with all its `Words` as text of a language.

    Parameters
    ----------
    answer : object
        A dataclass, list, tuple, dict, `Words` or plain value. [-]
    language : str
        One of `LANGUAGES`. [-]
    """
    kind = type(answer)
    if kind is Words:
        return text_of(answer, language)
    if kind in (list, tuple):
        return kind(localised(item, language) for item in answer)
    if kind is dict:
        return {key: localised(value, language) for key, value in answer.items()}
    changed = {
        name: localised(value, language)
        for name in _worded_fields(kind)
        if (value := getattr(answer, name)) is not None
    }
    return dataclasses.replace(answer, **changed) if changed else answer


@functools.cache
def _worded_fields(kind):
    """Names of the fields of a dataclass that may hold `Words`; none for other types."""
    if not dataclasses.is_dataclass(kind):
        return ()
    hints = get_type_hints(kind, include_extras=True)
    return tuple(field.name for field in dataclasses.fields(kind) if _holds_words(hints[field.name]))


@functools.cache
def _holds_words(hint):
    """Whether a value of this type may hold `Words`."""
    if hint is Words:
        return True
    if dataclasses.is_dataclass(hint):
        return bool(_worded_fields(hint))
    origin, arguments = get_origin(hint), get_args(hint)
    if origin is Annotated:
        return _holds_words(arguments[0])
    if origin in (Union, types.UnionType, list, tuple, dict):
        return any(_holds_words(each) for each in arguments if each is not Ellipsis)
    return False
