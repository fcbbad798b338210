"""What is wrong around a body - its size, kind, path, method, query - and the ends of every limit."""

import json

import pytest

from service.domain import limits
from service.web.problems import MAX_BODY_BYTES
from tests.web.problems import assert_problem
from tests.web.real import SMALL_BODIES, WITH_BODY, WITHOUT_BODY, small_body
from tests.web.requests.asked_wrongly import post

# outside the body: 404, 405, 413, 415, and the query ------------------------------------------------------------------


@pytest.mark.parametrize("path", WITH_BODY)
def test_a_body_over_the_limit(client, path):
    body = small_body(path, note="x" * MAX_BODY_BYTES)
    problem = assert_problem(post(client, path, body), 413)
    assert problem["detail"] == "The body is longer than the 262144 bytes allowed."


@pytest.mark.parametrize("path", ["/v1/response", "/v1/modes", "/v1/advice"])
def test_a_million_frequencies_or_ten_thousand_seats_are_over_the_limit(client, path):
    body = json.dumps({"frequency_hz": [20] * 1_000_000, "seats": [{"x_m": 1, "y_m": 1, "z_m": 1}] * 10_000})
    assert_problem(post(client, path, body.encode()), 413)


@pytest.mark.parametrize("path", WITH_BODY)
@pytest.mark.parametrize(
    "content_type", [None, "text/plain", "text/json", "application/x-www-form-urlencoded", "application/problem+json"]
)
def test_a_wrong_media_type(client, path, content_type):
    response = client.post(path, data=json.dumps(SMALL_BODIES[path]), content_type=content_type)
    problem = assert_problem(response, 415)
    given = "none" if content_type is None else f'"{content_type}"'
    assert problem["detail"] == f"Content-Type must be application/json; got {given}."


@pytest.mark.parametrize(
    ("path", "near"),
    [
        ("/v1/advise", "/v1/advice"),
        ("/v1/advice/", "/v1/advice"),
        ("/advice", "/v1/advice"),
        ("/v1/Level", "/v1/level"),
        ("/v2/modes", "/v1/modes"),
        ("/v1/material", "/v1/materials"),
        ("/openapi", "/openapi.json"),
        ("/zzzzzzzzzzzzz", None),
    ],
)
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_an_unknown_path(client, path, near, method):
    problem = assert_problem(client.open(path, method=method), 404)
    remedy = f" Did you mean {near}?" if near else ""
    assert problem["detail"] == f'There is nothing at "{path}".{remedy}'


@pytest.mark.parametrize("path", [*WITH_BODY, *WITHOUT_BODY, "/health", "/openapi.json", "/docs"])
@pytest.mark.parametrize("method", ["GET", "POST", "PUT", "DELETE", "PATCH"])
def test_a_wrong_method(client, path, method):
    right = "POST" if path in WITH_BODY else "GET"
    if method == right:
        return
    response = client.open(path, method=method, json={})
    problem = assert_problem(response, 405)
    assert right in response.headers["Allow"].split(", ")
    assert method not in response.headers["Allow"].split(", ")
    assert f"does not answer {method}" in problem["detail"]


@pytest.mark.parametrize("path", WITH_BODY)
def test_facts_in_the_query_are_refused(client, path):
    response = client.post(f"{path}?length_m=6", json=SMALL_BODIES[path])
    (error,) = assert_problem(response, 422)["errors"]
    assert (error["code"], error["given"]) == ("unknown_query_parameter", "6")


# limits, one by one ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", limits.LIMITS)
def test_a_limit_allows_its_ends_and_nothing_beyond(name):
    limit = limits.LIMITS[name]
    step = 1 if isinstance(limit.minimum, int) else 1e-9 * max(1.0, abs(limit.maximum))
    assert limit.minimum < limit.maximum
    assert limit.allows(limit.maximum)
    assert not limit.allows(limit.maximum + step)
    assert limit.allows(limit.minimum) is not limit.above
    assert not limit.allows(limit.minimum - step)
