"""Comparison of amplifiers on a speaker: hand sums, laws, what the trade knows.

Expected values are hand sums with their working; figures of the trade are common practice, no source.
"""

import math

import pytest

from service.advice import policy
from tests.advice.bodies import ask, body, codes
from tests.advice.compared import FEW, OPEN_AIR, entries, entry

# one number, one place -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("amplifier", [{"power_w": 8, "load_ohm": 8}, {"power_w": 8, "kind": "single_ended_triode"}])
def test_the_numbers_are_those_of_the_level(amplifier):
    level = ask("level", {**FEW, "amplifier": amplifier})
    found = entry(amplifier, base=FEW)
    sound = level.amplifier_on_speaker
    assert found.headroom_db == pytest.approx(level.headroom_db, abs=1e-9)
    assert found.average_power_w == pytest.approx(level.average_power_w)
    assert found.power_into_rated_w == pytest.approx(level.power_into_rated_w)
    assert found.level_swing_db == sound.level_swing_db
    assert found.noise_at_seat_dba == sound.noise_at_seat_dba
    assert [limit.code for limit in found.limits] == [limit.code for limit in level.limits]


def test_what_ends_the_level_before_the_amplifier_does_counts():
    # a speaker that bears 10 mW for long ends it far below 50 W, whatever the amplifier
    fragile = {"base": {**FEW, "speaker": {**FEW["speaker"], "long_term_power_w": 0.01}}}
    found = entries({"power_w": 50, "load_ohm": 8}, {"power_w": 500, "load_ohm": 8}, **fragile)
    level = ask("level", {**fragile["base"], "amplifier": {"power_w": 50, "load_ohm": 8}})
    assert found["0"].limits[0].code == "long_term_power"
    assert found["0"].headroom_db == pytest.approx(level.headroom_db)
    assert found["0"].headroom_db == pytest.approx(found["1"].headroom_db)
    assert "other_limit_first" in codes(found["0"].findings)


def test_the_part_of_the_whole_advice_is_the_comparison_itself():
    amplifiers = [{"power_w": 2}, {"power_w": 20, "kind": "push_pull_valve"}]
    alone = ask("match", {**FEW, "amplifiers": amplifiers})
    whole = ask("advice", {**FEW, "amplifiers": amplifiers, "include": ["match", "inputs", "headroom"]})
    assert [each.headroom_db for each in whole.match.ranking] == [each.headroom_db for each in alone.ranking]
    # the first of the ranking stands for the amplifier of the rest, and the inputs say so
    assert whole.headroom.headroom_db == pytest.approx(alone.ranking[0].headroom_db)
    assert whole.inputs["amplifier"]["power_w"] == 20
    assert whole.inputs["amplifiers"][1]["gain_db"] == 27
    again = ask("advice", whole.inputs)
    assert again.match.ranking[0].headroom_db == pytest.approx(alone.ranking[0].headroom_db, abs=1e-4)


def test_without_an_amplifier_there_is_nothing_to_match():
    answer = ask("advice", {**FEW, "include": ["match", "level"]})
    assert answer.match is None
    assert {each.part: each.reason for each in answer.left_out}["match"] == "nothing_to_match"
    one = ask("advice", {**FEW, "amplifier": {"power_w": 8}, "include": ["match"]})
    assert len(one.match.ranking) == 1


# power into a load ---------------------------------------------------------------------------------------------------


def test_fitted_ratings():
    # 30 W into 8 ohm and 45 W into 4: 15.492 V and 13.416 V; 1/V linear in 1/R gives 18.33 V behind 1.464 ohm, and
    # 6 ohm 18.33 x 6 / 7.464 = 14.73 V, 36.2 W
    ratings = [{"load_ohm": 8, "power_w": 30}, {"load_ohm": 4, "power_w": 45}]
    eight, six = (
        entry({"ratings": ratings}, speaker={"nominal_impedance_ohm": ohm, "minimum_impedance_ohm": 4})
        for ohm in (8, 6)
    )
    assert eight.power_into_rated_w == pytest.approx(30)
    assert eight.power_into_minimum_w == pytest.approx(45)
    assert six.power_into_rated_w == pytest.approx(36.2, abs=0.05)


def test_one_rating_is_the_short_form():
    short = entry({"power_w": 8, "load_ohm": 4})
    listed = entry({"ratings": [{"power_w": 8, "load_ohm": 4}]})
    assert (listed.headroom_db, listed.grade) == (short.headroom_db, short.grade)


def test_one_watt_into_32_ohm_is_not_one_watt_into_8():
    # 1 W into 32 ohm is 5.66 V and 0.177 A; that current makes 0.25 W of 8 ohm, 6.02 dB less; with 0.5 A the voltage
    # is the limit: 5.66 V, 4 W, 12.04 dB more
    headphone = {"power_w": 1, "load_ohm": 32, "kind": "headphone_amplifier"}
    found = entries(headphone, {**headphone, "maximum_current_a": 0.75}, {"power_w": 1, "load_ohm": 8})
    assert found["0"].power_into_rated_w == pytest.approx(0.25)
    assert found["1"].power_into_rated_w == pytest.approx(4.0)
    assert found["2"].headroom_db - found["0"].headroom_db == pytest.approx(6.02, abs=0.01)
    assert "current_ends_first" in codes(found["0"].findings)


def test_peak_current():
    # 8 W into 8 ohm are 8 V; into the 6.4 ohm that were told a transistor amplifier sags to
    # 8 x 0.8^((1 - lg2 1.6) / 2) = 8 x 0.8^0.16096 = 7.7177 V: 1.2059 A, 1.7054 A at the peak
    found = entry({"power_w": 8, "load_ohm": 8}, speaker={"minimum_impedance_ohm": 6.4})
    assert found.peak_current_a == pytest.approx(1.7054, abs=0.0005)
    assert found.load_loss_db == pytest.approx(20 * math.log10(8 / 7.7177), abs=0.001)


@pytest.mark.parametrize(("rated_pct", "loss_db"), [(0.0, 0.0), (10.0, 1.0)])
def test_a_rating_at_ten_percent_is_worth_less(rated_pct, loss_db):
    # about a decibel: common practice, no source
    printed, clean = entry({"power_w": 8}), entry({"power_w": 8, "rated_distortion_pct": rated_pct})
    assert printed.headroom_db - clean.headroom_db == pytest.approx(loss_db, abs=0.3)
    assert ("clean_power" in codes(clean.findings)) is (loss_db > 0)


TAPS = {"power_w": 8, "kind": "single_ended_triode", "taps_ohm": [4, 8, 16]}


@pytest.mark.parametrize(("rated_ohm", "best_ohm"), [(4, 4), (6, 8), (8, 8), (16, 16)])
def test_the_best_tap(rated_ohm, best_ohm):
    # 6 ohm on 4: 10 lg(6 / 4) = 1.76 dB, on 8: 10 lg(8 / 6) = 1.25 dB
    found = entry(TAPS, speaker={"nominal_impedance_ohm": rated_ohm, "minimum_impedance_ohm": rated_ohm * 0.85})
    assert (found.best_tap_ohm, found.tap_in_use_ohm) == (best_ohm, None)
    assert [tap.in_use for tap in found.taps] == [None] * 3


def test_what_the_wrong_tap_costs():
    # half the power on half the impedance, and half the output impedance: 2.5 and 1.25 ohm
    unknown, wrong = entry(TAPS), entry({**TAPS, "tap_in_use_ohm": 4})
    four, eight, _ = wrong.taps
    assert (four.loss_db, eight.loss_db) == (pytest.approx(3.01, abs=0.005), 0)
    assert (four.output_impedance_ohm, eight.output_impedance_ohm) == (1.25, 2.5)
    assert four.level_swing_db < eight.level_swing_db
    assert (four.in_use, eight.in_use) == (True, False)
    assert unknown.headroom_db - wrong.headroom_db == pytest.approx(3.01, abs=0.005)
    assert wrong.output_impedance_ohm == 1.25
    assert "tap_choice" in codes(unknown.findings)
    assert "Change to the 8-ohm tap" in next(each.text for each in wrong.findings if each.code == "tap_choice")


@pytest.mark.parametrize("facts", [{"output_impedance_ohm": 3.0}, {"damping_factor": 8 / 3}])
def test_output_impedance_of_another_tap(facts):
    # told for the 8 ohm tap of the rating; half the impedance ratio has half of it
    found = entry({"power_w": 8, "load_ohm": 8, "tap_in_use_ohm": 4, **facts})
    assert [tap.output_impedance_ohm for tap in found.taps] == [pytest.approx(1.5), pytest.approx(3.0)]
    assert found.output_impedance_ohm == pytest.approx(1.5)


def test_bridged_and_channel_ratings_are_not_mixed():
    channel, bridged = {"load_ohm": 8, "power_w": 50}, {"load_ohm": 8, "power_w": 150, "bridged": True}
    both, alone = entry({"ratings": [channel, bridged]}), entry({"ratings": [bridged]})
    assert (both.power_into_rated_w, alone.power_into_rated_w) == (pytest.approx(50), pytest.approx(150))
    assert "bridged_rating" in codes(both.findings)
    assert "bridged_rating" in codes(alone.findings)


# cable and output impedance ------------------------------------------------------------------------------------------


def test_the_cable_costs_level_and_damping():
    # 2 x 5 m of 2.5 mm2, 7.98 ohm/km: 0.0798 ohm; 20 lg(8 / 8.0798) = -0.0862 dB; with 0.08 ohm in the amplifier the
    # damping factor is 8 / 0.1598 = 50.06
    amplifier = {"power_w": 8, "load_ohm": 8, "output_impedance_ohm": 0.08}
    cable = {"length_m": 5, "cross_section_mm2": 2.5}
    found = entry(amplifier, cable=cable)
    assert found.effective_damping_factor == pytest.approx(50.06, abs=0.01)
    # the amplifier sees 8.08 ohm: the same voltage, for above its only rating it holds it
    assert found.cable_loss_db == pytest.approx(0.0862, abs=0.0005)
    assert entry(amplifier).headroom_db - found.headroom_db == pytest.approx(0.0862, abs=0.0005)


def test_gauge_and_cross_section_agree_and_warm_copper_has_more():
    # AWG 14 is 8.286 ohm/km: 2 x 5 m are 0.08286 ohm; at 45 degrees x (1 + 0.00393 x 25) = 1.09825
    amplifier = {"power_w": 8, "load_ohm": 8, "output_impedance_ohm": 0.0}
    cold, warm = (entry(amplifier, cable={"length_m": 5, "awg": 14, "temperature_c": c}) for c in (20, 45))
    assert cold.effective_damping_factor == pytest.approx(8 / 0.08286, rel=1e-3)
    assert cold.effective_damping_factor / warm.effective_damping_factor == pytest.approx(1.09825, rel=1e-6)


def curve(*points):
    """Return an impedance curve from pairs of frequency and magnitude."""
    return [{"frequency_hz": hz, "magnitude_ohm": ohm} for hz, ohm in points]


def test_a_flat_curve_makes_no_swing():
    flat = {"impedance": curve((20, 8), (20_000, 8))}
    found = entry({"power_w": 8, "load_ohm": 8, "output_impedance_ohm": 3.0}, speaker=flat)
    assert found.level_swing_db == pytest.approx(0.0, abs=1e-12)


def test_the_swing_over_a_curve():
    # 0.08 ohm and the usual cable's 0.04788: 20 lg(20 / 20.12788) = -0.0554, 20 lg(3.2 / 3.32788) = -0.3404 dB
    uneven = {"impedance": curve((20, 8), (50, 20), (300, 3.2), (20_000, 8))}
    found = entry({"power_w": 8, "load_ohm": 8, "output_impedance_ohm": 0.08}, speaker=uneven)
    assert found.level_swing_db == pytest.approx(0.2851, abs=0.0002)
    assert found.swing_peaks_at_hz == 50
    assert found.lowest_impedance_ohm == 3.2


def test_the_curve_of_a_driver():
    # R_e (1 + Q_ms / Q_es) = 6 (1 + 5 / 0.5) = 66 ohm at the resonance, 6 ohm far away
    driver = {"resonance_hz": 50, "mechanical_q": 5, "electrical_q": 0.5, "dc_resistance_ohm": 6}
    answer = ask("match", body(OPEN_AIR, speaker={"driver_parameters": driver}))
    (speaker,) = answer.speakers
    assert speaker.impedance_is == "of the driver"
    assert speaker.highest_impedance_ohm == pytest.approx(66, rel=0.01)
    assert speaker.highest_impedance_hz == pytest.approx(50, rel=0.01)
    assert speaker.lowest_impedance_ohm == pytest.approx(6, rel=0.01)
    # the total Q 5 x 0.5 / 5.5 says the same
    total = {**driver, "total_q": 5 * 0.5 / 5.5}
    del total["electrical_q"]
    other = ask("match", body(OPEN_AIR, speaker={"driver_parameters": total}))
    assert other.speakers[0].highest_impedance_ohm == pytest.approx(speaker.highest_impedance_ohm)
    # 25 l as compliant as the suspension in a box of as much: the resonance rises by the root of 2
    boxed = {**driver, "box": "closed", "compliance_volume_l": 25, "box_volume_l": 25}
    closed = ask("match", body(OPEN_AIR, speaker={"driver_parameters": boxed}))
    assert closed.speakers[0].highest_impedance_hz == pytest.approx(70.7, rel=0.01)


def test_a_warm_voice_coil():
    # P watts through 50 K/W warm it by 50 P kelvin: 20 lg(1 + 0.00393 x 50 P); series resistance left out
    driver = {"resonance_hz": 50, "mechanical_q": 5, "electrical_q": 0.5, "dc_resistance_ohm": 6}
    loud = {"base": {**OPEN_AIR, "listening_level_dba": 95}}
    cold = entry({"power_w": 8, "load_ohm": 8}, speaker={"driver_parameters": driver}, **loud)
    warm = entry(
        {"power_w": 8, "load_ohm": 8}, speaker={"driver_parameters": {**driver, "thermal_resistance_k_w": 50}}, **loud
    )
    assert cold.voice_coil_loss_db is None
    assert warm.voice_coil_loss_db > 0.1
    assert warm.voice_coil_loss_db == pytest.approx(20 * math.log10(1 + 0.00393 * 50 * warm.average_power_w), abs=1e-6)


# noise ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("facts", "noise_uv"),
    # 20 W into 8 ohm are 12.649 V: 88 dB below that 503.6 uV; 88 dB below 1 W, 2.828 V, 112.6 uV
    [
        ({"noise_uv": 503.6}, 503.6),
        ({"signal_to_noise_db": 88}, 503.6),
        ({"signal_to_noise_db": 88, "signal_to_noise_reference": "one_watt"}, 112.6),
    ],
)
def test_noise_at_one_metre(facts, noise_uv):
    found = entry({"power_w": 20, "load_ohm": 8, **facts})
    assert found.noise_at_1m_dba == pytest.approx(98 + 20 * math.log10(noise_uv * 1e-6 / 2.8284), abs=0.01)


def test_a_ratio_without_weighting_is_hum():
    # 60 dB below 12.649 V are 12.65 mV: 98 + 20 lg(0.012649 / 2.8284) = 51.0 dB at 1 m
    found = entry({"power_w": 20, "load_ohm": 8, "signal_to_noise_db": 60, "signal_to_noise_weighting": "none"})
    assert found.hum_at_1m_db == pytest.approx(51.01, abs=0.01)
    assert found.noise_at_1m_dba is None
    assert found.audibility == "audible"


def test_hum_of_60_hz_mains_is_nearer_to_hearing():
    # the threshold falls from 26.5 dB at 100 Hz to about 23 at 120 Hz
    low, high = (
        entry({"power_w": 8, "hum_mv": 1, "hum_frequency_hz": hz}, background={"level_dba": 15}) for hz in (100, 120)
    )
    assert 2 < high.noise_margin_db - low.noise_margin_db < 4
    assert low.hum_at_1m_db == high.hum_at_1m_db


def test_noise_rating_as_background():
    # octaves of NR 25, from 31.5 Hz to 8 kHz, less the A weighting: 33.0 29.1 27.7 26.6 26.0 25.0 23.1 20.5 16.6, which
    # add up to 36.9 dB(A)
    found = entry({"power_w": 8, "noise_uv": 100}, background={"nr": 25})
    assert found.background_dba == pytest.approx(36.9, abs=0.1)


def test_usable_range():
    # hiss and background add up by energy; from there to the highest clean level
    found = entry({"power_w": 8, "noise_uv": 100}, background={"level_dba": 25})
    noise_dba = 10 * math.log10(10**2.5 + 10 ** (found.noise_at_seat_dba / 10))
    peak_db = next(limit.peak_spl_db for limit in found.limits if limit.code == "amplifier_clipping")
    assert found.dynamic_range_db == pytest.approx(peak_db - noise_dba)


# gain ----------------------------------------------------------------------------------------------------------------


def test_how_far_the_volume_is_turned_up():
    # 8 W into 8 ohm are 8 V; 2 V of source and 26 dB (19.95) are 39.9 V, 13.96 dB above it; the target lies the
    # headroom below 8 V
    found = entry({"power_w": 8, "load_ohm": 8, "gain_db": 26}, source={"output_v": 2.0})
    assert found.drive_margin_db == pytest.approx(13.96, abs=0.01)
    assert found.volume_below_full_db == pytest.approx(13.96 + found.headroom_db, abs=0.01)
    assert found.full_output_reached
    more = entry({"power_w": 8, "load_ohm": 8, "gain_db": 26}, source={"output_v": 2.0, "preamplifier_gain_db": 10})
    assert more.volume_below_full_db - found.volume_below_full_db == pytest.approx(10)


def test_input_sensitivity_is_gain():
    # 8 V for 0.5 V is a factor of 16, 24.08 dB
    found = entry({"power_w": 8, "load_ohm": 8, "input_sensitivity_v": 0.5})
    assert found.gain_db == pytest.approx(24.08, abs=0.01)
    assert found.input_sensitivity_v == pytest.approx(0.5)


def test_a_source_that_is_too_soft():
    quiet = {"power_w": 8, "load_ohm": 8, "gain_db": 0}
    found = entry(quiet, source={"output_v": 0.2}, listening_level_dba=85)
    assert found.volume_below_full_db < 0
    assert "gain_too_low" in codes(found.findings)
    assert found.grade_parts.lowered_by == ["gain_fit"]
    enough = entry({"power_w": 8, "load_ohm": 8, "gain_db": 26}, listening_level_dba=85)
    order = list(policy.GRADES)
    assert order.index(found.grade) == min(order.index(enough.grade) + 1, 3)


def test_overload_of_the_input():
    # 2 V with 6 dB of preamplifier are 3.99 V, 6 dB above 2 V
    found = entry({"power_w": 8, "input_overload_v": 2.0}, source={"output_v": 2, "preamplifier_gain_db": 6})
    assert found.input_overload_margin_db == pytest.approx(-6.0, abs=0.01)
    assert "input_overload" in codes(found.findings)


# laws ----------------------------------------------------------------------------------------------------------------


def test_more_power_never_lowers_the_headroom():
    found = entries(*({"power_w": power, "load_ohm": 8} for power in (0.5, 2, 8, 50, 500)))
    headroom = [found[str(index)].headroom_db for index in range(5)]
    assert headroom == sorted(headroom)


@pytest.mark.parametrize("kind", [None, "single_ended_triode", "headphone_amplifier"])
def test_a_longer_cable_never_raises_it(kind):
    amplifier = {"power_w": 8, **({} if kind is None else {"kind": kind})}
    headroom = [
        entry(amplifier, cable={"length_m": metres, "cross_section_mm2": 0.5}).headroom_db for metres in (0, 2, 10, 50)
    ]
    assert headroom == sorted(headroom, reverse=True)


def test_a_top_relieved_of_the_bass_gains():
    whole = entry({"power_w": 8}, speaker={"kind": "horn"})
    bass = {"kind": "top_with_bass_section", "bass_section": {"crossover_hz": 150}}
    top = entry({"power_w": 8}, speaker=bass)
    assert top.headroom_db > whole.headroom_db + 0.3
