"""Several amplifiers on several speakers: the table is what single questions answer, and follows laws of decibels."""

import copy
import math

import numpy as np
import pytest

from service.advice.language.localise import localised
from service.advice.match.match import match
from service.domain.errors import DomainError
from service.web.requests.match import MatchRequestSchema
from tests.advice.bodies import codes, numbers_that_are_not_finite

CURVE = [(20, 9.0, 20), (48, 38.0, 5), (110, 8.1, -35), (300, 6.9, 0), (2500, 14.0, 30), (20_000, 22.0, 40)]
SPEAKERS = [
    {"name": "A", "sensitivity_db_1w_1m": 97, "kind": "single_driver"},
    {"name": "B", "sensitivity_db_2v83_1m": 92.5, "nominal_impedance_ohm": 4, "minimum_impedance_ohm": 3.1},
    {
        "name": "C",
        "sensitivity_db_1m": 100,
        "nominal_impedance_ohm": 6,
        "kind": "horn",
        "impedance": [{"frequency_hz": f, "magnitude_ohm": z, "phase_deg": p} for f, z, p in CURVE],
    },
    {"sensitivity_db_1w_1m": 94, "nominal_impedance_ohm": 16, "long_term_power_w": 5},
    {
        "sensitivity_db_1w_1m": 99,
        "kind": "top_with_bass_section",
        "bass_section": {"crossover_hz": 110, "sensitivity_db_2v83_1m": 90, "power_w": 100},
    },
]
AMPLIFIERS = [
    {"name": "a", "power_w": 8, "load_ohm": 8, "kind": "single_ended_triode", "taps_ohm": [4, 8, 16]},
    {"name": "b", "ratings": [{"load_ohm": 8, "power_w": 30}, {"load_ohm": 4, "power_w": 45}], "damping_factor": 40},
    {"name": "c", "power_w": 2, "load_ohm": 32, "kind": "headphone_amplifier", "balanced_output": True},
    {"power_w": 60, "kind": "class_d", "signal_to_noise_db": 97, "minimum_load_ohm": 6},
    {"power_w": 20, "load_ohm": 8, "taps_ohm": [4, 8], "tap_in_use_ohm": 8, "hum_mv": 0.6, "output_impedance_ohm": 1.2},
    {"power_w": 15, "input_sensitivity_v": 0.7, "noise_uv": 150, "rated_distortion_pct": 10},
    {"power_w": 25, "gain_db": -10, "noise_uv": 0, "hum_mv": 0},
]
PLACE = {
    "room": {"length_m": 5.4, "width_m": 4.1, "height_m": 2.5},
    "listening_distance_m": 2.9,
    "programme": "jazz_small_group",
    "cable": {"length_m": 4, "cross_section_mm2": 1.5},
    "background": {"level_dba": 27},
}
NUMBERS = (
    *("headroom_db", "headroom_uncertainty_db", "clean_peak_chance_pct", "average_power_w", "power_into_rated_w"),
    *("power_into_minimum_w", "peak_current_a", "load_loss_db", "level_swing_db", "effective_damping_factor"),
    *("noise_at_1m_dba", "noise_at_seat_dba", "noise_margin_db", "volume_below_full_db", "best_tap_ohm"),
)


def ask_match(**posted):
    return localised(match(MatchRequestSchema().load(copy.deepcopy({**PLACE, **posted}))), "en")


@pytest.fixture(scope="module")
def answer():
    return ask_match(speakers=SPEAKERS, amplifiers=AMPLIFIERS)


@pytest.mark.parametrize("speaker", range(len(SPEAKERS)))
@pytest.mark.parametrize("amplifier", range(len(AMPLIFIERS)))
def test_entries_are_what_a_single_question_answers(answer, speaker, amplifier):
    (alone,) = ask_match(speaker=SPEAKERS[speaker], amplifier=AMPLIFIERS[amplifier]).ranking
    row = answer.table.rows[speaker]
    assert row.grade[amplifier] == alone.grade
    for name in NUMBERS:
        number, of_table = getattr(alone, name), getattr(row, name)[amplifier]
        if number is None:
            assert math.isnan(of_table), name
        else:
            assert of_table == pytest.approx(number, rel=1e-9, abs=1e-9), name


@pytest.mark.parametrize("speaker", range(len(SPEAKERS)))
def test_ranks_are_those_of_the_speaker_alone(answer, speaker):
    ranking = ask_match(speaker=SPEAKERS[speaker], amplifiers=AMPLIFIERS).ranking
    row = answer.table.rows[speaker]
    names = answer.table.amplifiers
    assert [names[index] for index in row.best_first] == [entry.name for entry in ranking]
    assert [row.rank[index] for index in row.best_first] == [entry.rank for entry in ranking]


def test_every_kind_of_number_was_seen(answer):
    """Known and unknown values, different taps, several grades: else the comparison above would prove little."""
    rows = answer.table.rows
    for name in ("level_swing_db", "noise_at_1m_dba", "noise_margin_db", "best_tap_ohm"):
        unknown = np.isnan([getattr(row, name) for row in rows])
        assert unknown.any(), name
        assert not unknown.all(), name
    assert len({row.best_tap_ohm[0] for row in rows}) >= 3
    assert len({grade for row in rows for grade in row.grade}) >= 3
    assert any(limit < 0 for row in rows for limit in row.volume_below_full_db)


def test_order_of_the_lists_is_kept(answer):
    turned = ask_match(speakers=SPEAKERS[::-1], amplifiers=AMPLIFIERS[::-1])
    assert turned.table.amplifiers[-1] == "a"
    for row, other in zip(answer.table.rows, reversed(turned.table.rows), strict=True):
        np.testing.assert_allclose(row.headroom_db, other.headroom_db[::-1], rtol=0, atol=1e-9)


def test_decibels_of_power_and_sensitivity():
    # 10 lg(20 / 5) = 6.02 dB between the amplifiers, 3 dB between the speakers; nothing else ends the level
    table = ask_match(
        speakers=[{"sensitivity_db_1w_1m": level_db, "long_term_power_w": 500} for level_db in (95, 98)],
        amplifiers=[{"power_w": power_w, "load_ohm": 8} for power_w in (5, 20)],
    ).table
    headroom_db = np.array([row.headroom_db for row in table.rows])
    np.testing.assert_allclose(headroom_db[:, 1] - headroom_db[:, 0], 10 * math.log10(4), atol=1e-9)
    np.testing.assert_allclose(headroom_db[1] - headroom_db[0], 3.0, atol=1e-9)


def test_the_best_pair_stands_with_its_reasons(answer):
    (best,) = answer.ranking
    grades = ["suits_well", "suits", "suits_with_care", "does_not_suit"]
    worth = [
        (grades.index(grade), -headroom_db)
        for row in answer.table.rows
        for grade, headroom_db in zip(row.grade, row.headroom_db, strict=True)
    ]
    found = (grades.index(best.grade), -best.headroom_db)
    assert found[0] == min(worth)[0]
    assert found[1] == pytest.approx(min(worth)[1], abs=1e-9)
    assert best.findings
    (said,) = answer.findings
    assert best.amplifier in said.text
    assert best.speaker in said.text
    assert said.values["pair_count"] == len(SPEAKERS) * len(AMPLIFIERS)


def test_what_would_sharpen_it_points_into_the_lists(answer):
    for pointer in answer.sharpen.pointers:
        assert not pointer.startswith(("/speaker/", "/amplifier/"))


def test_cautions_are_those_of_all_pairs(answer):
    single = set()
    for speaker in SPEAKERS:
        for amplifier in AMPLIFIERS:
            single |= set(codes(ask_match(speaker=speaker, amplifier=amplifier).cautions))
    assert set(codes(answer.cautions)) == single
    assert codes(answer.cautions)[-1] == "calculation"


def test_cautions_of_a_speaker_that_only_the_stronger_amplifier_endangers():
    speakers = [
        {"sensitivity_db_1w_1m": 104, "long_term_power_w": 400},
        {"sensitivity_db_1w_1m": 93, "long_term_power_w": 6, "field_coil": True},
    ]
    amplifiers = [{"power_w": 300, "kind": "class_d"}, {"power_w": 2, "kind": "single_ended_triode"}]
    found = set(codes(ask_match(speakers=speakers, amplifiers=amplifiers).cautions))
    assert {"speaker_below_amplifier", "hearing_peaks", "field_coil", "valve_voltage", "mains"} <= found


def test_noise_that_is_only_usual_rules_nothing_out():
    # the usual hum of the kind and the same hum told: both are heard, only the one that was told rules it out
    usual = {"power_w": 8, "load_ohm": 8, "kind": "single_ended_triode"}
    speakers = [{"sensitivity_db_1w_1m": 114, "kind": "horn", "directivity_index_db": 10}] * 2
    table = ask_match(
        speakers=speakers, amplifiers=[usual, {**usual, "hum_mv": 1}, {**usual, "hum_mv": 0.01, "noise_uv": 1}]
    ).table
    grades = table.rows[0].grade
    assert table.rows[0].noise_margin_db[0] == pytest.approx(table.rows[0].noise_margin_db[1])
    assert grades[1] == "does_not_suit"
    assert grades[0] == "suits_with_care"


def test_one_of_either_gives_no_table():
    assert ask_match(speaker=SPEAKERS[0], amplifiers=AMPLIFIERS).table is None
    assert ask_match(speakers=SPEAKERS, amplifier=AMPLIFIERS[0]).table is None


def test_a_refusal_names_the_place_in_the_list():
    bad = {"ratings": [{"load_ohm": 8, "power_w": 10}, {"load_ohm": 4, "power_w": 90}]}
    with pytest.raises(DomainError) as refusal:
        ask_match(speakers=SPEAKERS, amplifiers=[*AMPLIFIERS, bad])
    assert refusal.value.pointer == f"/amplifiers/{len(AMPLIFIERS)}/ratings"


def test_all_numbers_are_finite_or_left_out(answer):
    # arrays hold NaN for what is not known: it is written null
    assert [path for path in numbers_that_are_not_finite(answer) if "/table/" not in path] == []
    assert not any(np.isinf(getattr(row, name)).any() for row in answer.table.rows for name in NUMBERS)
