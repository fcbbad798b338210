"""Tables of speakers, amplifiers and backgrounds: complete, inside the limits, ordered, and as the trade tells them.

Common practice, no source: the figures are those that dealers of very efficient loudspeakers go by.
"""

import math

import pytest

from service.advice.language.localise import LANGUAGES, catalogue
from service.domain.equipment import AMPLIFIER_KINDS, BACKGROUND_KINDS, FIELD_COIL_KINDS, SPEAKER_KINDS, VALVE_KINDS
from service.domain.limits import LIMITS
from service.domain.position import RADIATIONS
from service.physics.chain.amplifier import BEHAVIOURS
from service.tables import loader

SPEAKERS, AMPLIFIERS = loader.speaker_kinds(), loader.amplifier_kinds()


@pytest.mark.parametrize(
    ("rows", "ids", "term"),
    [
        (SPEAKERS, SPEAKER_KINDS, "speaker_kind"),
        (AMPLIFIERS, AMPLIFIER_KINDS, "amplifier_kind"),
        (loader.backgrounds(), BACKGROUND_KINDS, "background"),
    ],
)
def test_every_kind_has_its_row_its_name_and_its_reason(rows, ids, term):
    assert set(rows) == set(ids)
    for row in rows.values():
        assert row.source in loader.references(), row.id
        assert row.status == "common practice", row.id
        assert len(row.why) > 10, row.id
        assert all(catalogue(language)[f"terms.{term}.{row.id}"] for language in LANGUAGES)


def test_every_room_has_a_known_background():
    assert {row.background for row in loader.room_constructions().values()} <= set(BACKGROUND_KINDS)


@pytest.mark.parametrize("kind", SPEAKER_KINDS)
def test_speakers_are_ordered_and_inside_the_limits(kind):
    row = SPEAKERS[kind]
    ordered = {
        "low_limit_hz": (row.low_limit_from_hz, row.low_limit_hz, row.low_limit_to_hz),
        "low_order": (row.low_order_from, row.low_order, row.low_order_to),
        "power_w": (row.long_term_power_from_w, row.long_term_power_w, row.long_term_power_to_w),
        "sensitivity_db": (row.sensitivity_from_db, row.sensitivity_to_db),
        "impedance_ohm": tuple(
            8 * ratio
            for ratio in (row.minimum_impedance_from_ratio, row.minimum_impedance_ratio, row.minimum_impedance_to_ratio)
        ),
    }
    for name, values in ordered.items():
        assert list(values) == sorted(values), name
        assert all(LIMITS[name].allows(value) for value in values), name
    assert len(row.directivity_index_db) == 8
    assert all(LIMITS["directivity_index_db"].allows(value) for value in row.directivity_index_db)
    assert list(row.directivity_index_db) == sorted(row.directivity_index_db)  # every kind narrows with frequency
    assert row.minimum_impedance_to_ratio < 1 < row.maximum_impedance_ratio
    assert row.radiation in RADIATIONS
    assert set(row.standing) <= {"free", "near_wall", "corner"}
    assert row.standing


@pytest.mark.parametrize("kind", SPEAKER_KINDS)
def test_the_power_used_is_the_geometric_mean_rounded(kind):
    row = SPEAKERS[kind]
    mean_w = math.sqrt(row.long_term_power_from_w * row.long_term_power_to_w)
    assert row.long_term_power_w == round(mean_w)


# common practice, no source: sensitivity and low limit from and to, lowest and highest impedance, power from and to
TRADE_SPEAKERS = [
    ("single_driver", (93, 97), (45, 55), 0.85, 5, (20, 50)),
    ("single_driver_rear_horn", (96, 101), (45, 60), 0.85, 5, (10, 50)),
    ("field_coil_full_range", (97, 102), (45, 60), 0.85, 5, (10, 30)),
    ("open_baffle", (94, 100), (60, 100), 0.8, 5, (10, 40)),
    ("top_with_bass_section", (98, 105), (25, 35), 0.8, 4, (10, 50)),
    ("three_way", (96, 103), (30, 40), 0.65, 4, (50, 200)),
    ("corner_horn", (100, 105), (35, 45), 0.6, 4, (50, 150)),
    ("ordinary_box", (85, 89), (40, 50), 0.7, 4, (50, 150)),
]


@pytest.mark.parametrize(("kind", "sensitivity_db", "low_hz", "lowest", "highest", "power_w"), TRADE_SPEAKERS)
def test_speakers_as_the_trade_tells_them(kind, sensitivity_db, low_hz, lowest, highest, power_w):
    row = SPEAKERS[kind]
    assert (row.sensitivity_from_db, row.sensitivity_to_db) == sensitivity_db
    assert (row.low_limit_from_hz, row.low_limit_to_hz) == low_hz
    assert (row.minimum_impedance_ratio, row.maximum_impedance_ratio) == (lowest, highest)
    assert (row.long_term_power_from_w, row.long_term_power_to_w) == power_w


@pytest.mark.parametrize(
    ("kind", "middle_db"),
    # common practice, no source; the middle is taken as the mean of 1 and 2 kHz
    [
        ("single_driver", 6),
        ("single_driver_rear_horn", 7),
        ("field_coil_full_range", 7),
        ("open_baffle", 4.8),
        ("top_with_bass_section", 8),
        ("three_way", 8),
        ("corner_horn", 9),
        ("ordinary_box", 6),
    ],
)
def test_directivity_in_the_middle_lies_within_its_own_spread(kind, middle_db):
    row = SPEAKERS[kind]
    half_width_db = math.sqrt(3) * row.directivity_standard_to_2_khz_db
    assert abs(sum(row.directivity_index_db[4:6]) / 2 - middle_db) <= half_width_db


def test_what_sets_some_kinds_apart():
    assert {kind for kind, row in SPEAKERS.items() if row.field_coil} == set(FIELD_COIL_KINDS)
    assert {kind for kind, row in SPEAKERS.items() if row.radiation == "dipole"} == {"open_baffle"}
    assert SPEAKERS["open_baffle"].low_order == 2
    assert SPEAKERS["corner_horn"].standing == ("corner",)
    assert {kind for kind, row in SPEAKERS.items() if row.sensitivity_space == "free_field"} == {
        "top_with_bass_section"
    }


@pytest.mark.parametrize("kind", AMPLIFIER_KINDS)
def test_amplifiers_are_ordered_and_inside_the_limits(kind):
    row = AMPLIFIERS[kind]
    ordered = {
        "output_impedance_ohm": (row.output_impedance_from_ohm, row.output_impedance_ohm, row.output_impedance_to_ohm),
        "amplifier_gain_db": (row.gain_from_db, row.gain_db, row.gain_to_db),
        "noise_uv": (row.noise_from_uv, row.noise_uv, row.noise_to_uv),
        "hum_mv": (row.hum_from_mv, row.hum_mv, row.hum_to_mv),
    }
    for name, values in ordered.items():
        assert list(values) == sorted(set(values)), name
        assert all(LIMITS[name].allows(value) for value in values), name
    assert row.tolerance_low_db < 0 < row.tolerance_high_db
    assert LIMITS["impedance_ohm"].allows(row.load_ohm)
    assert row.behaviour in BEHAVIOURS
    assert row.clipping in {"soft", "fairly_soft", "medium", "hard", "current_first"}


# common practice, no source: output impedance into 8 ohm, A-weighted noise, tolerance of the rating
TRADE_AMPLIFIERS = [
    ("single_ended_triode", (2, 2.5, 3.5), (100, 200, 400), (-1.5, 0.5), "soft"),
    ("single_ended_with_feedback", (0.8, 1.2, 2), (100, 150, 300), (-1, 0.5), "fairly_soft"),
    ("push_pull_valve", (0.5, 0.8, 1.5), (80, 150, 300), (-0.5, 0.5), "medium"),
    ("transistor_class_a", (0.05, 0.15, 0.5), (20, 50, 100), (-0.5, 0.5), "hard"),
    ("transistor_class_ab", (0.02, 0.05, 0.1), (30, 60, 100), (-0.3, 0.3), "hard"),
    ("class_d", (0.005, 0.02, 0.05), (15, 40, 80), (-0.3, 0.3), "hard"),
]


@pytest.mark.parametrize(("kind", "output_ohm", "noise_uv", "tolerance_db", "clipping"), TRADE_AMPLIFIERS)
def test_amplifiers_as_the_trade_tells_them(kind, output_ohm, noise_uv, tolerance_db, clipping):
    row = AMPLIFIERS[kind]
    assert (row.output_impedance_from_ohm, row.output_impedance_ohm, row.output_impedance_to_ohm) == output_ohm
    assert (row.noise_from_uv, row.noise_uv, row.noise_to_uv) == noise_uv
    assert (row.tolerance_low_db, row.tolerance_high_db) == tolerance_db
    assert row.clipping == clipping


def test_headphone_amplifiers_are_rated_at_32_ohm_and_end_with_their_current():
    row = AMPLIFIERS["headphone_amplifier"]
    assert (row.load_ohm, row.clipping, row.behaviour) == (32, "current_first", "current_limited")
    assert (row.maximum_current_from_a, row.maximum_current_a, row.maximum_current_to_a) == (0.1, 0.25, 0.5)
    assert all(other.maximum_current_a is None for kind, other in AMPLIFIERS.items() if kind != row.id)


def test_only_output_transformers_have_taps():
    with_taps = {kind for kind, row in AMPLIFIERS.items() if row.scales_with_tap}
    assert with_taps == set(VALVE_KINDS) - {"valve_without_transformer"}
    assert all((row.behaviour == "matched_tap") is (kind in VALVE_KINDS) for kind, row in AMPLIFIERS.items())


@pytest.mark.parametrize(
    ("kind", "level_dba"),
    [("quiet_night", 25), ("quiet_evening", 30), ("street_or_air_conditioning", 38), ("show_with_neighbours", 52)],
)
def test_backgrounds(kind, level_dba):
    row = loader.backgrounds()[kind]
    assert row.level_dba == level_dba
    assert 4 <= row.level_dba - row.level_from_dba <= 7
    assert 4 <= row.level_to_dba - row.level_dba <= 7
    limit = LIMITS["background_dba"]
    assert limit.allows(row.level_from_dba)
    assert limit.allows(row.level_to_dba)
