"""The service as it is started, on a port of its own: many clients, slow clients, one thread for linear algebra."""

import json
import socket
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from urllib.parse import urlsplit

import pytest
import requests

import service
from service.web.http.app import create_app
from tests.web.real import ROOT, SMALL_BODIES, demo_files, put

TIMEOUT_S = 60


@contextmanager
def started(*arguments):
    """Start the service with these arguments; give its process and the address that it prints."""
    process = subprocess.Popen(
        [sys.executable, *arguments], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        yield process, process.stdout.readline().strip()
    finally:
        process.kill()
        process.communicate(timeout=TIMEOUT_S)


@pytest.fixture(scope="module")
def address():
    with started("-m", "service", "--port", "0") as (_, url):
        yield url


def test_it_prints_its_address_and_is_alive(address):
    assert address == f"http://127.0.0.1:{urlsplit(address).port}/"
    response = requests.get(f"{address}health", timeout=TIMEOUT_S)
    assert (response.status_code, response.json()) == (200, {"status": "ok", "version": service.__version__})


def test_the_home_page_is_there(address):
    response = requests.get(address, timeout=TIMEOUT_S)
    assert response.url == address
    assert "text/html" in response.headers["Content-Type"]


def different_bodies(effort):
    """Return (path, body): every invented scene, and the small bodies in rooms of many lengths, searched so hard."""
    scenes = [(param.values[0], json.loads(param.values[1].read_text(encoding="utf-8"))) for param in demo_files()]
    lengths = [4 + index / 8 for index in range(8)]
    rooms = [
        (path, put(body, "/room/length_m", length_m))
        for path, body in SMALL_BODIES.items()
        if "room" in body
        for length_m in lengths
    ]
    return [
        (path, put(body, "/search/effort", effort) if path in ("/v1/advice", "/v1/placement") else body)
        for path, body in scenes + rooms
    ]


@pytest.mark.parametrize("effort", ["quick", pytest.param("normal", marks=pytest.mark.deep)])
def test_eight_clients_at_once_get_what_one_alone_gets(address, effort):
    """A room kept from another request, or a buffer shared by two threads, would show as a different answer."""
    bodies = [(path, json.dumps(body)) for path, body in different_bodies(effort)]
    client = create_app().test_client()
    alone = [client.post(path, data=body, content_type="application/json") for path, body in bodies]
    assert {answer.status_code for answer in alone} == {200}
    assert len({answer.data for answer in alone}) == len(bodies), "all answers differ"

    def ask(index):
        path, body = bodies[index % len(bodies)]
        headers = {"Content-Type": "application/json"}
        return requests.post(f"{address.rstrip('/')}{path}", data=body, headers=headers, timeout=TIMEOUT_S).content

    order = [*range(len(bodies)), *reversed(range(len(bodies)))]
    with ThreadPoolExecutor(max_workers=8) as threads:
        answers = list(threads.map(ask, order))
    for index, answer in zip(order, answers, strict=True):
        assert answer == alone[index].data, bodies[index][0]


def test_clients_that_hang_keep_nobody_waiting(address):
    """Ten clients, more than there are threads, send half a request and then nothing."""
    url = urlsplit(address)
    hanging = [socket.create_connection((url.hostname, url.port), timeout=TIMEOUT_S) for _ in range(10)]
    try:
        for connection in hanging:
            connection.sendall(
                b"POST /v1/advice HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
                b'Content-Length: 100000\r\n\r\n{"note": "'
            )
        response = requests.post(f"{address}v1/advice", json=SMALL_BODIES["/v1/advice"], timeout=TIMEOUT_S)
        assert response.status_code == 200
    finally:
        for connection in hanging:
            connection.close()


def test_a_client_that_leaves_before_its_answer_harms_nobody(address):
    url = urlsplit(address)
    body = json.dumps(SMALL_BODIES["/v1/advice"]).encode()
    head = (
        f"POST /v1/advice HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
    )
    for _ in range(10):
        with socket.create_connection((url.hostname, url.port), timeout=TIMEOUT_S) as connection:
            connection.sendall(head.encode() + body)
    response = requests.post(f"{address}v1/advice", json=SMALL_BODIES["/v1/advice"], timeout=TIMEOUT_S)
    assert response.status_code == 200


_POOLS = """
import json, threadpoolctl
from service.web.http import serve
from service.web.http.app import create_app

app = create_app()
app.add_url_rule("/pools", view_func=lambda: json.dumps(threadpoolctl.threadpool_info()))
serve.serve(host="127.0.0.1", port=0, app=app)
"""


def test_linear_algebra_has_one_thread_in_the_served_process():
    with started("-c", _POOLS) as (_, url):
        asked = requests.post(f"{url}v1/advice", json=SMALL_BODIES["/v1/advice"], timeout=TIMEOUT_S)
        assert asked.status_code == 200
        pools = requests.get(f"{url}pools", timeout=TIMEOUT_S).json()
    assert [pool["internal_api"] for pool in pools if pool["user_api"] == "blas"], "numpy brings a BLAS"
    assert {pool["num_threads"] for pool in pools} == {1}
