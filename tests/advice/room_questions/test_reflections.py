"""First reflections at the chair: a room of right triangles by hand, directivity, treatment, sentences, refusals.

Speaker (2, 2, 1) and seat (5, 2, 1) are 3 m apart, straight ahead, in a room of 8.5 x 5 x 3.5 m. Images and paths:
left wall y = -2, 3-4-5, 5 m; right wall y = 8, sqrt(9 + 36); front wall x = -2, 7 m; back wall x = 15, 10 m; floor
z = -1, sqrt(9 + 4); ceiling z = 6, sqrt(9 + 25). Every surface absorbs 0.2: 10 lg 0.8 = -0.969 dB.
"""

import math

import pytest

from service.advice.language.localise import LANGUAGES, localised, text_of
from tests.advice.bodies import OPERATIONS, all_walls, ask, body, codes, request

SIZE = {"length_m": 8.5, "width_m": 5.0, "height_m": 3.5}
DI_OF_CARDIOID_DB = 10 * math.log10(3)
ONE = {"speakers": [{"x_m": 2, "y_m": 2, "z_m": 1, "facing_deg": 0}], "seats": [{"x_m": 5, "y_m": 2, "z_m": 1}]}
HAND = {
    "room": {**SIZE, "surfaces": all_walls({"absorption_coefficient": 0.2})},
    "speaker": {"sensitivity_db_1w_1m": 95, "kind": "two_way", "directivity_index_db": 0},
    "positions": ONE,
}
PATHS_M = {
    "front_wall": 7,
    "back_wall": 10,
    "left_wall": 5,
    "right_wall": math.sqrt(45),
    "floor": math.sqrt(13),
    "ceiling": math.sqrt(34),
}
POINTS_M = {
    "front_wall": (0, 2, 1),
    "back_wall": (8.5, 2, 1),
    "left_wall": (3.5, 0, 1),
    "right_wall": (3.5, 5, 1),
    "floor": (3.5, 2, 0),
    "ceiling": (3.5, 2, 3.5),
}
CARDIOID = {"directivity_index_db": DI_OF_CARDIOID_DB}
DIPOLE = {"kind": "open_baffle", "directivity_index_db": DI_OF_CARDIOID_DB}


def answer(**changes):
    return ask("reflections", body(HAND, **changes))


def of(answer, surface, speaker=1):
    (found,) = [each for each in answer.reflections if (each.surface, each.speaker) == (surface, speaker)]
    return found


def level_db(surface="left_wall", **changes):
    return of(answer(**changes), surface).level_1_to_8_khz_db


def facing(angle_deg):
    return {**ONE, "speakers": [{**ONE["speakers"][0], "facing_deg": angle_deg}]}


# by hand -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("surface", PATHS_M)
def test_each_surface_by_pythagoras(surface):
    found, path_m = answer(), PATHS_M[surface]
    reflection = of(found, surface)
    assert found.direct_path_m == [3.0]
    assert reflection.path_m == pytest.approx(path_m)
    # 331.45 m/s at 0 and 343.2 at 20 degrees
    assert reflection.delay_ms == pytest.approx((path_m - 3) / 0.3432, rel=2e-4)
    assert (reflection.point.x_m, reflection.point.y_m, reflection.point.z_m) == pytest.approx(POINTS_M[surface])
    expected_db = 20 * math.log10(3 / path_m) + 10 * math.log10(0.8)
    assert reflection.level_db == pytest.approx([expected_db] * 8)
    assert reflection.level_1_to_8_khz_db == pytest.approx(expected_db)
    assert reflection.is_early is (path_m < 3 + 0.015 * 343.2)


def test_they_come_strongest_first_and_each_once():
    found = answer().reflections
    assert [each.surface for each in found] == [
        "floor", "left_wall", "ceiling", "right_wall", "front_wall", "back_wall"
    ]  # fmt: skip
    assert [each.level_1_to_8_khz_db for each in found] == sorted(
        (each.level_1_to_8_khz_db for each in found), reverse=True
    )


def test_the_order_is_that_of_the_treble():
    floor = {"absorption_coefficient": None, "absorption_by_octave": {"500": 0.02, "1000": 0.9}}
    found = answer(room={"surfaces": {"floor": floor}})
    assert of(found, "floor").level_db[0] > of(found, "left_wall").level_db[0]
    assert found.reflections[0].surface == "left_wall"


def test_the_recommendation_is_shown_with_its_source_and_nothing_is_graded():
    found = answer()
    assert (found.limit_db, found.window_ms, found.source) == (-10, 15, "ITU-R-BS-1116")
    assert found.octaves_hz == [63, 125, 250, 500, 1000, 2000, 4000, 8000]
    assert {finding.grade for finding in found.findings} == {None}


# directivity ---------------------------------------------------------------------------------------------------------

LEFT_DB = 20 * math.log10(3 / 5) + 10 * math.log10(0.8)
"""The reflection off the left wall of a speaker that radiates alike to all sides; it leaves at the angle of cos 0.6."""


def test_a_cardioid_and_a_dipole_send_less_to_the_side_wall():
    # pressure (1 + 0.6)/2 = 0.8 and 0.6
    assert level_db(speaker=CARDIOID) == pytest.approx(LEFT_DB + 20 * math.log10(0.8))
    assert level_db(speaker=DIPOLE) == pytest.approx(LEFT_DB + 20 * math.log10(0.6))
    assert of(answer(speaker=DIPOLE), "left_wall").leaves_at_deg == pytest.approx(math.degrees(math.acos(0.6)))


def test_the_back_of_a_dipole_is_as_loud_as_its_front():
    front_db = 20 * math.log10(3 / 7) + 10 * math.log10(0.8)
    assert level_db("front_wall", speaker=DIPOLE) == pytest.approx(front_db)
    assert level_db("front_wall", speaker=CARDIOID) < front_db - 20


def test_toe_in_weakens_the_near_side_wall_and_strengthens_the_far_one():
    # turned in by 30 degrees: cos 0.5 (3/2 cos 30 - 2 sin 30)/2.5 = 0.1196 to the wall, 0.8660 to the chair
    near_db = 20 * math.log10((1 + 0.11962) / (1 + 0.86603))
    turned = {"speaker": CARDIOID, "positions": facing(30)}
    assert level_db(**turned) == pytest.approx(LEFT_DB + near_db, abs=1e-3)
    assert level_db(**turned) < level_db(speaker=CARDIOID) - 2
    assert level_db("right_wall", **turned) > level_db("right_wall", speaker=CARDIOID) + 1


def test_a_narrower_beam_is_weaker_in_the_octaves_where_it_is_narrower():
    index = {"63": 0, "500": 0, "1000": DI_OF_CARDIOID_DB, "8000": DI_OF_CARDIOID_DB}
    speaker = {"directivity_index_db": None, "directivity_index_by_octave_db": index}
    found = of(answer(speaker=speaker), "left_wall")
    assert found.level_db[:4] == pytest.approx([LEFT_DB] * 4)
    assert found.level_db[4:] == pytest.approx([LEFT_DB + 20 * math.log10(0.8)] * 4)
    assert found.level_1_to_8_khz_db == pytest.approx(LEFT_DB + 20 * math.log10(0.8))


def test_without_a_speaker_the_usual_one_is_listed():
    found = answer(speaker=None)
    (assumed,) = [each for each in found.assumptions if isinstance(each.value, dict) and "kind" in each.value]
    assert assumed.value == {"kind": "single_driver"}
    same = answer(speaker={"kind": "single_driver", "directivity_index_db": None})
    assert of(found, "left_wall").level_1_to_8_khz_db == of(same, "left_wall").level_1_to_8_khz_db


# absorption and treatment --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("absorption", [0.05, 0.4, 0.9])
def test_absorption_lowers_its_own_surface_alone(absorption):
    surfaces = {"left_wall": {"absorption_coefficient": absorption}}
    found, hard = answer(room={"surfaces": surfaces}), LEFT_DB - 10 * math.log10(0.8)
    assert of(found, "left_wall").level_1_to_8_khz_db == pytest.approx(hard + 10 * math.log10(1 - absorption))
    assert of(found, "floor").level_1_to_8_khz_db == pytest.approx(level_db("floor"))


def test_absorption_counts_by_octave():
    surfaces = {"left_wall": {"absorption_coefficient": None, "absorption_by_octave": {"1000": 0.2, "2000": 0.6}}}
    found = of(answer(room={"surfaces": surfaces}), "left_wall")
    assert found.level_db[[4, 5, 7]] - LEFT_DB == pytest.approx([0, 10 * math.log10(0.5), 10 * math.log10(0.5)])
    # mean energy of 1, 1/2, 1/2 and 1/2
    assert found.level_1_to_8_khz_db - LEFT_DB == pytest.approx(10 * math.log10(0.625))


def test_an_opening_absorbs_all_that_meets_it():
    # half of the left wall, 8.5 x 3.5 m, is open: 0.2 / 2 + 1 / 2
    opened = {"openings": [{"wall": "left_wall", "area_m2": 8.5 * 3.5 / 2}]}
    assert level_db(room=opened) == pytest.approx(LEFT_DB + 10 * math.log10((1 - 0.6) / 0.8))
    assert level_db("floor", room=opened) == pytest.approx(level_db("floor"))


@pytest.mark.parametrize("surface", ["left_wall", "floor", "ceiling"])
@pytest.mark.parametrize("speaker", [{}, CARDIOID, {"kind": "horn", "directivity_index_db": None}])
def test_a_treatment_reaches_the_limit_by_its_own_statement(surface, speaker):
    treatment = of(answer(speaker=speaker), surface).treatment
    if treatment is None:
        assert level_db(surface, speaker=speaker) <= -10
        return
    surfaces = {surface: {"absorption_coefficient": treatment.absorption_coefficient}}
    assert level_db(surface, speaker=speaker, room={"surfaces": surfaces}) == pytest.approx(-10, abs=1e-9)


def test_how_much_is_needed_by_hand():
    # 20 lg(3/5) + 20 lg 0.8 = -6.375 dB from a hard wall: 1 - 10^(-0.3625)
    treatment = of(answer(speaker=CARDIOID), "left_wall").treatment
    assert treatment.absorption_coefficient == pytest.approx(0.5660, abs=1e-4)
    # first zone: 2.5 m and 2.5 m, cos 0.8, wavelength 0.3432 m, taken as short: pi 0.3432 2.5 2.5 / 5 / 0.8 = 1.685 m2
    assert treatment.area_m2 == pytest.approx(1.685, rel=0.01)


def test_which_covering_is_able():
    # heavy curtain 0.72 0.70 0.65 0.65: (0.28 + 0.30 + 0.35 + 0.35)/4 = 0.32, 4.949 dB; from -4.437 and from -6.375 dB
    omnidirectional, cardioid = (
        of(answer(speaker=speaker), "left_wall").treatment.coverings for speaker in ({}, CARDIOID)
    )
    assert [(each.material, each.reaches_limit) for each in omnidirectional] == [
        ("curtain_heavy_half", False),
        ("wool_50_60", True),
    ]
    assert omnidirectional[0].level_1_to_8_khz_db == pytest.approx(-9.386, abs=2e-3)
    assert [each.reaches_limit for each in cardioid] == [True, True]
    assert cardioid[0].level_1_to_8_khz_db == pytest.approx(-11.324, abs=2e-3)


def test_a_covering_that_does_no_more_than_the_surface_is_not_named():
    surfaces = {"floor": {"absorption_coefficient": None, "material": "carpet_heavy_underlay"}}
    found = answer(room={"surfaces": surfaces})
    treatment = of(found, "floor").treatment
    # 20 lg(3/sqrt 13) + 10 lg of about 0.28 is above -10 dB by 2 dB or so
    assert treatment is not None
    assert treatment.coverings == []


def test_only_early_and_strong_reflections_are_treated():
    for each in answer().reflections:
        assert (each.treatment is not None) is (each.is_early and each.level_1_to_8_khz_db > -10)
    # chair half a metre further back: 20 lg(3.5/9.5) = -8.7 dB off the wall behind it, but 6 m later, 17 ms
    farther = {**ONE, "seats": [{"x_m": 5.5, "y_m": 2, "z_m": 1}]}
    hard = {"surfaces": {"back_wall": {"absorption_coefficient": 0.01}}}
    late = of(answer(room=hard, positions=farther), "back_wall")
    assert late.level_1_to_8_khz_db == pytest.approx(20 * math.log10(3.5 / 9.5), abs=0.1)
    assert (late.is_early, late.treatment) == (False, None)


def test_hanging_is_cautioned_about_and_a_rug_is_not():
    assert codes(answer().cautions) == ["mounting"]
    only_the_floor = {**all_walls({"absorption_coefficient": 0.95}), "floor": {"absorption_coefficient": 0.2}}
    found = answer(room={"surfaces": only_the_floor})
    assert [each.surface for each in found.reflections if each.treatment] == ["floor"]
    assert found.cautions == []


# places --------------------------------------------------------------------------------------------------------------

PAIR = {
    "speakers": [{"x_m": 2, "y_m": 1.4, "z_m": 1}, {"x_m": 2, "y_m": 3.6, "z_m": 1}],
    "seats": [{"x_m": 5, "y_m": 2.5, "z_m": 1.1}],
}
MIRROR = {"left_wall": "right_wall", "right_wall": "left_wall"}


def test_both_speakers_of_a_mirror_image_pair_have_mirror_image_reflections():
    found = answer(positions=PAIR, speaker={"directivity_index_db": 6})
    assert len(found.reflections) == 12
    assert found.direct_path_m[0] == pytest.approx(found.direct_path_m[1])
    for each in (each for each in found.reflections if each.speaker == 1):
        other = of(found, MIRROR.get(each.surface, each.surface), speaker=2)
        assert other.level_db == pytest.approx(each.level_db)
        assert other.point.y_m == pytest.approx(5 - each.point.y_m)
    # equals come in the order of the speakers
    assert [each.speaker for each in found.reflections] == [1, 2] * 6


def test_places_as_a_distance_and_by_tape_measure_answer_like_their_coordinates():
    by_distance = answer(positions=None, listening_distance_m=2.9)
    assumed = next(each.value for each in by_distance.assumptions if each.pointer == "/positions")
    same = answer(positions=assumed)
    for one, other in zip(by_distance.reflections, same.reflections, strict=True):
        assert (one.surface, one.speaker) == (other.surface, other.speaker)
        assert one.level_db == pytest.approx(other.level_db)
    as_found = {
        "front_wall_to_baffle_m": 2, "spacing_m": 2.2, "back_wall_to_ears_m": 3.5, "speaker_height_m": 1,
        "ear_height_m": 1.1,
    }  # fmt: skip
    by_tape = answer(positions=None, as_found=as_found)
    assert of(by_tape, "floor").path_m == pytest.approx(of(answer(positions=PAIR), "floor").path_m)


def test_a_room_alone_is_answered_with_all_that_was_assumed():
    found = ask("reflections", {"room": SIZE})
    assert len(found.reflections) == 12
    assert {"/speaker_count", "/listening_distance_m", "/positions"} <= {each.pointer for each in found.assumptions}


def test_one_speaker_may_be_asked_about():
    assert len(answer(positions=None, listening_distance_m=2.9, speaker_count=1).reflections) == 6


def test_the_wall_that_is_named_is_behind_the_speakers():
    as_found = {"speakers_on": "long_wall", "front_wall_to_baffle_m": 1.0, "back_wall_to_ears_m": 1.0}
    found = answer(positions=None, as_found=as_found)
    assert "sides_taken_the_other_way" in codes(found.findings)
    assert of(found, "back_wall").point.x_m == 5.0


# sentences -----------------------------------------------------------------------------------------------------------


def text(code, language="en", **changes):
    found = OPERATIONS["reflections"].compute(request("reflections", body(HAND, **changes)))
    (sentence,) = [finding.text for finding in found.findings if finding.code == code]
    return text_of(sentence, language)


def test_the_strongest_is_told_with_place_and_remedy():
    # floor: 20 lg(3/sqrt 13) - 0.97 = -2.57 dB, 0.606 m later; half way, 1.5 m ahead
    found = next(finding for finding in answer().findings if finding.code == "treat_reflection")
    assert found.text.startswith(
        "The strongest early reflection comes off the floor: 3 dB below the direct sound, 1.8 ms later. "
    )
    assert "1.5 m ahead of you and in line with you" in found.text
    assert "thick rug on felt" in found.text
    values = found.values
    assert (values["from_front_wall_m"], values["from_left_wall_m"], values["height_m"]) == pytest.approx((3.5, 2, 0))
    assert (values["ahead_of_you_m"], values["right_of_you_m"]) == pytest.approx((1.5, 0))
    assert values["level_1_to_8_khz_db"] == pytest.approx(-2.57, abs=0.01)


def test_a_wall_is_described_from_the_wall_and_from_the_listener():
    soft = {**all_walls({"absorption_coefficient": 0.95}), "left_wall": {"absorption_coefficient": 0.2}}
    said = text("treat_reflection", speaker=CARDIOID, room={"surfaces": soft})
    assert "3.5 m from the wall behind the speakers (1.5 m ahead of you) and 1.0 m high" in said
    assert "heavy curtain" in said
    # without directivity the curtain does not reach it
    assert "mineral wool" in text("treat_reflection", room={"surfaces": soft})
    german = text("treat_reflection", "de", speaker=CARDIOID, room={"surfaces": soft})
    assert "3,5 m von der Wand hinter den Lautsprechern (1,5 m vor Ihnen) und 1,0 m hoch" in german


def test_of_a_pair_the_speaker_is_named():
    assert "from the left speaker off the floor" in text("treat_reflection", positions=PAIR)
    nearer = {**PAIR, "seats": [{"x_m": 5, "y_m": 1.4, "z_m": 1.1}]}  # the floor is weaker the nearer the speaker is
    assert "from the right speaker off the floor" in text("treat_reflection", positions=nearer)


def test_a_chair_far_off_the_axis_hears_the_wall_louder_than_the_speaker():
    # a dipole that turns its side to the chair and its front to the left wall
    said = text("treat_reflection", speaker=DIPOLE, positions=facing(-90))
    assert "above the direct sound" in said


def test_the_others_are_counted():
    found = next(finding for finding in answer().findings if finding.code == "more_reflections_to_treat")
    assert found.values == {"count": 4, "surfaces": ["left_wall", "ceiling", "right_wall", "front_wall"]}


def test_weak_reflections_need_nothing():
    found = answer(room={"surfaces": all_walls({"absorption_coefficient": 0.9})})
    assert codes(found.findings)[0] == "reflections_are_weak"
    assert found.cautions == []
    assert not any(each.treatment for each in found.reflections)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("surface", PATHS_M)
@pytest.mark.parametrize("absorption", [0.01, 0.5, 0.75])
def test_sentences_stay_short_in_a_large_room(surface, absorption, language):
    """Numbers of two digits wherever they can be, and the longest names."""
    room = {"length_m": 28.4, "width_m": 12.6, "height_m": 4.4}
    surfaces = {**all_walls({"absorption_coefficient": 0.97}), surface: {"absorption_coefficient": absorption}}
    x_m, y_m, seat_x_m, seat_y_m = {
        "front_wall": (13.2, 1.2, 15.6, 12.4),
        "back_wall": (13.2, 12.4, 27.0, 1.3),
        "left_wall": (11.1, 1.0, 27.9, 0.9),
        "right_wall": (11.1, 11.6, 27.9, 11.7),
        "floor": (2.0, 1.0, 26.0, 12.4),
        "ceiling": (2.0, 12.0, 26.0, 0.4),
    }[surface]
    positions = {
        "speakers": [{"x_m": x_m, "y_m": y_m, "z_m": 1}] * 2,
        "seats": [{"x_m": seat_x_m, "y_m": seat_y_m, "z_m": 1}],
    }
    posted = body(HAND, room={**room, "surfaces": surfaces}, positions=positions)
    found = OPERATIONS["reflections"].compute(request("reflections", posted))
    for finding in localised(found, language).findings:
        assert len(finding.text) <= 320, finding.text


# refusals ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "pointer", "code"),
    [
        ({"room": None}, "/room", "missing"),
        ({"room": {"length_m": None, "width_m": None, "floor_area_m2": 30, "surfaces": None}}, "/room", None),
        ({"positions": {**ONE, "seats": [{"x_m": 8.5, "y_m": 2, "z_m": 1}]}}, "/positions/seats/0/x_m", None),
        ({"positions": {**ONE, "seats": [{"x_m": 2.01, "y_m": 2, "z_m": 1}]}}, "/positions/seats/0", "too_close"),
        ({"positions": {**ONE, "speakers": ONE["speakers"] * 3}}, "/positions/speakers", None),
        ({"speaker_count": 2}, "/positions/speakers", "contradiction"),
        ({"listening_distance_m": 2.0}, "/listening_distance_m", "contradiction"),
        ({"positions": None, "listening_distance_m": 29}, "/listening_distance_m", "does_not_fit"),
        ({"speaker": {"directivity_index_db": -1}}, "/speaker/directivity_index_db", "out_of_range"),
        ({"surfaces": {}}, "/surfaces", "unknown_field"),
    ],
)
def test_refusals(client, changes, pointer, code):
    response = client.post("/v1/reflections", json=body(HAND, **changes))
    assert response.status_code == 422
    (error,) = response.json["errors"]
    assert error["pointer"].startswith(pointer)
    assert code is None or error["code"] == code
