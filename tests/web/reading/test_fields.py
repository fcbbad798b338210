"""Fields: what each takes, what it refuses, and in which words."""

import marshmallow
import numpy as np
import pytest

from service.domain import limits
from service.domain.limits import Limit
from service.web.reading import fields
from service.web.reading.faults import flatten
from service.web.reading.schema_base import StrictSchema

SIDE = Limit(minimum=1, maximum=50)
POSITIVE = Limit(minimum=0, maximum=4, above=True)


class InnerSchema(StrictSchema):
    side_m = fields.Number(SIDE, required=True)


class ToySchema(StrictSchema):
    side_m = fields.Number(SIDE)
    gain = fields.Number(POSITIVE)
    count = fields.Whole(Limit(minimum=1, maximum=9))
    label = fields.Text(max_length=5, min_length=2)
    colour = fields.Choice(["red", "green"])
    polarity = fields.Choice([1, -1])
    sealed = fields.Flag()
    weights = fields.NumberArray(POSITIVE, max_length=30, min_length=2)
    tags = fields.ListOf(fields.Text(max_length=3), max_length=4)
    inner = fields.Block(InnerSchema)
    inners = fields.ListOf(fields.Block(InnerSchema), max_length=2)
    either = fields.ListOrBlock(fields.NumberArray(SIDE, max_length=3), fields.Block(InnerSchema))
    renamed = fields.Number(SIDE, data_key="new/name")


SCHEMA = ToySchema()


def faults(body):
    with pytest.raises(marshmallow.ValidationError) as caught:
        SCHEMA.load(body)
    return flatten(caught.value.messages)


TAKEN = [
    ("side_m", 1, 1.0),
    ("side_m", 50.0, 50.0),
    ("gain", 1e-9, 1e-9),
    ("count", 6, 6),
    ("count", 6.0, 6),
    ("label", "ab", "ab"),
    ("label", "\u00e9" * 5, "\u00e9" * 5),
    ("colour", "green", "green"),
    ("polarity", -1.0, -1),
    ("sealed", False, False),
    ("tags", ["a", "bcd"], ("a", "bcd")),
    ("inner", {"side_m": 2}, {"side_m": 2.0}),
    ("inners", [{"side_m": 2}, {"side_m": 3}], ({"side_m": 2.0}, {"side_m": 3.0})),
    ("either", {"side_m": 2}, {"side_m": 2.0}),
]


@pytest.mark.parametrize(("name", "given", "expected"), TAKEN)
def test_taken(name, given, expected):
    loaded = SCHEMA.load({name: given})
    assert loaded == {name: expected}
    assert type(loaded[name]) is type(expected)


def test_a_number_array_becomes_an_array_of_float():
    loaded = SCHEMA.load({"weights": [1, 2.5, 4]})["weights"]
    assert isinstance(loaded, np.ndarray)
    assert loaded.dtype == float
    assert loaded.tolist() == [1.0, 2.5, 4.0]
    assert SCHEMA.load({"either": [2, 3]})["either"].tolist() == [2.0, 3.0]


REFUSED = [
    # field, given, pointer, code
    ("side_m", "6", "/side_m", "not_a_number"),
    ("side_m", True, "/side_m", "not_a_number"),
    ("side_m", [6], "/side_m", "not_a_number"),
    ("side_m", None, "/side_m", "null_not_allowed"),
    ("side_m", 0.999, "/side_m", "out_of_range"),
    ("side_m", 50.001, "/side_m", "out_of_range"),
    ("side_m", -6, "/side_m", "out_of_range"),
    ("side_m", 10**400, "/side_m", "out_of_range"),
    ("side_m", float("nan"), "/side_m", "out_of_range"),
    ("side_m", float("inf"), "/side_m", "out_of_range"),
    ("gain", 0, "/gain", "out_of_range"),
    ("gain", 0.0, "/gain", "out_of_range"),
    ("count", 6.5, "/count", "not_whole"),
    ("count", True, "/count", "not_a_number"),
    ("count", "6", "/count", "not_a_number"),
    ("count", 10, "/count", "out_of_range"),
    ("count", 1e300, "/count", "out_of_range"),
    ("count", float("inf"), "/count", "not_whole"),
    ("label", 5, "/label", "not_text"),
    ("label", "abcdef", "/label", "too_long"),
    ("label", "a", "/label", "too_short"),
    ("colour", "blue", "/colour", "not_a_choice"),
    ("colour", ["red"], "/colour", "not_a_choice"),
    ("colour", {}, "/colour", "not_a_choice"),
    ("polarity", 0, "/polarity", "not_a_choice"),
    ("polarity", True, "/polarity", "not_a_choice"),  # though True == 1
    ("sealed", 1, "/sealed", "not_true_or_false"),
    ("sealed", "true", "/sealed", "not_true_or_false"),
    ("weights", 5, "/weights", "not_a_list"),
    ("weights", {"0": 1}, "/weights", "not_a_list"),
    ("weights", [1], "/weights", "too_short"),
    ("weights", [1] * 31, "/weights", "too_long"),
    ("weights", [1, "2"], "/weights/1", "not_a_number"),
    ("weights", [1, False, 2], "/weights/1", "not_a_number"),
    ("weights", [1, 2, None], "/weights/2", "null_not_allowed"),
    ("weights", [1, [2]], "/weights/1", "not_a_number"),
    ("weights", [1, 0], "/weights/1", "out_of_range"),
    ("weights", [4.5, 1], "/weights/0", "out_of_range"),
    ("weights", [1, 10**400], "/weights/1", "out_of_range"),
    ("weights", [1, float("nan")], "/weights/1", "out_of_range"),
    ("tags", "abc", "/tags", "not_a_list"),
    ("tags", [], "/tags", "too_short"),
    ("tags", ["a", 5], "/tags/1", "not_text"),
    ("inner", 5, "/inner", "not_an_object"),
    ("inner", [], "/inner", "not_an_object"),
    ("inner", None, "/inner", "null_not_allowed"),
    ("inner", {}, "/inner/side_m", "missing"),
    ("inner", {"side_m": None}, "/inner/side_m", "null_not_allowed"),
    ("inner", {"side_m": 2, "x": 1}, "/inner/x", "unknown_field"),
    ("inners", [{"side_m": 2}, {"side_m": 0}], "/inners/1/side_m", "out_of_range"),
    ("inners", [{"side_m": 2}, None], "/inners/1", "null_not_allowed"),
    ("inners", [{"side_m": 2}] * 3, "/inners", "too_long"),
    ("either", 5, "/either", "not_a_list_or_object"),
    ("either", [2, 0], "/either/1", "out_of_range"),
    ("either", {"side_m": 0}, "/either/side_m", "out_of_range"),
    ("either", None, "/either", "null_not_allowed"),
    ("new/name", 0, "/new~1name", "out_of_range"),
]


@pytest.mark.parametrize(("name", "given", "pointer", "code"), REFUSED)
def test_refused(name, given, pointer, code):
    (fault,) = faults({name: given})
    assert (fault["pointer"], fault["code"]) == (pointer, code)
    last_name = [step for step in pointer.split("/") if not step.isdigit()][-1]
    assert last_name.replace("~1", "/") in fault["detail"]
    assert fault["allowed"]


def test_words_of_a_refusal_name_field_value_and_range():
    assert faults({"side_m": 0.3})[0]["detail"] == "side_m must be a number from 1 to 50; got 0.3."
    assert faults({"side_m": 0.3})[0]["given"] == 0.3
    assert faults({"gain": 0})[0]["allowed"] == "a number more than 0 and at most 4"
    assert "Write numbers without quotes." in faults({"side_m": "6"})[0]["detail"]
    assert "Leave the field out" in faults({"side_m": None})[0]["detail"]
    assert "Leave the item out" in faults({"inners": [None]})[0]["detail"]
    assert "weights[1] must be" in faults({"weights": [1, 0]})[0]["detail"]
    assert "each of inners must be an object" in faults({"inners": [5]})[0]["detail"]


def test_a_choice_lists_the_choices_and_the_nearest():
    (fault,) = faults({"colour": "gren"})
    assert fault["allowed"] == ["red", "green"]
    assert fault["did_you_mean"] == "green"
    assert faults({"colour": "q" * 100_000})[0]["did_you_mean"] is None


def test_all_faults_are_told_at_once_and_in_order():
    found = faults({"sealed": 1, "side_m": "6", "weights": [0, 5, 1]})
    assert [fault["pointer"] for fault in found] == ["/side_m", "/sealed", "/weights/0", "/weights/1"]


def test_many_bad_items_are_cut_short():
    class ManySchema(StrictSchema):
        numbers = fields.NumberArray(SIDE, max_length=5000)
        texts = fields.ListOf(fields.Text(max_length=3), max_length=5000)

    with pytest.raises(marshmallow.ValidationError) as caught:
        ManySchema().load({"numbers": [0] * 5000, "texts": [5] * 5000})
    assert len(flatten(caught.value.messages)) == 40


def test_a_field_left_out_is_left_out():
    assert SCHEMA.load({}) == {}


def test_a_default_is_shown_and_not_filled_in():
    class DefaultSchema(StrictSchema):
        side_m = fields.Number(SIDE, default=20, unit="m", description="A side.")

    schema = DefaultSchema()
    assert schema.load({}) == {}
    assert schema.fields["side_m"].metadata == {"description": "A side.", "x-unit": "m", "default": 20}


def test_a_limit_may_be_called_by_name(monkeypatch):
    monkeypatch.setattr(limits, "LIMITS", {"side_m": SIDE}, raising=False)
    assert fields.Number("side_m").limit is SIDE
    assert fields.NumberArray("side_m", max_length=3).limit is SIDE
