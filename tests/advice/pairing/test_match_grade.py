"""Grades and ranks of a comparison: the worst of power, load and noise, and who cannot be told apart."""

import dataclasses
import math

import numpy as np
import pytest

from service.advice import policy
from service.advice.pairing.grade import audibility_of, confidence_of, graded, ranks
from service.advice.pairing.quantities import Quantities
from tests.advice.bodies import ask, body, codes
from tests.advice.compared import OPEN_AIR, SPEAKER, entry

FINE = {
    "headroom_db": 20.0,
    "headroom_standard_db": 2.0,
    "load_loss_db": 0.0,
    "load_is_too_low": False,
    "noise_margin_db": -20.0,
    "level_swing_db": 0.1,
    "volume_below_full_db": 20.0,
}


def numbers_of(**told):
    """Quantities of which only some are known."""
    unknown = {field.name: np.nan for field in dataclasses.fields(Quantities)}
    return Quantities(
        **unknown | {"load_is_too_low": False} | {name: np.asarray(value) for name, value in told.items()}
    )


@pytest.mark.parametrize(
    ("change", "grade"),
    [
        ({}, "suits_well"),
        ({"headroom_db": 3.0}, "suits"),  # 1.5 standard uncertainties
        ({"headroom_db": 0.0}, "suits_with_care"),
        ({"headroom_db": -3.0}, "does_not_suit"),
        ({"load_is_too_low": True}, "does_not_suit"),
        ({"noise_margin_db": 0.0}, "suits"),
        ({"noise_margin_db": 6.0}, "suits_with_care"),
        ({"noise_margin_db": 20.0}, "does_not_suit"),
        ({"noise_margin_db": 20.0, "noise_was_told": False}, "suits_with_care"),
        ({"noise_margin_db": math.nan}, "suits_well"),
        ({"level_swing_db": 4.0}, "suits"),
        ({"level_swing_db": 4.0, "volume_below_full_db": -3.0}, "suits"),  # one step for both together
        ({"level_swing_db": 4.0, "taste": "valve_colour_welcome"}, "suits_well"),
        ({"level_swing_db": 1.5, "taste": "as_recorded"}, "suits"),
        ({"level_swing_db": math.nan}, "suits_well"),
        ({"headroom_db": 3.0, "load_loss_db": 7.0}, "does_not_suit"),
        ({"load_loss_db": 7.0}, "suits_well"),  # 13 dB are left there: the limit is never met
        ({"headroom_db": -3.0, "level_swing_db": 9.0}, "does_not_suit"),
    ],
)
def test_the_grade_is_the_worst_lowered_by_one_step_at_most(change, grade):
    told = {"noise_was_told": True, "taste": "no_preference"}
    told |= {name: change[name] for name in told if name in change}
    numbers = {name: value for name, value in {**FINE, **change}.items() if name not in told}
    assert policy.GRADES[int(graded(numbers_of(**numbers), **told).overall)] == grade


def test_a_headroom_is_graded_in_standard_uncertainties():
    # 2 u and more: 98 of 100 rooms stay clean; 1 u: 84; -1 u: 16
    headroom_db = np.array([4.0, 3.9, 2.0, 1.9, -2.0, -2.1])
    found = graded(numbers_of(**FINE | {"headroom_db": headroom_db}), noise_was_told=True, taste="no_preference").power
    grades = ["suits_well", "suits", "suits", "suits_with_care", "suits_with_care", "does_not_suit"]
    assert [policy.GRADES[place] for place in found.tolist()] == grades


@pytest.mark.parametrize(
    ("uncertainty_db", "word"), [(2.7, "firm"), (2.75, "firm"), (2.8, "fair"), (4.25, "fair"), (4.3, "rough")]
)
def test_confidence(uncertainty_db, word):
    # of the headroom, how loud somebody listens included: 2.2 dB of room and speaker make with 1.2 dB of a measured
    # level 2.5 dB, with 3 dB of a level that nobody told 3.7 dB
    assert confidence_of(uncertainty_db) == word


def test_equal_within_uncertainty_share_a_rank():
    # 0.5 dB apart, 0.6 dB each: hypot 0.85; the third is 1.5 dB from the first of its rank, though not from the second
    order, found = ranks([0, 0, 0, 1], [10.0, 9.5, 8.5, 30.0], [0.6] * 4)
    assert (order, found) == ([0, 1, 2, 3], [1, 1, 3, 4])
    answer = ask("match", body(OPEN_AIR, amplifiers=[{"power_w": 8, "name": "A"}, {"power_w": 8.5, "name": "B"}]))
    assert [each.rank for each in answer.ranking] == [1, 1]
    assert all("equal_within_uncertainty" in codes(each.findings) for each in answer.ranking)
    assert "A" in answer.findings[0].text
    assert "B" in answer.findings[0].text


def test_audibility():
    assert [audibility_of(db) for db in (None, -10.0, 0.0, 10.0)] == [None, "inaudible", "borderline", "audible"]


def test_a_load_below_the_lowest_never_suits():
    made_for_eight = {"power_w": 500, "load_ohm": 8, "minimum_load_ohm": 8}
    four = {"nominal_impedance_ohm": 4, "minimum_impedance_ohm": 3.4}
    assert entry(made_for_eight).grade == "suits_well"
    found = entry(made_for_eight, speaker=four)
    assert found.grade == "does_not_suit"
    assert "load_too_low" in codes(found.findings)


@pytest.mark.parametrize(
    ("speaker", "least_ohm", "too_low"),
    [
        ({"minimum_impedance_ohm": 5}, 6, True),  # 8 ohm by name, but told to go down to 5
        ({"minimum_impedance_ohm": 7}, 6, False),
        ({}, 7, False),  # usually 6.8 ohm, but nobody told it: the rated impedance counts
        ({"nominal_impedance_ohm": 4}, 6, True),
    ],
)
def test_which_impedance_counts_against_the_lowest_load(speaker, least_ohm, too_low):
    found = entry({"power_w": 500, "load_ohm": 8, "minimum_load_ohm": least_ohm}, speaker=speaker)
    assert (found.grade == "does_not_suit") is too_low


def test_taste_moves_only_the_limits_of_the_swing():
    triode = {"power_w": 50, "load_ohm": 8, "output_impedance_ohm": 2.5, "noise_uv": 5}
    found = [entry(triode, taste=taste) for taste in ("as_recorded", "no_preference", "valve_colour_welcome")]
    assert [each.grade for each in found] == ["suits", "suits_well", "suits_well"]
    assert len({each.headroom_db for each in found}) == 1


def test_the_lowest_impedance_is_asked_for_where_it_decides():
    # a headphone amplifier at its current limit: the power falls with the impedance, 0.75 to 0.95 of the rated one
    headphone = {
        "kind": "headphone_amplifier",
        "ratings": [{"load_ohm": 32, "power_w": 2}, {"load_ohm": 8, "power_w": 0.5}],
        "noise_uv": 5,
    }
    scene = body(OPEN_AIR, amplifiers=[{"power_w": 0.1}, headphone], listening_level_dba=75)
    untold = ask("match", scene)
    told = ask("match", body(scene, speaker={"minimum_impedance_ohm": 6.8}))
    assert untold.sharpen.about == "lowest_impedance"
    assert untold.sharpen.pointers == ["/speaker/minimum_impedance_ohm"]
    before_db, after_db = (answer.ranking[0].headroom_uncertainty_db for answer in (untold, told))
    assert before_db - after_db == pytest.approx(untold.sharpen.narrows_db)
    assert untold.sharpen.narrows_db > 0.05


def test_what_is_asked_of_an_amplifier_stands_at_its_place():
    # one rating far from this load: the power into it is what is not known
    scene = body(OPEN_AIR, amplifiers=[{"power_w": 0.001}, {"power_w": 9, "load_ohm": 16}], listening_level_dba=75)
    asked = ask("match", body(scene, speaker={"minimum_impedance_ohm": 6.8})).sharpen
    assert (asked.about, asked.pointers) == ("amplifier_power", ["/amplifiers/1/ratings"])


def test_several_speakers_are_ranked_for_one_amplifier():
    speakers = [{**SPEAKER, "name": str(db), "sensitivity_db_2v83_1m": db} for db in (90, 101, 95)]
    posted = {"speakers": speakers, "amplifier": {"power_w": 2, "load_ohm": 8}, "listening_distance_m": 2.0}
    answer = ask("match", posted)
    assert [each.name for each in answer.ranking] == ["101", "95", "90"]
    first, second, third = (each.headroom_db for each in answer.ranking)
    assert (first - second, second - third) == (pytest.approx(6.0), pytest.approx(5.0))


def test_assumptions_stand_at_their_own_places():
    amplifiers = [{"power_w": 2, "kind": "single_ended_triode"}, {"power_w": 20, "kind": "class_d"}]
    pointers = {each.pointer for each in ask("match", body(OPEN_AIR, amplifiers=amplifiers)).assumptions}
    assert {"/amplifiers/0/hum_mv", "/amplifiers/1/hum_mv", "/amplifiers/1/gain_db", "/source/output_v"} <= pointers
    assert not any((pointer or "").startswith("/amplifier/") for pointer in pointers)
