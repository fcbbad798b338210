"""Random requests: whatever is sent, the answer is one of the documented ones, in its documented shape.

Deterministic: the same requests in every run, many more of them in the deep run. A request that once broke the service
stands in `FOUND` for good.
"""

import copy
import json

import pytest
import schemathesis
from hypothesis import given, settings
from hypothesis import strategies as st
from schemathesis.specs.openapi.checks import positive_data_acceptance

from service.domain.limits import LIMITS
from service.web.http.app import create_app
from tests.web.problems import assert_problem
from tests.web.real import SPECIFICATION, WITH_BODY, answer_validator, demo_files, put, small_body, strict_loads

JSON = "application/json"
APP = create_app()
CLIENT = APP.test_client()
SPECIFIED = schemathesis.openapi.from_wsgi("/openapi.json", APP)
SPECIFIED_OPERATIONS = [(path, method) for path, item in SPECIFICATION["paths"].items() for method in item]
VALIDATORS = {path: answer_validator(path) for path in WITH_BODY}
DEMO_BODIES = [(param.values[0], json.loads(param.values[1].read_text(encoding="utf-8"))) for param in demo_files()]


def post_and_check(path, data):
    """Post bytes and assert that the answer is documented; return its status."""
    response = CLIENT.post(path, data=data, content_type=JSON)
    if response.status_code == 200:
        VALIDATORS[path].validate(strict_loads(response.data))
    else:
        assert response.status_code in (400, 413, 422), (response.status_code, data[:2000])
        assert_problem(response, response.status_code)
    return response.status_code


@pytest.mark.parametrize(("path", "method"), SPECIFIED_OPERATIONS)
@settings(max_examples=settings.default.max_examples // 4)
@given(data=st.data())
def test_requests_made_from_the_specification(path, method, data):
    """Facts that are each plausible may still not fit together, so 422 is right for some that fit the schema.

    The client within this process does not unpack answers, so it asks for plain ones.
    """
    case = data.draw(SPECIFIED[path][method].as_strategy())
    case.call_and_validate(headers={"Accept-Encoding": "identity"}, excluded_checks=[positive_data_acceptance])


# documents of any kind ------------------------------------------------------------------------------------------------

NUMBERS = st.floats(allow_nan=True, allow_infinity=True) | st.integers()
DOCUMENTS = st.recursive(
    st.none() | st.booleans() | NUMBERS | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)


@given(path=st.sampled_from(WITH_BODY), document=DOCUMENTS)
def test_documents_of_any_kind_are_refused(path, document):
    assert post_and_check(path, json.dumps(document).encode()) != 200


@given(path=st.sampled_from(WITH_BODY), data=st.binary(min_size=1, max_size=40))
def test_bytes_of_any_kind_are_refused(path, data):
    assert post_and_check(path, data) != 200


@given(path=st.sampled_from(WITH_BODY), block=DOCUMENTS, data=st.data())
def test_any_value_in_any_place_of_the_top(path, block, data):
    name = data.draw(st.sampled_from(sorted(small_body(path))))
    post_and_check(path, json.dumps(small_body(path, **{name: block})).encode())


# invented scenes, changed ---------------------------------------------------------------------------------------------

ENDS = sorted({end for limit in LIMITS.values() for end in (limit.minimum, limit.maximum)})
ODD_NUMBERS = [0, -0.0, -1, 5e-324, 1e-12, 1e15, 1.7e308, 10**40, 0.5, 1, 2, 3.3, float("nan"), float("inf")]
ODD_VALUES = [None, True, False, "", "5", "\u00e4", "x" * 100, [], {}, [1], [[]], {"x_m": 1}, {"parts": []}]


def leaves(value, pointer=""):
    """Yield the pointer of every value in a document, blocks and lists included."""
    children = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, child in children:
        yield f"{pointer}/{key}"
        yield from leaves(child, f"{pointer}/{key}")


def without(body, pointer):
    """Return a copy of `body` without the value at a pointer."""
    body = copy.deepcopy(body)
    *way, last = pointer.split("/")[1:]
    place = body
    for step in way:
        place = place[int(step)] if isinstance(place, list) else place[step]
    del place[int(last) if isinstance(place, list) else last]
    return body


@st.composite
def changed_scenes(draw, *, values, most):
    """Draw an invented scene of which up to `most` values were replaced or taken away."""
    path, body = draw(st.sampled_from(DEMO_BODIES))
    for _ in range(draw(st.integers(1, most))):
        pointer = draw(st.sampled_from(list(leaves(body))))
        body = put(body, pointer, draw(values)) if draw(st.integers(0, 9)) else without(body, pointer)
        if not list(leaves(body)):
            break
    return path, body


@given(scene=changed_scenes(values=st.sampled_from(ODD_NUMBERS + ODD_VALUES), most=2))
def test_scenes_with_odd_values(scene):
    path, body = scene
    post_and_check(path, json.dumps(body).encode())


@given(scene=changed_scenes(values=st.sampled_from(ENDS) | st.floats(0, 30), most=4))
def test_scenes_with_numbers_at_the_ends_of_the_limits(scene):
    path, body = scene
    post_and_check(path, json.dumps(body).encode())


# what broke the service once ------------------------------------------------------------------------------------------

FOUND = {
    "a hall so dead that no frequency is left to the wave field": (
        "/v1/level",
        {
            "speaker": {"sensitivity_db_1w_1m": 92},
            "amplifier": {"power_w": 2},
            "room": {"length_m": 4.0, "width_m": 28.6, "height_m": 2.4, "reverberation_time_s": 0.05},
            "listening_distance_m": 2.2,
        },
    ),
    "a period of the shortest time that a number can tell": (
        "/v1/exposure",
        {"periods": [{"hours": 5e-324, "level_dba": 139.0}]},
    ),
}


@pytest.mark.parametrize(("path", "body"), FOUND.values(), ids=list(FOUND))
def test_what_was_found(path, body):
    post_and_check(path, json.dumps(body).encode())
