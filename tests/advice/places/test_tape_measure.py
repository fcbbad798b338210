"""Distances by tape measure: recomputed from the coordinates, in centimetres and in feet and inches."""

import pytest

from service.advice.language.localise import text_of
from service.advice.places.tape_measure import feet_and_inches, tape_measure
from service.domain.position import Place

LEFT, RIGHT = Place(x_m=1.2, y_m=0.9, z_m=0.9), Place(x_m=1.2, y_m=3.3, z_m=0.9)
SEAT = (2.8, 2.1, 1.05)
ROOM_M = (5.4, 4.1, 2.5)


def rows(speakers, seats=(SEAT,), language="en"):
    return [
        (mark.mark, mark.as_found, text_of(mark.measure_from, language), text_of(mark.measure_to, language), mark.cm)
        for mark in tape_measure(speakers, seats, dimensions_m=ROOM_M)
    ]


def test_pair_by_hand():
    """Right speaker 4.1 - 3.3 = 0.8 m from its wall, chair 5.4 - 2.8 = 2.6 m from the wall behind; both checks
    sqrt(1.6^2 + 1.2^2) = 2 m, heights left out."""
    assert rows([LEFT, RIGHT]) == [
        (1, "front_wall_to_baffle_m", "wall behind the speakers", "left speaker", 120.0),
        (2, "left_wall_to_left_baffle_m", "wall to your left", "left speaker", 90.0),
        (3, "front_wall_to_baffle_m", "wall behind the speakers", "right speaker", 120.0),
        (4, "right_wall_to_right_baffle_m", "wall to your right", "right speaker", 80.0),
        (5, "spacing_m", "left speaker", "right speaker", 240.0),
        (6, "back_wall_to_ears_m", "wall behind you", "chair, below the ears", 260.0),
        (7, "left_wall_to_ears_m", "wall to your left", "chair, below the ears", 210.0),
        (8, None, "left speaker", "chair, below the ears (check)", 200.0),
        (9, None, "right speaker", "chair, below the ears (check)", 200.0),
    ]


def test_toe_in_by_the_two_front_corners():
    """0.40 m wide, turned in by 30 degrees: 0.40 sin 30 = 0.20 m between the corners. The left speaker looks to the
    right, so its right, inner corner is the nearer one to the wall behind."""
    turned = [Place(x_m=1.2, y_m=y_m, z_m=0.9, facing_deg=deg) for y_m, deg in ((0.9, 30.0), (3.3, -30.0))]
    marks = tape_measure(turned, (SEAT,), dimensions_m=ROOM_M, cabinet_width_m=0.4)
    found = [(text_of(mark.measure_from, "en"), text_of(mark.measure_to, "en"), mark.cm) for mark in marks[5:7]]
    assert found == [
        ("left speaker, right front corner", "its left front corner, farther from the wall behind by", 20.0),
        ("right speaker, left front corner", "its right front corner, farther from the wall behind by", 20.0),
    ]
    assert all(mark.as_found is None for mark in marks[5:7])
    assert [mark.mark for mark in marks] == list(range(1, 12))


def test_bass_sections_that_stand_apart_are_laid_out():
    """Each from the wall behind and from the nearer side wall: 4.1 - 3.6 = 0.5 m."""
    bass = [Place(x_m=0.6, y_m=3.6, z_m=0.3), Place(x_m=0.5, y_m=0.4, z_m=0.3)]
    marks = tape_measure([LEFT, RIGHT], (SEAT,), dimensions_m=ROOM_M, bass=bass)
    found = [(text_of(mark.measure_from, "en"), text_of(mark.measure_to, "en"), mark.cm) for mark in marks[7:11]]
    assert found == [
        ("wall behind the speakers", "left bass section", 50.0),
        ("wall to your left", "left bass section", 40.0),
        ("wall behind the speakers", "right bass section", 60.0),
        ("wall to your right", "right bass section", 50.0),
    ]


def test_another_front_wall_names_no_field_of_as_found():
    marks = tape_measure([LEFT, RIGHT], (SEAT,), dimensions_m=ROOM_M, names_as_found=False)
    assert {mark.as_found for mark in marks} == {None}


def test_german_marks():
    assert rows([LEFT, RIGHT], language="de")[0][2:4] == ("Wand hinter den Lautsprechern", "linker Lautsprecher")


def test_a_pair_not_on_one_line_cannot_be_told_as_found():
    found = rows([LEFT, Place(x_m=1.3, y_m=3.3, z_m=0.9)])
    assert [row[1] for row in found[:5]] == [
        None,
        "left_wall_to_left_baffle_m",
        None,
        "right_wall_to_right_baffle_m",
        None,
    ]
    assert (found[0][4], found[2][4]) == (120.0, 130.0)


def test_speakers_told_right_first_keep_their_names():
    """Each keeps its own distances: the check of the left one differs from that of the right one by a chair aside."""
    aside = (2.8, 1.8, 1.05)
    assert rows([RIGHT, LEFT], [aside]) == rows([LEFT, RIGHT], [aside])


def test_one_speaker_has_no_distance_between():
    assert [row[2:4] for row in rows([LEFT])] == [
        ("wall behind the speaker", "speaker"),
        ("wall to your left", "speaker"),
        ("wall behind you", "chair, below the ears"),
        ("wall to your left", "chair, below the ears"),
        ("speaker", "chair, below the ears (check)"),
    ]


def test_the_first_of_several_seats_is_laid_out():
    assert rows([LEFT, RIGHT], (SEAT, (3.9, 1.0, 1.05))) == rows([LEFT, RIGHT])


@pytest.mark.parametrize(
    ("length_m", "words"),
    [
        (0.3048, "1 ft 0 in"),
        (1.8923, "6 ft 2.5 in"),  # 74.5 inches
        (0.254, "10 in"),
        (0.3, "1 ft 0 in"),  # 11.81 inches: to the nearest half inch 12
        (2.0, "6 ft 6.5 in"),  # 78.74 inches
        (0.0, "0 in"),
    ],
)
def test_feet_and_inches(length_m, words):
    assert feet_and_inches(length_m) == words
