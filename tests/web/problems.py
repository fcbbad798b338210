"""The one shape of every refusal, for the tests that are refused something."""

import json

import jsonschema

from service.web.problems import PROBLEM_SCHEMA

jsonschema.Draft202012Validator.check_schema(PROBLEM_SCHEMA)
VALIDATOR = jsonschema.Draft202012Validator(PROBLEM_SCHEMA)


def assert_problem(response, status):
    """Assert that a response is a problem of this status in the one shape, and return its body."""
    assert response.status_code == status
    assert response.content_type == "application/problem+json"
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    problem = json.loads(response.data)
    VALIDATOR.validate(problem)
    assert problem["status"] == status
    assert ("errors" in problem) == (status == 422)
    return problem
