"""JSON Schema (2020-12) of an answer, from the type hints of its dataclass.

Answers may gain fields, so their objects stay open: a caller ignores what it does not know.
"""

import dataclasses
import inspect
import types
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

import numpy as np

from service.domain.words import Words

NumberColumn = np.ndarray
"""A column of numbers, null where there is no value. Answers outside this layer write `np.ndarray` itself."""


class Components(dict):
    """Schemas by name, and the dataclass that each stands for, so that no two share a name unnoticed."""

    def __init__(self):
        super().__init__()
        self.kinds = {}


_SIMPLE = {float: "number", int: "integer", str: "string", bool: "boolean", type(None): "null", Words: "string"}


def answer_schema(answer_type, components):
    """Return the JSON Schema of `answer_type`, and put each dataclass it holds into `components`.

    Understood are float, int, str, bool, Words, X | None, list, tuple, dict with text keys, Literal, arrays of numpy
    (numbers or null), dataclasses, Any, and Annotated with a description. Anything else raises TypeError.
    """
    if answer_type in _SIMPLE:
        return {"type": _SIMPLE[answer_type]}
    if answer_type is Any or answer_type is object:
        return {}
    if answer_type is np.ndarray or get_origin(answer_type) is np.ndarray:
        return {"type": "array", "items": {"type": ["number", "null"]}}
    if dataclasses.is_dataclass(answer_type):
        return _reference(answer_type, components)
    origin, arguments = get_origin(answer_type), get_args(answer_type)
    if origin is Annotated:
        described = [note for note in arguments[1:] if isinstance(note, str)]
        schema = answer_schema(arguments[0], components)
        return {**schema, "description": described[0]} if described else schema
    if origin in (Union, types.UnionType):
        return _union([answer_schema(each, components) for each in arguments])
    if origin is Literal:
        return {"type": _common_type(arguments), "enum": list(arguments)}
    if origin is list:
        return {"type": "array", "items": answer_schema(arguments[0], components)}
    if origin is tuple and arguments[-1] is Ellipsis:
        return {"type": "array", "items": answer_schema(arguments[0], components)}
    if origin is tuple:
        items = [answer_schema(each, components) for each in arguments]
        return {"type": "array", "prefixItems": items, "minItems": len(items), "maxItems": len(items)}
    if origin is dict and arguments[0] is str:
        return {"type": "object", "additionalProperties": answer_schema(arguments[1], components)}
    raise TypeError(f"the specification has no words for the type {answer_type!r}")


def _reference(kind, components):
    name = kind.__name__
    if components.kinds.setdefault(name, kind) is not kind:
        raise ValueError(f"two different types of the specification are named {name}")
    if name not in components:
        components[name] = {}  # in place first, so that a dataclass may hold its own kind
        components[name] = _object(kind, components)
    return {"$ref": f"#/components/schemas/{name}"}


def _object(kind, components):
    hints = get_type_hints(kind, include_extras=True)
    names = [field.name for field in dataclasses.fields(kind)]
    schema = {
        "type": "object",
        "title": kind.__name__,
        "required": names,
        "properties": {name: answer_schema(hints[name], components) for name in names},
    }
    made_up = (kind.__doc__ or "").startswith(f"{kind.__name__}(")  # by dataclass, where the class has none
    description = "" if made_up else first_paragraph(kind.__doc__)
    return {**schema, "description": description} if description else schema


def first_paragraph(docstring):
    """Return the first paragraph of a docstring on one line."""
    return " ".join(inspect.cleandoc(docstring or "").split("\n\n")[0].split())


def _union(schemas):
    if all(set(schema) == {"type"} and isinstance(schema["type"], str) for schema in schemas):
        return {"type": [schema["type"] for schema in schemas]}
    return {"anyOf": schemas}


def _common_type(values):
    kinds = {type(value) for value in values}
    if len(kinds) != 1:
        raise TypeError(f"the choices {values!r} are not all of one type")
    return _SIMPLE[kinds.pop()]
