"""Defaults stand once, in the registry of the advice: schemas show it, the domain and the page repeat nothing else."""

import ast
import dataclasses
import re
from pathlib import Path

import pytest

from service.advice.assumptions import DEFAULTS, default_of
from service.web import requests
from service.web.operations import OPERATIONS
from service.web.reading import fields

REQUESTS = Path(requests.__file__).parent
PAGE = REQUESTS.parent / "page"
FROM_A_TABLE = "/bass_section/low_limit_hz"
"""Shown from the table of kinds of speaker, which takes it also."""


def literal_defaults(source):
    """Return the lines of a module that write a default into a field."""
    return [
        keyword.value.lineno
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call)
        for keyword in node.keywords
        if keyword.arg == "default" and not isinstance(keyword.value, ast.Call)
    ]


def repeated_defaults(script):
    """Return the numbers and texts of a script that stand where a default of the service does.

    Looked at are constants and fallbacks: `WIDTH_M = 0.35`, `[WIDTH_M, DEPTH_M] = [0.35, 0.4]`, `width_m ?? 0.35`.
    """
    numbers, texts = {}, set()
    for key, default in DEFAULTS.items():
        if isinstance(default.value, str):
            texts.add(default.value)
        elif not isinstance(default.value, bool):
            numbers.setdefault(re.split("[_/]", key)[-1], set()).add(float(default.value))
    named = [
        (name.strip(), value)
        for names, values in re.findall(r"\[([\w, ]+)\] = \[([\d., -]+)\]", script)
        for name, value in zip(names.split(","), values.split(","), strict=False)
    ]
    named += re.findall(r"(\w+)\s*(?:=|:|\?\?|\|\|)\s*(-?\d[\d.]*)", script)
    found = [(name, value) for name, value in named if float(value) in numbers.get(name.lower().rsplit("_", 1)[-1], ())]
    return found + [("", text) for text in re.findall(r'(?:\?\?|\|\|) "(\w+)"', script) if text in texts]


def fields_of(schema, at=""):
    """Yield the pointer of every field of a schema and of the blocks in it, with the field and the schema's type."""
    for name, field in schema.load_fields.items():
        pointer = f"{at}/{field.data_key or name}"
        yield pointer, name, field, schema
        item = field.inner if isinstance(field, fields.ListOf) else field
        if isinstance(item, fields.Block):
            yield from fields_of(item.schema, f"{pointer}/*" if item is not field else pointer)


def all_fields():
    for operation in OPERATIONS:
        if operation.request_schema is not None:
            yield from fields_of(operation.request_schema())


@pytest.mark.parametrize("path", sorted(REQUESTS.glob("*.py")), ids=lambda path: path.stem)
def test_no_schema_writes_a_default(path):
    assert literal_defaults(path.read_text(encoding="utf-8")) == []


def test_a_written_default_is_found():
    assert literal_defaults('Number("q", default=8.0)\nNumber("q", default=policy.Q)') == [1, 2]
    assert literal_defaults('Number("q", default=from_a_table(), unit="m")') == []


def test_what_a_schema_shows_is_what_is_taken_at_its_pointer():
    shown = {pointer: field.metadata["default"] for pointer, _, field, _ in all_fields() if "default" in field.metadata}
    shown = {pointer: value for pointer, value in shown.items() if not pointer.endswith((FROM_A_TABLE, "/language"))}
    assert len(shown) > 80
    assert shown == {pointer: default_of(pointer).value for pointer in shown}


def test_what_a_part_of_the_domain_is_without_a_word_is_what_its_schema_shows():
    compared = 0
    for pointer, name, field, schema in all_fields():
        declared = {each.name: each for each in dataclasses.fields(schema.makes)} if schema.makes else {}
        own = declared[name].default if name in declared else dataclasses.MISSING
        if own is None or own is dataclasses.MISSING or own == ():
            continue
        compared += 1
        assert field.metadata["default"] == own, pointer
    assert compared > 30


@pytest.mark.parametrize("path", sorted(PAGE.glob("*.js")), ids=lambda path: path.stem)
def test_the_page_repeats_no_default(path):
    assert repeated_defaults(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "script",
    ["const [A_WIDTH_M, B_M] = [0.35, 7];", "x = told.width_m ?? 0.35;", 'x = place.radiation ?? "monopole";'],
)
def test_a_repeated_default_is_found(script):
    assert len(repeated_defaults(script)) == 1
