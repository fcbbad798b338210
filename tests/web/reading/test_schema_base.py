"""Schemas: unknown names, rules between fields, and the making of domain objects."""

import marshmallow
import pytest

from service.domain.limits import Limit
from service.web.reading import fields
from service.web.reading.faults import flatten
from service.web.reading.schema_base import RequestSchema, StrictSchema
from tests.web.toy import Crate, CrateSchema, ItemSchema, PackSchema


def faults(schema, body):
    with pytest.raises(marshmallow.ValidationError) as caught:
        schema.load(body)
    return flatten(caught.value.messages)


def test_a_domain_object_is_made():
    assert CrateSchema().load({"length_m": 6, "width_m": 4}) == Crate(length_m=6.0, width_m=4.0)
    assert PackSchema().load({"crate": {"length_m": 6, "width_m": 4}}) == {"crate": Crate(length_m=6.0, width_m=4.0)}


def test_an_unknown_field_is_told_with_the_nearest_and_all_known():
    (fault,) = faults(CrateSchema(), {"length_m": 6, "width_m": 4, "labell": "x"})
    assert fault["pointer"] == "/labell"
    assert fault["code"] == "unknown_field"
    assert fault["given"] == "x"
    assert fault["did_you_mean"] == "label"
    assert fault["allowed"] == ["length_m", "width_m", "label"]
    assert "did you mean label?" in fault["detail"]


def test_an_unknown_field_unlike_any_has_no_nearest():
    (fault,) = faults(CrateSchema(), {"length_m": 6, "width_m": 4, "a/~b": {}})
    assert fault["pointer"] == "/a~1~0b"
    assert fault["did_you_mean"] is None
    assert "the fields here are length_m, width_m, label" in fault["detail"]


def test_a_misspelt_needed_field_is_told_as_both_missing_and_unknown():
    found = faults(CrateSchema(), {"lenght_m": 6, "width_m": 4})
    assert [(fault["pointer"], fault["code"]) for fault in found] == [
        ("/length_m", "missing"),
        ("/lenght_m", "unknown_field"),
    ]
    assert found[1]["did_you_mean"] == "length_m"


@pytest.mark.parametrize("name", ["_schema", "", "0", "unknown"])
def test_odd_names_are_just_unknown(name):
    (fault,) = faults(CrateSchema(), {"length_m": 6, "width_m": 4, name: 1})
    assert (fault["pointer"], fault["code"]) == (f"/{name}", "unknown_field")


def test_unknown_fields_are_refused_however_the_block_is_reached():
    packed = {"crate": {"length_m": 6, "width_m": 4}}
    for body, pointer in [
        ({**packed, "x": 1}, "/x"),
        ({"crate": {"length_m": 6, "width_m": 4, "x": 1}}, "/crate/x"),
        ({**packed, "items": [{"mass_kg": 1}, {"mass_kg": 1, "x": 1}]}, "/items/1/x"),
        ({**packed, "frequency_hz": {"from_hz": 2, "to_hz": 3, "x": 1}}, "/frequency_hz/x"),
    ]:
        (fault,) = faults(PackSchema(), body)
        assert (fault["pointer"], fault["code"]) == (pointer, "unknown_field")


def test_thousands_of_unknown_fields_are_cut_short():
    body = {"length_m": 6, "width_m": 4, **{f"name_{index}": 1 for index in range(20_000)}}
    assert len(faults(CrateSchema(), body)) == 20


def test_a_name_of_great_length_is_not_echoed_in_full():
    (fault,) = faults(CrateSchema(), {"length_m": 6, "width_m": 4, "n" * 100_000: 1})
    assert fault["pointer"] == ""
    assert len(fault["detail"]) < 300


def test_exactly_one_of():
    schema = ItemSchema()
    assert schema.load({"volume_m3": 2}) == {"volume_m3": 2.0}
    (none,) = faults(schema, {})
    assert (none["pointer"], none["code"], none["allowed"]) == ("", "missing", ["mass_kg", "volume_m3"])
    (both,) = faults(schema, {"mass_kg": 1, "volume_m3": 2})
    assert (both["code"], both["given"]) == ("give_only_one", "mass_kg, volume_m3")


def test_at_most_one_of():
    packed = {"crate": {"length_m": 6, "width_m": 4}}
    assert PackSchema().load({**packed, "shade": "dark"})["shade"] == "dark"
    (fault,) = faults(PackSchema(), {**packed, "shade": "dark", "colour": "red"})
    assert (fault["pointer"], fault["code"]) == ("", "give_only_one")


def test_a_rule_over_names_that_do_not_exist_is_a_slip_of_ours():
    class SlipSchema(StrictSchema):
        at_most_one_of = (("a", "b"),)
        a = fields.Flag()

    with pytest.raises(TypeError, match=r"SlipSchema: no such fields: \['b'\]"):
        SlipSchema()


def test_a_refusal_of_the_domain_points_at_its_field():
    (fault,) = faults(PackSchema(), {"crate": {"length_m": 3, "width_m": 4}})
    assert (fault["pointer"], fault["code"], fault["given"]) == ("/crate/length_m", "out_of_range", 3.0)
    assert fault["allowed"] == "at least 4"
    (fault,) = faults(PackSchema(), {"crate": {"length_m": 20, "width_m": 13}})
    assert (fault["pointer"], fault["code"]) == ("/crate/width_m", "unlucky")


def test_any_other_error_of_the_domain_is_not_taken_for_a_refusal():
    class BrokenSchema(StrictSchema):
        a = fields.Flag()

        def make(self, data):
            return {}["a"] if data["a"] else float("x")

    with pytest.raises(ValueError, match="could not convert"):
        BrokenSchema().load({"a": False})
    with pytest.raises(KeyError):
        BrokenSchema().load({"a": True})


class OddlyNamedSchema(StrictSchema):
    odd = fields.Flag(data_key="a/b")


def test_a_pointer_is_made_of_declared_names():
    """By RFC 6901 a/b is written a~1b; a field that the schema has not got has no pointer."""
    assert OddlyNamedSchema().pointer("odd", 1, "x") == "/a~1b/1/x"
    with pytest.raises(KeyError, match="even"):
        OddlyNamedSchema().pointer("even")


def test_a_note_is_taken_at_the_top_and_goes_nowhere():
    class NotedSchema(RequestSchema):
        side_m = fields.Number(Limit(minimum=1, maximum=50))

    assert NotedSchema().load({"note": "Who asks and what.", "side_m": 2}) == {"side_m": 2.0}
    (fault,) = faults(NotedSchema(), {"note": 5})
    assert (fault["pointer"], fault["code"]) == ("/note", "not_text")
    (fault,) = faults(CrateSchema(), {"length_m": 6, "width_m": 4, "note": "x"})
    assert fault["code"] == "unknown_field"
