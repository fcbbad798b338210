"""Speed of comparisons: one pair, and a table of 50 by 50. Nothing here fails for being slow: machines differ.

Run with `python -m pytest tests/benchmarks -o addopts= -s`; the ordinary test run checks that each still works.
"""

import itertools

import pytest

from service.advice.match.match import match
from service.advice.pairing.caches import clear_caches
from service.domain.requests import MOST_COMPARED
from service.web.requests.match import MatchRequestSchema
from service.web.writing.dump import to_json

ROOM = {"room": {"length_m": 5.4, "width_m": 4.1, "height_m": 2.5}, "listening_distance_m": 2.9}
PAIR_BUDGET_MS = 5.0
TABLE_BUDGET_MS = 1000.0

KINDS = ("single_ended_triode", "push_pull_valve", "transistor_class_ab", "class_d", "headphone_amplifier")


def speakers(count):
    """Speakers of many sensitivities and impedances, every fifth with an impedance curve."""
    found = [
        {"sensitivity_db_2v83_1m": 90 + 0.25 * index, "nominal_impedance_ohm": 4 + 0.25 * index}
        for index in range(count)
    ]
    for speaker in found[::5]:
        ohm = speaker["nominal_impedance_ohm"]
        curve = itertools.pairwise([20, 45, 90, 180, 400, 900, 2000, 5000, 12_000, 20_000])
        speaker["impedance"] = [{"frequency_hz": low, "magnitude_ohm": ohm * (1 + high % 7 / 4)} for low, high in curve]
    return found


def amplifiers(count):
    """Amplifiers of all kinds, some with taps, some with several ratings."""
    found = [{"power_w": 1 + 2 * index, "load_ohm": 8, "kind": KINDS[index % len(KINDS)]} for index in range(count)]
    for amplifier in found[:: len(KINDS)]:
        amplifier["taps_ohm"] = [4, 8, 16]
    return found


def run(benchmark, name, body, *, budget_ms, first):
    """Time an answer from the request object to the JSON text, or run it once when benchmarks are switched off."""

    def prepared():
        if first:
            clear_caches()
        return (MatchRequestSchema().load(body),), {}

    answer = benchmark.pedantic(lambda request: to_json(match(request)), setup=prepared, rounds=15, warmup_rounds=2)
    if benchmark.stats:
        spent_ms = 1000 * benchmark.stats.stats.median
        print(f"\n{name}: {spent_ms:.1f} ms, {spent_ms / budget_ms:.2f} of its budget")
    return answer


@pytest.mark.parametrize("first", [False, True], ids=["known room", "first question"])
def test_one_pair(benchmark, first):
    body = {**ROOM, "speaker": speakers(1)[0], "amplifier": amplifiers(1)[0]}
    answer = run(
        benchmark, f"one pair, {'first' if first else 'known room'}", body, budget_ms=PAIR_BUDGET_MS, first=first
    )
    assert b'"ranking"' in answer


def test_table(benchmark):
    body = {**ROOM, "speakers": speakers(MOST_COMPARED), "amplifiers": amplifiers(MOST_COMPARED)}
    answer = run(
        benchmark,
        f"table of {MOST_COMPARED} by {MOST_COMPARED}, first question",
        body,
        budget_ms=TABLE_BUDGET_MS,
        first=True,
    )
    assert answer.count(b'"best_first"') == MOST_COMPARED
