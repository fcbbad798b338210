"""Try faults in every room: `python -m tests.mutations [--faults 210] [room ...]`.

Prints for each room how many faults were tried and which of them no test noticed. Ends with 1 when more than five in a
hundred live, when one lives that `equivalent.json` does not name with its reason, when that list names one that cannot
occur any more, or when a test fails without any fault.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.mutations.mutants import ROOT
from tests.mutations.room_run import RoomRun
from tests.mutations.rooms import FAULTS, TESTS, drawn, faults

MOST_SURVIVING_RATIO = 0.05
EQUIVALENT = {
    (one["module"], one["line"], one["change"]): one["why"]
    for one in json.loads((Path(__file__).parent / "equivalent.json").read_text())
}


def one_room(room, in_all):
    """Try the faults of one room in this process and write what came of it to the file named for it."""
    run = RoomRun(drawn(in_all)[room], lambda line: print(line, flush=True))
    tests = [*TESTS[room], room]
    code = pytest.main([*tests, "-n0", "-q", "-q", "--no-header", "--no-summary"], plugins=[run])
    told = {
        "tried": len(run.mutants),
        "overdue": run.overdue,
        "not_reached": len(run.not_reached),
        "broken": run.broken,
        "survivors": [[*mutant.name, mutant.line_number] for mutant in run.survivors],
    }
    Path(os.environ["MUTATIONS_WORK"], room.replace("/", ".")).write_text(json.dumps(told))
    return int(code)


def all_rooms(rooms, in_all):
    """Try the faults of each room in a process of its own, as many at once as there are cores; return what is wrong."""
    begun = time.monotonic()
    wrong, tried, living = [], 0, 0
    with tempfile.TemporaryDirectory() as work, ThreadPoolExecutor(os.cpu_count()) as pool:

        def run(room):
            command = [sys.executable, "-m", "tests.mutations", "--faults", str(in_all), "--alone", room]
            return subprocess.run(command, cwd=ROOT, env=os.environ | {"MUTATIONS_WORK": work}).returncode

        for room, code in zip(rooms, pool.map(run, rooms), strict=True):
            written = Path(work, room.replace("/", "."))
            if not written.exists():
                wrong.append(f"{room}: ended with {code}")
                continue
            told = json.loads(written.read_text())
            tried += told["tried"]
            living += len(told["survivors"])
            print(
                f"{room}: {told['tried']} faults, {told['tried'] - len(told['survivors'])} noticed "
                f"({told['overdue']} by their time), {told['not_reached']} on lines no test reaches"
            )
            wrong += [f"fails without any fault: {test}" for test in told["broken"]]
            for *name, number in told["survivors"]:
                why = EQUIVALENT.get(tuple(name))
                print(f"  {name[0]}:{number}: {name[1]}  ->  {name[2]}  ({why or 'NOT NOTICED'})")
                wrong += [] if why else [f"not noticed: {name[0]}:{number}: {name[1]}  ->  {name[2]}"]
    print(f"{tried} faults, {tried - living} noticed, {living} not, {(time.monotonic() - begun) / 60:.1f} min")
    if living > MOST_SURVIVING_RATIO * tried:
        wrong.append(f"{living} of {tried} live: more than {MOST_SURVIVING_RATIO:.0%}")
    return wrong


def main():
    """Run it; return the exit status."""
    asked = argparse.ArgumentParser(prog="python -m tests.mutations")
    asked.add_argument("rooms", nargs="*", default=list(TESTS))
    asked.add_argument("--faults", type=int, default=FAULTS, help="faults in all rooms together")
    asked.add_argument("--alone", action="store_true", help=argparse.SUPPRESS)
    given = asked.parse_args()
    if given.alone:
        return one_room(given.rooms[0], given.faults)
    possible = {mutant.name for room in TESTS for mutant in faults(room)}
    wrong = [f"named as equivalent, but cannot occur: {name}" for name in EQUIVALENT if name not in possible]
    wrong += all_rooms(given.rooms, given.faults)
    for line in wrong:
        print(f"wrong: {line}")
    return int(bool(wrong))


if __name__ == "__main__":
    sys.exit(main())
