"""Room constant, times, walls and the bass of materials. Check values are closed forms, recomputed by hand beside
them."""

import numpy as np
import pytest

from service.physics.bands import octave_midbands_hz
from tests.advice.bodies import FLAT_SPEAKER, all_walls, ask, codes, level_of
from tests.advice.show_room import SHOW_ROOM, THE_PAIR, acoustics_of

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
