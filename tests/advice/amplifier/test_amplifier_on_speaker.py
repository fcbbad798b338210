"""What an amplifier does to a speaker beside its power: the sound that follows the impedance, hum and hiss.

Expected values are hand sums; figures of the trade are common practice, no source.
"""

import numpy as np
import pytest

from service.advice.language.localise import text_of
from tests.advice.bodies import body, codes, on_speaker

IN_THE_OPEN = {"speaker": {"sensitivity_db_2v83_1m": 98}, "amplifier": {"power_w": 8}, "listening_distance_m": 2.0}
"""Free field: what reaches the chair is the direct sound alone."""
ONE_FLAT = {"speaker": {"sensitivity_space": "free_field", "low_limit_hz": 5, "low_order": 8}, "speaker_count": 1}


# the sound follows the impedance --------------------------------------------------------------------------------------


def test_a_triode_follows_the_impedance():
    # cable 3 m there and back of 2.5 mm2, 7.98 ohm/km: 0.0479 ohm; with 2.5 ohm in series 2.5479:
    # 20 lg(40 / 42.5479) = -0.536 dB at 5 x 8 ohm, 20 lg(6.8 / 9.3479) = -2.764 dB at 0.85 x 8 ohm: 2.228 dB
    _, found, findings, _ = on_speaker(
        body(speaker={"kind": "single_driver"}, amplifier={"kind": "single_ended_triode"})
    )
    assert found.level_swing_db == pytest.approx(2.228, abs=0.001)
    assert found.effective_damping_factor == pytest.approx(8 / 2.5479, abs=0.001)
    # with 0.5 ohm: 20 lg(40 / 40.5479) = -0.118, 20 lg(6.8 / 7.3479) = -0.673: 0.555 dB
    assert found.better_output_impedance_ohm == pytest.approx(0.5)
    assert found.better_swing_db == pytest.approx(0.555, abs=0.001)
    (said,) = [item for item in findings if item.code == "follows_impedance"]
    assert said.grade is None
    assert "2.2 dB" in text_of(said.text, "en")
    assert "2,2 dB" in text_of(said.text, "de")


@pytest.mark.parametrize("kind", ["transistor_class_ab", "class_d"])
def test_transistors_do_not(kind):
    # common practice: 0.1 dB of the amplifier itself; the cable's 0.0479 ohm alone makes
    # 20 lg((6.8479 / 6.8) / (40.0479 / 40)) = 0.051 dB
    _, found, findings, _ = on_speaker(body(speaker={"kind": "single_driver"}, amplifier={"kind": kind}))
    assert found.level_swing_db < 0.1 + 0.051
    assert "follows_impedance" not in codes(findings)


def test_the_tap_scales_the_output_impedance():
    # half the output impedance on the 4 ohm tap; without a transformer it stays
    for kind, ratio in (("single_ended_triode", 0.5), ("valve_without_transformer", 1.0), ("class_d", 1.0)):
        eight, four = (on_speaker(body(amplifier={"kind": kind, "load_ohm": load}))[1] for load in (8, 4))
        assert four.output_impedance_ohm / eight.output_impedance_ohm == pytest.approx(ratio)


@pytest.mark.parametrize(
    ("facts", "output_ohm"),
    [
        ({"output_impedance_ohm": 1.7}, 1.7),
        ({"damping_factor": 5}, 8 / 5),
        ({"damping_factor": 5, "damping_factor_load_ohm": 4}, 4 / 5),
    ],
)
@pytest.mark.parametrize("kind", [None, "push_pull_valve"])
def test_told_facts_replace_the_kind(facts, output_ohm, kind):
    amplifier = {**facts, **({} if kind is None else {"kind": kind})}
    _, found, _, listed = on_speaker(body(amplifier=amplifier))
    assert found.output_impedance_ohm == pytest.approx(output_ohm)
    assert "/amplifier/output_impedance_ohm" not in [item.pointer for item in listed]


def test_of_an_unknown_kind_nothing_is_made_up():
    _, found, findings, listed = on_speaker(body())
    assert {value for value in vars(found).values()} == {None}
    assert findings == []
    assert not any(item.pointer and item.pointer.startswith(("/background", "/amplifier/h")) for item in listed)


def test_more_output_impedance_swings_more():
    found = [on_speaker(body(amplifier={"output_impedance_ohm": ohm}))[1] for ohm in (0.0, 0.1, 1.0, 3.0)]
    assert (np.diff([each.level_swing_db for each in found]) > 0).all()
    assert (np.diff([each.effective_damping_factor for each in found]) < 0).all()


# hum and hiss ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sensitivity_db", "hum_mv", "level_db"),
    # 98 + 20 lg(0.001 / 2.8284) = 98 - 69.03; 103 dB gives 5 dB more, 2 mV another 6.02
    [(98, 1.0, 28.97), (103, 1.0, 33.97), (103, 2.0, 39.99)],
)
def test_hum_at_one_metre_and_at_the_chair(sensitivity_db, hum_mv, level_db):
    posted = body(IN_THE_OPEN, speaker={"sensitivity_db_2v83_1m": sensitivity_db}, amplifier={"hum_mv": hum_mv})
    _, found, _, _ = on_speaker(body(posted, **ONE_FLAT))
    assert found.hum_at_1m_db == pytest.approx(level_db, abs=0.01)
    # one speaker, flat, in free field: 6.02 dB less at 2 m
    assert found.hum_at_seat_db == pytest.approx(level_db - 6.02, abs=0.02)


def test_hum_of_a_pair_adds_in_phase_in_the_bass():
    posted = body(IN_THE_OPEN, amplifier={"hum_mv": 1.0}, speaker=ONE_FLAT["speaker"])
    one, two = (on_speaker({**posted, "speaker_count": count})[1].hum_at_seat_db for count in (1, 2))
    assert 3.01 < two - one <= 6.03


def test_hum_falls_with_the_bass_of_the_speaker():
    # sixth order at 180 Hz, -6 dB there: 10 lg(1 + 3 (180 / 100)^12) = 35.4 dB down at 100 Hz, 14.7 dB at 150 Hz; the
    # octave is a mean that its upper end rules, and 500 Hz would be untouched
    high = {**ONE_FLAT["speaker"], "low_limit_hz": 180, "low_order": 6}
    flat, falling = (
        on_speaker(body(IN_THE_OPEN, speaker=speaker, amplifier={"hum_mv": 1.0}, speaker_count=1))[1]
        for speaker in (ONE_FLAT["speaker"], high)
    )
    assert falling.hum_at_1m_db == flat.hum_at_1m_db
    assert 10 < flat.hum_at_seat_db - falling.hum_at_seat_db < 25


def test_sensitivity_at_one_watt_counts_by_voltage():
    # 98 dB at 1 W into 4 ohm is 98 + 3.01 dB at 2.83 V
    posted = {**IN_THE_OPEN, "speaker": {"sensitivity_db_1w_1m": 98, "nominal_impedance_ohm": 4}}
    assert on_speaker(body(posted, amplifier={"hum_mv": 1.0}))[1].hum_at_1m_db == pytest.approx(28.97 + 3.01, abs=0.01)


def test_hiss_at_one_metre_and_at_the_chair():
    # 98 + 20 lg(200e-6 / 2.8284) = 98 - 83.01 = 14.99 dB(A); 2 m: 6.02 dB less, and a little for the air
    posted = body(body(IN_THE_OPEN, **ONE_FLAT), amplifier={"noise_uv": 200})
    _, found, _, _ = on_speaker(posted)
    assert found.noise_at_1m_dba == pytest.approx(14.99, abs=0.01)
    assert found.noise_at_seat_dba == pytest.approx(14.99 - 6.02, abs=0.15)
    assert found.noise_at_seat_dba < 14.99 - 6.02


def hum_is_said(sensitivity_db, background):
    posted = body(
        IN_THE_OPEN,
        speaker={"sensitivity_db_2v83_1m": sensitivity_db, **ONE_FLAT["speaker"]},
        amplifier={"hum_mv": 1.0},
    )
    return "hum_may_be_heard" in codes(on_speaker({**posted, "background": background})[2])


def test_hum_is_heard_above_threshold_and_background():
    # a pair at 2 m: 33.97 - 6.02 + up to 6.02 dB; the threshold at 100 Hz is 26.5 dB
    assert hum_is_said(103, {"kind": "quiet_night"})
    assert not hum_is_said(103, {"kind": "show_with_neighbours"})
    # 15 dB less lies below the threshold whatever the background
    assert not hum_is_said(88, {"level_dba": 10})


def test_hiss_is_heard_where_the_background_leaves_it():
    # 2 mV of noise on 104 dB: 41 dB(A) at 1 m; an evening has 30 dB(A), most of it in the bass
    loud = body(IN_THE_OPEN, speaker={"sensitivity_db_2v83_1m": 104}, amplifier={"noise_uv": 2000})
    assert "hiss_may_be_heard" in codes(on_speaker(loud)[2])
    assert "hiss_may_be_heard" not in codes(on_speaker({**loud, "background": {"level_dba": 75}})[2])
    assert "hiss_may_be_heard" not in codes(on_speaker(body(loud, amplifier={"noise_uv": 5}))[2])


def test_a_silent_amplifier_says_nothing():
    _, found, findings, _ = on_speaker(body(amplifier={"hum_mv": 0, "noise_uv": 0}))
    assert found.hum_at_seat_db is None
    assert found.noise_at_seat_dba is None
    assert findings == []


@pytest.mark.parametrize(
    ("background", "level_dba"),
    [(None, 30), ({"kind": "quiet_night"}, 25), ({"level_dba": 41.5}, 41.5), ({"kind": "quiet_evening"}, 30)],
)
def test_background(background, level_dba):
    posted = body(amplifier={"hum_mv": 1.0}, **({} if background is None else {"background": background}))
    _, found, _, listed = on_speaker(posted)
    assert found.background_dba == level_dba
    assumed = {item.pointer: item.value for item in listed if item.pointer == "/background/kind"}
    assert assumed == ({"/background/kind": "quiet_evening"} if background is None else {})
