"""The tests of one room, loaded once; then each fault in a process of its own that begins where loading ended.

A fault is put in by exchanging the code of the living functions of its module: no file is ever changed. The tests that
reach its line run first, the fastest first, then all others of the room; the first that fails ends it. A process that
needs far more time than the tests without the fault is ended too: the fault was noticed.
"""

import gc
import json
import os
import resource
import signal
import sys
import time
from types import CodeType, FunctionType

import pytest

from service.advice.pairing.caches import clear_caches
from tests.mutations.mutants import ROOT

LONGEST_S = 600
"""No process lives longer, whatever it does. [s]"""


def exchange(mutant):
    """Put a fault into the functions of its module that live in this process."""
    path = str(ROOT / mutant.module)
    waiting, codes = [compile(mutant.source(), path, "exec")], {}
    while waiting:
        code = waiting.pop()
        codes[code.co_name, code.co_firstlineno] = code
        waiting += [part for part in code.co_consts if isinstance(part, CodeType)]
    for function in gc.get_objects():
        if isinstance(function, FunctionType) and function.__code__.co_filename == path:
            function.__code__ = codes[function.__code__.co_name, function.__code__.co_firstlineno]


class RoomRun:
    """A pytest plugin that tries faults instead of running the tests.

    Parameters
    ----------
    mutants : list of Mutant
    say : callable
        Given one line for each survivor as it is found.
    """

    def __init__(self, mutants, say):
        self.mutants, self.say = mutants, say
        self.survivors, self.broken, self.not_reached, self.overdue = [], [], [], 0
        self.failed = False

    def pytest_runtest_logreport(self, report):
        self.failed = self.failed or report.failed

    def run(self, item, following):
        """Run one test; return whether it failed."""
        self.failed = False
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
        return self.failed

    def forked(self, do, cpu_s=None):
        """Do something in a process of its own.

        Returns
        -------
        int
            What `os.waitpid` says of its end.
        """
        process = os.fork()
        if process == 0:
            sys.stdout.flush()
            nothing = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nothing, 1)
            os.dup2(nothing, 2)
            signal.signal(signal.SIGALRM, signal.SIG_DFL)
            signal.alarm(LONGEST_S if cpu_s else 0)
            if cpu_s:
                resource.setrlimit(resource.RLIMIT_CPU, (int(cpu_s), int(cpu_s) + 1))
            end = 1
            try:
                end = int(bool(do()))
            finally:
                os._exit(end)
        return os.waitpid(process, 0)[1]

    def reach(self, items, to):
        """Run every test as it is; write down its cost, whether it fails and which lines of the room it reaches."""
        modules = {str(ROOT / mutant.module): mutant.module for mutant in self.mutants}
        lines = {}

        def in_line(frame, event, _):
            if event == "line":
                lines[modules[frame.f_code.co_filename], frame.f_lineno] = None
            return in_line

        def called(frame, *_):
            return in_line if frame.f_code.co_filename in modules else None

        told = []
        for index, item in enumerate(items):
            clear_caches()
            lines.clear()
            begun = time.process_time()
            sys.settrace(called)
            failed = self.run(item, items[index + 1] if index + 1 < len(items) else None)
            sys.settrace(None)
            told.append((time.process_time() - begun, failed, list(lines)))
        with open(to, "w") as out:
            json.dump(told, out)

    def attempt(self, mutant, items):
        exchange(mutant)
        for index, item in enumerate(items):
            if self.run(item, items[index + 1] if index + 1 < len(items) else None):
                return True
        return False

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session):
        """Try every fault."""
        items = session.items
        told_to = f"{os.environ['MUTATIONS_WORK']}/{os.getpid()}.json"
        gc.collect()
        gc.freeze()
        self.forked(lambda: self.reach(items, told_to))
        with open(told_to) as told:
            costs, fails, lines = zip(*json.load(told), strict=True)
        gc.unfreeze()
        self.broken = [item.nodeid for item, failed in zip(items, fails, strict=True) if failed]
        sound = sorted((i for i in range(len(items)) if not fails[i]), key=costs.__getitem__)
        reached = [{tuple(line) for line in of_test} for of_test in lines]
        for mutant in self.mutants:
            where = {(mutant.module, number) for number in mutant.numbers}
            first = [i for i in sound if reached[i] & where]
            if not first:
                self.not_reached.append(mutant)
            chosen = set(first)
            order = first + [i for i in sound if i not in chosen]
            limit = 10 + 3 * sum(costs[i] for i in order)
            end = self.forked(lambda m=mutant, o=order: self.attempt(m, [items[i] for i in o]), limit)
            self.overdue += os.WIFSIGNALED(end)
            if end == 0:
                self.survivors.append(mutant)
                reach = "" if first else ", not reached"
                self.say(f"lives{reach}: {mutant.module}:{mutant.line_number}: {mutant.line}  ->  {mutant.change}")
        return True
