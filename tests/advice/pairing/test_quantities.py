"""A law for each quantity of the judgement: a table is its pairs, and each term that a headroom rests on counts."""

import math

import numpy as np
import pytest

from service.advice import policy
from service.advice.assumptions import Assumptions
from service.advice.pairing.grade import ranks
from service.advice.pairing.pairing import paired
from service.advice.room_questions.reverberation import reverberation_answer
from service.advice.whole_job.next_steps import next_steps
from service.physics.bands import THIRD_OCTAVE_NOMINAL_HZ
from service.tables.loader import programmes
from tests.advice.bodies import FEW_FACTS, FLAT_SPEAKER, ask, body, paired_with, part_db, request
from tests.advice.compared import OPEN_AIR, entry

SPEAKERS = (
    {"sensitivity_db_2v83_1m": 98, "kind": "single_driver", "nominal_impedance_ohm": 16},
    {"sensitivity_db_1m": 92, "nominal_impedance_ohm": 4, "minimum_impedance_ohm": 3.2, "kind": "two_way"},
    {
        "sensitivity_db_1w_1m": 104,
        "bass_section": {"crossover_hz": 120, "sensitivity_db_2v83_1m": 92, "power_w": 30},
        "impedance": [
            {"frequency_hz": 20, "magnitude_ohm": 6},
            {"frequency_hz": 400, "magnitude_ohm": 24},
            {"frequency_hz": 20000, "magnitude_ohm": 9},
        ],
    },
)
AMPLIFIERS = (
    {"power_w": 3.5, "kind": "single_ended_triode", "taps_ohm": [4, 8, 16], "load_ohm": 8},
    {"ratings": [{"load_ohm": 8, "power_w": 50}, {"load_ohm": 4, "power_w": 80}], "hum_mv": 1, "noise_uv": 40},
    {"power_w": 100, "kind": "transistor_class_ab", "maximum_current_a": 9, "input_sensitivity_v": 0.7},
    {"power_w": 20, "load_ohm": 4, "output_impedance_ohm": 2, "gain_db": 20, "input_overload_v": 1.5},
)
REST = {"room": FEW_FACTS["room"], "listening_distance_m": 2.9, "cable": {"length_m": 8, "cross_section_mm2": 0.75}}


def numbers_of(posted):
    return paired(request("match", posted), Assumptions(), comparing=Assumptions(), one_leads=False).numbers


@pytest.fixture(scope="module")
def table():
    return numbers_of({"speakers": list(SPEAKERS), "amplifiers": list(AMPLIFIERS), **REST})


@pytest.mark.parametrize("amplifier", range(4))
@pytest.mark.parametrize("speaker", range(3))
def test_a_pair_out_of_a_table_is_the_pair_alone(table, speaker, amplifier):
    # no amplifier or speaker beside it changes a number; the background of the noise is the same for all
    alone = numbers_of({"speaker": SPEAKERS[speaker], "amplifier": AMPLIFIERS[amplifier], **REST})
    assert table.headroom_db.shape == (3, 4)
    for name, values in vars(table).items():
        assert vars(alone)[name].shape == (1, 1)
        assert values[speaker, amplifier] == pytest.approx(vars(alone)[name].item(), rel=1e-9, abs=1e-9, nan_ok=True), (
            name
        )


def test_a_table_cannot_be_written_to(table):
    # arrays that threads share are frozen
    for values in vars(table).values():
        with pytest.raises(ValueError, match="read-only"):
            values[0, 0] = 1


# uncertainty ----------------------------------------------------------------------------------------------------------


def test_floor_area_alone_and_an_untold_height_both_leave_the_size_of_the_room_open():
    # relative uncertainties of floor and height add in squares; both rooms are the same one
    area = body(room={"length_m": None, "width_m": None, "height_m": None, "floor_area_m2": 22})
    both = ask("level", area)
    (height_m,) = [each.value for each in both.assumptions if each.pointer == "/room/height_m"]
    floor = ask("level", body(area, room={"height_m": height_m}))
    ratio = math.hypot(policy.FLOOR_AREA_RELATIVE, policy.UNTOLD_HEIGHT_RELATIVE) / policy.FLOOR_AREA_RELATIVE
    assert part_db(floor, "room_size") > 0.05
    assert part_db(both, "room_size") / part_db(floor, "room_size") == pytest.approx(ratio, rel=1e-6)


@pytest.mark.parametrize(
    ("standard_db", "shared"),
    [
        ((1.5, 1.5), True),  # 2 dB apart, sqrt(1.5^2 + 1.5^2) = 2.12
        ((0.1, 2.1), True),  # what the second leaves open counts as much as what the first does
        ((2.1, 0.1), True),
        ((1.3, 1.3), False),  # 1.84
        ((0.1, 1.9), False),
    ],
)
def test_ranks_are_shared_by_what_both_entries_leave_open(standard_db, shared):
    assert ranks([0, 0], [10.0, 8.0], standard_db) == ([0, 1], [1, 1] if shared else [1, 2])


# gain -----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("load_ohm", "full_v"), [(4, 20.0), (16, 40.0)])
def test_a_gain_follows_from_the_voltage_into_the_load_of_the_rating(load_ohm, full_v):
    # 100 W are 20 V into 4 ohm and 40 V into 16; they are reached with 1 V
    found = entry({"power_w": 100, "load_ohm": load_ohm, "input_sensitivity_v": 1})
    assert found.gain_db == pytest.approx(20 * math.log10(full_v), abs=1e-6)


# a bass section -------------------------------------------------------------------------------------------------------

TOP = {"kind": "top_with_bass_section", "sensitivity_db_2v83_1m": 100}
AMPLIFIER = {"power_w": 50, "load_ohm": 8, "gain_db": 26}


def bass_of(bass, **speaker):
    posted = body(OPEN_AIR, speaker={**TOP, **speaker, "bass_section": {"crossover_hz": 120, **bass}})
    return entry(AMPLIFIER, base=posted).bass_section


def test_the_sound_of_a_bass_section_further_away_comes_later():
    # at the crossover of a first-order pair the high-pass is 90 degrees ahead of the low-pass; a quarter of the wave
    # length further away the bass is late by 90 degrees more and cancels, a quarter nearer it is in phase: 3.01 dB
    quarter_m = 343.2 / 120 / 4
    first_order = {"crossover_order": 1, "crossover_alignment": "butterworth"}
    further = bass_of({**first_order, "further_away_m": quarter_m})
    nearer = bass_of({**first_order, "further_away_m": -quarter_m})
    assert further.sum_at_crossover_db < -40
    assert further.better_polarity == "reversed"
    assert nearer.sum_at_crossover_db == pytest.approx(10 * math.log10(2), abs=0.01)


def test_what_the_room_adds_is_not_what_the_baffle_takes_away():
    # a sensitivity measured in half space loses 6 dB in the bass; the room gives what it gives to a flat speaker
    flat, with_baffle = bass_of({}), bass_of({}, sensitivity_space="half_space")
    assert with_baffle.room_gain_db == pytest.approx(flat.room_gain_db, abs=0.3)


def test_a_bass_section_relieves_the_amplifier_of_its_share_of_the_music():
    # thirds above 80 Hz against all: the amplifier plays that share of the power, and is that much louder
    bass = {"bass_section": {"crossover_hz": 80, "low_limit_hz": 5}, "kind": "top_with_bass_section"}
    alone = body(room=None, speaker={**FLAT_SPEAKER, "kind": "two_way"}, programme="pop_rock")
    power = 10 ** (np.array(programmes()["pop_rock"].spectrum.third_octave_levels_db) / 10)
    relief_db = -10 * math.log10(power[np.array(THIRD_OCTAVE_NOMINAL_HZ) > 80].sum() / power.sum())
    relieved, full = ask("level", body(alone, speaker=bass)), ask("level", alone)
    assert relief_db > 0.5
    assert relieved.peak_spl_db - full.peak_spl_db == pytest.approx(relief_db, abs=0.05)


# a nearer chair -------------------------------------------------------------------------------------------------------

SHORT = {"amplifier": {"power_w": 0.2}, "listening": "like_live"}
PLACES = {
    "speakers": [{"x_m": 1.0, "y_m": 1.3, "z_m": 1.05}, {"x_m": 1.0, "y_m": 2.8, "z_m": 1.05}],
    "seats": [{"x_m": 4.0, "y_m": 2.05, "z_m": 1.05}],
}


def nearer_m(posted):
    """From where and to where the chair moves, where no place was searched for."""
    pair, _ = paired_with("level", posted)
    reverberation = reverberation_answer(pair.seat.scene.room, include_air=True, assumptions=[])
    (step,) = [step for step in next_steps(pair, None, reverberation) if step.code == "sit_nearer"]
    return step.text.values["from_m"], step.text.values["distance_m"]


def test_a_nearer_chair_is_at_four_fifths_of_the_way(monkeypatch):
    monkeypatch.setattr(policy, "NEARER_WORTH_DB", -math.inf)  # whatever it gains
    # 3 m behind the line of the speakers, these 0.75 m to either side: then 2.4 m
    placed = body(positions=PLACES, listening_distance_m=None, **SHORT)
    assert nearer_m(placed) == pytest.approx((math.hypot(3.0, 0.75), math.hypot(2.4, 0.75)), abs=1e-6)
    # without places the distance itself
    area = body(room={"length_m": None, "width_m": None, "floor_area_m2": 22}, **SHORT)
    assert nearer_m(area) == pytest.approx((2.9, 0.8 * 2.9))
