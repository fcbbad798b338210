"""Cautions appear where they apply and nowhere else, and each defers to law or licensed people."""

import string

import pytest

from service.advice import policy
from service.advice.findings import cautions
from service.advice.language.localise import LANGUAGES, catalogue, hours, text_of
from service.domain.equipment import AMPLIFIER_KINDS, VALVE_KINDS
from service.domain.words import words
from tests.advice.bodies import FEW_FACTS, ask, body, codes, level_of

QUIET = {"programme": "background"}  # 65 dB(A) and less: no caution about hearing


def test_only_what_applies():
    # 8 W on a speaker of 94 dB, which is taken to bear 32 W: nothing but what is always said
    assert codes(level_of(**QUIET, speaker={"sensitivity_db_1w_1m": 94}).cautions) == ["mains", "calculation"]
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
    ("level_dba", "english", "german"),
    [
        (80, "no limit within a day", "keine Grenze innerhalb eines Tages"),  # NIOSH: 25.4 h
        (82, "16 hours a day", "höchstens 16 Stunden am Tag"),
        (85, "8 hours a day", "höchstens 8 Stunden am Tag"),
        (88, "4 hours a day", "höchstens 4 Stunden am Tag"),
        (90, "2.5 hours a day", "höchstens 2,5 Stunden am Tag"),  # 2.52 h
        (94, "60 minutes a day", "höchstens 60 Minuten am Tag"),
        (100, "15 minutes a day", "höchstens 15 Minuten am Tag"),
        (115, "28 seconds a day", "höchstens 28 Sekunden am Tag"),
        (130, "less than a second a day", "einen Sekundenbruchteil am Tag"),
    ],
)
def test_allowed_time_as_a_person_says_it(level_dba, english, german):
    # NIOSH 98-126: 8 h at 85 dB(A), halved every 3 dB, rounded down; from the printed table (82: 16 h, 115: 28 s)
    found = cautions.for_hearing(level_dba, None)[0].text
    assert f"At an average of {level_dba} dB(A) the NIOSH recommendation is {english}." in text_of(found, "en")
    assert f"Bei durchschnittlich {level_dba} dB(A) empfiehlt NIOSH: " in text_of(found, "de")
    assert f" {german}. Am Arbeitsplatz " in text_of(found, "de")


@pytest.mark.parametrize(
    ("time_h", "english", "german"),
    [
        (24, "24 hours", "24 Stunden"),
        (7.99, "7.5 hours", "7,5 Stunden"),
        (1.999, "119 minutes", "119 Minuten"),
        (0.02, "72 seconds", "72 Sekunden"),
        (1.5 / 3600, "1 second", "1 Sekunde"),
        (0.9 / 3600, "less than a second", "einen Sekundenbruchteil"),
    ],
)
def test_times_never_round_up(time_h, english, german):
    assert hours(time_h, "en") == english
    assert hours(time_h, "de") == german


VALUES = {
    "level_dba": 88.0,
    "allowed": words("terms.a_day", time_h=4.0),
    "peak_db": 140.0,
    "amplifier_w": 250.0,
    "long_term_power_w": 10.0,
    "voltage_v": 180.0,
    "dangerous_from_v": 60.0,
    "temperature_c": 88.0,
}
CODES = sorted(key.removeprefix("cautions.") for key in catalogue("en") if key.startswith("cautions."))
DEFERRING = {
    "en": ("local", "technician", "specialist", "doctor", "rules", "law"),
    "de": ("örtlich", "Fachkraft", "Fachleute", "Facharzt", "Arzt", "Recht", "Vorschrift", "Brandschutz"),
}
"""Words by which a caution defers to local rules or licensed people."""


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("code", CODES)
def test_texts(code, language):
    sentence = catalogue(language)[f"cautions.{code}"]
    fields = {name for _, name, _, _ in string.Formatter().parse(sentence) if name}
    text = text_of(cautions.caution(code, **{name: VALUES[name] for name in fields}).text, language)
    assert text
    assert not set("{}[]") & set(text)
    assert len(text) <= 320
    assert text.translate(str.maketrans("", "", "äöüÄÖÜß" if language == "de" else "")).isascii()
    assert text.endswith(".")
    if code != "calculation":
        assert any(word in text for word in DEFERRING[language]), "each defers to local rules or licensed people"


def test_every_caution_has_been_seen():
    everything = body(
        speaker={
            "sensitivity_db_1w_1m": 105,
            "mass_kg": 60,
            "field_coil": True,
            "fixed_to_wall_or_ceiling": True,
            "long_term_power_w": 5,
        },
        amplifier={"kind": "single_ended_triode", "power_w": 500, "load_ohm": 8, "balanced_output": True},
    )
    seen = {*codes(ask("advice", everything).cautions), *codes(level_of().cautions)}
    seen |= set(codes(ask("exposure", {"periods": [{"level_dba": 90, "hours": 2}]}).cautions))
    hot = {"cold_resistance_ohm": 1000, "voltage_v": 100, "warm_temperature_c": 80}
    seen |= {
        *codes(ask("field-coil", hot).cautions),
        *codes(ask("run-in", {"speaker": everything["speaker"]}).cautions),
    }
    assert seen == set(CODES)


# joining amplifier and speaker ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("amplifier", "applies"),
    [({}, False), ({"balanced_output": True}, True), ({"kind": "headphone_amplifier", "load_ohm": 32}, True)],
)
def test_minus_terminals_of_balanced_outputs(amplifier, applies):
    assert ("balanced_minus" in codes(level_of(amplifier=amplifier).cautions)) is applies


@pytest.mark.parametrize(("sensitivity_db", "applies"), [(94.9, False), (95.0, True), (98.0, True)])
def test_switching_is_cautioned_from_95_db(sensitivity_db, applies):
    found = codes(level_of(speaker={"sensitivity_db_1w_1m": sensitivity_db}).cautions)
    assert ("volume_down_before_switching" in found) is applies


@pytest.mark.parametrize(("power_w", "applies"), [(20, False), (20.1, True)])
def test_more_power_than_the_speaker_bears_for_long(power_w, applies):
    answer = level_of(amplifier={"power_w": power_w}, speaker={"long_term_power_w": 20})
    assert ("speaker_below_amplifier" in codes(answer.cautions)) is applies


@pytest.mark.parametrize("kind", AMPLIFIER_KINDS)
def test_only_valve_amplifiers_need_their_load(kind):
    assert ("never_without_load" in codes(level_of(amplifier={"kind": kind}).cautions)) is (kind in VALVE_KINDS)


def test_thresholds():
    assert policy.CAUTION_FROM_DBA == 80.0  # WHO-ITU H.870, mode 1
    assert policy.CAUTION_PEAK_DB == 135.0  # Directive 2003/10/EC, lower action value
