"""The specification (OpenAPI 3.1), generated from the operations, their request schemas and their answers.

Nothing in it is written by hand twice: limits, choices and caps come from the fields that enforce them,
answers from their dataclasses, problems from their one shape in `problems`.
"""

import json

from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin, OpenAPIConverter

import service
from service.advice.language.localise import LANGUAGES, text_of
from service.web.health import HEALTH
from service.web.problems import KINDS, MEDIA_TYPE, PROBLEM_SCHEMA
from service.web.reading.field_base import Strict
from service.web.reading.fields import ListOrBlock
from service.web.specification.answer_schema import Components, answer_schema, first_paragraph

_VERSION = "3.1.0"

_TITLE = "Listening-room and system-matching advisor"

_DESCRIPTION = """Stateless: the same body gives the same answer. Every field name ends in its unit.
Unknown fields are refused; answers may gain fields.
Every error, an unknown path (404) included, is application/problem+json."""

_RESPONSE_NAMES = {
    400: "UnreadableBody",
    405: "WrongMethod",
    406: "NoSuchForm",
    413: "BodyTooLarge",
    415: "WrongMediaType",
    422: "InvalidFields",
    500: "InternalError",
}

_STATUSES_WITH_BODY = (400, 405, 413, 415, 422, 500)
_STATUSES_WITHOUT_BODY = (405, 422, 500)


class _Converter(OpenAPIConverter):
    """The converter of apispec, taught the strict fields and kept to closed objects."""

    def init_attribute_functions(self):
        super().init_attribute_functions()
        self.attribute_functions.append(self._strict_properties)

    def _strict_properties(self, field, ret):
        if isinstance(field, ListOrBlock):
            return {"oneOf": [self.field2property(field.array), self.field2property(field.block)]}
        return field.json_schema() if isinstance(field, Strict) else {}

    def schema2jsonschema(self, schema):
        emitted = super().schema2jsonschema(schema)
        emitted["additionalProperties"] = False
        emitted.setdefault("title", self.schema_name_resolver(schema))
        description = first_paragraph(type(schema).__dict__.get("__doc__"))
        if description:
            emitted.setdefault("description", description)
        rules = [{"oneOf": [{"required": [key]} for key in group]} for group in schema.exactly_one_of]
        rules += [_not_two_of(group) for group in schema.at_most_one_of]
        if schema.one_set_of:
            rules.append({"anyOf": [{"required": list(names)} for names in schema.one_set_of]})
        rules += [{"dependentRequired": {name: [*group] for name in group}} for group in schema.together]
        return {**emitted, "allOf": rules} if rules else emitted


class _Plugin(MarshmallowPlugin):
    Converter = _Converter


def _not_two_of(group):
    pairs = [[one, other] for index, one in enumerate(group) for other in group[index + 1 :]]
    return {"not": {"anyOf": [{"required": pair} for pair in pairs]}}


def build(operations):
    """Return the specification of `operations` and of the sign of life, as a dict."""
    operations = (*operations, HEALTH)
    plugin = _Plugin()
    spec = APISpec(
        openapi_version=_VERSION,
        plugins=[plugin],
        title=_TITLE,
        version=service.__version__,
        info={"description": _DESCRIPTION},
    )
    answers = Components()
    paths = {}
    for operation in operations:
        emitted = _operation(operation, plugin, answers)
        paths.setdefault(operation.path, {})[operation.method.lower()] = emitted
    emitted = spec.to_dict()
    requests = emitted.get("components", {}).get("schemas", {})
    shared = sorted(requests.keys() & {*answers, "Problem"} | answers.keys() & {"Problem"})
    if shared:
        raise ValueError(f"requests and answers share the names {shared}")
    schemas = {**requests, **answers, "Problem": PROBLEM_SCHEMA}
    used = {int(status) for item in paths.values() for each in item.values() for status in each["responses"]}
    responses = {name: _problem_response(status) for status, name in _RESPONSE_NAMES.items() if status in used}
    return {
        "openapi": emitted["openapi"],
        "info": emitted["info"],
        "tags": [{"name": tag} for tag in dict.fromkeys(operation.tag for operation in operations)],
        "paths": paths,
        "components": {
            "schemas": dict(sorted(schemas.items())),
            "responses": dict(sorted(responses.items())),
        },
    }


def to_text(specification):
    """Return the specification as JSON text that changes only when its content does."""
    return json.dumps(specification, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _operation(operation, plugin, answers):
    schema = answer_schema(operation.answer_type, answers)
    answer = {"description": "The answer.", "content": {operation.media_type: {"schema": schema}}}
    for form in operation.other_forms:
        kind = {"type": "string"} if form.media_type.startswith("text/") else {}  # other bytes have no JSON type
        answer["content"][form.media_type] = {"schema": {**kind, "description": form.description}}
    statuses = _STATUSES_WITHOUT_BODY if operation.request_schema is None else _STATUSES_WITH_BODY
    if operation.other_forms:
        statuses = tuple(sorted((*statuses, 406)))
    emitted = {
        "operationId": operation.operation_id,
        "tags": [operation.tag],
        "summary": operation.summary,
        "description": operation.description,
        "responses": {
            "200": answer,
            **{str(status): {"$ref": f"#/components/responses/{_RESPONSE_NAMES[status]}"} for status in statuses},
        },
    }
    if operation.query_schema is not None:
        emitted["parameters"] = plugin.converter.schema2parameters(operation.query_schema, location="query")
    if operation.request_schema is None:
        return emitted
    content = {"schema": plugin.converter.resolve_nested_schema(operation.request_schema)}
    if operation.example is not None:
        content["example"] = operation.example()
    return {**emitted, "requestBody": {"required": True, "content": {"application/json": content}}}


def _problem_response(status):
    kind = KINDS[status]
    title, meaning = (text_of(sentence, LANGUAGES[0]) for sentence in (kind.title, kind.meaning))
    response = {
        "description": f"{title}. {meaning}",
        "content": {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}},
    }
    if status == 405:
        response["headers"] = {"Allow": {"description": "The methods answered.", "schema": {"type": "string"}}}
    return response
