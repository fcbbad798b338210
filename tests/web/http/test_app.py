"""The application through its client: answers, and every refusal in the one shape."""

import io
import json
import logging
from dataclasses import replace

import pytest
from werkzeug.exceptions import BadRequest, RequestTimeout, ServiceUnavailable, TooManyRequests

import service
from service.web.http.app import create_app
from tests.web.problems import assert_problem
from tests.web.toy import COLOURS, PackedItem, create_toy_app, example

JSON = "application/json"
BODY_LIMIT_BYTES = 5000


@pytest.fixture(scope="module")
def app():
    return create_toy_app(max_body_bytes=BODY_LIMIT_BYTES)


@pytest.fixture(scope="module")
def client(app):
    return app.test_client()


def crate(length_m, width_m=3):
    return {"crate": {"length_m": length_m, "width_m": width_m}}


def test_an_operation_answers(client):
    response = client.post("/v1/pack", json=example())
    assert response.status_code == 200
    assert response.content_type == JSON
    answer = json.loads(response.data)
    assert answer["area_m2"] == 26  # 6.5 x 4
    assert answer["curve_db"] == [1.2346, None]
    assert answer["sealed"] is True


def test_a_table_answers_without_a_body(client):
    assert client.get("/v1/colours").get_json() == {"colours": ["red", "green"]}


def test_health(client):
    response = client.get("/health")
    assert response.get_json() == {"status": "ok", "version": service.__version__}


@pytest.mark.parametrize("content_type", [JSON, "application/json; charset=utf-8", "Application/JSON;charset=UTF-8"])
def test_media_type_may_carry_parameters(client, content_type):
    response = client.post("/v1/pack", data=json.dumps(crate(6)), content_type=content_type)
    assert response.status_code == 200


UNREADABLE = [
    b"not json",
    b"[]",
    b'"text"',
    b"",
    b'{"crate": {"length_m": NaN, "width_m": 4}}',
    b'{"crate": {"length_m": Infinity, "width_m": 4}}',
    b'{"crate": {"length_m": 1e999, "width_m": 4}}',
    b'{"crate": {"length_m": 6, "width_m": 4, "length_m": 7}}',
    b'{"crate": {"length_m": 6, "width_m": 4}, "note": "\xff"}',
    b'{"note": "\\ud800"}',
    b'{"a": ' + b"[" * 2000,
    b'{"crate": {"length_m": ' + b"9" * 4400 + b"}}",
]


@pytest.mark.parametrize("body", UNREADABLE, ids=lambda body: body[:40])
def test_400_for_what_cannot_be_read(client, body):
    problem = assert_problem(client.post("/v1/pack", data=body, content_type=JSON), 400)
    assert problem["type"] == "/docs#unreadable-body"


def test_400_without_body_and_type(client):
    problem = assert_problem(client.post("/v1/pack"), 400)
    assert "body is missing" in problem["detail"]


INVALID = [
    # body, pointer, code
    ({}, "/crate", "missing"),
    ({"crate": None}, "/crate", "null_not_allowed"),
    ({"crate": 5}, "/crate", "not_an_object"),
    ({"crate": {"length_m": 6}}, "/crate/width_m", "missing"),
    (crate("6"), "/crate/length_m", "not_a_number"),
    (crate(True), "/crate/length_m", "not_a_number"),
    (crate(None), "/crate/length_m", "null_not_allowed"),
    (crate(0), "/crate/length_m", "out_of_range"),
    (crate(-6), "/crate/length_m", "out_of_range"),
    (crate(0.3), "/crate/length_m", "out_of_range"),
    (crate(400), "/crate/length_m", "out_of_range"),
    (
        crate(2),
        "/crate/length_m",
        "out_of_range",
    ),  # each side plausible, refused together by the domain object
    ({**crate(6), "colur": "red"}, "/colur", "unknown_field"),
    ({**crate(6), "frequency_hz": [20] * 2001}, "/frequency_hz", "too_long"),
    ({**crate(6), "tags": ["a"] * 100}, "/tags", "too_long"),
]


@pytest.mark.parametrize(("body", "pointer", "code"), INVALID)
def test_422_for_what_is_read_and_not_valid(body, pointer, code):
    client = create_toy_app().test_client()
    problem = assert_problem(client.post("/v1/pack", json=body), 422)
    assert problem["type"] == "/docs#invalid-fields"
    (error,) = problem["errors"]
    assert (error["pointer"], error["code"]) == (pointer, code)
    assert problem["detail"] == error["detail"]


def test_422_raised_by_the_advice(client):
    problem = assert_problem(client.post("/v1/pack", json=crate(49)), 422)
    assert problem["errors"] == [
        {
            "pointer": "/crate/length_m",
            "code": "no_lorry",
            "detail": "no lorry is 49 m long",
            "given": 49.0,
            "allowed": "below 49",
            "did_you_mean": None,
        }
    ]


def test_422_counts_its_faults(client):
    problem = assert_problem(client.post("/v1/pack", json={"crate": {}, "sealed": 1}), 422)
    assert [error["pointer"] for error in problem["errors"]] == [
        "/crate/length_m",
        "/crate/width_m",
        "/sealed",
    ]
    assert problem["detail"].startswith("3 faults; the first: length_m is missing")


def test_422_is_bounded(client):
    body = {**crate(6), "weights": [0] * 60, "tags": [5] * 40, **{f"n{index}": 1 for index in range(40)}}
    problem = assert_problem(client.post("/v1/pack", json=body), 422)
    assert len(problem["errors"]) == 50
    assert problem["detail"].startswith("More than 50 faults")


@pytest.mark.parametrize("path", ["/v1/colours?x=1&y=%FF", "/health?x", "/v1/colours?=", "/v1/colours?%F0"])
def test_422_for_query_parameters(client, path):
    problem = assert_problem(client.get(path), 422)
    assert problem["errors"][0]["code"] == "unknown_query_parameter"


def test_422_for_query_parameters_beside_a_body(client):
    assert_problem(client.post("/v1/pack?verbose=1", json=crate(6)), 422)


@pytest.mark.parametrize(
    ("path", "near"),
    [
        ("/v1/colors", "/v1/colours"),
        ("/v1/pack/", "/v1/pack"),
        ("/V1/PACK", "/v1/pack"),
        ("/openapi", "/openapi.json"),
        ("/something/else/entirely", None),
        ("/" + "x" * 5000, None),
        ("/%F0%28", None),
        ("/docs/assets/../../app.py", None),
        ("/docs/assets/index.html", None),
    ],
)
def test_404_with_the_nearest_path(client, path, near):
    problem = assert_problem(client.get(path), 404)
    assert problem["type"] == "/docs#unknown-path"
    assert ("Did you mean" in problem["detail"]) == (near is not None)
    assert near is None or problem["detail"].endswith(f"Did you mean {near}?")
    assert len(problem["detail"]) < 300


@pytest.mark.parametrize(
    ("method", "path", "allow"),
    [
        ("GET", "/v1/pack", "OPTIONS, POST"),
        ("DELETE", "/v1/pack", "OPTIONS, POST"),
        ("TRACE", "/v1/pack", "OPTIONS, POST"),
        ("POST", "/v1/colours", "GET, HEAD, OPTIONS"),
        ("PUT", "/openapi.json", "GET, HEAD, OPTIONS"),
    ],
)
def test_405_keeps_allow(client, method, path, allow):
    response = client.open(path, method=method)
    problem = assert_problem(response, 405)
    assert response.headers["Allow"] == allow
    assert allow in problem["detail"]


def test_413_by_announced_length(client):
    problem = assert_problem(client.post("/v1/pack", data=b" " * (BODY_LIMIT_BYTES + 1), content_type=JSON), 413)
    assert "5000 bytes" in problem["detail"]


def test_413_without_announced_length(client):
    body = json.dumps({**crate(6), "note": "n" * BODY_LIMIT_BYTES}).encode()
    response = client.post(
        "/v1/pack",
        input_stream=io.BytesIO(body),
        content_type=JSON,
        environ_base={"wsgi.input_terminated": True},
    )
    assert_problem(response, 413)


def test_a_body_of_exactly_the_limit_is_read(client):
    body = json.dumps(crate(6)).encode().ljust(BODY_LIMIT_BYTES)
    assert client.post("/v1/pack", data=body, content_type=JSON).status_code == 200


@pytest.mark.parametrize(
    "content_type", ["text/plain", "application/x-www-form-urlencoded", "application/jsonp", "json", ""]
)
def test_415_for_another_media_type(client, content_type):
    problem = assert_problem(client.post("/v1/pack", data=b"{}", content_type=content_type), 415)
    assert "application/json" in problem["detail"]


def test_415_for_a_compressed_body(client):
    response = client.post("/v1/pack", data=b"\x1f\x8b", content_type=JSON, headers={"Content-Encoding": "gzip"})
    assert "uncompressed" in assert_problem(response, 415)["detail"]


@pytest.mark.parametrize("length_m", [48, 47])  # an error of any kind, and a refusal of the physics past the schemas
def test_500_tells_nothing_and_is_logged(client, caplog, length_m):
    with caplog.at_level(logging.ERROR):
        problem = assert_problem(client.post("/v1/pack", json=crate(length_m)), 500)
    assert problem["type"] == "/docs#internal-error"
    for inside in ("secret", "RuntimeError", "TooNarrowError", "inner", "toy.py"):
        assert inside not in json.dumps(problem)
    assert "/v1/pack" in caplog.text
    assert caplog.records[0].exc_info is not None


@pytest.mark.parametrize(
    ("error", "status", "kind"),
    [
        (BadRequest(), 400, "about:blank"),
        (RequestTimeout(), 408, "about:blank"),
        (TooManyRequests(retry_after=7), 429, "about:blank"),
        (ServiceUnavailable("secret"), 500, "/docs#internal-error"),
    ],
)
def test_any_other_http_error_has_the_same_shape(error, status, kind):
    def raising():
        raise error

    app = create_toy_app()
    app.add_url_rule("/raising", view_func=raising)
    response = app.test_client().get("/raising")
    problem = assert_problem(response, status)
    assert problem["type"] == kind
    assert "secret" not in problem["detail"]
    assert response.headers.get("Retry-After") == ("7" if status == 429 else None)


def test_an_answer_that_is_not_finite_does_not_leave():
    operation = replace(COLOURS, compute=lambda: PackedItem(name="x", mass_kg=float("nan")), answer_type=PackedItem)
    assert_problem(create_app([operation]).test_client().get("/v1/colours"), 500)


def test_head_answers_as_get_without_a_body(client):
    response = client.head("/v1/colours")
    assert (response.status_code, response.data, response.content_type) == (200, b"", JSON)
    refused = client.head("/v1/colors")
    assert (refused.status_code, refused.data) == (404, b"")


def test_options_tells_the_methods(client):
    response = client.options("/v1/pack")
    assert response.status_code == 200
    assert set(response.headers["Allow"].split(", ")) == {"POST", "OPTIONS"}


def test_home_is_the_page_for_people(client):
    response = client.get("/")
    assert (response.status_code, response.mimetype) == (200, "text/html")


@pytest.mark.parametrize("path", ["/health", "/v1/nothing", "/openapi.json", "/"])
def test_security_headers(client, path):
    headers = client.get(path).headers
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "no-referrer"
    assert headers["Content-Security-Policy"].startswith("default-src 'none'")


def test_the_same_body_gets_the_same_answer(client):
    body = {**crate(6), "unknown": 1, "other": 2, "more": 3}
    answers = {client.post("/v1/pack", json=body).data for _ in range(5)}
    assert len(answers) == 1


def test_two_applications_do_not_share_anything():
    small, large = create_toy_app(max_body_bytes=10), create_toy_app()
    assert small.test_client().post("/v1/pack", json=crate(6)).status_code == 413
    assert large.test_client().post("/v1/pack", json=crate(6)).status_code == 200
