"""The real service keeps what its specification says: routes, limits, examples, answers, errors."""

import json

import pytest
from openapi_spec_validator import OpenAPIV31SpecValidator

from service.domain import limits
from service.tables.loader import references
from service.web.specification import openapi
from tests.web.real import (
    ROOT,
    SCHEMAS,
    SMALL_BODIES,
    SPECIFICATION,
    WITH_BODY,
    WITHOUT_BODY,
    answer_validator,
    demo_files,
    media,
    request_validator,
    strict_loads,
)

PAGES = {
    "/",
    "/page/<name>",
    "/page/words-<language>.json",
    "/page/example.json",
    "/openapi.json",
    "/docs",
    "/docs/init.js",
    "/docs/assets/<name>",
}
"""What people and programs read about the service; not operations of it."""


def test_routes_are_the_paths_of_the_specification(app):
    rules = {(rule.rule, method) for rule in app.url_map.iter_rules() for method in rule.methods & {"GET", "POST"}}
    paths = {(path, method.upper()) for path, item in SPECIFICATION["paths"].items() for method in item}
    assert {rule for rule in rules if rule[0] not in PAGES} == paths
    assert {(page, "GET") for page in PAGES} == rules - paths


def test_it_is_a_valid_specification():
    OpenAPIV31SpecValidator(SPECIFICATION).validate()


def test_the_file_committed_is_the_specification():
    """After a change of a request or an answer: `python -m service spec`."""
    written = (ROOT / "openapi" / "openapi.json").read_text(encoding="utf-8")
    assert written == openapi.to_text(SPECIFICATION)


def test_the_page_reads_the_same_specification(client):
    assert client.get("/openapi.json").data.decode() == openapi.to_text(SPECIFICATION)


@pytest.mark.parametrize(("path", "file"), demo_files())
def test_invented_scenes_are_answered_as_specified(client, path, file):
    body = json.loads(file.read_text(encoding="utf-8"))
    assert next(iter(body)) == "note"
    assert body["note"].startswith("Invented scene.")
    request_validator(path).validate(body)
    response = client.post(path, json=body)
    assert response.status_code == 200, response.json
    answer_validator(path).validate(strict_loads(response.data))


def test_every_operation_has_an_invented_scene():
    assert {param.values[0] for param in demo_files()} == set(WITH_BODY)


@pytest.mark.parametrize("path", WITH_BODY)
def test_the_example_is_answered_as_specified(client, path):
    example = media(path)["example"]
    request_validator(path).validate(example)
    response = client.post(path, json=example)
    assert response.status_code == 200
    answer_validator(path).validate(strict_loads(response.data))


@pytest.mark.parametrize("path", WITH_BODY)
def test_the_fewest_facts_are_answered_as_specified(client, path):
    request_validator(path).validate(SMALL_BODIES[path])
    response = client.post(path, json=SMALL_BODIES[path])
    assert response.status_code == 200, response.json
    answer_validator(path).validate(strict_loads(response.data))


@pytest.mark.parametrize("path", [*WITHOUT_BODY, "/health"])
def test_tables_are_answered_as_specified(client, path):
    response = client.get(path)
    assert response.status_code == 200
    answer_validator(path).validate(strict_loads(response.data))


@pytest.mark.parametrize(("path", "item"), SPECIFICATION["paths"].items(), ids=list(SPECIFICATION["paths"]))
def test_every_operation_documents_its_answer_and_every_error(path, item):
    ((method, operation),) = item.items()
    statuses = {"200", "405", "422", "500"} | ({"400", "413", "415"} if method == "post" else set())
    statuses |= {"406"} if len(operation["responses"]["200"]["content"]) > 1 else set()
    assert set(operation["responses"]) == statuses
    for part in ("operationId", "summary", "description", "tags"):
        assert operation[part], part
    assert ("requestBody" in operation) == (method == "post")
    if method == "post":
        assert operation["requestBody"]["required"] is True
        assert media(path)["example"]["note"]


# the fields of requests -----------------------------------------------------------------------------------------------

REQUEST_SCHEMAS = {name: schema for name, schema in SCHEMAS.items() if schema.get("additionalProperties") is False}
BY_OCTAVE = {
    "AbsorptionByOctave": "absorption_coefficient",
    "TimesByOctave": "reverberation_time_s",
    "DirectivityByOctave": "directivity_index_db",
}
LIMIT_OF = {
    "KeepClear.length_m": "zone_m",
    "KeepClear.width_m": "zone_m",
    "front_wall_to_baffle_max_m": "distance_m",
    "seat_distance_m": "listening_distance_m",
    **dict.fromkeys(("x_m", "y_m", "z_m", "seat_to_back_wall_min_m"), "coordinate_m"),
    **dict.fromkeys(("front_wall_distance_m", "spacing_m"), "distance_m"),
    **dict.fromkeys(("sensitivity_db_1w_1m", "sensitivity_db_2v83_1m", "sensitivity_db_1m"), "sensitivity_db"),
    **dict.fromkeys(("nominal_impedance_ohm", "minimum_impedance_ohm", "load_ohm"), "impedance_ohm"),
    **dict.fromkeys(("cabinet_width_m", "cabinet_depth_m", "cabinet_height_m"), "cabinet_m"),
    **dict.fromkeys(("from_hz", "FrequencyGrid.to_hz"), "frequency_hz"),
    "ModesRequest.to_hz": "modes_to_hz",
    **dict.fromkeys(("OpenBaffleRequest.width_m", "OpenBaffleRequest.height_m"), "baffle_m"),
    **dict.fromkeys(("flat_down_to_hz", "wanted_hz"), "bass_hz"),
    **dict.fromkeys(("OpenBaffleRequest.distance_m", "RunInRequest.distance_m"), "listening_distance_m"),
    "OpenBaffleRequest.level_db": "bass_level_db",
    "RunInRequest.hours": "run_in_hours",
    "BaffleDriver.area_m2": "driver_area_m2",
    "BaffleDriver.resonance_hz": "bass_resonance_hz",
    "BaffleDriver.total_q": "baffle_q",
    "FieldCoilRequest.thermal_resistance_k_w": "field_coil_k_w",
    "Driver.area_m2": "driver_area_m2",
    **dict.fromkeys(("taps_ohm", "tap_in_use_ohm", "minimum_load_ohm", "dc_resistance_ohm"), "impedance_ohm"),
    **dict.fromkeys(("input_sensitivity_v", "input_overload_v", "SignalSource.output_v"), "source_v"),
    **dict.fromkeys(("BassSection.gain_db", "preamplifier_gain_db"), "amplifier_gain_db"),
    **dict.fromkeys(("trim_from_db", "trim_to_db"), "trim_db"),
    **dict.fromkeys(("Section.from_hz", "Section.to_hz"), "section_hz"),
    **dict.fromkeys(("mechanical_q", "electrical_q", "DriverParameters.total_q"), "q"),
    **dict.fromkeys(("compliance_volume_l", "box_volume_l"), "volume_l"),
    **dict.fromkeys(("DriverParameters.resonance_hz", "tuning_hz"), "resonance_hz"),
    "hum_frequency_hz": "hum_hz",
    "Cable.length_m": "cable_length_m",
    "ImpedancePoint.frequency_hz": "impedance_hz",
    "count": "object_count",
    "long_term_power_w": "power_w",
    "toe_in_deg": "facing_deg",
    "damping_factor_load_ohm": "impedance_ohm",
    "Amplifier.gain_db": "amplifier_gain_db",
    "Background.level_dba": "background_dba",
    "AsFound.toe_in_deg": "toe_in_deg",
    **dict.fromkeys(("front_wall_to_baffle_m", "back_wall_to_ears_m", "left_wall_to_ears_m"), "distance_m"),
    **dict.fromkeys(("left_wall_to_left_baffle_m", "right_wall_to_right_baffle_m"), "distance_m"),
    **dict.fromkeys(("ear_height_m", "speaker_height_m"), "distance_m"),
}
"""Field, or schema.field, -> its limit, where the limit has another name than the field."""

WITHOUT_UNIT = {
    "awg",
    "crossover_order",
    "electrical_q",
    "mechanical_q",
    "nr",
    "absorption_coefficient",
    "admittance_ratio",
    "count",
    "damping_factor",
    "low_order",
    "people",
    "points_per_octave",
    "polarity",
    "total_q",
    "speaker_count",
    *(str(octave) for octave in (63, 125, 250, 500, 1000, 2000, 4000, 8000)),
}
UNITS = {
    "l",
    "mH",
    "mm2",
    "m",
    "m2",
    "s",
    "ms",
    "Hz",
    "dB",
    "dB(A)",
    "W",
    "V",
    "K/W",
    "A",
    "ohm",
    "uV",
    "mV",
    "kg",
    "h",
    "%",
    "kPa",
    "degrees",
    "degrees Celsius",
}


def number_fields():
    """Every number of every request, with its schema, as test parameters."""
    found = []
    for name, schema in REQUEST_SCHEMAS.items():
        for field, emitted in schema["properties"].items():
            for form in emitted.get("oneOf", [emitted]):
                number = form.get("items", form)
                if number.get("type") in ("number", "integer"):
                    found.append(pytest.param(name, field, emitted, number, id=f"{name}.{field}"))
    return found


def limit_name(schema, field):
    return BY_OCTAVE.get(schema) or LIMIT_OF.get(f"{schema}.{field}") or LIMIT_OF.get(field) or field


@pytest.mark.parametrize(("schema", "field", "emitted", "number"), number_fields())
def test_numbers_tell_limit_description_and_unit(schema, field, emitted, number):
    assert emitted.get("description"), "a description"
    if "enum" in number:
        return
    limit = limits.LIMITS[limit_name(schema, field)]
    low = "exclusiveMinimum" if limit.above else "minimum"
    bounds = {key: number[key] for key in number if "inimum" in key or "aximum" in key}
    assert bounds == {low: limit.minimum, "maximum": limit.maximum}
    if "oneOf" not in emitted:
        assert emitted.get("x-unit") in UNITS or (field in WITHOUT_UNIT and schema not in ("TimesByOctave",))


def test_every_limit_is_used_by_a_field():
    assert {limit_name(*param.values[:2]) for param in number_fields() if "enum" not in param.values[3]} == set(
        limits.LIMITS
    )


def test_every_list_and_text_of_a_request_is_bounded():
    bounded = []
    for name, schema in REQUEST_SCHEMAS.items():
        for field, emitted in schema["properties"].items():
            for form in emitted.get("oneOf", [emitted]):
                if form.get("type") == "array":
                    bounded.append(form["maxItems"])
                if form.get("type") == "string" and "enum" not in form:
                    bounded.append(form["maxLength"])
                assert (
                    form.keys() & {"maxItems", "maxLength", "maximum", "enum", "$ref"} or form["type"] == "boolean"
                ), f"{name}.{field}"
    assert bounded


def test_caps_are_those_of_the_domain():
    def most(schema, field):
        return SCHEMAS[schema]["properties"][field]["maxItems"]

    assert most("ResponseRequest", "sources") == limits.MOST_SOURCES
    assert most("ResponseRequest", "seats") == most("Positions", "seats") == limits.MOST_SEATS
    frequency = SCHEMAS["ResponseRequest"]["properties"]["frequency_hz"]
    assert frequency["oneOf"][0]["maxItems"] == limits.MOST_FREQUENCIES
    assert str(limits.MOST_RESPONSE_VALUES) in frequency["description"]
    assert str(limits.MOST_FIELD_TERMS // 10**6) in SPECIFICATION["paths"]["/v1/response"]["post"]["description"]
    assert most("ExposureRequest", "periods") == limits.MOST_PERIODS
    assert most("Surface", "parts") == limits.MOST_PARTS
    assert most("Room", "furniture") == limits.MOST_OBJECTS
    assert most("Amplifier", "ratings") == limits.MOST_RATINGS
    assert f"{limits.MOST_VOLUME_M3:g} m3" in SCHEMAS["Room"]["description"]


def test_every_object_is_described():
    undescribed = [name for name, schema in SCHEMAS.items() if not schema.get("description")]
    assert undescribed == []


# the numbers of answers -----------------------------------------------------------------------------------------------

UNIT_ENDINGS = (
    *(
        "_m",
        "_m2",
        "_m3",
        "_cm",
        "_s",
        "_hz",
        "_db",
        "_dba",
        "_w",
        "_a",
        "_ohm",
        "_uv",
        "_mv",
        "_pct",
        "_ratio",
        "_deg",
        "_per_octave",
    ),
    *("_per_hz", "hours", "hours_a_day", "hours_a_week", "_threshold"),
)
DIMENSIONLESS = {"count", "counts", "expected_count", "candidates_judged", "nearest_integer", "ratio", "status", "year"}
IN_THE_NAME_OF_THE_OBJECT = {"TimesAnswer", "ToleranceAnswer"}
"""Objects that stand under a field with a unit: times_s, tolerance_cm."""


def is_number(emitted):
    """Whether a value of an answer is a number, perhaps null, or a list of such."""
    if "anyOf" in emitted:
        return any(is_number(form) for form in emitted["anyOf"])
    items = emitted.get("prefixItems", [emitted["items"]] if "items" in emitted else [])
    kinds = emitted.get("type", [])
    return bool({"number", "integer"} & set([kinds] if isinstance(kinds, str) else kinds)) or any(map(is_number, items))


def test_every_number_of_an_answer_names_its_unit_or_is_described():
    unclear = [
        f"{name}.{field}"
        for name, schema in SCHEMAS.items()
        if name not in REQUEST_SCHEMAS and name not in IN_THE_NAME_OF_THE_OBJECT
        for field, emitted in schema["properties"].items()
        if is_number(emitted)
        and not field.endswith(UNIT_ENDINGS)
        and field not in DIMENSIONLESS
        and not emitted.get("description")
    ]
    assert unclear == []


# sources --------------------------------------------------------------------------------------------------------------


def test_every_source_in_the_table_of_materials_is_listed_with_it(client):
    table = client.get("/v1/materials").json
    listed = {reference["key"] for reference in table["references"]}
    used = {source for row in table["materials"] for source in row["sources"]}
    assert used == listed
    assert listed <= set(references())
    assert all(row["sources"] for row in table["materials"])


def test_every_source_in_the_table_of_programmes_is_listed_with_it(client):
    table = client.get("/v1/programmes").json
    listed = {reference["key"] for reference in table["references"]}
    used = {row["source"] for row in (*table["programmes"], *table["spectra"])}
    assert used == listed
    assert listed <= set(references())
    assert {row["spectrum"] for row in table["programmes"]} <= {row["id"] for row in table["spectra"]}


@pytest.mark.parametrize("path", WITH_BODY)
def test_every_source_of_an_assumption_exists(client, path):
    answer = client.post(path, json=SMALL_BODIES[path]).json
    sources = {assumption["source"] for assumption in answer["assumptions"]}
    assert sources <= set(references())


def test_invented_scenes_are_the_files(client):
    table = client.get("/v1/demo-rooms").json["demo_rooms"]
    files = [(param.values[0], json.loads(param.values[1].read_text(encoding="utf-8"))) for param in demo_files()]
    assert [(row["path"], row["body"]) for row in table] == files
