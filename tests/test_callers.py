"""What the tests of the physics check is what the service computes: nothing public stands there for tests alone."""

import ast
from pathlib import Path

ROOT = Path(__file__).parents[1]
WAITING = {
    "air.energy_attenuation_per_m": "advice/room/model.py divides by the decibels of a neper itself",
    "chain.amplifier_ratings.tap_output_impedance_ohm": "advice/amplifier/on_speaker.py multiplies by the taps itself",
    "chain.load_impedance.load_extremes": "advice/speaker/load.py looks for the extremes itself",
    "room.diffuse_field.critical_distance_m": "a figure for the answer about reverberation, which does not say it yet",
}
"""Public names that the service does not use yet, and why they stay."""


def parsed():
    """The syntax tree of every module of the service by its dotted name."""
    paths = sorted((ROOT / "service").rglob("*.py"))
    return {
        ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): ast.parse(path.read_text())
        for path in paths
    }


def names_of(statement):
    """The names that a statement of a module defines."""
    if isinstance(statement, ast.FunctionDef | ast.ClassDef):
        return [statement.name]
    targets = getattr(statement, "targets", [getattr(statement, "target", None)])
    return [target.id for target in targets if isinstance(target, ast.Name)]


def uses_of(tree, module, modules):
    """Full names that a module uses: what it imports, attributes of modules it imports, and names of its own.

    An import counts as a use, since the linter refuses one that is not; a name in its own definition does not.
    """
    aliases = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom):
            for alias in node.names:
                full = f"{node.module}.{alias.name}"
                yield full
                if full in modules:
                    aliases[alias.asname or alias.name] = full
    for statement in tree.body:
        for node in ast.walk(statement):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in aliases:
                yield f"{aliases[node.value.id]}.{node.attr}"
            elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load) and node.id not in names_of(statement):
                yield f"{module}.{node.id}"


def test_every_public_name_of_the_physics_is_used_by_the_service():
    modules = parsed()
    used = {use for module, tree in modules.items() for use in uses_of(tree, module, modules)}
    prefix = "service.physics."
    unused = {
        f"{module}.{name}".removeprefix(prefix)
        for module, tree in modules.items()
        if module.startswith(prefix)
        for statement in tree.body
        for name in names_of(statement)
        if not name.startswith("_") and f"{module}.{name}" not in used
    }
    assert unused == set(WAITING), "a function that only tests call belongs to the tests, or to nobody"
