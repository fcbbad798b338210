"""GET /v1/fields: complete, in every language, and at one with the specification, which is generated another way."""

import pytest

from service.advice.language.localise import LANGUAGES, catalogue
from service.domain.limits import LIMITS
from service.web.form_fields import FEW_FACTS, form_fields
from tests.web.problems import assert_problem
from tests.web.real import SCHEMAS, SMALL_BODIES, media

FIELDS = {field.pointer: field for field in form_fields().fields}
CONTROLS = {
    "number": "number",
    "integer": "whole_number",
    "boolean": "yes_or_no",
    "string": "text",
    "array": "list",
    "object": "group",
}
"""Type of JSON Schema -> control; what has a list of values is a choice whatever its type."""


def resolved(schema):
    """Return a schema of the specification with its reference followed."""
    for part in schema.get("allOf", [schema]):
        if "$ref" in part:
            return {**SCHEMAS[part["$ref"].rsplit("/", 1)[1]], **{k: v for k, v in schema.items() if k != "allOf"}}
    return schema


def specified(schema, pointer=""):
    """Yield pointer, schema and whether it is required of every field below a schema of the specification."""
    schema = resolved(schema)
    for name, below in schema.get("properties", {}).items():
        at = f"{pointer}/{name}"
        yield at, resolved(below), name in schema.get("required", ())
        yield from specified(below, at)
        if "items" in below:
            yield from specified(below["items"], f"{at}/*")


SPECIFIED = {pointer: (schema, required) for pointer, schema, required in specified(media("/v1/advice")["schema"])}


def test_the_walk_meets_every_field_of_the_specification_once():
    assert len(FIELDS) == len(form_fields().fields)
    assert sorted(FIELDS) == sorted(SPECIFIED)
    assert len(FIELDS) > 150


@pytest.mark.parametrize("pointer", FIELDS)
def test_a_field_says_what_the_specification_says(pointer):
    field, (schema, required) = FIELDS[pointer], SPECIFIED[pointer]
    item = resolved(schema["items"]) if "items" in schema else schema
    assert field.required is required
    assert field.default == schema.get("default")
    assert field.unit == schema.get("x-unit")
    assert field.minimum == item.get("minimum", item.get("exclusiveMinimum"))
    assert field.maximum == item.get("maximum")
    assert field.minimum_is_excluded == ("exclusiveMinimum" in item)
    assert (field.least_items, field.most_items) == (schema.get("minItems"), schema.get("maxItems"))
    assert (field.least_characters, field.most_characters) == (item.get("minLength"), item.get("maxLength"))
    assert (field.choices and [choice.value for choice in field.choices]) == item.get("enum")
    assert field.control == ("choice" if "enum" in schema else CONTROLS[schema["type"]])
    if field.control == "list":
        assert field.item_control == ("choice" if "enum" in item else CONTROLS[item["type"]])


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_field_has_label_and_help_and_every_choice_a_label(language):
    needed = {field.label.key for field in FIELDS.values()} | {field.help.key for field in FIELDS.values()}
    needed |= {choice.label.key for field in FIELDS.values() for choice in field.choices or ()}
    assert sorted(key for key in needed if not catalogue(language).get(key)) == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_text_of_a_field_is_left_over_and_all_are_short(language):
    needed = {field.label.key for field in FIELDS.values()} | {field.help.key for field in FIELDS.values()}
    texts = {key: text for key, text in catalogue(language).items() if key.startswith("fields.")}
    assert sorted(texts.keys() - needed) == []
    assert [key for key, text in texts.items() if len(text) > (60 if key.endswith(".label") else 160)] == []


def test_the_few_facts_are_fields_and_few():
    assert {pointer for pointer, field in FIELDS.items() if field.rank == "few_facts"} == FEW_FACTS
    assert len(FEW_FACTS) <= 10


@pytest.mark.parametrize("name", LIMITS)
def test_every_limit_has_a_step_that_fits_into_it(name):
    limit = LIMITS[name]
    assert 0 < limit.step <= limit.maximum - limit.minimum
    if isinstance(limit.minimum, int):
        assert isinstance(limit.step, int)


def test_steps_are_those_of_the_limits():
    assert FIELDS["/room/length_m"].step == 0.01  # a tape measure's centimetre
    assert FIELDS["/speaker/sensitivity_db_1m"].step == 0.5
    assert FIELDS["/search/spacing_m"].step == 0.01
    assert FIELDS["/room/people"].step == 1
    assert all((field.step is None) == (field.minimum is None) for field in FIELDS.values())


def test_it_speaks_the_language_asked_for(client):
    english, german = (client.get(f"/v1/fields?language={language}").json for language in ("en", "de"))
    assert client.get("/v1/fields").json == english
    labels = [{f["pointer"]: f["label"] for f in answer["fields"]} for answer in (english, german)]
    assert [each["/programme"] for each in labels] == ["What do you listen to?", "Welche Musik?"]  # our vocabulary
    assert labels[1]["/room/reverberation_time_by_octave_s/250"] == "Oktave um 250 Hz"
    kinds = next(f["choices"] for f in german["fields"] if f["pointer"] == "/amplifier/kind")
    assert {"value": "push_pull_valve", "label": "Gegentakt-Röhrenverstärker"} in kinds


def test_rules_name_fields_that_there_are():
    rules = form_fields().rules
    assert {pointer for rule in rules for group in rule.sets for pointer in group} <= FIELDS.keys()
    found = {(rule.pointer, rule.rule, tuple(map(tuple, rule.sets))) for rule in rules}
    both, area = ("/room/length_m", "/room/width_m"), ("/room/floor_area_m2",)
    assert ("/room", "at_least_one", (both, area)) in found
    assert ("/room", "together", (both,)) in found
    assert ("/amplifier", "exactly_one", (("/amplifier/power_w",), ("/amplifier/ratings",))) in found
    assert ("", "at_most_one", (("/listening",), ("/listening_level_dba",))) in found


# refusals, at every field ---------------------------------------------------------------------------------------------

WRONG = {"a text": "?", "null": None, "too much": 1e9, "a list": [], "an object": {"?": 1}, "true": True}


def body_with(pointer, value):
    """Return the small body with one value at a pointer, the block around it made new."""
    *way, last = pointer.split("/")[1:]
    inner = {last: value}
    for step in reversed(way[1:]):
        inner = [inner] if step == "*" else {step: inner}
    return {**SMALL_BODIES["/v1/advice"], **({way[0]: inner} if way else inner)}


@pytest.mark.parametrize("wrong", WRONG)
def test_every_refusal_of_every_field_has_code_and_what_is_allowed(client, wrong):
    for pointer, field in FIELDS.items():
        if (wrong, field.control) in {("a text", "text"), ("true", "yes_or_no")} or (
            wrong == "a list" and field.least_items == 0
        ):
            continue
        problem = assert_problem(client.post("/v1/advice", json=body_with(pointer, WRONG[wrong])), 422)
        at = pointer.replace("*", "0")
        assert any(error["pointer"].startswith(at) for error in problem["errors"]), pointer
        for error in problem["errors"]:
            assert error["code"], pointer
            assert error["allowed"], (pointer, error)


def test_a_misspelt_choice_is_told_the_nearest_at_every_choice(client):
    for pointer, field in FIELDS.items():
        if field.control != "choice":
            continue
        value = field.choices[-1].value
        problem = client.post("/v1/advice", json=body_with(pointer, f"{value}x")).json
        error = next(error for error in problem["errors"] if error["pointer"] == pointer.replace("*", "0"))
        assert (error["code"], error["did_you_mean"], error["given"]) == ("not_a_choice", value, f"{value}x")
        assert error["allowed"] == [choice.value for choice in field.choices]
