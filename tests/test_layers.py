"""Walls of the house: which room may import which, and that every arrow points upwards in the one table of rooms."""

import ast
import re
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

ROOMS = {
    "service": "",
    "physics": "",
    "domain": "",
    "tables": "domain",
    "advice.policy": "",
    "advice.language": "domain",
    "advice.assumptions": "domain",
    "advice.answers": "domain assumptions",
    "advice.octaves": "physics",
    "advice.work_limits": "physics domain",
    "advice.programme": "physics domain tables policy assumptions",
    "advice.findings": "physics domain policy answers",
    "advice.room": "physics domain tables policy assumptions answers octaves findings",
    "advice.speaker": "physics domain tables policy assumptions answers octaves findings",
    "advice.amplifier": "physics domain tables policy assumptions octaves speaker",
    "advice.places": "physics domain policy assumptions answers findings",
    "advice.pairing": (
        "physics domain policy assumptions answers octaves programme findings room speaker amplifier places"
    ),
    "advice.level": "physics domain policy assumptions answers findings room speaker places pairing",
    "advice.match": "physics domain policy assumptions answers octaves findings speaker places pairing",
    "advice.placement": "physics domain tables policy assumptions answers work_limits findings room speaker places",
    "advice.room_questions": (
        "physics domain tables policy assumptions answers work_limits findings room speaker places"
    ),
    "advice.calculators": "physics domain policy assumptions answers findings room speaker",
    "advice.reference_tables": "physics domain tables language answers programme room",
    "advice.whole_job": (
        "physics domain policy language assumptions answers findings places pairing level match placement "
        "room_questions"
    ),
    "web.problems": "domain advice.language",
    "web.reading": "domain advice.language advice.assumptions",
    "web.requests": (
        "domain advice.assumptions advice.octaves advice.placement advice.reference_tables advice.whole_job reading"
    ),
    "web.writing": "domain advice.assumptions",
    "web.operation": "advice.language writing",
    "web.form_fields": "domain reading requests",
    "web.visit_form": "domain advice.language",
    "web.sheet": "service domain advice.language requests operation form_fields",
    "web.operations": (
        "domain advice.answers advice.level advice.match advice.placement advice.room_questions "
        "advice.calculators advice.reference_tables advice.whole_job reading requests writing operation "
        "form_fields visit_form sheet"
    ),
    "web.health": "service operation",
    "web.specification": "service domain advice.language problems reading health",
    "web.http": (
        "service domain advice.language advice.reference_tables problems reading operations health specification"
    ),
    "__main__": "service advice.whole_job web.reading web.writing web.sheet web.operations web.specification web.http",
}
"""Room -> the rooms that it may import, those of its own layer without the layer's name.

A room is a package or a module of the service; it may use none but those above it.
"""

OUTSIDE = {
    "physics": "numpy scipy",
    "advice": "numpy",
    "web.problems": "orjson",
    "web.reading": "marshmallow numpy flask",
    "web.writing": "numpy orjson",
    "web.sheet": "fpdf fontTools font_source_sans_pro",
    "web.specification": "marshmallow numpy apispec",
    "web.http": "marshmallow orjson flask werkzeug waitress",
}
"""Libraries beside the standard one, by room or by layer; the others use none."""


def room_of(module):
    """Return the room of a module of the service by its dotted name, which need not be in the table."""
    _, *steps = module.split(".")
    if not steps:
        return "service"
    return ".".join(steps[: 2 if steps[0] in ("advice", "web") else 1])


def may_import(room, rooms=ROOMS):
    """Return the full names of the rooms that a room may import."""
    return [name if name in rooms else f"{room.split('.')[0]}.{name}" for name in rooms[room].split()]


def imported_modules(tree, is_module):
    """Yield the dotted name of all that a module imports, wherever it does so, and what is wrong with the way."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((alias.name, "") for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.level:
            yield node.module or ".", "is relative"
        elif isinstance(node, ast.ImportFrom):
            for alias in node.names:
                full = f"{node.module}.{alias.name}"
                wrong = "takes all names" if alias.name == "*" and node.module.startswith("service") else ""
                yield (full if is_module(full) else node.module), wrong
        elif isinstance(node, ast.Call) and ast.unparse(node.func).endswith(("__import__", "import_module")):
            yield ast.unparse(node), "hides its name"


def wrong_imports(root, rooms=ROOMS, outside=OUTSIDE, exempt=()):
    """Return what is wrong with the imports below a folder that holds `service`, one line for each.

    Parameters
    ----------
    root : Path
        Folder of the tree. [-]
    rooms, outside : dict
        As ROOMS and OUTSIDE. [-]
    exempt : collection of (str, str)
        Arrows that are let through. [-]
    """

    def is_module(name):
        path = root.joinpath(*name.split("."))
        return path.is_dir() or path.with_suffix(".py").is_file()

    found = []
    for path in sorted((root / "service").rglob("*.py")):
        module = ".".join(path.relative_to(root).with_suffix("").parts).removesuffix(".__init__")
        room = room_of(module)
        if path.name == "__init__.py" and room not in rooms and room in ("advice", "web"):
            room = "service"  # the package itself, which holds nothing
        if room not in rooms:
            found.append(f"{module}: {room} is no room of the table")
            continue
        for name, wrong in imported_modules(ast.parse(path.read_text(encoding="utf-8")), is_module):
            top = name.split(".")[0]
            if not wrong and top == "service":
                other = room_of(name)
                if not is_module(name):
                    wrong = "does not exist"
                elif other not in rooms:
                    wrong = f"names {other}, which is no room of the table"
                elif other not in (room, *may_import(room, rooms)) and (room, other) not in exempt:
                    wrong = f"goes from {room} to {other}"
            elif not wrong and top not in sys.stdlib_module_names:
                allowed = outside.get(room, outside.get(room.split(".")[0], "")).split()
                wrong = "" if top in allowed else f"is none of the libraries of {room}"
            if wrong:
                found.append(f"{module}: {name} {wrong}")
    return found


def test_every_import_is_in_the_table():
    assert wrong_imports(ROOT) == []


def test_arrows_point_upwards():
    above = []
    for room in ROOMS:
        assert set(may_import(room)) <= set(above), room
        above.append(room)


def test_every_room_stands():
    stands = {
        room_of(".".join(path.relative_to(ROOT).with_suffix("").parts)) for path in (ROOT / "service").rglob("*.py")
    }
    assert set(ROOMS) - stands - {"service"} <= {"web.problems"}


@pytest.mark.parametrize(
    ("path", "text", "complaint"),
    [
        (
            "advice/room/model.py",
            "from service.advice.match.match import match",
            "goes from advice.room to advice.match",
        ),
        ("advice/room/model.py", "from service.advice.match import match", "goes from advice.room to advice.match"),
        (
            "advice/room/model.py",
            "def f():\n    import service.advice.match.match",
            "goes from advice.room to advice.match",
        ),
        ("advice/room/model.py", "import service.web.reading", "goes from advice.room to web.reading"),
        ("advice/room/model.py", "from service.advice import *", "takes all names"),
        ("advice/room/model.py", "from service import advice", "names advice, which is no room"),
        ("advice/room/model.py", "import service.advice", "names advice, which is no room"),
        ("advice/room/model.py", "from . import match", "is relative"),
        ("advice/room/model.py", "import importlib\nimportlib.import_module('service.web')", "hides its name"),
        ("advice/room/model.py", "__import__('service.web')", "hides its name"),
        ("advice/room/model.py", "from service.physics.gone import air", "does not exist"),
        ("advice/room/model.py", "from service.physics import air", "goes from advice.room to physics"),
        ("advice/room/model.py", "import flask", "is none of the libraries of advice.room"),
        ("advice/room/model.py", "import scipy", "is none of the libraries of advice.room"),
        ("advice/cellar/stairs.py", "", "advice.cellar is no room of the table"),
        ("cellar/stairs.py", "", "cellar is no room of the table"),
        ("physics/air.py", "from service.domain import room", "goes from physics to domain"),
    ],
)
def test_a_forbidden_import_is_found(tmp_path, path, text, complaint):
    rooms = {
        "service": "",
        "physics": "",
        "domain": "",
        "advice.room": "domain",
        "advice.match": "domain room",
        "web.reading": "",
    }
    for name in ("advice/room/model", "advice/match/match", "web/reading/fields", "physics/air", "domain/room"):
        file = tmp_path / "service" / f"{name}.py"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text("import math\n")
    (tmp_path / "service/advice/match/match.py").write_text("from service.advice.room.model import air\n")
    assert wrong_imports(tmp_path, rooms) == []
    planted = tmp_path / "service" / path
    planted.parent.mkdir(parents=True, exist_ok=True)
    planted.write_text(text)
    found = wrong_imports(tmp_path, rooms)
    assert len(found) == 1
    assert complaint in found[0]


def test_the_guide_shows_the_same_table():
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## The house")[2].partition("\n## ")[0]
    rows = re.findall(r"^\| `([\w.]+)` \| [^|]+ \| ?([^|]*) \|$", guide, flags=re.M)
    assert [room for room, _ in rows] == list(ROOMS)
    assert dict(rows) == {room: others or "nothing" for room, others in ROOMS.items()}


def test_physics_reads_no_file_and_no_clock():
    forbidden = {"os", "pathlib", "time", "datetime", "random", "io", "json", "csv", "logging"}
    for path in sorted((ROOT / "service" / "physics").rglob("*.py")):
        tree = ast.parse(path.read_text())
        used = {name.split(".")[0] for name, _ in imported_modules(tree, lambda name: False)}
        assert not used & forbidden, f"{path.name} imports {used & forbidden}"
        calls = (node.func for node in ast.walk(tree) if isinstance(node, ast.Call))
        names = {function.id for function in calls if isinstance(function, ast.Name)}
        assert not names & {"open", "print", "input"}, path.name


def test_top_level_is_as_agreed():
    allowed = {"README.md", "DEVELOPERS.md", "requirements.txt", "service", "tests", "openapi", "demo_rooms"}
    present = {path.name for path in ROOT.iterdir() if not path.name.startswith(".") and path.name != "__pycache__"}
    assert present == allowed
