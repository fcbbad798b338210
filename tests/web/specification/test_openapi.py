"""The specification: valid, and telling the same as the fields and answers do."""

import copy
import json
from dataclasses import dataclass, replace

import jsonschema
import pytest
from openapi_spec_validator import OpenAPIV31SpecValidator

from service.web.specification.openapi import build, to_text
from tests.web.http.test_app import INVALID
from tests.web.toy import OPERATIONS, PACK, Packed, create_toy_app, example


@pytest.fixture(scope="module")
def specification():
    return build(OPERATIONS)


@pytest.fixture(scope="module")
def client():
    return create_toy_app().test_client()


def validator(specification, name):
    """Return a validator for one schema of the specification."""
    schema = {"$ref": f"#/components/schemas/{name}", "components": specification["components"]}
    return jsonschema.Draft202012Validator(schema)


def test_it_is_valid(specification):
    assert specification["openapi"] == "3.1.0"
    OpenAPIV31SpecValidator(specification).validate()


def test_it_is_served_and_stays_the_same(specification, client):
    response = client.get("/openapi.json")
    assert response.content_type == "application/json"
    assert response.data.decode() == to_text(specification) == to_text(build(OPERATIONS))
    assert json.loads(to_text(specification)) == specification


def test_every_operation_says_all(specification):
    found = {
        (path, method): operation for path, item in specification["paths"].items() for method, operation in item.items()
    }
    assert set(found) == {("/v1/pack", "post"), ("/v1/colours", "get"), ("/health", "get")}
    for operation in found.values():
        for part in ("operationId", "summary", "description", "tags"):
            assert operation[part]
        statuses = {"200", "405", "422", "500"} | ({"400", "413", "415"} if "requestBody" in operation else set())
        assert set(operation["responses"]) == statuses
    assert found["/v1/pack", "post"]["requestBody"]["required"] is True
    assert found["/v1/pack", "post"]["requestBody"]["content"]["application/json"]["example"] == example()


def test_every_problem_is_problem_json_of_the_one_shape(specification):
    responses = specification["components"]["responses"]
    assert len(responses) == 6
    for response in responses.values():
        assert list(response["content"]) == ["application/problem+json"]
        assert response["content"]["application/problem+json"]["schema"] == {"$ref": "#/components/schemas/Problem"}


def test_fields_tell_their_exact_limits(specification):
    schemas = specification["components"]["schemas"]
    pack = schemas["Pack"]["properties"]
    side = {"type": "number", "minimum": 1, "maximum": 50}
    assert schemas["Crate"]["properties"]["length_m"] == {
        **side,
        "x-unit": "m",
        "description": "Inside length.",
    }
    assert schemas["Crate"]["required"] == ["length_m", "width_m"]
    assert pack["gain"] == {"type": "number", "exclusiveMinimum": 0, "maximum": 4, "default": 2}
    assert pack["count"] == {"type": "integer", "minimum": 1, "maximum": 9}
    assert pack["colour"] == {"type": "string", "enum": ["red", "green", "blue"], "description": "Paint."}
    assert pack["polarity"] == {"type": "integer", "enum": [1, -1]}
    assert pack["sealed"] == {"type": "boolean"}
    assert pack["weights"] == {
        "type": "array",
        "minItems": 2,
        "maxItems": 60,
        "items": {"type": "number", "exclusiveMinimum": 0, "maximum": 4},
    }
    assert pack["items"] == {
        "type": "array",
        "minItems": 1,
        "maxItems": 3,
        "items": {"$ref": "#/components/schemas/Item"},
    }
    assert pack["tags"]["items"] == {"type": "string", "minLength": 1, "maxLength": 5}
    assert pack["frequency_hz"] == {
        "oneOf": [
            {"type": "array", "minItems": 1, "maxItems": 2000, "items": side},
            {"$ref": "#/components/schemas/Grid"},
        ]
    }


def test_objects_of_requests_are_closed_and_titled(specification):
    for name in ("Pack", "Crate", "Item", "Grid"):
        schema = specification["components"]["schemas"][name]
        assert schema["additionalProperties"] is False
        assert schema["title"] == name
    assert specification["components"]["schemas"]["Crate"]["description"] == "A box."


def test_answers_are_open_and_complete(specification):
    packed = specification["components"]["schemas"]["Packed"]
    assert "additionalProperties" not in packed
    assert packed["required"] == list(Packed.__dataclass_fields__)
    assert packed["description"] == "What was packed, and how it fits."


def test_no_word_of_version_3_0_is_left(specification):
    text = to_text(specification)
    assert '"nullable"' not in text
    assert '"exclusiveMinimum": true' not in text


def test_the_example_is_valid_by_its_own_schema_and_answers(specification, client):
    validator(specification, "Pack").validate(example())
    response = client.post("/v1/pack", json=example())
    assert response.status_code == 200
    validator(specification, "Packed").validate(response.get_json())


EDGES = [
    ({"count": 6.0}, True),
    ({"count": 6.5}, False),
    ({"gain": 0}, False),
    ({"gain": 4}, True),
    ({"gain": 4.001}, False),
    ({"label": "x"}, False),
    ({"polarity": -1.0}, True),
    ({"polarity": 0}, False),
    ({"polarity": True}, False),
    ({"sealed": 1}, False),
    ({"tags": []}, True),
    ({"tags": ["\U0001f600" * 5]}, True),
    ({"tags": ["\U0001f600" * 6]}, False),
    ({"items": [{}]}, False),
    ({"items": [{"mass_kg": 1, "volume_m3": 1}]}, False),
    ({"items": [{"mass_kg": 1}]}, True),
    ({"colour": "red", "shade": "dark"}, False),
    ({"frequency_hz": [2, 3]}, True),
    ({"frequency_hz": []}, False),
    ({"frequency_hz": {"from_hz": 2}}, False),
    ({"frequency_hz": {"from_hz": 2, "to_hz": 3}}, True),
    ({"weights": [1, "2"]}, False),
]


@pytest.mark.parametrize(("part", "good"), EDGES)
def test_schema_and_service_agree_at_the_edges(specification, client, part, good):
    body = {"crate": {"length_m": 6, "width_m": 4}, **copy.deepcopy(part)}
    assert validator(specification, "Pack").is_valid(body) is good
    assert client.post("/v1/pack", json=body).status_code == (200 if good else 422)


@pytest.mark.parametrize(("body", "pointer", "code"), INVALID)
def test_schema_refuses_what_the_service_refuses(specification, body, pointer, code):
    only_together = body == {"crate": {"length_m": 2, "width_m": 3}}  # no schema knows that the domain refuses this
    assert validator(specification, "Pack").is_valid(body) is only_together


def test_requests_and_answers_may_not_share_a_name():
    crate = type("Crate", (), {"__annotations__": {"x": int}})
    with pytest.raises(ValueError, match="Crate"):
        build([replace(PACK, answer_type=dataclass(crate))])
