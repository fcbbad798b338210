"""POST /v1/run-in: voltage, level and amplifier power by hand; a day before fitting is common practice, no source."""

import math

import pytest

from tests.advice.bodies import ask, codes, numbers_that_are_not_finite

DRIVER = {"sensitivity_db_2v83_1m": 96, "nominal_impedance_ohm": 8, "long_term_power_w": 50}


def run_in(**changes):
    speaker = {**DRIVER, **changes.pop("speaker", {})}
    return ask("run-in", {"speaker": speaker, **changes})


def test_voltage_level_and_amplifier_by_hand():
    # 25 % of 50 W = 12.5 W; sqrt(12.5 x 8) = 10 V; 96 + 20 lg(10 / 2.83) = 106.96 dB; at 2 m 6.02 dB less
    # amplifier: 12 dB of crest are 15.85 times the average power, half of that as a sine: 99.06 W
    answer = run_in(share_pct=25, distance_m=2)
    assert (answer.voltage_v, answer.noise_power_w) == (pytest.approx(10.0), pytest.approx(12.5))
    assert answer.level_at_1m_db == pytest.approx(106.96, abs=0.01)
    assert answer.amplifier_power_w == pytest.approx(99.06, abs=0.01)
    # pink noise over the audible range is some 2 to 4 dB lower in dB(A)
    assert -4 < answer.level_dba - (answer.level_at_1m_db - 20 * math.log10(2)) < -2
    assert answer.hours == 24


def test_power_stays_inside_the_long_term_power():
    for share_pct in (1, 40, 100):
        answer = run_in(share_pct=share_pct)
        assert answer.voltage_v**2 / 8 == pytest.approx(answer.noise_power_w)
        assert answer.noise_power_w <= 50 * (1 + 1e-12)


def test_more_share_is_louder_by_its_decibels():
    assert run_in(share_pct=40).level_dba - run_in(share_pct=10).level_dba == pytest.approx(10 * math.log10(4))


def test_few_facts_and_what_is_assumed():
    answer = ask("run-in", {"speaker": {"sensitivity_db_1w_1m": 95}})
    taken = {item.pointer: item.value for item in answer.assumptions if item.pointer}
    assert {name: taken[name] for name in ("/share_pct", "/hours", "/distance_m")} == {
        "/share_pct": 25.0,
        "/hours": 24.0,
        "/distance_m": 1.0,
    }
    assert "/speaker/long_term_power_w" in taken
    assert list(numbers_that_are_not_finite(answer)) == []


def test_cautions():
    loud = run_in()
    assert codes(loud.cautions) == ["hearing", "run_in", "mains", "calculation"]
    # 85 dB(A) are allowed for 8 hours by NIOSH, 3 dB more for half of that
    assert loud.allowed_hours_a_day == pytest.approx(8 / 2 ** ((loud.level_dba - 85) / 3))
    quiet = run_in(share_pct=1, distance_m=20)
    assert "hearing" not in codes(quiet.cautions)
    assert "run_in" in codes(quiet.cautions)
    assert "field_coil" in codes(run_in(speaker={"field_coil": True}).cautions)
