"""Writing of answers."""

import json
from dataclasses import dataclass

import numpy as np
import pytest

from service.web.writing.dump import to_json


@dataclass(frozen=True, kw_only=True)
class Inner:
    level_db: float
    orders: tuple = (1, 0, 2)


@dataclass(frozen=True, kw_only=True)
class Outer:
    inner: Inner
    rows: list
    by_name: dict
    nothing: None = None


def written(value):
    return json.loads(to_json(value))


def test_dataclasses_lists_and_dicts_nest():
    answer = Outer(inner=Inner(level_db=94.88), rows=[Inner(level_db=1.0)], by_name={"a": (True, "x", None, 3)})
    assert written(answer) == {
        "inner": {"level_db": 94.88, "orders": [1, 0, 2]},
        "rows": [{"level_db": 1.0, "orders": [1, 0, 2]}],
        "by_name": {"a": [True, "x", None, 3]},
        "nothing": None,
    }


def test_fields_keep_their_order():
    text = to_json(Outer(inner=Inner(level_db=1.0), rows=[], by_name={}))
    assert [text.index(name) for name in (b"inner", b"rows", b"by_name", b"nothing")] == sorted(
        text.index(name) for name in (b"inner", b"rows", b"by_name", b"nothing")
    )


@pytest.mark.parametrize(
    ("value", "text"),
    [
        # six significant digits, by hand
        (94.8848751, b"94.8849"),
        (0.000123456789, b"0.000123457"),
        (1234567.8, b"1234570.0"),
        (2 / 3, b"0.666667"),
        (-0.0, b"0.0"),
        (3.0, b"3.0"),
        (np.float64(2 / 3), b"0.666667"),
        (np.float32(0.1), b"0.1"),
        (np.int64(7), b"7"),
        (np.bool_(True), b"true"),
        (123456789, b"123456789"),
        ("\u00e9 \u2264", '"\u00e9 \u2264"'.encode()),
    ],
)
def test_scalars(value, text):
    assert to_json(value) == text


@pytest.mark.parametrize(
    ("array", "expected"),
    [
        # four decimals, by hand
        (np.array([88.123456, -0.00004, 20.0]), [88.1235, 0.0, 20.0]),
        (np.array([1.5, np.nan]), [1.5, None]),
        (np.array([[1.0, 2.0], [3.0, 4.0]]).T, [[1.0, 3.0], [2.0, 4.0]]),
        (np.arange(10.0)[::3], [0.0, 3.0, 6.0, 9.0]),
        (np.array([0.1], dtype=np.float32), [0.1]),
        (np.array([10**12, 3]), [10**12, 3]),
        (np.array([True, False]), [True, False]),
        (np.array([]), []),
    ],
)
def test_arrays(array, expected):
    assert written({"a": array}) == {"a": expected}


def test_negative_zero_is_not_written():
    assert to_json(np.array([-0.0, -0.00001])) == b"[0.0,0.0]"


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf"), np.float64("nan"), [1.0, float("nan")]])
def test_a_lone_number_that_is_not_finite_raises(value):
    with pytest.raises(ValueError, match="not finite"):
        to_json({"a": value})


def test_an_infinite_number_in_an_array_raises():
    with pytest.raises(ValueError, match="infinite"):
        to_json(np.array([1.0, -np.inf]))


@pytest.mark.parametrize("value", [{1, 2}, 1j, object(), np.array(["x"]), np.array([1j]), b"x"])
def test_what_json_has_no_word_for_raises(value):
    with pytest.raises(TypeError):
        to_json({"a": value})


def test_the_array_given_stays_as_it_was():
    array = np.array([1.23456789, np.nan])
    to_json(array)
    assert array[0] == 1.23456789
