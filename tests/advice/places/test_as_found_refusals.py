"""Tape readings that contradict each other or do not fit the room are refused at the reading to correct."""

import pytest

from service.advice.language.localise import said
from service.domain.errors import DomainError
from tests.advice.tape_readings import (
    ACROSS,
    FULL,
    HEIGHTS,
    PLACES,
    standing,
)

# refusals -------------------------------------------------------------------------------------------------------------

REFUSED = {
    # 4.1 - 1.2 - 0.7 = 2.2, not 2.3
    "spacing against walls": (
        {**ACROSS["left and right"], "spacing_m": 2.3},
        {},
        "/as_found/spacing_m",
        "contradiction",
        2.3,
    ),
    # the middle is 1.8, 0.25 left
    "shift against walls": (
        {**ACROSS["left and spacing"], "side_offset_m": 0.0},
        {},
        "/as_found/side_offset_m",
        "contradiction",
        0.0,
    ),
    # 2.0 by hand above
    "distance against tape": (FULL, {"distance_m": 2.06}, "/listening_distance_m", "contradiction", 2.06),
    "distance shorter than the depth": (
        {"front_wall_to_baffle_m": 1.0, "back_wall_to_ears_m": 2.4, **HEIGHTS},
        {"distance_m": 1.9},
        "/listening_distance_m",
        "contradiction",
        1.9,
    ),
    "sofa and a chair off the wall": (
        {"sofa_on_wall": True, "back_wall_to_ears_m": 0.7},
        {},
        "/as_found/back_wall_to_ears_m",
        "contradiction",
        0.7,
    ),
    "coordinates against tape": (
        {"front_wall_to_baffle_m": 0.9},
        {"positions": PLACES},
        "/as_found/front_wall_to_baffle_m",
        "contradiction",
        0.9,
    ),
    "coordinates against heights": (
        {"speaker_height_m": 1.1},
        {"positions": PLACES},
        "/as_found/speaker_height_m",
        "contradiction",
        1.1,
    ),
    "coordinates against sofa": (
        {"sofa_on_wall": True},
        {"positions": PLACES},
        "/as_found/sofa_on_wall",
        "contradiction",
        True,
    ),
    "spacing of one": ({"spacing_m": 2.0}, {"count": 1}, "/as_found/spacing_m", "contradiction", 2.0),
    "walls of one": (
        {**ACROSS["left and right"], "front_wall_to_baffle_m": 0.8},
        {"count": 1, "distance_m": 2.5},
        "/as_found/right_wall_to_right_baffle_m",
        "contradiction",
        1.2,
    ),
    "wider than the room": ({"spacing_m": 4.1}, {}, "/as_found/spacing_m", "does_not_fit", 4.1),
    "wider than the shift leaves": (
        {"spacing_m": 3.2, "side_offset_m": 0.5},  # 4.1 - 2 * 0.5 = 3.1
        {},
        "/as_found/spacing_m",
        "does_not_fit",
        3.2,
    ),
    "right speaker beyond the wall": (
        {"left_wall_to_left_baffle_m": 2.0, "spacing_m": 2.2},
        {},
        "/as_found/spacing_m",
        "does_not_fit",
        2.2,
    ),
    "right left of left": (
        {"left_wall_to_left_baffle_m": 2.5, "right_wall_to_right_baffle_m": 1.8},
        {},
        "/as_found/right_wall_to_right_baffle_m",
        "does_not_fit",
        1.8,
    ),
    "left speaker right of the middle": (
        {"left_wall_to_left_baffle_m": 2.2},
        {},
        "/as_found/left_wall_to_left_baffle_m",
        "does_not_fit",
        2.2,
    ),
    "speakers in the wall behind": (
        {"front_wall_to_baffle_m": 5.4},
        {},
        "/as_found/front_wall_to_baffle_m",
        "does_not_fit",
        5.4,
    ),
    "no chair behind the speakers": (
        {"front_wall_to_baffle_m": 5.2},
        {},
        "/as_found/front_wall_to_baffle_m",
        "does_not_fit",
        5.2,
    ),
    "chair in front of the speakers": (
        {"front_wall_to_baffle_m": 2.0, "back_wall_to_ears_m": 3.5},
        {},
        "/as_found/back_wall_to_ears_m",
        "does_not_fit",
        3.5,
    ),
    "sofa in front of the speakers": (
        {"front_wall_to_baffle_m": 5.15, "sofa_on_wall": True},
        {},
        "/as_found/front_wall_to_baffle_m",
        "does_not_fit",
        5.15,
    ),
    "chair beside the room": ({"left_wall_to_ears_m": 4.3}, {}, "/as_found/left_wall_to_ears_m", "does_not_fit", 4.3),
    "ears in the ceiling": (
        {"spacing_m": 2.0, "ear_height_m": 2.6},
        {},
        "/as_found/ear_height_m",
        "does_not_fit",
        2.6,
    ),
    "ears in the ceiling, usual places": (
        {"ear_height_m": 2.6},
        {"distance_m": 2.5},
        "/as_found/ear_height_m",
        "does_not_fit",
        2.6,
    ),
    "pair wider than twice the distance": (
        {"spacing_m": 3.0, **HEIGHTS},
        {"distance_m": 1.4},
        "/listening_distance_m",
        "does_not_fit",
        1.4,
    ),
    "distance beyond the wall behind": (
        {"front_wall_to_baffle_m": 2.0, "spacing_m": 2.0},
        {"distance_m": 4.0},
        "/listening_distance_m",
        "does_not_fit",
        4.0,
    ),
    "distance beyond the wall behind the speakers": (
        {"back_wall_to_ears_m": 2.0, "spacing_m": 2.0},
        {"distance_m": 4.0},
        "/listening_distance_m",
        "does_not_fit",
        4.0,
    ),
    "distance longer than the room": (
        {"spacing_m": 2.0},
        {"distance_m": 6.0},
        "/listening_distance_m",
        "does_not_fit",
        6.0,
    ),
    "distance longer than the room, sofa": (
        {"spacing_m": 2.0, "sofa_on_wall": True},
        {"distance_m": 6.0},
        "/listening_distance_m",
        "does_not_fit",
        6.0,
    ),
}


@pytest.mark.parametrize(("told", "others", "pointer", "code", "given"), REFUSED.values(), ids=REFUSED)
def test_refused(told, others, pointer, code, given):
    with pytest.raises(DomainError) as refused:
        standing(told, **others)
    error = refused.value
    assert (error.pointer, error.code, error.given) == (pointer, code, given)
    assert error.allowed


def test_a_refusal_says_what_the_others_make_of_it():
    with pytest.raises(DomainError) as refused:
        standing({**ACROSS["left and right"], "spacing_m": 2.3})
    assert said(refused.value.detail, "en") == "spacing_m says 2.3 m, what else was told makes it 2.20 m."
    assert said(refused.value.allowed, "en") == "2.20, or leave it out"
    with pytest.raises(DomainError) as refused:
        standing({"left_wall_to_left_baffle_m": 2.0, "spacing_m": 2.2})
    assert said(refused.value.allowed, "en") == "more than 0.00 and less than 2.10"


@pytest.mark.parametrize(("off_m", "refused"), [(0.04, False), (0.06, True)])
def test_five_centimetres_are_forgiven(off_m, refused):
    told = {**FULL, "right_wall_to_right_baffle_m": 0.8 + off_m}  # 4.1 - 0.9 - 2.4 = 0.8
    if not refused:
        assert standing(told).found
        return
    with pytest.raises(DomainError):
        standing(told)
