"""Heat, power, uncertainty, and what a bass section relieves. Check values are closed forms, recomputed by hand beside
them."""

import math
from typing import get_type_hints

import pytest

from service.advice.answers.level import LevelPart
from service.advice.answers.whole_job import HeadroomAnswer
from tests.advice.bodies import FLAT_SPEAKER, ask, codes, level_of, part_db
from tests.advice.show_room import SHOW_ROOM, THE_PAIR, free_field, speaker_of

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
