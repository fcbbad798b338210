"""Refusals are sentences of the catalogue and their pointers come from blocks: neither is written as text."""

import ast
from pathlib import Path

import pytest

import service

SERVICE = Path(service.__path__[0])


def refusals(tree):
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and getattr(node.func, "id", None) == "DomainError":
            yield {keyword.arg: keyword.value for keyword in node.keywords}


def is_text(node):
    """Whether text is written here, alone, put together, or on one side of a choice."""
    if isinstance(node, ast.IfExp):
        return is_text(node.body) or is_text(node.orelse)
    if isinstance(node, ast.BinOp):
        return is_text(node.left) or is_text(node.right)
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))


def is_prose(node):
    if isinstance(node, ast.List | ast.Tuple):
        return any(is_prose(item) for item in node.elts)
    return is_text(node) and not (isinstance(node, ast.Constant) and " " not in node.value)


def faults(tree):
    for told in refusals(tree):
        if is_text(told["detail"]):
            yield "detail"
        if "allowed" in told and is_prose(told["allowed"]):
            yield "allowed"
        pointer = told["pointer"]
        if is_text(pointer) and not (isinstance(pointer, ast.Constant) and pointer.value == ""):
            yield "pointer"


def test_no_refusal_is_written_as_text():
    found, calls = [], 0
    for path in sorted(SERVICE.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        calls += len(list(refusals(tree)))
        found += [(path.relative_to(SERVICE).as_posix(), fault) for fault in faults(tree)]
    assert calls > 60
    assert found == []


@pytest.mark.parametrize(
    ("arguments", "fault"),
    [
        ('pointer="", detail="no"', "detail"),
        ('pointer="", detail=f"{x} is no"', "detail"),
        ('pointer="", detail=words("a"), allowed="at most 3"', "allowed"),
        ('pointer="", detail=words("a"), allowed=["at most 3"]', "allowed"),
        ('pointer="/room", detail=words("a")', "pointer"),
        ('pointer=f"/{x}", detail=words("a")', "pointer"),
        ('pointer="/a" if x else "/b", detail=words("a")', "pointer"),
        ('pointer=self.own("a"), detail=words("a"), allowed=["power_w", "ratings"]', None),
    ],
)
def test_what_counts_as_text(arguments, fault):
    assert list(faults(ast.parse(f"DomainError({arguments})"))) == ([] if fault is None else [fault])
