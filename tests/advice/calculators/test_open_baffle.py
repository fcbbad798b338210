"""POST /v1/open-baffle: limits, equalisation, travel and sizes, against hand sums with c = 343.2 m/s."""

import math

import numpy as np
import pytest

from service.domain.errors import DomainError
from service.domain.open_baffle import BaffleDriver
from service.physics.loudspeaker.low_end import dipole_low_limit_hz
from tests.advice.bodies import ask, codes, numbers_that_are_not_finite

FREE = {"width_m": 0.5, "height_m": 1.0, "stands_on_floor": False}
"""A plate of 1:2 has a path of 0.893 of its short side: 0.4465 m."""
QUIET_DRIVER = {"resonance_hz": 5.0, "total_q": 1.0}
"""So low that it hardly plays a part above 60 Hz: 1 % of the pressure at most."""
CONE = {"area_m2": 0.0855, "peak_excursion_m": 0.005}


def baffle(driver=None, **changes):
    posted = {**FREE, **changes}
    if driver is not None:
        posted["driver"] = driver
    return ask("open-baffle", posted)


def test_limits_of_the_baffle_alone_by_hand():
    # c / (pi D) = 244.67 Hz; asin 10^(-3/20) = 0.78659, asin 10^(-6/20) = 0.52495, asin 10^(-10/20) = 0.32175
    answer = baffle(QUIET_DRIVER)
    assert answer.path_length_m == pytest.approx(0.4465, rel=1e-3)
    assert [limit.loss_db for limit in answer.limits] == [3.0, 6.0, 10.0]
    # the speed of sound at 20 degrees, 343.2 m/s by ISO 9613-1
    assert [limit.baffle_alone_hz for limit in answer.limits] == pytest.approx([192.45, 128.45, 78.72], abs=0.02)
    assert [limit.with_driver_hz for limit in answer.limits] == pytest.approx([192.45, 128.45, 78.72], rel=0.01)


def test_the_drivers_resonance_takes_its_part():
    # at its resonance a driver of Q 0.5 is 6 dB down by itself: limits lie higher than those of the baffle alone
    damped = baffle({"resonance_hz": 120.0, "total_q": 0.5})
    assert all(limit.with_driver_hz > limit.baffle_alone_hz for limit in damped.limits)
    # one of Q 2 is 6 dB up there and fills the loss
    filled = baffle({"resonance_hz": 120.0, "total_q": 2.0})
    assert filled.limits[1].with_driver_hz < filled.limits[1].baffle_alone_hz


def test_on_the_floor_the_plate_counts_twice_as_high():
    standing = baffle(stands_on_floor=True)
    assert standing.path_length_m == pytest.approx(baffle(height_m=2.0).path_length_m)
    assert standing.limits[1].baffle_alone_hz < baffle().limits[1].baffle_alone_hz


def test_equalisation_by_hand():
    # c / (12 D): half a wave of 15 degrees, sin = 0.25882, -11.74 dB; the driver of Q 1 at its resonance adds nothing
    flat_hz = 343.2 / (12 * 0.4465)
    flat = baffle({"resonance_hz": flat_hz, "total_q": 1.0}, flat_down_to_hz=flat_hz).flat_bass
    assert flat.frequency_hz[0] == pytest.approx(flat_hz)
    assert flat.gain_db[0] == pytest.approx(11.74, abs=0.01)
    assert flat.most_power_ratio == pytest.approx(10 ** (flat.most_gain_db / 10))


def test_travel_by_hand():
    # 94 dB are 1.0024 Pa; x = p sqrt(2) r / (2 pi rho f^2 S |sin|), rho 1.204, f c / (6 D) = 128.1 Hz, sin 0.5:
    # 1.0024 x 1.41421 / (2 pi x 1.204 x 16 410 x 0.0855 x 0.5) = 0.2671 mm
    flat_hz = 343.2 / (6 * 0.4465)
    answer = baffle({**CONE, **QUIET_DRIVER}, flat_down_to_hz=flat_hz, level_db=94, distance_m=1)
    flat = answer.flat_bass
    assert flat.excursion_at_lowest_m == pytest.approx(0.2671e-3, rel=2e-3)
    assert flat.highest_level_db == pytest.approx(94 + 20 * math.log10(5 / 0.2671), abs=0.02)
    assert flat.travel_suffices_from_hz == pytest.approx(flat_hz)
    assert (np.diff(flat.excursion_m) < 0).all()


def test_where_the_travel_suffices():
    short = baffle({**CONE, **QUIET_DRIVER, "peak_excursion_m": 0.001}, flat_down_to_hz=30, level_db=95)
    flat = short.flat_bass
    at_limit_mm = 1000 * np.interp(flat.travel_suffices_from_hz, flat.frequency_hz, flat.excursion_m)
    assert at_limit_mm == pytest.approx(1.0, rel=0.01)
    assert flat.highest_level_db < 95
    nowhere = baffle({**CONE, "peak_excursion_m": 1e-5}, flat_down_to_hz=500, level_db=140).flat_bass
    assert nowhere.travel_suffices_from_hz is None


@pytest.mark.parametrize("stands_on_floor", [True, False])
def test_sizes_reach_what_was_wanted(stands_on_floor):
    driver = {"resonance_hz": 38.0, "total_q": 0.7}
    sizes = baffle(driver, wanted_hz=90, stands_on_floor=stands_on_floor).sizes
    assert {size.height_to_width_ratio for size in sizes} == {2.0, 1.0}  # the shape told is one of them
    for size in sizes:
        again = baffle(driver, width_m=size.width_m, height_m=size.height_m, stands_on_floor=stands_on_floor)
        limit = next(limit for limit in again.limits if limit.loss_db == size.loss_db)
        assert limit.with_driver_hz == pytest.approx(90, rel=1e-3)


def test_no_size_makes_up_for_the_driver():
    # Q 0.4 at its resonance is 8 dB down
    answer = baffle({"resonance_hz": 60.0, "total_q": 0.4}, wanted_hz=60)
    assert {size.loss_db for size in answer.sizes if size.width_m is None} == {3.0, 6.0}
    assert "open_baffle_driver_ends_first" in codes(answer.findings)
    assert "open_baffle_size" in codes(baffle(wanted_hz=150).findings)


def test_findings_say_when_it_is_too_much():
    def variants(**changes):
        return {finding.code: finding.text for finding in baffle({**CONE, **QUIET_DRIVER}, **changes).findings}

    assert "would have to lift" in variants(flat_down_to_hz=20)["open_baffle_equalised"]
    assert "would have to lift" not in variants(flat_down_to_hz=90)["open_baffle_equalised"]
    assert "would take" in variants(flat_down_to_hz=20, level_db=100)["open_baffle_travel"]
    assert "would take" not in variants(flat_down_to_hz=90, level_db=85)["open_baffle_travel"]
    assert "open_baffle_travel" not in codes(baffle().findings)


def test_few_facts_and_what_is_assumed():
    answer = ask("open-baffle", {"width_m": 0.6, "height_m": 1.1})
    taken = {item.pointer for item in answer.assumptions if item.pointer}
    assert taken == {
        *("/stands_on_floor", "/driver/resonance_hz", "/driver/total_q"),
        *("/flat_down_to_hz", "/level_db", "/distance_m", "/wanted_hz"),
    }
    assert answer.flat_bass.excursion_m is None
    assert list(numbers_that_are_not_finite(answer)) == []


def test_facts_that_belong_together():
    for facts in ({"resonance_hz": 40.0}, {"total_q": 0.5}, {"area_m2": 0.05}, {"peak_excursion_m": 0.004}):
        with pytest.raises(DomainError, match="belong_together"):
            BaffleDriver(**facts)


def test_limit_of_the_baffle_alone():
    # c / (4 D) where half the power is lost
    assert dipole_low_limit_hz(
        loss_db=10 * math.log10(2), path_length_m=0.5, speed_of_sound_m_s=340.0
    ) == pytest.approx(170.0)
