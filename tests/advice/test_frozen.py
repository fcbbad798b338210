"""Models that a cache hands to several threads hold no array that anybody could write into."""

import dataclasses
from functools import cached_property

import numpy as np
import pytest

from service.advice.assumptions import Assumptions
from service.advice.pairing.pairing import paired
from service.advice.programme import usual_programme
from service.advice.room.cached import cached_room_model
from service.advice.speaker import load
from service.advice.speaker.cached import cached_speaker_model
from tests.advice.bodies import body, request

TOLD = body(
    speaker={
        "driver_parameters": {"resonance_hz": 45, "mechanical_q": 4, "total_q": 0.5, "dc_resistance_ohm": 6},
        "kind": "open_baffle",
    },
    room={
        "people": 2,
        "openings": [{"wall": "left_wall", "area_m2": 1.5}],
        "surfaces": {"floor": {"absorption_coefficient": 0.2}},
    },
)


def arrays(record):
    """Every array that a record holds, those included that it computes when first asked."""
    if isinstance(record, np.ndarray):
        yield record
    elif isinstance(record, dict):
        yield from arrays(list(record.values()))
    elif isinstance(record, list | tuple):
        for item in record:
            yield from arrays(item)
    elif dataclasses.is_dataclass(record):
        late = [name for name, value in vars(type(record)).items() if isinstance(value, cached_property)]
        yield from arrays([getattr(record, name) for name in (*(f.name for f in dataclasses.fields(record)), *late)])


def cached_models():
    told = request("level", TOLD)
    room = cached_room_model(told.room, Assumptions())
    speaker = cached_speaker_model(told.speaker, Assumptions(), speed_of_sound_m_s=343.2)
    pairing = paired(told, Assumptions())
    return {
        "room": room,
        "speaker": speaker,
        "programme": usual_programme("orchestral"),
        "impedance curve": load._curve(told.speaker),
        "quantities": vars(pairing.numbers),
    }


@pytest.mark.parametrize("name", cached_models())
def test_nobody_can_write_into_a_shared_model(name):
    held = list(arrays(cached_models()[name]))
    assert held
    assert not any(array.flags.writeable for array in held)
