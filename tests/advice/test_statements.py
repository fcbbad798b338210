"""What the numbers of the answers mean: each statement about the physics with its check value, through the answers.

Values without another source are closed forms, recomputed by hand in the comment beside them.
"""

import math
from typing import get_type_hints

import numpy as np
import pytest

from service.advice.answers.level import LevelPart
from service.advice.answers.whole_job import HeadroomAnswer
from service.advice.assumptions import Assumptions
from service.advice.language.localise import said
from service.advice.room.model import air_of
from service.advice.room.settle import room_acoustics
from service.advice.speaker.model import loudspeaker_model
from service.domain.errors import DomainError
from service.physics.bands import octave_midbands_hz
from service.physics.room.wave_field import pressure_ratio
from tests.advice.bodies import FLAT_SPEAKER, all_walls, ask, body, codes, level_of, part_db, request

SHOW_ROOM = {"length_m": 5.4, "width_m": 4.1, "height_m": 2.5}
"""55.35 m3 and 91.78 m2."""


def acoustics_of(**changes):
    """The settled acoustics of the show room with changes."""
    return room_acoustics(request("reverberation", {"room": {**SHOW_ROOM, **changes}}).room, Assumptions())


def speaker_of(**facts):
    """The settled model of a loudspeaker of 98 dB with more facts."""
    told = {"sensitivity_db_1w_1m": 98, **facts}
    assume = Assumptions()
    return loudspeaker_model(
        request("level", body(speaker=told)).speaker, assume, speed_of_sound_m_s=air_of(None, assume).speed_of_sound_m_s
    )


def free_field(**changes):
    """The level in free field of a flat speaker of 98 dB, alone, on one watt at one metre."""
    base = body(speaker=FLAT_SPEAKER, amplifier={"power_w": 1}, room=None, listening_distance_m=1, speaker_count=1)
    return ask("level", body(base, **changes))


# sensitivity, its space, and the missing low end ----------------------------------------------------------------------


def test_direct_level_of_a_data_sheet():
    # 88 dB at 2.83 V, 4 ohm: 88 - 10 lg(2.83^2 / 4) = 84.985; + 10 lg 100 - 20 lg 3.2 = 94.88; a pair 3.01 more
    posted = body(
        speaker={"sensitivity_db_1w_1m": None, "sensitivity_db_2v83_1m": 88, "nominal_impedance_ohm": 4},
        amplifier={"power_w": 100, "load_ohm": 4},
        room=None,
        listening_distance_m=3.2,
    )
    answer = ask("level", posted)
    assert answer.direct_single_db == pytest.approx(94.88, abs=0.005)
    assert answer.direct_pair_db == pytest.approx(94.88 + 3.01, abs=0.005)


@pytest.mark.parametrize(("space", "low_db"), [("free_field", 0.0), ("half_space", -6.02), ("unknown", -3.0)])
def test_bass_below_the_baffle_step(space, low_db):
    # 0.30 m wide: half of the loss at 115 / 0.30 = 383 Hz (common practice, no source)
    speaker = speaker_of(sensitivity_space=space, cabinet_width_m=0.30)
    assert speaker.baffle_gain_db(np.array([1.0, 383.33, 40_000.0])) == pytest.approx([low_db, low_db / 2, 0], abs=0.01)


def test_roll_off_is_6_db_down_at_the_low_limit_and_comes_on_top():
    speaker = speaker_of(sensitivity_space="half_space", cabinet_width_m=0.30, low_limit_hz=48)
    at_limit = np.array([48.0])
    # 10 lg(1 / 4) = -6.02, and the baffle step on top of it
    assert speaker.low_end_gain_db(at_limit) == pytest.approx(-6.0206 + speaker.baffle_gain_db(at_limit), abs=1e-3)


def test_half_space_figure_lowers_the_bass_at_the_chair():
    free, half = (level_of(speaker={"sensitivity_space": space}) for space in ("free_field", "half_space"))
    drop_db = free.bands.level_db - half.bands.level_db
    # shelf at 115 / 0.35 = 329 Hz; at 63.1 Hz x = 0.192: 10 lg[0.5 (0.5 + 0.0369) / (1 + 0.5 * 0.0369)] = -5.79 dB; the
    # octave's upper end counts more, where the speaker rolls off below 50 Hz: -5.60 dB at 88 Hz
    assert 5.60 < drop_db[0] < 5.79
    assert drop_db[-1] == pytest.approx(0.0, abs=0.02)


def test_low_limit_takes_the_bass_out_of_the_level():
    low, high = (level_of(speaker={"low_limit_hz": limit}) for limit in (20, 120))
    assert low.bands.level_db[0] - high.bands.level_db[0] > 15  # 4th order: about 24 dB an octave below 120 Hz
    assert low.peak_spl_db > high.peak_spl_db


def test_excursion_limit_is_that_of_full_space():
    # 0.053 m2, 5 mm: 95.07 dB at 40 Hz and 1 m into full space; p grows with f^2, so 40 lg(31.623 / 40) less in the
    # third of 31.5 Hz. A programme of 98 dB at 1 m with the share w in a third wants 98 + 10 lg w there; the ratios
    # add in energy. Shares of the programme noise, 31.5 to 160 Hz: -7.4 -5.2 -3.5 -2.3 -1.4 -0.9 -0.5 -0.2 re +12.56
    # dB.
    thirds_db = np.array([-7.4, -5.2, -3.5, -2.3, -1.4, -0.9, -0.5, -0.2]) - 12.56
    frequency_hz = 1000 * 10 ** (np.arange(-15, -7) / 10)
    possible_db = 95.07 + 40 * np.log10(frequency_hz / 40)
    over_db = 10 * math.log10((10 ** ((98 + thirds_db - possible_db) / 10)).sum())
    answer = free_field(speaker={"driver": {"area_m2": 0.053, "peak_excursion_m": 0.005}})
    limit = next(limit for limit in answer.limits if limit.code == "excursion")
    assert limit.peak_spl_db == pytest.approx(answer.peak_spl_db - over_db, abs=0.02)


def test_excursion_uses_the_air_of_the_room():
    # half the density, half the pressure for the same travel: 6.02 dB; at 60 kPa 20 lg(60 / 101.325) = -4.55 dB
    driver = {"driver": {"area_m2": 0.05, "peak_excursion_m": 0.003}}
    margins = []
    for pressure_kpa in (101.325, 60):
        answer = level_of(speaker=driver, room={"pressure_kpa": pressure_kpa})
        limit = next(limit for limit in answer.limits if limit.code == "excursion")
        margins.append(limit.peak_spl_db - answer.peak_spl_db)
    assert margins[1] - margins[0] == pytest.approx(-4.55, abs=0.01)


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


_SEAT = {"x_m": 3.4, "y_m": 2.05, "z_m": 1.05}
THE_PAIR = {"speakers": [{"x_m": 0.9, "y_m": y, "z_m": 0.9} for y in (0.9, 3.2)], "seats": [_SEAT]}
ONE_OF_THE_PAIR = {**THE_PAIR, "speakers": THE_PAIR["speakers"][:1]}


# room constant and times ----------------------------------------------------------------------------------------------


def test_room_constant_from_a_measured_time():
    # 5.4 x 4.1 x 2.5 m, 0.45 s: R = S (e^x - 1) = 22.10 m2, in every octave of the time that was measured
    assert acoustics_of(reverberation_time_s=0.45).room_constant_m2 == pytest.approx([22.10] * 8, abs=0.01)


def test_reverberant_level_follows_from_the_room_constant():
    # flat in free field, DI 5 dB: 98 + 10 lg(16 pi / 22.10) - 5 + 3.01 = 99.58 for the pair on 1 W; rho c cancels
    answer = level_of(
        speaker={**FLAT_SPEAKER, "directivity_index_db": 5},
        amplifier={"power_w": 1},
        room={"reverberation_time_s": 0.45, "pressure_kpa": 80},
    )
    assert answer.reverberant_db == pytest.approx(99.58, abs=0.01)


def test_transition_frequency_takes_the_time_of_125_and_250_hz():
    # 55.35 m3: 2000 sqrt(0.70 / 55.35) = 225 Hz; the middle time of 0.5 s would give 190 Hz
    times = {"63": 0.9, "125": 0.75, "250": 0.65, "500": 0.5, "1000": 0.5, "8000": 0.4}
    assert acoustics_of(reverberation_time_by_octave_s=times).transition_hz == pytest.approx(225, abs=0.5)


def test_a_measured_time_scales_all_admittances_alike():
    # equal walls of 0.52 s brought to 0.40 s: factor 1.320 on the admittance (scaling the absorption would be 1.262)
    slow = acoustics_of(reverberation_time_s=0.52)
    absorption = float(slow.wall_absorption([500.0])[0, 0])
    fast = acoustics_of(reverberation_time_s=0.40, surfaces=all_walls({"absorption_coefficient": absorption}))
    assert fast.admittance_scale[3] == pytest.approx(1.320, abs=0.005)
    ratio = fast.wall_admittance([500.0]) / slow.wall_admittance([500.0])
    assert ratio == pytest.approx(np.full((6, 1), 1.320), abs=0.005)


def test_an_admittance_that_was_told_is_scaled_as_well():
    plain = acoustics_of(surfaces=all_walls({"admittance_ratio": 0.02}))
    measured = acoustics_of(surfaces=all_walls({"admittance_ratio": 0.02}), reverberation_time_s=0.4)
    assert plain.wall_admittance([500.0]) == pytest.approx(np.full((6, 1), 0.02))
    assert measured.wall_admittance([500.0]) == pytest.approx(
        0.02 * np.full((6, 1), measured.admittance_scale[3]), rel=1e-4
    )
    assert measured.admittance_scale[3] > 1.2


# directivity and the bound on sensitivity -----------------------------------------------------------------------------


def test_more_than_121_db_is_refused_without_a_directivity():
    # 109.15 dB of one acoustic watt into full space, plus 12 dB: 121.15
    assert level_of(speaker={"sensitivity_db_1w_1m": 121, "kind": "horn"}).direct_single_db > 115
    posted = request(
        "level",
        body(speaker={"sensitivity_db_2v83_1m": 119, "sensitivity_db_1w_1m": None, "nominal_impedance_ohm": 16}),
    )  # 119 + 3.0 = 122 dB at 1 W
    with pytest.raises(DomainError) as refused:
        loudspeaker_model(posted.speaker, Assumptions(), speed_of_sound_m_s=343.2)
    assert "121.15" in said(refused.value.detail, "en")
    assert refused.value.code == "above_physics"
    assert refused.value.pointer == "/speaker/sensitivity_db_2v83_1m"


def test_the_bound_follows_the_directivity_that_was_told():
    # DI 3: at most 112.15 dB; DI 0: 109.15
    assert level_of(speaker={"sensitivity_db_1w_1m": 112, "directivity_index_db": 3}).peak_spl_db > 100
    for sensitivity_db, index_db in ((112.3, 3), (109.3, 0)):
        with pytest.raises(DomainError, match="above_physics"):
            level_of(speaker={"sensitivity_db_1w_1m": sensitivity_db, "directivity_index_db": index_db})


def test_data_sheets_hold_at_sea_level_whatever_the_room():
    high = {"pressure_kpa": 60, "temperature_c": 45}
    assert level_of(speaker={"sensitivity_db_1w_1m": 121}, room=high).direct_single_db > 115


@pytest.mark.parametrize(("sensitivity_db", "asks"), [(105.9, False), (106.0, False), (106.1, True), (110.0, True)])
def test_above_106_db_the_directivity_is_asked_for(sensitivity_db, asks):
    answer = level_of(speaker={"sensitivity_db_1w_1m": sensitivity_db, "kind": "horn"})
    assert ("directivity_needed" in codes(answer.findings)) is asks
    told = level_of(speaker={"sensitivity_db_1w_1m": sensitivity_db, "kind": "horn", "directivity_index_db": 9})
    assert "directivity_needed" not in codes(told.findings)


# absorption, admittance, openings -------------------------------------------------------------------------------------


def test_parts_of_a_wall_mean_their_absorption_before_the_admittance():
    # a quarter of 0.9 and three quarters of 0.05: 0.2625, b = 0.0427; the mean of b would be 0.1012
    parts = {"parts": [{"absorption_coefficient": 0.05}, {"absorption_coefficient": 0.9, "area_m2": 4.1 * 2.5 / 4}]}
    room = acoustics_of(surfaces={**all_walls({"absorption_coefficient": 0.1}), "back_wall": parts})
    assert room.wall_absorption([100.0])[1] == pytest.approx([0.2625])
    assert room.wall_admittance([100.0])[1] == pytest.approx([0.0427], abs=5e-5)


def test_absorption_beyond_a_wall_is_capped_and_said():
    soft = all_walls({"absorption_coefficient": 0.1})
    for coefficient, capped in ((0.95, False), (0.96, True), (1.0, True)):
        room = {**SHOW_ROOM, "surfaces": {**soft, "ceiling": {"absorption_coefficient": coefficient}}}
        answer = ask("reverberation", {"room": room})
        assert ("absorption_capped" in codes(answer.findings)) is capped
        assert acoustics_of(surfaces=room["surfaces"]).wall_admittance([100.0])[5] <= 0.6382


def test_an_opening_is_said_to_be_no_absorber_in_the_bass():
    wall = {"absorption_coefficient": 0.1}
    door = {"parts": [wall, {"absorption_coefficient": 1, "area_m2": 2.0}]}
    wool = {"parts": [wall, {"material": "wool_100_48", "area_m2": 2.0}]}  # 1.0 from 250 Hz, 0.65 at 125 Hz
    for back_wall, opening in ((door, True), (wool, False), (wall, False)):
        answer = ask("reverberation", {"room": {**SHOW_ROOM, "surfaces": {**all_walls(wall), "back_wall": back_wall}}})
        assert ("opening_in_the_bass" in codes(answer.findings)) is opening


def test_an_admittance_beyond_the_peak_keeps_its_own_branch():
    # b = 1 absorbs 12 - 16 ln 2 = 0.9096, as b = 0.40 does; the wave field gets the one that was told
    room = acoustics_of(surfaces=all_walls({"admittance_ratio": 1.0}))
    assert room.wall_absorption([100.0]) == pytest.approx(np.full((6, 1), 0.9096), abs=5e-5)
    assert room.wall_admittance([100.0]) == pytest.approx(np.ones((6, 1)))


# default room and the bass of materials -------------------------------------------------------------------------------


def test_default_room_has_the_times_of_furnished_rooms_and_equal_walls():
    # (55.35 / 44)^(1/3) = 1.0795: 0.69 s at 125 Hz is 0.745 s, 0.40 s at 8 kHz is 0.432 s
    room = acoustics_of()
    assert room.time_s[[1, 7]] == pytest.approx([0.745, 0.432], abs=5e-4)
    absorption = room.wall_absorption(octave_midbands_hz())
    assert absorption == pytest.approx(np.tile(absorption[0], (6, 1)))
    assert room.time_is == "usual for its kind"


def test_told_surfaces_sharpen_the_room():
    # bare masonry rings 4.93 s at 125 Hz by the handbook values of smooth plaster, 0.013, and of a hard floor, about as
    # much: far outside what homes have, and said so
    bare = {**all_walls({"material": "plaster_on_brick"}), "floor": {"material": "concrete_floor"}}
    answer = ask("reverberation", {"room": {**SHOW_ROOM, "surfaces": bare}})
    assert answer.used_s[1] > 4
    assert answer.used_is == "from the surfaces"
    assert "measure_the_bass" in codes(answer.findings)


def test_bare_masonry_rings_as_the_handbook_has_it():
    """4.93 s at 125 Hz, furnished 1.66 s with a plasterboard ceiling 0.74 s, all plasterboard 0.32 s: handbook rows,
    recomputed elsewhere; which rows is only known for plasterboard. Sabine, 0.29: 0.161 * 55.35 / (91.78 * 0.29) =
    0.335; Eyring 0.161 * 55.35 / (91.78 * 0.3425) = 0.2835."""
    board = acoustics_of(surfaces=all_walls({"material": "gypsum_13_studs"}))
    assert board.time_s[1] == pytest.approx(0.2835, abs=0.001)
    assert "measure_the_bass" in codes(
        ask("reverberation", {"room": {**SHOW_ROOM, "surfaces": all_walls({"material": "gypsum_13_studs"})}}).findings
    )


@pytest.mark.parametrize(("coefficient", "said"), [(0.43, True), (0.2, False), (0.12, False), (0.05, True)])
def test_unusual_bass_times_ask_for_a_measurement(coefficient, said):
    # Eyring: 0.0971 / -ln(1 - a) s: 0.17, 0.44, 0.76, 1.89 s at 125 Hz, against 0.3 to 1.2 s
    answer = ask(
        "reverberation", {"room": {**SHOW_ROOM, "surfaces": all_walls({"absorption_coefficient": coefficient})}}
    )
    assert ("measure_the_bass" in codes(answer.findings)) is said


def test_a_measured_bass_is_not_asked_for_again():
    answer = ask("reverberation", {"room": {**SHOW_ROOM, "reverberation_time_s": 1.9}})
    assert "measure_the_bass" not in codes(answer.findings)


def test_porous_absorption_falls_below_125_hz_and_hard_absorption_holds():
    # 50 mm wool: 0.27 at 125 Hz, 0.54 at 250 Hz, so half for each octave: 0.27 * 40 / 125 = 0.086 at 40 Hz, and
    # 0.27 * 80 / 125.9 = 0.1716 at 80 Hz; panels hold their 0.29
    room = acoustics_of(
        surfaces={**all_walls({"material": "gypsum_13_studs"}), "back_wall": {"material": "wool_50_24"}}
    )
    found = room.wall_absorption([40.0, 80.0])
    assert found[1] == pytest.approx([0.086, 0.1716], abs=5e-4)
    assert found[0] == pytest.approx([0.29, 0.29])


def test_between_mid_bands_absorption_is_linear_in_the_logarithm():
    # glass 0.35 at 125 and 0.25 at 250 Hz: 0.30 half way, at 125.9 * 2^0.4983 = 177.8 Hz
    room = acoustics_of(surfaces=all_walls({"material": "glass_window"}))
    assert room.wall_absorption([177.83])[0] == pytest.approx([0.30], abs=1e-4)


def test_furniture_absorbs_in_the_wave_field_at_floor_and_lower_walls():
    bare = acoustics_of(surfaces=all_walls({"absorption_coefficient": 0.1}))
    furnished = acoustics_of(
        surfaces=all_walls({"absorption_coefficient": 0.1}),
        furniture=[{"material": "seating_upholstered", "area_m2": 3.0}],
        people=2,
    )
    more = furnished.wall_absorption([125.893]) - bare.wall_absorption([125.893])
    # 3 m2 * 0.44 + 2 * 0.23 = 1.78 m2 in all; floor in full, walls by half, ceiling nothing
    assert (more[:, 0] * bare.wall_areas_m2).sum() == pytest.approx(1.78, abs=1e-4)
    assert more[5] == 0
    assert more[4] == pytest.approx(2 * more[0])
    assert furnished.time_s[1] < bare.time_s[1]


def test_modes_are_stated_within_three_per_cent():
    answer = ask("modes", {"room": SHOW_ROOM, "to_hz": 120, "positions": THE_PAIR})
    assert "3 %" in next(finding.text for finding in answer.findings if finding.code == "modes_at_this_chair")


def test_decay_of_modes_counts_all_six_walls():
    # alpha 0.1 everywhere: axial 1.42, tangential 1.14, oblique 0.87 s (the two walls it runs between alone: 3.89 s)
    answer = ask("modes", {"room": {**SHOW_ROOM, "surfaces": all_walls({"absorption_coefficient": 0.1})}, "to_hz": 100})
    by_orders = {mode.orders: mode for mode in answer.modes}
    found = [by_orders[orders].decay_time_s for orders in ((1, 0, 0), (1, 1, 0), (1, 1, 1))]
    assert found == pytest.approx([1.42, 1.14, 0.87], abs=5e-3)
    assert [by_orders[orders].kind for orders in ((1, 0, 0), (1, 1, 0), (1, 1, 1))] == [
        "axial",
        "tangential",
        "oblique",
    ]


# heat, amplifier, uncertainty -----------------------------------------------------------------------------------------


def test_long_term_power_is_compared_with_the_average_power():
    # crest 12 dB (pop and rock): average = sine - 8.99 dB. 8 W of sine heat with 1.010 W: a speaker of 10 W has 9.96 dB
    # to go, although its rating is barely above the amplifier's
    answer = level_of(speaker={"long_term_power_w": 10}, programme="pop_rock")
    limit = next(limit for limit in answer.limits if limit.code == "long_term_power")
    assert limit.peak_spl_db - answer.peak_spl_db == pytest.approx(9.96, abs=0.01)


def test_average_power_at_the_target_by_hand():
    # the target lies headroom below clipping, and the average crest - 3.01 below the target
    answer = level_of(programme="jazz_small_group")
    expected_w = 8 * 10 ** (-(answer.steady_headroom_db + 17 - 3.01) / 10)
    assert answer.average_power_w == pytest.approx(expected_w, rel=1e-3)


@pytest.mark.parametrize(("impedance_ohm", "power_w"), [(6, 36.2), (2, 56.0), (16, 17.6), (8, 30.0), (4, 45.0)])
def test_amplifier_between_and_beyond_its_ratings(impedance_ohm, power_w):
    # 30 W into 8 ohm, 45 W into 4 ohm: V0 18.33 V, Rs 1.464 ohm
    ratings = [{"load_ohm": 8, "power_w": 30}, {"load_ohm": 4, "power_w": 45}]
    answer = level_of(
        speaker={"nominal_impedance_ohm": impedance_ohm},
        amplifier={"power_w": None, "ratings": ratings, "kind": "transistor_class_ab"},
    )
    assert answer.power_into_rated_w == pytest.approx(power_w, abs=0.05)


@pytest.mark.parametrize(
    ("kind", "load_ohm", "impedance_ohm", "power_w", "standard_db"),
    [
        ("single_ended_triode", 8, 4, 4.0, 0.8),  # a tap off its load by a factor loses that factor
        ("single_ended_triode", 8, 16, 4.0, 0.8),
        ("single_ended_triode", 8, 8, 8.0, 1 / math.sqrt(3)),  # rated within -1.5 to +0.5 dB, rectangular
        ("transistor_class_ab", 8, 4, 12.8, 0.8),  # 1.6 times for the halved load
        ("transistor_class_ab", 8, 16, 4.0, 0.3 / math.sqrt(3)),  # the voltage holds; rated within 0.3 dB
        ("headphone_amplifier", 32, 8, 2.0, 0.8),  # 0.5 A into 8 ohm, rms, from 8 W into 32 ohm
    ],
)
def test_amplifier_with_one_rating(kind, load_ohm, impedance_ohm, power_w, standard_db):
    answer = level_of(speaker={"nominal_impedance_ohm": impedance_ohm}, amplifier={"load_ohm": load_ohm, "kind": kind})
    assert answer.power_into_rated_w == pytest.approx(power_w, rel=1e-6)
    assert part_db(answer, "amplifier_power") == pytest.approx(standard_db)


def test_a_current_limit_is_rms():
    # 0.5 A into 8 ohm: 2.0 W if rms (1.0 W if it were the peak)
    answer = level_of(
        speaker={"nominal_impedance_ohm": 8},
        amplifier={"power_w": 2, "load_ohm": 32, "kind": "headphone_amplifier", "maximum_current_a": 0.5},
    )
    assert answer.power_into_rated_w == pytest.approx(2.0, rel=1e-6)


def test_the_supply_sag_is_no_output_impedance():
    # the rating is at the load: 8 W stay 8 W for every kind
    for kind in ("single_ended_triode", "class_d", "headphone_amplifier"):
        assert level_of(amplifier={"kind": kind, "load_ohm": 8}).power_into_rated_w == pytest.approx(8.0)


def test_uncertainty_is_the_root_of_the_sum_of_squares_of_standard_uncertainties():
    answer = level_of(
        room={"reverberation_time_s": 0.5}, speaker={"kind": "two_way", "sensitivity_space": "free_field"}
    )
    squares = {part.about: part.standard_db**2 for part in answer.uncertainty_parts}
    assert answer.headroom_uncertainty_db == pytest.approx(math.sqrt(sum(squares.values())))
    # how loud somebody listens moves the target, not the level
    assert squares.pop("how_loud") > 0
    assert answer.uncertainty_db == pytest.approx(math.sqrt(sum(squares.values())))
    assert part_db(answer, "sensitivity") == pytest.approx(1.1547, abs=1e-4)  # +-2 dB rectangular: 2 / sqrt 3
    assert part_db(answer, "statistical_model") == 1.0
    # Phi(headroom / u): by the error function
    expected = 50 * (1 + math.erf(answer.headroom_db / answer.headroom_uncertainty_db / math.sqrt(2)))
    assert answer.clean_peak_chance_pct == pytest.approx(expected)


def test_shares_weigh_time_directivity_and_distance():
    # free field: no time, no directivity, the distance in full: 8.686 * 0.15 / sqrt 3 / 2.9 = 0.2594 dB
    free = level_of(room=None)
    assert part_db(free, "distance") == pytest.approx(0.2594, abs=1e-4)
    assert part_db(free, "reverberation_time") == part_db(free, "directivity") == 0
    # a room with statistical field alone would have 93 % of reverberant energy; the wave field takes its share of both
    room = level_of(speaker={"kind": "two_way"})
    share = part_db(room, "directivity") / 1.5
    assert 0.5 < share < 0.93
    assert part_db(room, "reverberation_time") == pytest.approx(4.3429 * 0.25 * share, abs=1e-3)
    wave = part_db(room, "wave_field") / 2.0
    assert part_db(room, "distance") == pytest.approx(0.2594 * (1 - share - wave), abs=1e-3)


def test_model_term_never_drops():
    told = {**FLAT_SPEAKER, "directivity_index_db": 5, "kind": "two_way"}
    answer = level_of(speaker=told, room={"reverberation_time_s": 0.4}, positions=THE_PAIR, listening_distance_m=None)
    assert part_db(answer, "statistical_model") == 1.0


def test_uncertainty_is_said_to_be_k_1():
    assert "k = 1" in get_type_hints(LevelPart, include_extras=True)["uncertainty_db"].__metadata__[0]
    assert "k = 1" in get_type_hints(HeadroomAnswer, include_extras=True)["uncertainty_db"].__metadata__[0]


def test_a_sensitivity_of_unstated_basis_takes_the_lower_reading():
    # 98 dB, 4 ohm: at 2.83 V it would be 98 - 10 lg(2.83^2 / 4) = 94.985 dB at 1 W, the lower; the 3.015 dB between are
    # 3.015 / sqrt 3 = 1.74 dB of uncertainty. Into 16 ohm 2.83 V are half a watt: the lower reading is that of 1 W.
    unstated = {"sensitivity_db_1w_1m": None, "sensitivity_db_1m": 98, "nominal_impedance_ohm": 4}
    low = free_field(speaker=unstated, amplifier={"load_ohm": 4})
    assert low.direct_single_db == pytest.approx(94.985, abs=5e-4)
    assert part_db(low, "sensitivity_basis") == pytest.approx(1.741, abs=5e-4)
    high = free_field(speaker={**unstated, "nominal_impedance_ohm": 16}, amplifier={"load_ohm": 16})
    assert high.direct_single_db == pytest.approx(98.0)


# targets of the room, relief by a bass section ------------------------------------------------------------------------


def test_home_band_grades_and_the_studio_time_is_only_shown():
    # the studio recommendation asks 0.25 (55.35 / 100)^(1/3) = 0.205 s; homes lie between 0.3 and 0.5 s (from memory)
    answer = ask("reverberation", {"room": {**SHOW_ROOM, "reverberation_time_s": 0.5}})
    assert answer.target_s == pytest.approx(0.205, abs=5e-4)
    assert answer.home_band_s == (0.3, 0.5)
    home, studio = answer.to_reach
    assert home.absorption_area_m2 == pytest.approx(0, abs=1e-9)
    assert home.options == []
    # S (e^-x now - e^-x wanted): 91.78 (e^-0.19421 - e^-0.47369) = 91.78 (0.82348 - 0.62270) = 18.43 m2; Sabine's
    # formula asks for more
    assert studio.absorption_area_m2 == pytest.approx(18.43, abs=0.05)
    assert all(finding.grade is None for finding in answer.findings)


@pytest.mark.parametrize(("time_s", "code"), [(0.2, "dull_room"), (0.3, None), (0.55, None), (0.8, "lively_room")])
def test_only_rooms_outside_the_home_band_are_spoken_of(time_s, code):
    found = set(codes(ask("reverberation", {"room": {**SHOW_ROOM, "reverberation_time_s": time_s}}).findings))
    assert found & {"dull_room", "lively_room"} == ({code} if code else set())


@pytest.mark.parametrize(
    ("crossover_hz", "share_pct", "relief_db"), [(80, 13.23, 0.616), (120, 17.74, 0.848), (150, 22.69, 1.117)]
)
def test_a_bass_section_relieves_the_amplifier(crossover_hz, share_pct, relief_db):
    # thirds of the programme noise up to 80, 100, 125 Hz re +12.56 dB: 10^0.3774 = 2.384, 3.197 and 4.088 of 18.03,
    # that is 13.2, 17.7 and 22.7 %; -10 lg(1 - share)
    assert -10 * math.log10(1 - share_pct / 100) == pytest.approx(relief_db, abs=0.005)
    plain = level_of(speaker={"sensitivity_space": "free_field", "low_limit_hz": 30})
    relieved = level_of(speaker={"bass_section": {"crossover_hz": crossover_hz, "low_limit_hz": 30}})
    assert relieved.peak_spl_db - plain.peak_spl_db == pytest.approx(relief_db, abs=0.006)
    assert relieved.direct_single_db == plain.direct_single_db
    said = [item for item in relieved.assumptions if "power_relief_db" in str(item.value)]
    assert len(said) == 1
    assert said[0].value == {"power_relief_db": pytest.approx(relief_db, abs=0.006)}
    assert "voltage" in said[0].why


def test_open_baffle_falls_with_its_path_and_its_driver():
    # 0.5 m wide, 1.0 m high, standing on the floor: a plate of 0.5 x 2.0 m, D about 0.49 m; -6.02 dB re half space at
    # c / (6 D) = 343.2 / (6 * 0.4875) = 117.3 Hz, and the driver's own roll-off on top
    speaker = speaker_of(kind="open_baffle", cabinet_width_m=0.5, cabinet_height_m=1.0, low_limit_hz=60)
    assert speaker.radiation == "dipole"
    assert speaker.baffle_gain_db(117.3) == pytest.approx(-6.02, abs=0.1)
    # second order: 10 lg(1 + 3 (60 / 117.3)^4) = 0.81 dB
    assert speaker.low_end_gain_db(117.3) - speaker.baffle_gain_db(117.3) == pytest.approx(-0.81, abs=0.01)
