"""Requests of the tests as JSON bodies, read by the schemas of the service and answered by the advice."""

import copy
import dataclasses
import math

import numpy as np

from service.advice.assumptions import Assumptions
from service.advice.language.localise import localised
from service.advice.pairing.pair_findings import sound_findings
from service.advice.pairing.pairing import paired
from service.web import operations

OPERATIONS = {each.path.removeprefix("/v1/"): each for each in operations.OPERATIONS if each.request_schema is not None}

WALLS = ("front_wall", "back_wall", "left_wall", "right_wall", "floor", "ceiling")

FEW_FACTS = {
    "speaker": {"sensitivity_db_1w_1m": 98},
    "amplifier": {"power_w": 8},
    "room": {"length_m": 5.4, "width_m": 4.1, "height_m": 2.5},
    "listening_distance_m": 2.9,
}
"""A sensitivity, a power, a distance and a room."""

FLAT_SPEAKER = {"sensitivity_space": "free_field", "low_limit_hz": 5, "low_order": 8}
"""What makes a speaker's free-field response flat over the octaves of the level budget."""


def body(base=FEW_FACTS, **changes):
    """Return a copy of a body with blocks merged and other values replaced; None takes a value out."""
    result = copy.deepcopy(base)
    for name, value in changes.items():
        if value is None:
            result.pop(name, None)
        elif isinstance(value, dict) and isinstance(result.get(name), dict):
            result[name] = body(result[name], **value)
        else:
            result[name] = copy.deepcopy(value)
    return result


def request(operation, posted):
    """Return a body as the request object of an operation."""
    return OPERATIONS[operation].request_schema().load(copy.deepcopy(posted))


def ask(operation, posted, language="en"):
    """Return the answer of an operation to a body, in a language."""
    return localised(OPERATIONS[operation].answer(posted, request(operation, posted)), language)


def level_of(**changes):
    """Return the level answer to the few facts with changes."""
    return ask("level", body(**changes))


def paired_with(operation, posted):
    """Return the leading pair of a body, and what was assumed."""
    assume = Assumptions()
    return paired(request(operation, posted), assume).leading, assume.listed()


def on_speaker(posted):
    """Return the pair of a level, what its amplifier does to its speaker, the findings of it, and what was assumed."""
    pair, listed = paired_with("level", posted)
    return pair, pair.on_speaker, sound_findings(pair), listed


def all_walls(surface):
    """Return all six surfaces alike."""
    return dict.fromkeys(WALLS, surface)


def part_db(answer, about):
    """Return one contribution to the uncertainty of a level answer, 0 where it plays no part."""
    return {part.about: part.standard_db for part in answer.uncertainty_parts}.get(about, 0.0)


def codes(items):
    """Return the codes of findings, cautions or limits."""
    return [item.code for item in items]


def numbers_that_are_not_finite(answer, path=""):
    """Yield the path of every number of an answer that is infinite or NaN."""
    if dataclasses.is_dataclass(answer):
        for field in dataclasses.fields(answer):
            yield from numbers_that_are_not_finite(getattr(answer, field.name), f"{path}/{field.name}")
    elif isinstance(answer, dict):
        for name, value in answer.items():
            yield from numbers_that_are_not_finite(value, f"{path}/{name}")
    elif isinstance(answer, list | tuple):
        for value in answer:
            yield from numbers_that_are_not_finite(value, path)
    elif (isinstance(answer, np.ndarray) and not np.isfinite(answer).all()) or (
        isinstance(answer, float) and not math.isfinite(answer)
    ):
        yield path
