"""Plausible ranges and requests that ask for too much."""

import pytest

from service.advice.language.localise import said
from service.domain import limits
from service.domain.equipment import Amplifier, Loudspeaker
from service.domain.errors import DomainError
from service.domain.limits import LIMITS, Limit
from service.domain.position import Place, Positions, Source
from service.domain.requests import ExposureRequest, LevelRequest, Period, ResponseRequest
from service.domain.room import Room

ROOM = Room(length_m=5.0, width_m=4.0, height_m=2.5)


def test_ends_belong_to_a_range_unless_said():
    closed, open_below = Limit(minimum=1.5, maximum=30.0), Limit(minimum=0.0, maximum=9.0, above=True)
    assert [closed.allows(value) for value in (1.49, 1.5, 30.0, 30.1)] == [False, True, True, False]
    assert [open_below.allows(value) for value in (0.0, 1e-9, 9.0)] == [False, True, True]
    assert said(closed.words, "en") == "from 1.5 to 30"
    assert said(open_below.words, "en") == "more than 0 and at most 9"
    assert said(closed.words, "de") == "von 1,5 bis 30"


def test_every_range_has_room():
    for name, limit in LIMITS.items():
        assert limit.minimum < limit.maximum, name


def test_highest_sensitivity_is_what_physics_allows():
    # one acoustic watt into full space at 1 m is 109.15 dB; with 12 dB of directivity 121.15 dB
    assert LIMITS["sensitivity_db"].maximum == 121.0


@pytest.mark.parametrize(("sources", "seats", "frequencies", "fits"), [(8, 32, 156, True), (8, 32, 157, False)])
def test_no_response_costs_unbounded_time(sources, seats, frequencies, fits):
    asked = {
        "room": ROOM,
        "sources": tuple(Source(x_m=1.0, y_m=1.0, z_m=1.0) for _ in range(sources)),
        "seats": tuple(Place(x_m=3.0, y_m=2.0, z_m=1.0) for _ in range(seats)),
        "frequency_hz": tuple(float(20 + step) for step in range(frequencies)),
    }
    assert (sources * seats * frequencies <= limits.MOST_RESPONSE_VALUES) is fits
    if fits:
        assert ResponseRequest(**asked).damping == "surfaces"
    else:
        with pytest.raises(DomainError, match="too_many_values"):
            ResponseRequest(**asked)


def test_uniform_damping_needs_a_time():
    seats = (Place(x_m=3.0, y_m=2.0, z_m=1.0),)
    with pytest.raises(DomainError, match="uniform_damping") as refused:
        ResponseRequest(
            room=ROOM,
            sources=(Source(x_m=1.0, y_m=1.0, z_m=1.0),),
            seats=seats,
            frequency_hz=(50.0,),
            damping="uniform",
        )
    assert refused.value.pointer == "/room/reverberation_time_s"


def test_a_day_has_24_hours():
    assert ExposureRequest(periods=(Period(level_dba=80.0, hours=20.0), Period(level_dba=70.0, hours=4.0))).periods
    with pytest.raises(DomainError, match=r"day_too_long.*24\.5"):
        ExposureRequest(periods=(Period(level_dba=80.0, hours=20.0), Period(level_dba=70.0, hours=4.5)))


def test_places_need_their_room():
    places = Positions(speakers=(Place(x_m=1.0, y_m=1.0, z_m=1.0),), seats=(Place(x_m=3.0, y_m=1.0, z_m=1.0),))
    with pytest.raises(DomainError, match="places_without_room"):
        LevelRequest(speaker=Loudspeaker(sensitivity_db_1w_1m=98.0), amplifier=Amplifier(power_w=8.0), positions=places)
