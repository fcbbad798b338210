"""What a peak is, where the two fields are joined, what a pair adds. Check values are closed forms, recomputed by hand
beside them."""

import math

import numpy as np
import pytest

from service.advice.assumptions import Assumptions
from service.advice.room.settle import room_acoustics
from service.physics.room.wave_field import pressure_ratio
from tests.advice.bodies import ask, body, level_of, request
from tests.advice.show_room import ONE_OF_THE_PAIR, THE_PAIR, free_field

# what a peak is -------------------------------------------------------------------------------------------------------


def test_target_and_average_share_one_unit():
    # orchestral: 85 + 18 - 3.01 = 99.99; average at the target 99.99 - 14.99 - 2.615 = 82.39 dB(A), by the A
    # weighting of the programme noise
    answer = level_of(programme="orchestral")
    assert answer.peak_target_db == pytest.approx(99.99, abs=0.005)
    assert answer.average_at_target_dba == pytest.approx(82.39, abs=0.01)
    assert answer.steady_headroom_db == pytest.approx(answer.peak_spl_db - 99.99, abs=0.005)


def test_peak_is_the_rms_level_with_the_spectrum_of_the_programme():
    # a flat speaker in free field: 98 dB at 1 W and 1 m in every octave, so 98 dB whatever the spectrum; air at 1 m is
    # worth less than 0.01 dB
    for programme in ("pop_rock", "electronic", "voice_chamber"):
        assert free_field(programme=programme).peak_spl_db == pytest.approx(98.0, abs=0.01)


# steady and short peaks -----------------------------------------------------------------------------------------------


def test_short_peak_stands_beside_the_steady_one_and_the_verdict_uses_the_lower():
    answer = level_of()
    assert answer.short_peak_db < answer.peak_spl_db
    assert answer.headroom_db == pytest.approx(answer.short_peak_db - answer.peak_target_db)
    # 93 % reverberant at 2.9 m, built up to 10^-0.181 = 0.659 in 35 ms of 0.45 s: 10 lg(0.07 + 0.93 * 0.659) = -1.65;
    # at most -1.81
    short = level_of(room={"reverberation_time_s": 0.45})
    assert -1.81 < short.short_peak_db - short.peak_spl_db < -1.4


def test_verdict_of_the_whole_advice_is_that_of_the_level():
    answer = ask("advice", body())
    assert answer.headroom.headroom_db == answer.level.headroom_db
    assert answer.headroom.headroom_db < answer.level.steady_headroom_db


def test_a_limit_before_the_amplifier_holds_short_peaks_down_as_well():
    answer = level_of(speaker={"driver": {"area_m2": 0.02, "peak_excursion_m": 0.0005}})
    assert answer.limits[0].code == "excursion"
    held_down_db = answer.peak_spl_db - answer.limits[0].peak_spl_db
    assert held_down_db > 3
    assert answer.headroom_db == pytest.approx(answer.short_peak_db - held_down_db - answer.peak_target_db)


# the join of the two fields -------------------------------------------------------------------------------------------


def test_each_octave_says_from_which_field_it_comes():
    share = level_of().bands.wave_field_share_ratio
    assert share[0] == pytest.approx(1.0)
    assert 0 < share[2] < share[1] <= 1
    assert share[4:] == pytest.approx([0, 0, 0, 0])


def test_join_is_the_transition_frequency_but_at_most_212_hz():
    # 4 x 2.9 x 2.2 m, 0.6 s: 2000 sqrt(0.6 / 25.5) = 307 Hz; the octave of 250 Hz (178 to 355 Hz) then holds the wave
    # field up to 212 sqrt 2 = 300 Hz, the highest that is computed: 1/2 (lg2(300 / 178))^2 / 0.9966 = 0.284 of it
    answer = level_of(
        room={"length_m": 4.0, "width_m": 2.9, "height_m": 2.2, "reverberation_time_s": 0.6}, listening_distance_m=2
    )
    assert answer.transition_hz == pytest.approx(307, abs=1)
    assert answer.bands.wave_field_share_ratio[2] == pytest.approx(0.284, abs=0.005)
    assert answer.bands.wave_field_share_ratio[3] == 0


@pytest.mark.parametrize(
    ("dimensions_m", "time_s"), [((4.2, 3.3, 2.4), 0.48), ((5.4, 4.1, 2.5), 0.52), ((7.6, 5.3, 2.8), 0.55)]
)
def test_wave_field_lies_below_the_statistical_value_at_real_places(dimensions_m, time_s):
    """Floor, front wall and mid-height nodes take some decibels: 1.8 to 4.1 dB at 88 to 177 Hz and 1.0 to 2.6 dB at
    177 to 300 Hz were found by an independent closed-form solver for speakers 0.5 to 1.3 m off the wall and 0.9 m
    high, ears at 1.1 m. Its places are not known and single places scatter by 2 dB, so 1 to 6 dB and 0.5 to 3.5 dB
    are asked for here."""
    length_m, width_m, height_m = dimensions_m
    told = {"length_m": length_m, "width_m": width_m, "height_m": height_m, "reverberation_time_s": time_s}
    room = room_acoustics(request("reverberation", {"room": told}).room, Assumptions())
    speakers_m = np.array([[x, y, 0.9] for x in (0.5, 0.7, 0.9, 1.1, 1.3) for y in (0.7, 0.85, 1.0, 1.2)])
    seats_m = np.array(
        [[x * length_m, width_m / 2 + y, 1.1] for x in (0.45, 0.55, 0.65, 0.75, 0.85) for y in (-0.6, 0, 0.5)]
    )
    distances_m = np.linalg.norm(speakers_m[None] - seats_m[:, None], axis=-1)
    statistical = 1 / distances_m**2 + 16 * math.pi / room.room_constant_m2[1]
    for (low_hz, high_hz), (least_db, most_db) in (((88, 177), (1.0, 6.0)), ((177, 300), (0.5, 3.5))):
        frequency_hz = np.geomspace(low_hz, high_hz, 25)
        field = pressure_ratio(
            room.box(frequency_hz), sources_m=speakers_m, axes=np.zeros_like(speakers_m), seats_m=seats_m
        )
        below_db = -10 * np.log10((np.abs(field) ** 2).mean(axis=-1) / statistical)
        assert least_db < below_db.mean() < most_db
        assert 1.5 < below_db.std() < 4.1  # octave means scatter by 1.7 to 4.1 dB over places


# pairs ----------------------------------------------------------------------------------------------------------------


def test_free_field_pair_of_a_data_sheet_stays_at_3_db():
    answer = level_of()
    assert answer.direct_pair_db - answer.direct_single_db == pytest.approx(3.0103, abs=1e-4)
    assert level_of(speaker_count=1).direct_pair_db is None


def test_hearing_limit_takes_the_pair_in_phase():
    # 105 dB of one speaker: a pair in phase 111.02, its crest 114.03 dB, not 111.02; air at 1 m is worth 0.003 dB
    answer = free_field(speaker={"sensitivity_db_1w_1m": 105}, speaker_count=2)
    assert answer.direct_single_db == pytest.approx(105.0)
    assert answer.peak_pressure_db == pytest.approx(114.03, abs=0.01)
    assert answer.peak_spl_db < 111.02 - 1.5  # the music itself is not in phase above 240 Hz


def test_pair_over_one_speaker_at_real_places():
    # never more than in phase, 6.02 dB; by octave +0.7 to +6.0 dB were found by an independent solver, 0.5 dB wider
    # here
    one, two = (
        level_of(speaker_count=1, positions=ONE_OF_THE_PAIR, listening_distance_m=None),
        level_of(positions=THE_PAIR, listening_distance_m=None),
    )
    gain_db = two.bands.level_db - one.bands.level_db
    assert (gain_db[:3] > 0.2).all()
    assert (gain_db <= 6.03).all()
    assert gain_db[4:] == pytest.approx([3.01] * 4, abs=0.01)
