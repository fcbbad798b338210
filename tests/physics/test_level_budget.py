"""Level budget: closed forms of direct and reverberant sound, the pair rule, the crossfade, short sounds."""

import numpy as np
import pytest

from service.physics import level_budget
from service.physics.level_budget import GRID_HZ, joined_grid_hz, octave_levels, wave_field_share_ratio

SILENT_AIR = np.zeros(8)
ROOM = {
    "room_constant_m2": np.full(8, 22.10),
    "directivity_index_db": np.full(8, 5.0),
    "reverberation_time_s": np.full(8, 0.45),
}


def levels(**changes):
    """Octave levels of one flat speaker of 100 dB at 1 m, heard at 2 m, in a room unless it is taken away."""
    given = {
        "level_at_1m_db": 100.0,
        "low_end_gain_db": np.zeros(GRID_HZ.size),
        "distance_m": 2.0,
        "air_absorption_db_per_m": SILENT_AIR,
        "speaker_count": 1,
        "short_window_s": 0.035,
        "wave_field": None,
        "join_hz": None,
        **ROOM,
    }
    return octave_levels(**{**given, **changes})


NO_ROOM = {"room_constant_m2": None, "reverberation_time_s": None}


def test_direct_sound_in_free_field_by_hand():
    # 100 - 20 lg 2 = 93.979; and a further 0.1 dB/m over 2 m
    free = levels(**NO_ROOM)
    assert free.level_db == pytest.approx([93.979] * 8, abs=5e-4)
    assert free.short_db == pytest.approx(free.level_db)
    assert np.isneginf(free.reverberant_db).all()
    with_air = levels(**NO_ROOM, air_absorption_db_per_m=np.full(8, 0.1))
    assert free.level_db - with_air.level_db == pytest.approx([0.2] * 8, abs=1e-12)


def test_reverberant_level_by_hand():
    # 10 lg(16 pi / 22.10) - 5 = 3.569 - 5; with the direct 93.979: 10 lg(10^9.8569 + 10^9.3979) = 99.863
    found = levels()
    assert found.reverberant_db == pytest.approx([98.569] * 8, abs=5e-4)
    assert found.level_db == pytest.approx([99.863] * 8, abs=2e-3)


@pytest.mark.parametrize(("index_db", "expected_db"), [(0.0, 4.272), (3.0, 1.460), (5.0, -0.329), (7.0, -2.015)])
def test_directivity_takes_from_the_reverberant_part_only(index_db, expected_db):
    # 2.9 m, R 19.67 m2 (55.35 m3, 91.78 m2, 0.5 s): 10 lg(1 / 8.41 + 2.5554 * 10^(-DI / 10)), by hand
    found = levels(
        level_at_1m_db=0.0,
        distance_m=2.9,
        room_constant_m2=np.full(8, 16 * np.pi / 2.5554),
        directivity_index_db=np.full(8, index_db),
    )
    assert found.level_db == pytest.approx([expected_db] * 8, abs=1e-3)


def test_each_octave_has_its_own_directivity():
    index_db = np.array([0, 0.5, 1, 2.5, 4.5, 7, 9, 10.0])
    without, found = (levels(directivity_index_db=index).reverberant_db for index in (np.zeros(8), index_db))
    assert without - found == pytest.approx(index_db, abs=1e-9)


@pytest.mark.parametrize(
    ("time_s", "window_s", "expected_db"), [(0.45, 0.035, -1.81), (0.45, 0.05, -1.05), (0.6, 0.035, -2.57)]
)
def test_short_sound_lacks_what_the_room_has_not_built_up(time_s, window_s, expected_db):
    # far away only the reverberant part is left: 10 lg(1 - e^(-13.8155 t / T)), recomputed by hand
    far = levels(distance_m=1e4, reverberation_time_s=np.full(8, time_s), short_window_s=window_s)
    assert far.short_db - far.level_db == pytest.approx([expected_db] * 8, abs=5e-3)


def test_short_sound_keeps_the_direct_part():
    near = levels(distance_m=0.05)
    assert near.short_db == pytest.approx(near.level_db, abs=0.01)


def test_pair_in_the_direct_field():
    # 10 lg(2 + 2 rho): 6.02 dB in the bass, 3.01 dB from 240 Hz; 63 Hz lies below 120 Hz, 500 Hz above 240 Hz
    gain_db = levels(**NO_ROOM, speaker_count=2).level_db - levels(**NO_ROOM).level_db
    assert gain_db[0] == pytest.approx(6.0206, abs=1e-4)
    assert gain_db[3:] == pytest.approx([3.0103] * 5, abs=1e-4)
    assert 3.0103 < gain_db[2] < gain_db[1] < 6.0206


def test_pair_in_the_reverberant_field_adds_power_everywhere():
    gain_db = levels(speaker_count=2).reverberant_db - levels().reverberant_db
    assert gain_db == pytest.approx([3.0103] * 8, abs=1e-4)


def test_hearing_takes_the_pair_in_phase():
    # free field: 6.02 dB over one speaker in every octave, whatever the programme
    free, pair = levels(**NO_ROOM), levels(**NO_ROOM, speaker_count=2)
    assert pair.coherent_db - free.level_db == pytest.approx([6.0206] * 8, abs=1e-4)
    # a room: the direct part only, 10 lg(4 / 4 + 2 * 10^(-0.1431)) + 100 = 103.87 by hand; 10^(-0.1431) = 0.7193
    assert levels(speaker_count=2).coherent_db == pytest.approx([103.87] * 8, abs=5e-3)


@pytest.mark.parametrize(("rho", "expected_db"), [(0.0, 3.01), (0.3, 4.15), (0.5, 4.77), (1.0, 6.02)])
def test_pair_rule(rho, expected_db):
    alike = np.array([[0.3 - 0.4j], [0.3 - 0.4j]])  # of energy 0.25
    energy = level_budget.pair_energy_ratio(alike, correlation_ratio=np.array([rho]))
    assert 10 * np.log10(energy / 0.25) == pytest.approx([expected_db], abs=5e-3)


def test_pair_rule_with_unlike_fields_by_hand():
    # |3 + 4j|^2 + |1 - 2j|^2 + 2 * 0.25 Re[(3 + 4j)(1 + 2j)] = 25 + 5 + 0.5 * (3 - 8) = 27.5
    energy = level_budget.pair_energy_ratio(np.array([[3 + 4j], [1 - 2j]]), correlation_ratio=np.array([0.25]))
    assert energy == pytest.approx([27.5])


def test_crossfade_by_hand():
    # over one octave around 200 Hz, linear in lg f: all at 141.4 Hz and below, half at 200 Hz, nothing from 282.8 Hz;
    # at 200 * 2^0.25 Hz a quarter
    found = wave_field_share_ratio([100.0, 141.0, 200.0, 200.0 * 2**0.25, 283.0, 1000.0], join_hz=200.0)
    assert found == pytest.approx([1.0, 1.0, 0.5, 0.25, 0.0, 0.0], abs=5e-3)


def test_wave_field_takes_over_below_and_nothing_above():
    join_hz = 200.0
    n = joined_grid_hz(join_hz=join_hz).size
    found = levels(wave_field=np.full((1, n), 2.0 + 0j), join_hz=join_hz)
    # 63 Hz octave: |2|^2 re 100 dB; from 500 Hz on the statistical field; each octave says where it came from
    assert found.level_db[0] == pytest.approx(100 + 20 * np.log10(2.0), abs=1e-9)
    assert found.level_db[3:] == pytest.approx(levels().level_db[3:], abs=1e-9)
    assert found.wave_field_share_ratio[[0, 3, 4, 5, 6, 7]] == pytest.approx([1, 0, 0, 0, 0, 0])
    # 125 Hz octave, 89.1 to 177.8 Hz: all up to 141.4 Hz, then falling to 0.670 at 177.8 Hz: 1 - 0.330^2 / 2 / 0.9966
    assert found.wave_field_share_ratio[1] == pytest.approx(0.9453, abs=2e-3)


def test_one_pair_rule_in_the_wave_field_as_well():
    # fields 1 and -0.5: 1.25 - rho. 63 Hz octave: rho 1, 0.25 or -6.02 dB. 125 Hz octave, 89.1 to 177.8 Hz: rho 1 over
    # lg2(120 / 89.1) = 0.4292, then falling to 0.4326 over 0.5674, 0.8385 in the mean: 0.4115 or -3.86 dB
    n = joined_grid_hz(join_hz=300.0).size
    field = np.stack([np.ones(n), np.full(n, -0.5)]).astype(complex)
    found = levels(speaker_count=2, wave_field=field, join_hz=300.0)
    assert found.level_db[:2] - 100 == pytest.approx([-6.02, -3.86], abs=0.02)
    # for hearing in phase: 0.25 in both
    assert found.coherent_db[:2] - 100 == pytest.approx([-6.02, -6.02], abs=0.01)


def test_octave_is_the_mean_of_energy_over_the_logarithm_of_frequency():
    # half of the 63 Hz octave silent: 3.01 dB, where the mean of the decibels would be endless
    gain_db = np.zeros(GRID_HZ.size)
    gain_db[:12] = -200.0
    difference = levels(**NO_ROOM).level_db - levels(**NO_ROOM, low_end_gain_db=gain_db).level_db
    assert difference[0] == pytest.approx(3.0103, abs=1e-4)
    assert difference[1:] == pytest.approx(np.zeros(7))


def test_grid_is_even_in_every_octave():
    by_octave = np.log(GRID_HZ).reshape(8, 24)
    steps = np.diff(by_octave.ravel())
    assert steps == pytest.approx(np.full(191, steps[0]))
    assert np.exp(by_octave.mean(axis=1))[[0, 4]] == pytest.approx([63.096, 1000.0], abs=5e-3)  # exact mid-bands


def test_wave_field_is_asked_for_up_to_half_an_octave_above_the_join():
    assert joined_grid_hz(join_hz=100.0).max() <= 100 * 2**0.5 < joined_grid_hz(join_hz=103.0).max()
    assert joined_grid_hz(join_hz=500.0).max() <= 300.0
    assert joined_grid_hz(join_hz=10.0).size == 0  # a very large or very dead room: no octave reaches so low


def test_a_room_without_wave_field_on_the_grid_is_statistical():
    found = levels(wave_field=np.zeros((1, 0), dtype=complex), join_hz=10.0)
    assert found.level_db == pytest.approx(levels().level_db)
    assert not found.wave_field_share_ratio.any()


def test_programme_sum_by_hand():
    # 90 dB in half of the power and 80 dB in the other half: 10 lg(0.5e9 + 0.5e8) = 87.404
    shares = np.array([0.5, 0.5, 0, 0, 0, 0, 0, 0])
    level_db = np.array([90.0, 80, 0, 0, 0, 0, 0, 0])
    assert level_budget.programme_sum_db(level_db, power_shares=shares) == pytest.approx(87.404, abs=5e-4)


def test_more_power_is_more_level_in_every_octave():
    assert levels(level_at_1m_db=103.0).level_db - levels().level_db == pytest.approx([3.0] * 8)
