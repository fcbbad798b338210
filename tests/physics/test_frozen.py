"""Arrays that threads share cannot be written to: those of the modules, and those that cached functions hand out."""

import dataclasses
import importlib
import pkgutil

import numpy as np
import pytest

import service.physics
from service.physics.frozen import frozen

MODULES = [
    importlib.import_module(found.name) for found in pkgutil.walk_packages(service.physics.__path__, "service.physics.")
]


def arrays_in(value):
    """Every array in a value, in containers and dataclasses too."""
    if isinstance(value, np.ndarray):
        yield value
    elif isinstance(value, dict):
        yield from arrays_in(list(value.values()))
    elif isinstance(value, list | tuple | set | frozenset):
        for each in value:
            yield from arrays_in(each)
    elif dataclasses.is_dataclass(value) and not isinstance(value, type):
        yield from arrays_in([getattr(value, field.name) for field in dataclasses.fields(value)])


def test_arrays_of_the_modules_are_frozen():
    writable = {
        f"{module.__name__}.{name}"
        for module in MODULES
        for name, value in vars(module).items()
        for array in arrays_in(value)
        if array.flags.writeable
    }
    assert not writable


def test_cached_functions_hand_out_frozen_arrays():
    """None takes an argument; one that does has to be called here with some."""
    cached = [
        value
        for module in MODULES
        for value in vars(module).values()
        if hasattr(value, "cache_info") and value.__module__ == module.__name__
    ]
    assert cached
    for function in cached:
        assert all(not array.flags.writeable for array in arrays_in(function())), function.__name__


def test_a_frozen_array_refuses_to_be_written_to():
    array = frozen(np.array([1.0, 2.0]))
    with pytest.raises(ValueError, match="read-only"):
        array[0] = 3.0
    assert array.tolist() == [1.0, 2.0]
