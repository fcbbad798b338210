"""Writing of answers: frozen dataclasses as JSON, numbers rounded to what they can mean."""

import dataclasses
import functools
import math
import operator

import numpy as np
import orjson

ARRAY_DECIMALS = 4
"""Decimals of the numbers in an array; a level, a frequency or a percentage needs no more."""


def to_json(answer):
    """Return an answer as JSON bytes.

    A number is rounded to 6 significant digits, the numbers of an array of float to 4 decimals. In an array,
    NaN means that there is no value and is written null. A lone number that is not finite, and an infinite
    one anywhere, is a fault of the service and raises ValueError.
    """
    return orjson.dumps(_plain(answer), option=orjson.OPT_SERIALIZE_NUMPY)


def _plain(value):
    kind = type(value)
    write = _WRITERS.get(kind)
    if write is None:
        write = _WRITERS[kind] = _writer_for(kind)
    return write(value)


def _itself(value):
    return value


@functools.lru_cache(maxsize=4096)  # many numbers of an answer are the defaults that every answer lists
def _number(value):
    if not math.isfinite(value):
        raise ValueError(f"a number that is not finite was about to be answered: {value}")
    return float(f"{value:.6g}") + 0.0  # the sum turns -0.0 into 0.0


def _array(value):
    if value.dtype.kind in "iub":
        return np.ascontiguousarray(value)
    if value.dtype.kind != "f":
        raise TypeError(f"an array of {value.dtype} cannot be answered")
    if np.isinf(value).any():
        raise ValueError("an array with an infinite number was about to be answered")
    return np.ascontiguousarray(np.round(value.astype(float), ARRAY_DECIMALS) + 0.0)


def _list(value):
    return [_plain(item) for item in value]


def _dict(value):
    return {key: _plain(item) for key, item in value.items()}


_AS_IS = frozenset((int, str, bool, type(None)))

_WRITERS = {
    float: _number,
    int: _itself,
    str: _itself,
    bool: _itself,
    type(None): _itself,
    list: _list,
    tuple: _list,
    dict: _dict,
    np.ndarray: _array,
}
"""How each type is written. Types of dataclasses are added as they are met."""


def _fields_writer(names):
    """Return the writer of a dataclass; most fields are written as they are, without a look-up."""
    if len(names) < 2:
        return lambda value: {name: _plain(getattr(value, name)) for name in names}
    values_of = operator.attrgetter(*names)

    def write(value):
        return {
            name: item if type(item) in _AS_IS else _plain(item)
            for name, item in zip(names, values_of(value), strict=True)
        }

    return write


def _writer_for(kind):
    if dataclasses.is_dataclass(kind):
        return _fields_writer([field.name for field in dataclasses.fields(kind)])
    if issubclass(kind, np.floating):
        return lambda value: _number(float(value))
    if issubclass(kind, np.integer):
        return int
    if issubclass(kind, np.bool_):
        return bool
    raise TypeError(f"a {kind.__name__} cannot be answered")
