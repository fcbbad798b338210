"""Findings of a comparison: every one is met, whole and short in both languages, and refusals name their place."""

import re

import pytest

from service.advice.language.localise import LANGUAGES, catalogue
from service.domain.errors import DomainError
from tests.advice.bodies import ask, body
from tests.advice.compared import OPEN_AIR
from tests.advice.findings.test_wording import AMERICAN, LEFT_OVER, OF_A_COMPARISON

FOUR = {"nominal_impedance_ohm": 4, "minimum_impedance_ohm": 2.0}
BASS = {"crossover_hz": 100, "sensitivity_db_2v83_1m": 88, "gain_db": 20, "trim_from_db": -3, "trim_to_db": 3}
TOP = {"kind": "top_with_bass_section", "sensitivity_db_2v83_1m": 99}
SCENES = {
    "taps": body(OPEN_AIR, amplifiers=[{"power_w": 8, "taps_ohm": [4, 8], "rated_distortion_pct": 10}]),
    "tap in use is right": body(OPEN_AIR, amplifiers=[{"power_w": 8, "taps_ohm": [4, 8], "tap_in_use_ohm": 8}]),
    "tap in use is wrong": body(OPEN_AIR, amplifiers=[{"power_w": 8, "taps_ohm": [4, 8], "tap_in_use_ohm": 4}]),
    "load": body(
        OPEN_AIR,
        speaker=FOUR,
        amplifiers=[{"power_w": 0.5, "kind": "headphone_amplifier", "minimum_load_ohm": 16, "balanced_output": True}],
    ),
    "phase": body(
        OPEN_AIR,
        speaker={
            "impedance": [
                {"frequency_hz": 20, "magnitude_ohm": 9, "phase_deg": 20},
                {"frequency_hz": 90, "magnitude_ohm": 6, "phase_deg": -52},
                {"frequency_hz": 20000, "magnitude_ohm": 9, "phase_deg": 10},
            ]
        },
    ),
    "bridged": body(OPEN_AIR, amplifiers=[{"ratings": [{"load_ohm": 8, "power_w": 150, "bridged": True}]}]),
    "bridged beside": body(
        OPEN_AIR,
        amplifiers=[{"ratings": [{"load_ohm": 8, "power_w": 150, "bridged": True}, {"load_ohm": 8, "power_w": 50}]}],
    ),
    "gain too low": body(
        OPEN_AIR, amplifiers=[{"power_w": 8, "gain_db": 0}], source={"output_v": 0.1}, listening_level_dba=85
    ),
    "full output": body(
        OPEN_AIR, amplifiers=[{"power_w": 100, "gain_db": 10}], source={"output_v": 2}, listening_level_dba=75
    ),
    "gain high": body(
        OPEN_AIR, amplifiers=[{"power_w": 100, "gain_db": 40}], source={"output_v": 5}, listening_level_dba=55
    ),
    "overload": body(OPEN_AIR, amplifiers=[{"power_w": 8, "input_overload_v": 1}]),
    "equal": body(OPEN_AIR, amplifiers=[{"power_w": 8}, {"power_w": 8.1}]),
    "trim lacks gain": body(OPEN_AIR, speaker={**TOP, "bass_section": BASS}),
    "trim lacks attenuation": body(OPEN_AIR, speaker={**TOP, "bass_section": {**BASS, "gain_db": 50}}),
    "polarity": body(OPEN_AIR, speaker={**TOP, "bass_section": {**BASS, "polarity": "reversed"}}),
    # a quarter of 3.43 m further away: two halves at right angles are 3 dB down whatever the polarity
    "distance": body(OPEN_AIR, speaker={**TOP, "bass_section": {**BASS, "further_away_m": 0.85}}),
}


def findings(scene, language):
    """Return all findings of a scene."""
    answer = ask("match", SCENES[scene], language)
    return [*answer.findings, *(each for entry in answer.ranking for each in entry.findings)]


def test_every_finding_of_a_comparison_is_met():
    assert {each.code for scene in SCENES for each in findings(scene, "en")} >= OF_A_COMPARISON


def test_every_variant_of_a_finding_is_met():
    sentences = {
        key for key in catalogue("en") if key.split(".")[0] == "findings" and key.split(".")[1] in OF_A_COMPARISON
    }
    starts = {catalogue("en")[key].split("{")[0] for key in sentences if not catalogue("en")[key].startswith("{")}
    said = [each.text for scene in SCENES for each in findings(scene, "en")]
    assert [start for start in starts if not any(text.startswith(start) for text in said)] == []


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("scene", SCENES)
def test_texts_are_whole_plain_and_short(scene, language):
    for each in findings(scene, language):
        assert len(each.text) <= 320, each.text
        assert not set("{}[]") & set(each.text), each.text
        assert not re.search(r"\b(nan|inf|None|True|False)\b|\de[+-]\d|\w_\w", each.text), each.text
        assert not re.search(LEFT_OVER[language], each.text), each.text
        assert not [word for word in AMERICAN if language == "en" and word in each.text.lower()], each.text


@pytest.mark.parametrize(
    ("amplifier", "pointer"),
    [
        ({"power_w": 8, "load_ohm": 8, "gain_db": 40, "input_sensitivity_v": 1.0}, "/input_sensitivity_v"),
        ({"ratings": [{"load_ohm": 8, "power_w": 10}, {"load_ohm": 4, "power_w": 100}]}, "/ratings"),
        ({"power_w": 100, "load_ohm": 8, "maximum_current_a": 1.0}, "/maximum_current_a"),
    ],
)
def test_a_refusal_names_the_amplifier_of_the_list(amplifier, pointer):
    with pytest.raises(DomainError) as refused:
        ask("match", body(OPEN_AIR, amplifiers=[{"power_w": 5}, amplifier]))
    assert refused.value.pointer == f"/amplifiers/1{pointer}"
    assert refused.value.code == "contradiction"
    assert refused.value.allowed


def test_gain_and_sensitivity_that_agree_are_taken():
    # 8 V for 0.5 V is 24.08 dB
    answer = ask("match", body(OPEN_AIR, amplifiers=[{"power_w": 8, "gain_db": 24, "input_sensitivity_v": 0.5}]))
    assert answer.ranking[0].gain_db == 24


def test_a_refusal_names_the_speaker_of_the_list():
    speakers = [{"sensitivity_db_1w_1m": 95}, {"sensitivity_db_1w_1m": 120, "directivity_index_db": 3}]
    with pytest.raises(DomainError) as refused:
        ask("match", {"speakers": speakers, "amplifier": {"power_w": 8}, "listening_distance_m": 2})
    assert refused.value.pointer == "/speakers/1/sensitivity_db_1w_1m"
