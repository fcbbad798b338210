"""Refusals of the physics: one error class that says name, value, unit and what is allowed."""

import math
from collections.abc import Callable
from typing import Any, TypeVar

import numpy as np

from service.physics.types import BoolArray

T = TypeVar("T")


class OutOfRangeError(ValueError):
    """A quantity lies outside the domain of the formula that was asked for it.

    Attributes
    ----------
    name : str
        Name of the quantity, its unit at the end (`length_m`).
    value : object
        What was given.
    allowed : str
        The domain in words: "greater than 0".
    """

    def __init__(self, *, name: str, value: object, allowed: str) -> None:
        self.name = name
        self.value = value
        self.allowed = allowed
        super().__init__(f"{name} must be {allowed}; got {value!r}")


def _offending(value: Any, mask: BoolArray) -> object:
    array = np.asarray(value)
    return array[~mask].flat[0].item() if array.ndim else array.item()


def _require(value: T, *, name: str, allowed: str, test: Callable[[Any], Any]) -> T:
    """Return `value` when every element is finite and passes `test`, else refuse by name."""
    if isinstance(value, (float, int)):  # the common case, without a detour through arrays
        if math.isfinite(value) and test(value):
            return value
        raise OutOfRangeError(name=name, value=value, allowed=allowed)
    array = np.asarray(value)
    if array.dtype.kind not in "biuf":
        raise OutOfRangeError(name=name, value=value, allowed="a real number")
    good = np.isfinite(array) & test(array)
    if not good.all():
        raise OutOfRangeError(name=name, value=_offending(value, good), allowed=allowed)
    return value


def require_finite(value: T, *, name: str) -> T:
    """Return `value`, refused unless every element is a finite number."""
    return _require(value, name=name, allowed="a finite number", test=lambda array: True)


def require_positive(value: T, *, name: str) -> T:
    """Return `value`, refused unless every element is finite and greater than 0."""
    return _require(value, name=name, allowed="greater than 0", test=lambda array: array > 0)


def require_not_negative(value: T, *, name: str) -> T:
    """Return `value`, refused unless every element is finite and at least 0."""
    return _require(value, name=name, allowed="at least 0", test=lambda array: array >= 0)


def require_between(value: T, *, name: str, low: float, high: float) -> T:
    """Return `value`, refused unless every element is finite and between `low` and `high`, ends included.

    Parameters
    ----------
    value : array_like of float
        What is checked. [any]
    name : str
        For the message. [-]
    low, high : float
        Ends of the range. [as value]
    """
    return _require(
        value, name=name, allowed=f"from {low:g} to {high:g}", test=lambda array: (array >= low) & (array <= high)
    )
