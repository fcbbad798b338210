"""The facts of a request as lines for people: what was told, and what was assumed and why."""

import functools

from service.advice.language.localise import catalogue, general, text_of
from service.domain.words import words
from service.web.form_fields import form_fields

_NOT_FACTS = ("note", "language", "sheet", "include")
"""Blocks of a request that say nothing of the room or the equipment."""

_MOST_VALUES = 10
"""A fact of more values than this is summed up; the complete request has them all."""

_SYMBOLS = {
    "degrees Celsius": "°C",
    "degrees": "°",
    "ohm": "Ω",
    "uV": "µV",
    "m2": "m²",
    "mm2": "mm²",
}
"""Unit of a field -> how it is printed in any language, where that differs."""

_MOST_TOGETHER = 5
"""Assumptions in one paragraph."""

_LONGEST_TEXT = 80
"""A longer text, such as a pasted table, is summed up as well."""

_UNITS_IN_NAMES = {
    "_dba": "dB(A)",
    "_db": "dB",
    "_hz": "Hz",
    "_ohm": "Ω",
    "_pct": "%",
    "_deg": "°",
    "_m2": "m²",
    "_m": "m",
    "_s": "s",
    "_w": "W",
    "_v": "V",
    "_c": "°C",
}
"""End of a field's name -> its unit, for assumptions that are no fields of the request."""


@functools.cache
def _fields():
    return {field.pointer: field for field in form_fields().fields}


def told(inputs, assumptions, language):
    """Return what was told as lines, one for each block of the request.

    Parameters
    ----------
    inputs : dict
        The request with the assumed fields filled in. [-]
    assumptions : list of Assumption
        Those of its fields are left out. [-]
    language : str
        One of `words.LANGUAGES`. [-]
    """
    assumed = {assumption.pointer for assumption in assumptions if assumption.pointer}
    lines, plain = [], []
    for name, value in inputs.items():
        pointer = f"/{name}"
        if name in _NOT_FACTS or pointer in assumed:
            continue
        if isinstance(value, dict):
            facts = _facts(value, pointer, assumed, language)
            if facts:
                lines.append(f"{_label(pointer, language)}: {'; '.join(facts)}.")
        else:
            plain.append(_fact(pointer, value, language))
    return [*lines, "; ".join(plain) + "."] if plain else lines


def assumed(assumptions, language):
    """Return what was assumed as running text by block: field, value, plausible range, reason.

    Parameters
    ----------
    assumptions : list of Assumption
        Spoken in the language. [-]
    language : str
        One of `words.LANGUAGES`. [-]
    """
    lines, blocks = [], {}
    for assumption in assumptions:
        block = assumption.pointer.split("/")[1] if assumption.pointer else ""
        if f"/{block}" in _fields() and assumption.pointer.count("/") > 1:
            blocks.setdefault(block, []).append(_assumption(assumption, language))
        else:
            lines.append(as_sentence(_closed(_assumption(assumption, language))))
    for block, found in blocks.items():
        for first in range(0, len(found), _MOST_TOGETHER):
            said = "; ".join(found[first : first + _MOST_TOGETHER])
            lines.append(f"{_label(f'/{block}', language)}: {_closed(said)}")
    return lines


def _facts(block, pointer, assumed_pointers, language):
    found = []
    for name, value in block.items():
        inner = f"{pointer}/{name}"
        if inner in assumed_pointers:
            continue
        if isinstance(value, dict) and inner in _fields() and _fields()[inner].control == "group":
            facts = _facts(value, inner, assumed_pointers, language)
            if facts:
                found.append(f"{_label(inner, language)} ({', '.join(facts)})")
        else:
            found.append(_fact(inner, value, language))
    return found


def _fact(pointer, value, language):
    label = _label(pointer, language)
    return f"{label}{'' if label.endswith('?') else ':'} {_value(pointer, value, language)}"


def _assumption(assumption, language):
    """One assumption: what was taken, and why."""
    pointer, value, why = assumption.pointer, assumption.value, str(assumption.why)
    if pointer not in _fields():
        if isinstance(value, dict) and len(value) == 1:
            ((name, value),) = value.items()
            unit = next((unit for end, unit in _UNITS_IN_NAMES.items() if name.endswith(end)), None)
            if unit and isinstance(value, float | int):
                return text_of(words("sheet.assumed_value", why=why, value=_short(value), unit=unit), language)
        return why
    if isinstance(value, dict | list):  # tables: in the complete request
        return text_of(words("sheet.because", said=_label(pointer, language), why=why), language)
    said, spread = _fact(pointer, _short(value), language), assumption.spread
    if isinstance(spread, list | tuple) and len(spread) == 2 and all(isinstance(x, float | int) for x in spread):
        said = text_of(words("sheet.spread", said=said, low=float(spread[0]), high=float(spread[1])), language)
    return text_of(words("sheet.because", said=said, why=why), language)


def _short(value):
    """A number that we took, to four digits."""
    return float(f"{value:.4g}") if type(value) is float else value


def as_sentence(text):
    """Return a text that begins with a capital letter."""
    return text[:1].upper() + text[1:]


def _closed(text):
    return text if text.endswith(".") else f"{text}."


def _label(pointer, language):
    field = _fields().get(pointer)
    if field is None:
        return pointer.rsplit("/", 1)[1]
    return text_of(field.label, language)


def _value(pointer, value, language):
    """A value as people write it: with its unit, a choice by its name, a table shortened."""
    field = _fields().get(pointer)
    if isinstance(value, bool):
        return text_of(words("sheet.yes") if value else words("sheet.no"), language)
    if isinstance(value, float | int):
        unit = f" {_SYMBOLS.get(field.unit, field.unit)}" if field and field.unit else ""
        return f"{general(value, language)}{unit}"
    if isinstance(value, str):
        labels = {choice.value: choice.label for choice in (field.choices or ()) if field} if field else {}
        if value in labels and labels[value].key in catalogue(language):
            return text_of(labels[value], language)
        return value if len(value) <= _LONGEST_TEXT else text_of(words("sheet.in_the_request"), language)
    if isinstance(value, dict) and value and all(isinstance(item, float | int) for item in value.values()):
        return ", ".join(f"{octave}: {general(item, language)}" for octave, item in [*value.items()][:_MOST_VALUES])
    if isinstance(value, list) and len(value) <= _MOST_VALUES and all(isinstance(item, float | int) for item in value):
        return ", ".join(general(item, language) for item in value)
    return text_of(words("sheet.in_the_request"), language)
