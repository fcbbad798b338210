"""The server itself, as a process on a port of its own."""

import json
import signal
import socket
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from urllib.parse import urlsplit

import pytest
import requests

from tests.web.toy import example

_START = (
    "import signal, sys; signal.signal(signal.SIGINT, signal.default_int_handler); "  # a parent may have ignored it
    "from tests.web.toy import create_toy_app; from service.web.http.serve import serve; "
    "serve(host=sys.argv[1], port=int(sys.argv[2]), app=create_toy_app())"
)
TIMEOUT_S = 20


def start(host, port):
    return subprocess.Popen(
        [sys.executable, "-c", _START, host, str(port)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


@contextmanager
def running(host="127.0.0.1", port=0):
    process = start(host, port)
    try:
        yield process, process.stdout.readline().strip()
    finally:
        process.kill()
        process.communicate(timeout=TIMEOUT_S)


@pytest.fixture(scope="module")
def address():
    with running() as (_, url):
        yield url


def test_the_address_printed_is_the_real_one(address):
    assert urlsplit(address).port not in (0, None)
    assert address == f"http://127.0.0.1:{urlsplit(address).port}/"
    response = requests.get(f"{address}health", timeout=TIMEOUT_S)
    assert response.json()["status"] == "ok"
    assert "Server" not in response.headers


def test_several_threads_at_once_get_each_its_own_answer(address):
    """Answers must not be mixed up, whoever asks at the same time: good bodies and bad, all different."""

    def ask(index):
        length_m = 5 + index / 10
        body = {**example(), "crate": {"length_m": length_m, "width_m": 4}}
        if index % 3 == 0:
            body[f"unknown_{index}"] = 1
        response = requests.post(f"{address}v1/pack", json=body, timeout=TIMEOUT_S)
        return index, response.status_code, response.json()

    with ThreadPoolExecutor(max_workers=16) as threads:
        answers = list(threads.map(ask, range(240)))
    for index, status, answer in answers:
        if index % 3 == 0:
            assert status == 422
            assert [error["pointer"] for error in answer["errors"]] == [f"/unknown_{index}"]
        else:
            assert status == 200
            assert answer["area_m2"] == pytest.approx((5 + index / 10) * 4, rel=1e-5)  # six digits are written


@pytest.mark.parametrize("size_bytes", [300_000, 3_000_000, 9_000_000])
def test_a_body_over_the_limit_gets_its_answer(address, size_bytes):
    # the longest are refused unread: ask for permission first, as clients with long bodies do
    url = urlsplit(address)
    with socket.create_connection((url.hostname, url.port), timeout=TIMEOUT_S) as connection:
        head = (
            "POST /v1/pack HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nConnection: close\r\n"
            f"Content-Length: {size_bytes}\r\n\r\n"
        )
        connection.sendall(head.encode())
        if size_bytes < 8_000_000:
            connection.sendall(b" " * size_bytes)
        assert_problem_bytes(read_all(connection), 413, "/docs#body-too-large")


def test_a_body_in_chunks_over_the_limit_gets_its_answer(address):
    chunks = (b" " * 50_000 for _ in range(8))
    response = requests.post(
        f"{address}v1/pack", data=chunks, headers={"Content-Type": "application/json"}, timeout=TIMEOUT_S
    )
    assert response.status_code == 413
    assert response.headers["Content-Type"] == "application/problem+json"


def test_a_body_in_chunks_is_read(address):
    response = requests.post(
        f"{address}v1/pack",
        data=iter([json.dumps(example()).encode()]),
        headers={"Content-Type": "application/json"},
        timeout=TIMEOUT_S,
    )
    assert response.status_code == 200


@pytest.mark.parametrize(
    ("head", "status"),
    [
        (b"GET /health HTTP/1.1\r\nbroken header\r\n\r\n", 400),
        (b"GET /health HTTP/1.1\r\nX: ".ljust(16384, b"x"), 431),
        (b"POST /v1/pack HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: odd\r\n\r\n", 501),
    ],
)
def test_what_never_reaches_the_application_gets_the_same_shape(address, head, status):
    url = urlsplit(address)
    with socket.create_connection((url.hostname, url.port), timeout=TIMEOUT_S) as connection:
        connection.sendall(head)
        assert_problem_bytes(read_all(connection), status, "about:blank")


def read_all(connection):
    received = b""
    while part := connection.recv(65536):
        received += part
    return received


def assert_problem_bytes(received, status, kind):
    head, _, body = received.partition(b"\r\n\r\n")
    assert head.split()[1] == str(status).encode()
    assert b"Content-Type: application/problem+json" in head
    problem = json.loads(body)
    assert (problem["status"], problem["type"]) == (status, kind)


def test_a_port_that_is_taken_is_told():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        process = start("127.0.0.1", port)
        out, err = process.communicate(timeout=TIMEOUT_S)
    assert process.returncode == 1
    assert out == ""
    assert err.count("\n") == 1
    assert f"Cannot listen on 127.0.0.1, port {port}: " in err


@pytest.mark.parametrize("port", [-1, 65536, 99999])
def test_a_port_that_cannot_be_is_told(port):
    process = start("127.0.0.1", port)
    _, err = process.communicate(timeout=TIMEOUT_S)
    assert process.returncode == 1
    assert "a port is a number from 0 to 65535" in err


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent another way there")
def test_an_interrupt_ends_it_quietly():
    with running() as (process, url):
        assert requests.get(f"{url}health", timeout=TIMEOUT_S).status_code == 200
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=TIMEOUT_S)
    assert (process.returncode, out, err) == (0, "", "")
