"""Schemas of answers from type hints; expected schemas written by hand from JSON Schema 2020-12."""

from dataclasses import dataclass
from typing import Annotated, Any, Literal

import jsonschema
import numpy as np
import pytest

from service.web.specification.answer_schema import Components, NumberColumn, answer_schema


@dataclass
class Leaf:
    x_m: float


@dataclass
class Tree:
    """A tree.

    It grows.
    """

    leaf: Annotated[Leaf, "Its leaf."]
    parent: "Tree | None"


NUMBERS = {"type": "array", "items": {"type": ["number", "null"]}}

CASES = [
    (float, {"type": "number"}),
    (int, {"type": "integer"}),
    (str, {"type": "string"}),
    (bool, {"type": "boolean"}),
    (Any, {}),
    (float | None, {"type": ["number", "null"]}),
    (list[str], {"type": "array", "items": {"type": "string"}}),
    (tuple[int, ...], {"type": "array", "items": {"type": "integer"}}),
    (
        tuple[int, str],
        {
            "type": "array",
            "prefixItems": [{"type": "integer"}, {"type": "string"}],
            "minItems": 2,
            "maxItems": 2,
        },
    ),
    (dict[str, float], {"type": "object", "additionalProperties": {"type": "number"}}),
    (Literal["a", "b"], {"type": "string", "enum": ["a", "b"]}),
    (Literal[1, 2], {"type": "integer", "enum": [1, 2]}),
    (np.ndarray, NUMBERS),
    (NumberColumn, NUMBERS),
    (Annotated[np.ndarray, "A column."], {**NUMBERS, "description": "A column."}),
    (Annotated[float, "A level."], {"type": "number", "description": "A level."}),
    (
        dict[str, np.ndarray | None],
        {"type": "object", "additionalProperties": {"anyOf": [NUMBERS, {"type": "null"}]}},
    ),
    (Leaf | None, {"anyOf": [{"$ref": "#/components/schemas/Leaf"}, {"type": "null"}]}),
]


@pytest.mark.parametrize(("hint", "expected"), CASES, ids=lambda part: str(part)[:40])
def test_each_hint(hint, expected):
    schema = answer_schema(hint, Components())
    assert schema == expected
    jsonschema.Draft202012Validator.check_schema(schema)


def test_dataclasses_go_into_the_components_once_and_may_hold_themselves():
    components = Components()
    assert answer_schema(list[Tree], components) == {
        "type": "array",
        "items": {"$ref": "#/components/schemas/Tree"},
    }
    assert components == {
        "Tree": {
            "type": "object",
            "title": "Tree",
            "description": "A tree.",
            "required": ["leaf", "parent"],
            "properties": {
                "leaf": {"$ref": "#/components/schemas/Leaf", "description": "Its leaf."},
                "parent": {"anyOf": [{"$ref": "#/components/schemas/Tree"}, {"type": "null"}]},
            },
        },
        "Leaf": {
            "type": "object",
            "title": "Leaf",
            "required": ["x_m"],
            "properties": {"x_m": {"type": "number"}},
        },
    }


def test_two_types_of_one_name_are_refused():
    components = Components()
    answer_schema(Leaf, components)
    other = dataclass(type("Leaf", (), {"__annotations__": {"y_m": float}}))
    with pytest.raises(ValueError, match="named Leaf"):
        answer_schema(other, components)


@pytest.mark.parametrize("hint", [complex, set[int], dict[int, str], bytes, Literal["a", 1]])
def test_a_hint_without_words_is_refused(hint):
    with pytest.raises(TypeError):
        answer_schema(hint, Components())
