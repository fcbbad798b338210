"""The real service for the tests of the web layer: its specification, its invented scenes, a small body of each."""

import copy
import json
from pathlib import Path

import jsonschema
import pytest

from service.web.operations import OPERATIONS
from service.web.specification import openapi

ROOT = Path(__file__).parents[2]
SPECIFICATION = openapi.build(OPERATIONS)
SCHEMAS = SPECIFICATION["components"]["schemas"]
WITH_BODY = tuple(operation.path for operation in OPERATIONS if operation.request_schema)
WITHOUT_BODY = tuple(
    operation.path
    for operation in OPERATIONS
    if not operation.request_schema and operation.media_type == "application/json"
)
PAGES_TO_PRINT = tuple(operation.path for operation in OPERATIONS if operation.media_type == "text/html")

ROOM = {"length_m": 5.2, "width_m": 4.1, "height_m": 2.6}
SPEAKER = {"sensitivity_db_1w_1m": 97}
AMPLIFIER = {"power_w": 8}
PLACES = {
    "speakers": [{"x_m": 0.9, "y_m": 1.0, "z_m": 0.9}, {"x_m": 0.9, "y_m": 3.1, "z_m": 0.9}],
    "seats": [{"x_m": 3.2, "y_m": 2.0, "z_m": 1.1}],
}
SMALL_BODIES = {operation.path: operation.example() for operation in OPERATIONS if operation.request_schema} | {
    "/v1/advice": {"speaker": SPEAKER, "amplifier": AMPLIFIER, "room": ROOM, "listening_distance_m": 2.6},
    "/v1/level": {"speaker": SPEAKER, "amplifier": AMPLIFIER, "room": ROOM, "listening_distance_m": 2.6},
    "/v1/match": {"speaker": SPEAKER, "amplifiers": [AMPLIFIER], "room": ROOM, "listening_distance_m": 2.6},
    "/v1/modes": {"room": ROOM, "to_hz": 120},
    "/v1/response": {
        "room": ROOM,
        "sources": [{"x_m": 0.9, "y_m": 1.0, "z_m": 0.9}],
        "seats": [{"x_m": 3.2, "y_m": 2.0, "z_m": 1.1}],
        "frequency_hz": [20, 31.5, 50],
    },
    "/v1/placement": {"room": ROOM},
    "/v1/reverberation": {"room": ROOM},
    "/v1/field-coil": {"cold_resistance_ohm": 12.5, "voltage_v": 24},
    "/v1/open-baffle": {"width_m": 0.6, "height_m": 1.1},
    "/v1/run-in": {"speaker": {"sensitivity_db_1w_1m": 95}},
    "/v1/reflections": {"room": ROOM},
    "/v1/exposure": {"periods": [{"level_dba": 86, "hours": 4}]},
}
"""Path -> the fewest facts that its operation answers, or its example."""


def small_body(path, **changes):
    """Return a copy of the small body of an operation, with fields of its top replaced."""
    return {**copy.deepcopy(SMALL_BODIES[path]), **copy.deepcopy(changes)}


def put(body, pointer, value):
    """Return a copy of `body` with `value` at a JSON pointer; objects on the way are made where they are missing."""
    body = copy.deepcopy(body)
    *way, last = pointer.split("/")[1:]
    place = body
    for step in way:
        place = place[int(step)] if isinstance(place, list) else place.setdefault(step, {})
    place[int(last) if isinstance(place, list) else last] = value
    return body


def demo_files():
    """Return (path of the operation, file) of every invented scene, as test parameters."""
    files = sorted((ROOT / "demo_rooms").glob("*/*.json"))
    return [pytest.param(f"/v1/{file.parent.name}", file, id=f"{file.parent.name}/{file.stem}") for file in files]


def media(path):
    """Return what the specification says of the body of an operation."""
    return SPECIFICATION["paths"][path]["post"]["requestBody"]["content"]["application/json"]


def validator(schema):
    """Return a validator of a schema of the specification, references and all."""
    return jsonschema.Draft202012Validator({**schema, "components": SPECIFICATION["components"]})


def request_validator(path):
    """Return a validator of the body of an operation."""
    return validator(media(path)["schema"])


def answer_validator(path):
    """Return a validator of the answer of an operation."""
    (item,) = SPECIFICATION["paths"][path].values()
    return validator(item["responses"]["200"]["content"]["application/json"]["schema"])


def strict_loads(text):
    """Return parsed JSON; NaN and Infinity, which JSON does not have, fail."""

    def refuse(name):
        raise AssertionError(f"{name} stands in an answer")

    return json.loads(text, parse_constant=refuse)
