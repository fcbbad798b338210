"""Nothing is assumed in silence: every default is listed, and a request that states them all gives the same level."""

import pytest

from service.advice.assumptions import DEFAULTS, Assumptions, CopyOf, Default
from service.advice.language.localise import LANGUAGES
from service.domain.words import words
from service.tables.loader import references
from service.web.writing.inputs import completed
from tests.advice.bodies import FEW_FACTS, ask, body

FULL_BODIES = {
    "few facts": FEW_FACTS,
    "no height": body(room={"length_m": 4.6, "width_m": 3.5}),
    "one surface": body(room={"surfaces": {"floor": {"material": "carpet_heavy_underlay"}}}),
    "one time": body(room={"reverberation_time_s": 0.45}),
    "bass section": body(speaker={"bass_section": {"crossover_hz": 110}}),
    "open baffle": body(speaker={"kind": "open_baffle"}),
    "valves": body(amplifier={"kind": "single_ended_triode"}, speaker={"nominal_impedance_ohm": 4}),
    "one speaker": body(speaker_count=1),
    "large": body(room={"length_m": 14, "width_m": 9, "height_m": 4}, listening_distance_m=4.5),
}


def pointers(answer):
    return [item.pointer for item in answer.assumptions if item.pointer is not None]


def test_few_facts_list_every_default():
    expected = {
        "/room/temperature_c",
        "/room/relative_humidity_pct",
        "/room/pressure_kpa",
        "/room/people",
        "/room/construction",
        "/room/furnishing",
        "/room/reverberation_time_by_octave_s",
        "/speaker/kind",
        "/speaker/nominal_impedance_ohm",
        "/speaker/directivity_index_by_octave_db",
        "/speaker/sensitivity_space",
        "/speaker/low_limit_hz",
        "/speaker/low_order",
        "/speaker/minimum_impedance_ohm",
        "/speaker/long_term_power_w",
        "/speaker/cabinet_width_m",
        "/amplifier/load_ohm",
        "/programme",
        "/speaker_count",
        "/positions",
    }
    assert set(pointers(ask("level", FEW_FACTS))) == expected
    # the whole job also needs a cabinet to place
    of_the_search = {"/speaker/cabinet_depth_m", "/search/front_walls", "/search/walking_room_m"}
    # and compares the amplifier: how far it is turned up, and how much it may colour the sound
    of_the_match = {"/amplifier/gain_db", "/source/output_v", "/source/preamplifier_gain_db", "/taste"}
    assert set(pointers(ask("advice", FEW_FACTS))) == expected | of_the_search | of_the_match


@pytest.mark.parametrize("language", LANGUAGES)
def test_each_has_value_reason_and_source(language):
    for item in ask("advice", FEW_FACTS, language).assumptions:
        assert item.value is not None
        assert len(item.why) > 5
        assert item.source in references()


def test_nothing_is_listed_twice():
    listed = pointers(ask("advice", FEW_FACTS))
    assert len(listed) == len(set(listed))


@pytest.mark.parametrize("name", FULL_BODIES)
def test_inputs_posted_back_give_the_same_level_and_list_nothing_again(name):
    first = ask("advice", FULL_BODIES[name])
    again = ask("advice", first.inputs)
    assert again.level.peak_spl_db == pytest.approx(first.level.peak_spl_db, abs=0.01)
    assert again.level.headroom_db == pytest.approx(first.level.headroom_db, abs=0.01)
    assert again.headroom.headroom_db == pytest.approx(first.headroom.headroom_db, abs=0.01)
    assert pointers(again) == []
    assert again.inputs == first.inputs


def test_inputs_keep_what_was_told():
    inputs = ask("advice", FEW_FACTS).inputs
    assert inputs["speaker"]["sensitivity_db_1w_1m"] == 98
    assert inputs["room"]["length_m"] == 5.4
    assert inputs["listening_distance_m"] == 2.9


@pytest.mark.parametrize(
    ("pointer", "told"),
    [
        ("/room/temperature_c", {"room": {"temperature_c": 23}}),
        ("/room/height_m", {"room": {"height_m": 2.5}}),
        ("/room/people", {"room": {"people": 0}}),
        ("/room/reverberation_time_by_octave_s", {"room": {"reverberation_time_s": 0.5}}),
        ("/speaker/kind", {"speaker": {"kind": "single_driver"}}),
        ("/speaker/nominal_impedance_ohm", {"speaker": {"nominal_impedance_ohm": 8}}),
        ("/speaker/directivity_index_by_octave_db", {"speaker": {"directivity_index_db": 5}}),
        ("/speaker/sensitivity_space", {"speaker": {"sensitivity_space": "unknown"}}),
        ("/speaker/low_limit_hz", {"speaker": {"low_limit_hz": 50}}),
        ("/speaker/low_order", {"speaker": {"low_order": 4}}),
        ("/speaker/cabinet_width_m", {"speaker": {"cabinet_width_m": 0.35}}),
        ("/amplifier/load_ohm", {"amplifier": {"load_ohm": 8}}),
        ("/programme", {"programme": "orchestral"}),
        ("/speaker_count", {"speaker_count": 2}),
        (
            "/positions",
            {
                "positions": {
                    "speakers": [{"x_m": 0.9, "y_m": y, "z_m": 0.9} for y in (0.6, 3.5)],
                    "seats": [{"x_m": 3.4, "y_m": 2.05, "z_m": 1.05}],
                }
            },
        ),
    ],
)
def test_a_told_value_is_never_listed(pointer, told):
    assert pointer not in pointers(ask("level", body(**told)))


def test_places_of_one_speaker_tell_the_number():
    positions = {"speakers": [{"x_m": 0.9, "y_m": 2.0, "z_m": 0.9}], "seats": [{"x_m": 3.4, "y_m": 2.05, "z_m": 1.05}]}
    answer = ask("level", body(positions=positions, listening_distance_m=None))
    assert answer.direct_pair_db is None
    assert "/speaker_count" not in pointers(answer)


def test_octaves_that_were_not_measured_are_listed():
    answer = ask(
        "reverberation", {"room": {**FEW_FACTS["room"], "reverberation_time_by_octave_s": {"125": 0.6, "500": 0.4}}}
    )
    taken = next(item for item in answer.assumptions if "not measured" in item.why).value
    # held at the ends; 250 Hz half way between 125 and 500 Hz
    assert taken == {
        "reverberation_time_63_hz_s": 0.6,
        "reverberation_time_250_hz_s": 0.5,
        **{f"reverberation_time_{octave}_hz_s": 0.4 for octave in (1000, 2000, 4000, 8000)},
    }


def test_take_lists_only_what_was_not_given():
    assume = Assumptions()
    assert assume.take("/room/height_m", 3.1) == 3.1
    assert assume.listed() == []
    assert assume.take("/room/height_m", None) == DEFAULTS["height_m"].value
    assert assume.take("/speaker/low_limit_hz", None, default=Default(value=37, why=words("w"), source="ours")) == 37
    assert [(item.pointer, item.value) for item in assume.listed()] == [
        ("/room/height_m", 2.5),
        ("/speaker/low_limit_hz", 37),
    ]


def test_completed_makes_blocks_and_leaves_the_body_alone():
    posted = {"room": {"length_m": 5}}
    assume = Assumptions()
    assume.take("/room/height_m", None)
    assume.take("/amplifier/load_ohm", None)
    assume.standard("ear_height_m")
    assert completed(posted, assume.completing()) == {
        "room": {"length_m": 5, "height_m": 2.5},
        "amplifier": {"load_ohm": 8.0},
    }
    assert posted == {"room": {"length_m": 5}}


def test_a_copy_holds_what_was_told_and_what_was_assumed_of_it():
    posted = {"amplifiers": [{"power_w": 3}, {"power_w": 8}]}
    assume = Assumptions()
    assume.fill("/amplifier", CopyOf("/amplifiers/1"))
    assume.take("/amplifiers/1/load_ohm", None)
    found = completed(posted, assume.completing())
    assert found["amplifier"] == found["amplifiers"][1] == {"power_w": 8, "load_ohm": 8.0}
    assert found["amplifiers"][0] == {"power_w": 3}
    assert posted == {"amplifiers": [{"power_w": 3}, {"power_w": 8}]}
