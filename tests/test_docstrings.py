"""House rules of the physics: every public function says what goes in, what comes out, in which unit and from where."""

import importlib
import inspect
import pkgutil
import re

import pytest

import service.physics
from service.tables.loader import references

_UNIT = re.compile(r"\[[^\]]+\]")


def public_functions():
    """Every public function of the physics, as test parameters."""
    found = []
    for module in pkgutil.walk_packages(service.physics.__path__, "service.physics."):
        loaded = importlib.import_module(module.name)
        for name, function in inspect.getmembers(loaded, inspect.isfunction):
            if function.__module__ == module.name and not name.startswith("_"):
                found.append(pytest.param(function, id=f"{module.name.removeprefix('service.physics.')}.{name}"))
    return found


def section(text, title):
    """Text under a heading of a docstring, up to the next heading; None without it."""
    found = re.search(rf"^{title}\n-+\n(.*?)(?=^\w[\w ]*\n-+\n|\Z)", text, re.S | re.M)
    return found and found.group(1)


@pytest.mark.parametrize("function", public_functions())
def test_docstring_matches_the_signature(function):
    text = inspect.getdoc(function)
    assert text, "a public function has a docstring"
    parameters = inspect.signature(function).parameters
    described = section(text, "Parameters")
    if parameters and described is None:
        assert len(parameters) <= 2, "only the smallest functions do without a list of parameters"
        return
    for name in parameters:
        assert re.search(rf"(^|[\s,]){name}([\s,:]|$)", described), f"{name} is not described"
    assert not parameters or _UNIT.search(described), "parameters have units"


@pytest.mark.parametrize("function", public_functions())
def test_arguments_are_keyword_only_except_one(function):
    positional = [
        parameter
        for parameter in inspect.signature(function).parameters.values()
        if parameter.kind is parameter.POSITIONAL_OR_KEYWORD
    ]
    assert len(positional) <= 2


@pytest.mark.parametrize("function", public_functions())
def test_no_physical_quantity_has_a_default(function):
    """A default hides who spoke: callers state what they assume."""
    for parameter in inspect.signature(function).parameters.values():
        assert parameter.default is parameter.empty or parameter.name == "axis", parameter.name


@pytest.mark.parametrize("function", public_functions())
def test_cited_sources_exist(function):
    cited = section(inspect.getdoc(function), "References") or ""
    unknown = set(re.findall(r"\[([A-Z][A-Z0-9-]{3,})\]", cited)) - set(references())
    assert not unknown, f"not in references.json: {unknown}"
