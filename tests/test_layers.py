"""Imports run one way: web -> advice -> {physics, domain, tables}, web -> domain, tables -> domain; physics alone."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
ALLOWED = {
    "physics": {"physics"},
    "domain": {"domain"},
    "tables": {"tables", "domain"},
    "advice": {"advice", "physics", "domain", "tables"},
    "web": {"web", "advice", "domain"},
}
OUTSIDE = {
    "physics": {"numpy", "scipy"},
    "domain": set(),
    "tables": set(),
    "advice": {"numpy"},
}
"""Libraries beside the standard one; the web layer may use what it needs."""
STANDARD = set(__import__("sys").stdlib_module_names)


def imported_modules(path):
    """Yield the full name of every module that a file imports, wherever in the file it does so."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are absolute"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def files(layer):
    return sorted((ROOT / "service" / layer).rglob("*.py"))


@pytest.mark.parametrize("layer", ALLOWED)
def test_layer_imports_only_what_it_may(layer):
    assert files(layer)
    for path in files(layer):
        for name in imported_modules(path):
            top, _, rest = name.partition(".")
            if top == "service" and rest and (ROOT / "service" / rest.split(".")[0]).is_dir():
                assert rest.split(".")[0] in ALLOWED[layer], f"{path.name} imports {name}"
            elif layer in OUTSIDE and top not in STANDARD and top != "service":
                assert top in OUTSIDE[layer], f"{path.name} imports {name}"


def test_physics_reads_no_file_and_no_clock():
    forbidden = {"os", "pathlib", "time", "datetime", "random", "io", "json", "csv", "logging"}
    for path in files("physics"):
        used = {name.split(".")[0] for name in imported_modules(path)}
        assert not used & forbidden, f"{path.name} imports {used & forbidden}"
        calls = (node.func for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.Call))
        names = {function.id for function in calls if isinstance(function, ast.Name)}
        assert not names & {"open", "print", "input"}, path.name


def test_top_level_is_as_agreed():
    allowed = {"README.md", "DEVELOPERS.md", "requirements.txt", "service", "tests", "openapi", "demo_rooms"}
    present = {path.name for path in ROOT.iterdir() if not path.name.startswith(".") and path.name != "__pycache__"}
    assert present == allowed
