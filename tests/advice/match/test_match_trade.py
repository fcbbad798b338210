"""What the trade knows of amplifiers on very efficient speakers. Common practice, no source, unless said."""

import json
from pathlib import Path

import pytest

from tests.advice.bodies import ask, body, codes
from tests.advice.compared import OPEN_AIR, entry

ROOT = Path(__file__).parents[3]
QUIET = {"background": {"kind": "quiet_night"}}


def scene(name):
    """Return the answer to an invented scene."""
    return ask("match", json.loads((ROOT / "demo_rooms" / "match" / f"{name}.json").read_text(encoding="utf-8")))


def test_very_efficient_speakers_make_noise_audible_that_others_hide():
    triode = {"power_w": 8, "kind": "single_ended_triode"}
    ordinary, efficient = (
        entry(triode, base={**OPEN_AIR, **QUIET}, speaker={"sensitivity_db_2v83_1m": db}) for db in (87, 104)
    )
    assert ordinary.audibility == "inaudible"
    assert efficient.audibility == "audible"
    # the same volts: 17 dB of sensitivity are 17 dB of noise
    assert efficient.noise_at_1m_dba - ordinary.noise_at_1m_dba == pytest.approx(17.0)


@pytest.mark.parametrize(("output_ohm", "follows"), [(3.0, True), (2.0, True), (0.05, False)])
def test_an_output_impedance_of_some_ohms_follows_the_impedance(output_ohm, follows):
    found = entry({"power_w": 8, "load_ohm": 8, "output_impedance_ohm": output_ohm})
    assert (found.level_swing_db >= 1.0) is follows


def test_an_old_headphone_amplifier_is_no_speaker_amplifier():
    by_name = {each.name: each for each in scene("headphone_amplifiers").ranking}
    assert by_name["Old one with 120 ohm"].grade == "does_not_suit"
    assert by_name["1 W into 32 ohm, 0.5 A"].rank < by_name["2 W into 32 ohm, balanced"].rank
    cautions = codes(scene("headphone_amplifiers").cautions)
    assert "balanced_minus" in cautions


def test_three_amplifiers_on_the_shelf():
    # two decibels of swing do not put a triode down for somebody who likes a warm sound
    answer = scene("three_on_the_shelf")
    triode = next(each for each in answer.ranking if each.name.startswith("Single-ended"))
    assert triode.level_swing_db > 1.5
    assert triode.grade_parts.lowered_by == []
    assert triode.grade in ("suits_well", "suits")
    assert {"valve_voltage", "never_without_load", "calculation"} <= set(codes(answer.cautions))
    assert codes(answer.cautions)[-1] == "calculation"


def test_bass_heavy_music_gains_most_from_a_bass_section():
    def gain_db(programme):
        base = {**OPEN_AIR, "programme": programme}
        whole = entry({"power_w": 8}, base=base, speaker={"kind": "horn"})
        bass = {"kind": "top_with_bass_section", "bass_section": {"crossover_hz": 150}}
        return entry({"power_w": 8}, base=base, speaker=bass).headroom_db - whole.headroom_db

    assert gain_db("electronic") > gain_db("voice_chamber") > 0


def test_small_amplifiers_run_very_efficient_speakers():
    # a watt or two and 103 dB in a home: enough for a small group
    posted = body(
        OPEN_AIR,
        speaker={"sensitivity_db_1w_1m": 103, "sensitivity_db_2v83_1m": None},
        amplifiers=[{"power_w": 2, "load_ohm": 8}],
        room={"floor_area_m2": 20},
        listening_distance_m=2.8,
        programme="jazz_small_group",
    )
    assert ask("match", posted).ranking[0].grade in ("suits_well", "suits")
