"""Cautions appear where they apply and nowhere else, and each defers to law or licensed people."""

import string

import pytest

from service.advice import cautions, policy
from service.domain.equipment import AMPLIFIER_KINDS, VALVE_KINDS
from tests.advice.bodies import FEW_FACTS, ask, body, codes, level_of

QUIET = {"programme": "background"}  # 65 dB(A) and less: no caution about hearing


def test_only_what_applies():
    assert codes(level_of(**QUIET).cautions) == ["mains", "calculation"]
    assert codes(ask("modes", {"room": FEW_FACTS["room"]}).cautions) == []
    assert codes(ask("reverberation", {"room": FEW_FACTS["room"]}).cautions) == []


@pytest.mark.parametrize("kind", AMPLIFIER_KINDS)
def test_voltage_and_heat_by_kind_of_amplifier(kind):
    found = set(codes(level_of(**QUIET, amplifier={"kind": kind}).cautions))
    assert ("valve_voltage" in found) is (kind in VALVE_KINDS)
    assert ("mains" in found) is (kind not in VALVE_KINDS)
    assert ("hot_surfaces" in found) is (kind in VALVE_KINDS or kind == "transistor_class_a")


@pytest.mark.parametrize(
    ("speaker", "code"),
    [
        ({"field_coil": True}, "field_coil"),
        ({"mass_kg": 15}, "heavy"),
        ({"mass_kg": 70}, "heavy"),
        ({"fixed_to_wall_or_ceiling": True}, "mounting"),
    ],
)
def test_cautions_of_the_speaker(speaker, code):
    assert code in codes(level_of(**QUIET, speaker=speaker).cautions)
    assert code not in codes(level_of(**QUIET, speaker={"mass_kg": 14.9}).cautions)


@pytest.mark.parametrize(("programme", "applies"), [("voice_chamber", False), ("orchestral", True), ("pop_rock", True)])
def test_hearing_from_80_dba(programme, applies):
    # average at the target: voice 75 dB less weighting, orchestral 82.4, pop 82.4 dB(A)
    answer = level_of(programme=programme)
    assert (answer.average_at_target_dba >= 80) is applies
    assert ("hearing" in codes(answer.cautions)) is applies


def test_peaks_from_135_db():
    assert "hearing_peaks" not in codes(level_of().cautions)
    loud = level_of(speaker={"sensitivity_db_1w_1m": 105}, amplifier={"power_w": 500})
    assert loud.peak_pressure_db > 135
    assert "hearing_peaks" in codes(loud.cautions)


def test_whole_advice_lists_each_once():
    posted = body(speaker={"mass_kg": 60, "field_coil": True}, amplifier={"kind": "single_ended_triode"})
    found = codes(ask("advice", posted).cautions)
    assert len(found) == len(set(found))
    assert {"hearing", "valve_voltage", "hot_surfaces", "field_coil", "heavy", "calculation"} <= set(found)


@pytest.mark.parametrize(
    ("level_dba", "words"),
    [
        (80, "no limit within a day"),  # NIOSH: 25.4 h
        (82, "16 hours a day"),
        (85, "8 hours a day"),
        (88, "4 hours a day"),
        (90, "2.5 hours a day"),  # 2.52 h
        (94, "60 minutes a day"),
        (100, "15 minutes a day"),
        (115, "28 seconds a day"),
        (130, "less than a second a day"),
    ],
)
def test_allowed_time_as_a_person_says_it(level_dba, words):
    # NIOSH 98-126: 8 h at 85 dB(A), halved every 3 dB, rounded down; from the printed table (82: 16 h, 115: 28 s)
    text = cautions.for_hearing(level_dba, None)[0].text
    assert f"recommendation is {words}." in text


def test_times_never_round_up():
    assert cautions.hours_in_words(24) == "24 hours"
    assert cautions.hours_in_words(7.99) == "7.5 hours"
    assert cautions.hours_in_words(1.999) == "119 minutes"
    assert cautions.hours_in_words(0.02) == "72 seconds"
    assert cautions.hours_in_words(1.5 / 3600) == "1 second"


VALUES = {"level_dba": 88.0, "allowed": "4 hours a day", "peak_db": 140.0}


@pytest.mark.parametrize("code", sorted(cautions._TEXTS))
def test_texts(code):
    fields = {name for _, name, _, _ in string.Formatter().parse(cautions._TEXTS[code]) if name}
    text = cautions.caution(code, **{name: VALUES[name] for name in fields}).text
    assert text
    assert "{" not in text
    assert "}" not in text
    assert text.isascii()
    assert text.endswith(".")
    if code != "calculation":
        deferring = ("local", "technician", "specialist", "doctor", "rules", "law")
        assert any(word in text for word in deferring), "each defers to local rules or licensed people"


def test_thresholds():
    assert policy.CAUTION_FROM_DBA == 80.0  # WHO-ITU H.870, mode 1
    assert policy.CAUTION_PEAK_DB == 135.0  # Directive 2003/10/EC, lower action value
