"""The rooms whose tests are tried, which tests are theirs, and how many faults each room gets."""

from itertools import islice
from pathlib import Path

from tests.mutations.mutants import ROOT, Mutant, mutants

FAULTS = 210
"""Faults in all, at least. [-]"""

TESTS = {
    "service/advice/pairing": ("tests/advice/pairing", "tests/advice/level", "tests/advice/match"),
    "service/advice/placement": ("tests/advice/placement",),
    "service/advice/places": ("tests/advice/places",),
    "service/advice/room": ("tests/advice/room", "tests/advice/room_questions"),
    "service/advice/speaker": ("tests/advice/speaker", "tests/advice/level"),
    "service/web/sheet": ("tests/web/sheet",),
    "service/web/reading": ("tests/web/reading", "tests/web/requests"),
}
NOT_CHANGED = ("__init__.py", "policy.py")


def faults(room):
    """Return every fault that can be put into a room."""
    modules = sorted(path for path in Path(ROOT / room).rglob("*.py") if path.name not in NOT_CHANGED)
    return [mutant for path in modules for mutant in mutants(str(path.relative_to(ROOT)))]


def drawn(in_all=FAULTS):
    """Return the faults that are tried: for each room as many as its share of all that are possible, rounded up."""
    possible = {room: faults(room) for room in TESTS}
    total = sum(map(len, possible.values()))
    chosen = {}
    for room, every in possible.items():
        readable = filter(Mutant.can_be_read, sorted(every, key=lambda mutant: mutant.rank))
        chosen[room] = list(islice(readable, -(-in_all * len(every) // total)))
    return chosen
