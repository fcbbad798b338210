"""What the service needs to run: pinned, locked with all that comes along, licences told, and nothing forgotten."""

import ast
import re
import sys
from importlib import metadata
from pathlib import Path

import pytest

from service.__main__ import main

ROOT = Path(__file__).parents[1]
PIN = re.compile(r"^([a-z0-9-]+)==(\S+)", re.M)


def pins(file):
    """Return name -> version of every pin of a file."""
    return dict(PIN.findall((ROOT / file).read_text(encoding="utf-8")))


RUNNING = pins("service/requirements.txt")
LOCKED = pins("service/requirements.lock")


def needed(name):
    """Yield the name of everything that a package asks for on this machine, extras aside."""
    for requirement in metadata.requires(name) or ():
        package, _, condition = requirement.partition(";")
        if not condition:
            yield re.match(r"[\w.-]+", package)[0].lower().replace("_", "-").replace(".", "-")


def test_every_pin_is_in_the_lock():
    assert RUNNING
    assert {name: LOCKED.get(name) for name in RUNNING} == RUNNING


def test_the_lock_holds_what_the_packages_ask_for_and_no_more():
    asked_for, new = set(RUNNING), set(RUNNING)
    while new:
        new = {other for name in new for other in needed(name)} - asked_for
        asked_for |= new
    assert set(LOCKED) == asked_for


def test_every_package_of_the_lock_has_hashes_and_no_place_of_a_machine():
    text = (ROOT / "service/requirements.lock").read_text(encoding="utf-8")
    entries = re.split(r"\n(?=[a-z])", text[PIN.search(text).start() :].strip())
    assert len(entries) == len(LOCKED)
    assert all("--hash=sha256:" in entry for entry in entries)
    assert not re.search(r"https?:|--index|--find-links|file:|^/", text, re.M)


def test_the_tests_need_what_the_service_needs():
    top = (ROOT / "requirements.txt").read_text(encoding="utf-8")
    assert top.startswith("-r service/requirements.txt\n")
    assert not set(pins("requirements.txt")) & set(RUNNING), "each is pinned once"


def test_what_is_installed_is_what_is_pinned():
    assert {name: metadata.version(name) for name in LOCKED} == LOCKED


def imported():
    """Return the top names of all imports of the service, its own and the standard library's aside."""
    names = set()
    for file in (ROOT / "service").rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                names |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and not node.level:
                names.add(node.module.split(".")[0])
    return names - sys.stdlib_module_names - {"service"}


def test_everything_that_the_service_imports_is_pinned():
    packages = metadata.packages_distributions()
    assert {"flask", "numpy"} <= imported()
    missing = {name for name in imported() if not {each.lower() for each in packages.get(name, ())} & set(RUNNING)}
    assert not missing


@pytest.mark.parametrize("name", RUNNING)
def test_the_licence_told_is_the_one_that_the_package_tells(name):
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    (told,) = re.findall(rf"^\| {name} \| ([^|]+) \|", readme, re.M)
    about = metadata.metadata(name)
    classifiers = [text.rpartition(" :: ")[2] for text in about.get_all("Classifier") or () if "License" in text]
    assert told in (about["License-Expression"], about["License"], *classifiers)


@pytest.mark.parametrize(("version", "runs"), [((3, 10), False), ((3, 11), True), ((3, 13), True), ((3, 14), False)])
def test_another_python_is_refused_in_plain_words(monkeypatch, capsys, tmp_path, version, runs):
    monkeypatch.setattr(sys, "version_info", (*version, 0, "final", 0))
    status = main(["spec", "--output", str(tmp_path / "openapi.json")])
    out, err = capsys.readouterr()
    said = f"This needs Python 3.11 to 3.13; this is Python {version[0]}.{version[1]}.\n"
    assert (status, out != "", err) == ((0, True, "") if runs else (2, False, said))
