"""Five reverberation formulas against printed examples, hand sums, a general library and the laws they obey."""

import numpy as np
import pyroomacoustics
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.room.reverberation import (
    DECAY_CONSTANT,
    arau_puchades_time_s,
    eyring_time_s,
    fitzroy_time_s,
    millington_time_s,
    objects_and_air_area_m2,
    sabine_time_s,
)
from tests.published import Published

BARE = {"object_area_m2": 0.0, "air_attenuation_per_m": 0.0}
BY_PATCH = (sabine_time_s, eyring_time_s, millington_time_s)
BY_PAIR = (fitzroy_time_s, arau_puchades_time_s)

# The handbook works in feet with T = 0.049 V / A. The formula has the same form in any unit of length, so that its
# speed of sound is 24 ln 10 / 0.049 in feet per second.
FEET = {"volume_m3": 3728.0, "speed_of_sound_m_s": DECAY_CONSTANT / 0.049, **BARE}
CONCRETE = [0.01, 0.01, 0.015, 0.02, 0.02, 0.02]
GYPSUM = [0.29, 0.10, 0.05, 0.04, 0.07, 0.09]
TILE = [0.09, 0.28, 0.78, 0.84, 0.73, 0.64]
OCTAVES = ["125 Hz", "250 Hz", "500 Hz", "1 kHz", "2 kHz", "4 kHz"]
EXAMPLES = [
    Published(
        printed=printed,
        unit="s",
        source="EVEREST-MASTER-HANDBOOK",
        where=f"{example}, {band}",
        inputs={"patches": patches, "areas_m2": areas, "band": index},
        tolerance=0.006,
        why_wider="the absorption areas are rounded on the way",
    )
    for example, patches, areas, row in (
        ("Example 1", [CONCRETE, GYPSUM], [373.0, 1159.0], "0.54 1.53 2.87 3.39 2.06 1.63"),
        # The book adds the tile without taking away the gypsum it covers.
        ("Example 2", [CONCRETE, GYPSUM, TILE], [373.0, 1159.0, 340.0], "0.49 0.85 0.56 0.54 0.54 0.55"),
    )
    for index, (band, printed) in enumerate(zip(OCTAVES, row.split(), strict=True))
]


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row.where)
def test_sabine_handbook_examples(row):
    found = sabine_time_s(row.inputs["patches"], areas_m2=row.inputs["areas_m2"], **FEET)
    row.check(found[row.inputs["band"]])


def test_covered_wall_no_longer_absorbs():
    """Taking away the covered gypsum makes the treated room up to 0.18 s livelier at 125 Hz (by hand: 271.8 ft2)."""
    found = sabine_time_s([CONCRETE, GYPSUM, TILE], areas_m2=[373.0, 1159.0 - 340.0, 340.0], **FEET)
    # 373 * 0.01 + 819 * 0.29 + 340 * 0.09 = 271.84; 0.049 * 3728 / 271.84
    assert found[0] == pytest.approx(0.672, abs=5e-4)


def test_sabine_standard_example():
    bare = Published(
        printed="2.1", unit="s", source="EN-12354-6", where="Annex E, bare room, 1 kHz", inputs={"volume_m3": 29.75}
    )
    found = sabine_time_s(
        [0.05, 0.02, 0.04, 0.04, 0.04, 0.04],
        areas_m2=[12.39, 12.39, 10.90, 10.90, 6.55, 6.55],
        **bare.inputs,
        **BARE,
        speed_of_sound_m_s=343.2,
    )
    bare.check(found)
    area = Published(printed="2.26", unit="m2", source="EN-12354-6", where="Annex E, bare room, 1 kHz", inputs={})
    area.check(DECAY_CONSTANT * 29.75 / (343.2 * found))


# Our own room, 6 x 4.5 x 2.7 m; values recomputed from the formulas as their authors give them. Sabine, Eyring,
# Fitzroy and Arau-Puchades agree with a general acoustics library, Sabine and Eyring with a second one.
WALL_AREAS = [12.15, 12.15, 16.2, 16.2, 27.0, 27.0]
WALLS = [0.05, 0.30, 0.05, 0.12, 0.37, 0.05]
PAIRS = [0.175, 0.085, 0.21]
PAIR_AREAS = [24.3, 32.4, 54.0]
ROOM = {"volume_m3": 72.9, "speed_of_sound_m_s": 343.2}


@pytest.mark.parametrize(
    ("formula", "time_s"), [(sabine_time_s, 0.63981), (eyring_time_s, 0.58520), (millington_time_s, 0.54048)]
)
def test_own_room_by_patch(formula, time_s):
    assert formula(WALLS, areas_m2=WALL_AREAS, **ROOM, **BARE) == pytest.approx(time_s, abs=1e-4)


@pytest.mark.parametrize(("formula", "time_s"), [(fitzroy_time_s, 0.68981), (arau_puchades_time_s, 0.62587)])
def test_own_room_by_pair(formula, time_s):
    assert formula(PAIRS, pair_areas_m2=PAIR_AREAS, **ROOM, **BARE) == pytest.approx(time_s, abs=1e-4)


def test_eyring_with_air():
    # 4 kHz, 20 degrees, 50 %: m = 0.006831 /m (ISO 9613-1, recomputed)
    found = eyring_time_s(WALLS, areas_m2=WALL_AREAS, **ROOM, object_area_m2=0.0, air_attenuation_per_m=0.006831)
    assert found == pytest.approx(0.53233, abs=1e-4)


def test_arau_puchades_transcribed_example():
    row = Published(
        printed="0.812147",
        unit="s",
        source="ARAU-PUCHADES-1988",
        where="formula 18, room of 8 x 5 x 3 m, secondary transcription",
        inputs={"pair_areas_m2": [30.0, 48.0, 80.0], "volume_m3": 120.0, "speed_of_sound_m_s": 343.0},
        tolerance=1e-5,
        why_wider="the transcription may round its constant",
    )
    row.check(arau_puchades_time_s([0.5, 0.1, 0.1], **row.inputs, **BARE))


@pytest.mark.parametrize(("formula", "time_s"), [(sabine_time_s, 0.611825), (eyring_time_s, 0.548369)])
def test_uniform_room_by_hand(formula, time_s):
    # 24 ln 10 / 343 = 0.1611141; times 120 / 31.6, and / (158 * 0.2231436)
    found = formula([0.2], areas_m2=[158.0], volume_m3=120.0, speed_of_sound_m_s=343.0, **BARE)
    assert found == pytest.approx(time_s, abs=1e-5)


def test_arau_puchades_with_air_and_objects_by_hand():
    """Each of the three decays carries air and objects."""
    # 4 m V = 4 * 0.01 * 60 = 2.4, objects 1.6, together 4; S = 80: -80 ln 0.81 = 16.857682, -80 ln 0.9 = 8.428841.
    # Times 0.1610199 * 60 / 20.857682 = 0.463196 and / 12.428841 = 0.777321; weights 1/2 and 1/2.
    given = {"pair_areas_m2": [40.0, 15.0, 25.0], "volume_m3": 60.0, "speed_of_sound_m_s": 343.2}
    extra = {"object_area_m2": 1.6, "air_attenuation_per_m": 0.01}
    geometric = arau_puchades_time_s([0.19, 0.1, 0.1], **given, **extra)
    assert geometric == pytest.approx(np.sqrt(0.463196 * 0.777321), abs=2e-6)
    arithmetic = fitzroy_time_s([0.19, 0.1, 0.1], **given, **extra)
    assert arithmetic == pytest.approx((0.463196 + 0.777321) / 2, abs=2e-6)


def test_objects_and_air_by_hand():
    # 1.5 + 4 * 0.01 * 50, 2.5 + 4 * 0.02 * 50
    found = objects_and_air_area_m2(object_area_m2=[1.5, 2.5], air_attenuation_per_m=[0.01, 0.02], volume_m3=50.0)
    assert found == pytest.approx([3.5, 6.5], abs=1e-12)


def test_agreement_with_a_general_library():
    # Without air: that library's air term lengthens Eyring's time, which cannot be.
    surface, mean = 110.7, 0.165732
    for ours, theirs in ((sabine_time_s, pyroomacoustics.rt60_sabine), (eyring_time_s, pyroomacoustics.rt60_eyring)):
        found = ours([mean], areas_m2=[surface], **ROOM, **BARE)
        assert found == pytest.approx(theirs(surface, 72.9, mean, 0.0, 343.2), rel=1e-9)


@pytest.mark.parametrize("absorption", [0.02, 0.3, 0.9])
def test_all_but_sabine_are_one_when_all_surfaces_absorb_alike(absorption):
    expected = eyring_time_s([absorption] * 6, areas_m2=WALL_AREAS, **ROOM, **BARE)
    assert millington_time_s([absorption] * 6, areas_m2=WALL_AREAS, **ROOM, **BARE) == pytest.approx(expected, rel=1e-9)
    for formula in BY_PAIR:
        assert formula([absorption] * 3, pair_areas_m2=PAIR_AREAS, **ROOM, **BARE) == pytest.approx(expected, rel=1e-9)


def test_formulas_differ_in_their_known_order_when_surfaces_do_not():
    sabine, eyring, millington = (f(WALLS, areas_m2=WALL_AREAS, **ROOM, **BARE) for f in BY_PATCH)
    fitzroy, arau = (f(PAIRS, pair_areas_m2=PAIR_AREAS, **ROOM, **BARE) for f in BY_PAIR)
    assert sabine > eyring > millington
    assert fitzroy > arau > eyring


def test_all_meet_as_absorption_vanishes():
    times = [f(np.array(WALLS) * 1e-6, areas_m2=WALL_AREAS, **ROOM, **BARE) for f in BY_PATCH]
    assert times == pytest.approx([times[0]] * 3, rel=1e-6)


@pytest.mark.parametrize("formula", BY_PATCH)
def test_splitting_a_patch_changes_nothing(formula):
    split = formula([*WALLS, 0.05], areas_m2=[12.15, 12.15, 16.2, 16.2, 27.0, 20.0, 7.0], **ROOM, **BARE)
    assert split == pytest.approx(formula(WALLS, areas_m2=WALL_AREAS, **ROOM, **BARE), rel=1e-12)


@pytest.mark.parametrize("formula", [*BY_PATCH, *BY_PAIR])
@pytest.mark.parametrize("change", [{"object_area_m2": 3.0}, {"air_attenuation_per_m": 0.007}])
def test_objects_and_air_shorten_the_time(formula, change):
    args = ({"areas_m2": WALL_AREAS}, WALLS) if formula in BY_PATCH else ({"pair_areas_m2": PAIR_AREAS}, PAIRS)
    assert formula(args[1], **args[0], **ROOM, **{**BARE, **change}) < formula(args[1], **args[0], **ROOM, **BARE)


def test_which_pair_absorbs_matters_to_the_pair_formulas_only():
    moved, moved_areas = [PAIRS[1], PAIRS[2], PAIRS[0]], PAIR_AREAS
    for formula in BY_PAIR:
        before = formula(PAIRS, pair_areas_m2=PAIR_AREAS, **ROOM, **BARE)
        assert formula(moved, pair_areas_m2=moved_areas, **ROOM, **BARE) != pytest.approx(before, rel=0.01)
        # but naming the axes differently does not: area and absorption move together
        renamed = formula(moved, pair_areas_m2=[PAIR_AREAS[1], PAIR_AREAS[2], PAIR_AREAS[0]], **ROOM, **BARE)
        assert renamed == pytest.approx(before, rel=1e-12)


@pytest.mark.parametrize("formula", BY_PATCH)
def test_twice_the_room_takes_twice_the_time(formula):
    large = formula(WALLS, areas_m2=np.multiply(4, WALL_AREAS), volume_m3=8 * 72.9, speed_of_sound_m_s=343.2, **BARE)
    assert large == pytest.approx(2 * formula(WALLS, areas_m2=WALL_AREAS, **ROOM, **BARE), rel=1e-12)


def test_bands_are_the_last_axis():
    bands = np.array([WALLS, np.multiply(WALLS, 0.5)]).T
    extra = {"object_area_m2": [0.0, 2.0], "air_attenuation_per_m": [0.0, 0.004]}
    for formula in BY_PATCH:
        found = formula(bands, areas_m2=WALL_AREAS, **ROOM, **extra)
        assert found.shape == (2,)
        second = formula(bands[:, 1], areas_m2=WALL_AREAS, **ROOM, object_area_m2=2.0, air_attenuation_per_m=0.004)
        assert found[1] == pytest.approx(second, rel=1e-14)
    for formula in BY_PAIR:
        assert formula(np.array([PAIRS, PAIRS]).T, pair_areas_m2=PAIR_AREAS, **ROOM, **extra).shape == (2,)


def test_not_a_number_where_a_formula_does_not_hold():
    nothing, window, all_open = np.zeros(3), np.array([0.1, 0.1, 1.0]), np.ones(3)
    bands = np.array([nothing, window, all_open]).T
    given = {"areas_m2": [31.0, 41.1, 3.7], **ROOM, **BARE}
    assert np.isnan(sabine_time_s(bands, **given)).tolist() == [True, False, False]
    assert np.isnan(eyring_time_s(bands, **given)).tolist() == [True, False, True]
    assert np.isnan(millington_time_s(bands, **given)).tolist() == [True, True, True]
    for formula in BY_PAIR:
        found = formula([[0.0, 0.1, 0.2], [0.1, 1.0, 0.2], [0.1, 0.1, 0.3]], pair_areas_m2=PAIR_AREAS, **ROOM, **BARE)
        assert np.isnan(found).tolist() == [True, True, False]


def test_a_pair_that_absorbs_nothing_is_no_obstacle_with_air():
    air = {"object_area_m2": 0.0, "air_attenuation_per_m": 0.002}
    for formula in BY_PAIR:
        found = formula([0.0, 0.1, 0.1], pair_areas_m2=PAIR_AREAS, **ROOM, **air)
        assert np.isfinite(found)


def test_an_open_patch_of_no_area_has_no_say():
    expected = millington_time_s([0.1, 0.2], areas_m2=[30.0, 50.0], **ROOM, **BARE)
    assert millington_time_s([0.1, 0.2, 1.0], areas_m2=[30.0, 50.0, 0.0], **ROOM, **BARE) == pytest.approx(expected)


@pytest.mark.parametrize("formula", BY_PATCH)
@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"areas_m2": [1.0] * 5}, "areas_m2"),
        ({"areas_m2": [1.0] * 5 + [-1.0]}, "areas_m2"),
        ({"volume_m3": 0.0}, "volume_m3"),
        ({"object_area_m2": -0.1}, "object_area_m2"),
        ({"air_attenuation_per_m": np.nan}, "air_attenuation_per_m"),
        ({"speed_of_sound_m_s": -343.0}, "speed_of_sound_m_s"),
    ],
)
def test_impossible_rooms_are_refused(formula, change, name):
    with pytest.raises(OutOfRangeError, match=name):
        formula(WALLS, **{"areas_m2": WALL_AREAS, **ROOM, **BARE, **change})


@pytest.mark.parametrize("formula", BY_PATCH)
def test_absorption_above_one_is_refused(formula):
    with pytest.raises(OutOfRangeError, match="absorption_coefficients"):
        formula([*WALLS[:5], 1.05], areas_m2=WALL_AREAS, **ROOM, **BARE)


@pytest.mark.parametrize("formula", BY_PAIR)
@pytest.mark.parametrize(
    ("pairs", "areas", "name"),
    [
        ([0.1, 0.2], PAIR_AREAS, "pair_absorption_coefficients"),
        ([0.1, 0.2, 1.2], PAIR_AREAS, "pair_absorption_coefficients"),
        (PAIRS, [24.3, 32.4], "pair_areas_m2"),
        (PAIRS, [24.3, 32.4, 0.0], "pair_areas_m2"),
    ],
)
def test_impossible_pairs_are_refused(formula, pairs, areas, name):
    with pytest.raises(OutOfRangeError, match=name):
        formula(pairs, pair_areas_m2=areas, **ROOM, **BARE)
