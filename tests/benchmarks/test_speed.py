"""Speed, as ratios to a reference in the same run. Nothing here fails for being slow: machines differ and are shared.

Run with `python -m pytest tests/benchmarks -o addopts= -s`; the ordinary test run checks that each still works.
"""

import itertools
import json
import os
import subprocess
import sys
import threading
import time
import timeit
from statistics import median

import numpy as np
import pytest
import requests
from waitress.server import create_server

from service.advice.pairing.caches import clear_caches
from service.advice.reference_tables import demo_room_bodies
from service.web.http.app import create_app

FOUR_NUMBERS = {
    "speaker": {"sensitivity_db_1w_1m": 98},
    "amplifier": {"power_w": 8},
    "room": {"length_m": 5.4, "width_m": 4.1, "height_m": 2.5},
    "listening_distance_m": 2.9,
}
UNEQUAL_WALLS = {
    "room": {
        "length_m": 6.0,
        "width_m": 4.4,
        "height_m": 2.6,
        "surfaces": {
            "front_wall": {"admittance_ratio": 0.012},
            "back_wall": {"material": "plaster_on_brick"},
            "left_wall": {"absorption_coefficient": 0.1},
            "right_wall": {"parts": [{"material": "glass_window", "area_m2": 3.0}, {"material": "plaster_on_brick"}]},
            "floor": {"material": "carpet_heavy_underlay"},
            "ceiling": {"material": "gypsum_ceiling_battens"},
        },
    },
    "sources": [{"x_m": 0.9, "y_m": 1.2, "z_m": 0.9}],
    "seats": [{"x_m": 4.0, "y_m": 2.2, "z_m": 1.1}],
    "frequency_hz": [float(f) for f in np.geomspace(20, 300, 110)],
}
RESPONSE_BUDGET_MS = 10.0
ADVICE_BUDGET_MS = 500.0


def fresh():
    """A client of a new application, nothing kept from earlier requests: every call is a first one."""
    clear_caches()
    return (create_app().test_client(),), {}


def run(benchmark, name, request, *, budget_ms, rounds=15):
    """Time a request under the plugin, or once when benchmarks are switched off, and print it.

    The reference of the same run is the time of an empty JSON view of the same application.
    """
    benchmark.pedantic(request, setup=fresh, rounds=rounds, warmup_rounds=2)
    if not benchmark.stats:
        return
    spent_ms = 1000 * benchmark.stats.stats.median
    (client,), _ = fresh()
    empty_ms = 1000 * median(timeit.repeat(lambda: client.get("/health"), number=50, repeat=7)) / 50
    print(
        f"\n{name}: {spent_ms / empty_ms:.0f} empty views; {spent_ms:.1f} ms, {spent_ms / budget_ms:.2f} of its budget"
    )


def post(client, path, body):
    answer = client.post(path, json=body)
    assert answer.status_code == 200, answer.text
    return answer


def test_one_response_at_110_frequencies(benchmark):
    run(
        benchmark,
        "response, 110 frequencies, unequal walls",
        lambda client: post(client, "/v1/response", UNEQUAL_WALLS),
        budget_ms=RESPONSE_BUDGET_MS,
    )


def test_advice_with_four_numbers(benchmark):
    run(
        benchmark,
        "advice with search, four numbers",
        lambda client: post(client, "/v1/advice", FOUR_NUMBERS),
        budget_ms=ADVICE_BUDGET_MS,
    )


@pytest.mark.parametrize("scene", [b for b in demo_room_bodies() if b[0] == "advice"], ids=lambda scene: scene[1])
def test_advice_on_the_demo_rooms(benchmark, scene):
    run(
        benchmark,
        f"advice, {scene[1]}",
        lambda client: post(client, "/v1/advice", scene[2]),
        budget_ms=ADVICE_BUDGET_MS,
        rounds=3,
    )


@pytest.fixture(scope="module")
def live():
    """The server on a free port, in a thread, with eight threads of its own."""
    server = create_server(create_app(), host="127.0.0.1", port=0, threads=8, ident=None)
    threading.Thread(target=server.run, daemon=True).start()
    yield f"http://127.0.0.1:{server.effective_port}"
    server.close()


def seconds_for(session, count, request):
    start = time.perf_counter()
    for _ in range(count):
        assert request(session).status_code == 200
    return time.perf_counter() - start


def test_level_against_an_empty_view(benchmark, live):
    """Request rate of /v1/level over that of /health, in turns on one kept connection."""
    same = {**FOUR_NUMBERS, "programme": "orchestral"}
    in_free_field = {name: value for name, value in same.items() if name != "room"}
    watts = (1 + index / 1000 for index in itertools.count())
    metres = (2 + index / 1000 for index in itertools.count())
    headers = {"Content-Type": "application/json"}

    def level(session, **changes):
        body = json.dumps({**same, **changes})
        return session.post(f"{live}/v1/level", data=body, headers=headers, timeout=10)

    def level_in_free_field(session):
        body = json.dumps({**in_free_field, "amplifier": {"power_w": next(watts)}})
        return session.post(f"{live}/v1/level", data=body, headers=headers, timeout=10)

    kinds = {
        "empty": lambda session: session.get(f"{live}/health", timeout=10),
        "same body": level,
        "same room, each time another amplifier": lambda session: level(session, amplifier={"power_w": next(watts)}),
        "each time another place": lambda session: level(session, listening_distance_m=next(metres)),
        "free field, each time another amplifier": level_in_free_field,
    }
    rounds = 5 if benchmark.enabled else 1
    spent = {name: [] for name in kinds}
    with requests.Session() as session:
        for _ in range(rounds):
            for name, request in kinds.items():
                spent[name].append(seconds_for(session, 150, request))
    benchmark(lambda: None)
    rate = {name: median(spent["empty"]) / median(seconds) for name, seconds in spent.items()}
    shown = ", ".join(f"{name} {ratio:.2f}" for name, ratio in rate.items() if name != "empty")
    print(f"\nrate of /v1/level over an empty view: {shown}")


def test_start_up_against_its_imports(benchmark, tmp_path):
    """Time to a ready application over the time of importing flask, numpy and the parts of scipy that are used.

    Compiled modules are kept from the first start on, as they are for everybody.
    """
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    environment["PYTHONPYCACHEPREFIX"] = str(tmp_path)
    commands = {
        "imports": "import flask, numpy, scipy.special",
        "service": "from service.web.http.app import create_app; create_app()",
    }
    spent = {name: [] for name in commands}
    for _ in range(8 if benchmark.enabled else 1):
        for name, code in commands.items():
            start = time.perf_counter()
            subprocess.run([sys.executable, "-c", code], check=True, timeout=60, env=environment)
            spent[name].append(time.perf_counter() - start)
    benchmark(lambda: None)
    print(f"\nstart-up over its imports: {median(spent['service']) / median(spent['imports']):.2f}")
