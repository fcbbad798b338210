"""Open baffle with its driver: limits in closed form, two sources far away, size and limit turned round, refusals."""

import math

import numpy as np
import pytest
from scipy import signal

from service.physics.checks import OutOfRangeError
from service.physics.loudspeaker.low_end import (
    dipole_baffle_gain_db,
    dipole_path_length_of_rectangle_m,
)
from service.physics.loudspeaker.open_baffle import open_baffle_gain_db, open_baffle_low_limit_hz, resonance_gain_db
from service.physics.loudspeaker.open_baffle_size import (
    baffle_width_for_limit_m,
    equalisation_for_flat_db,
    open_baffle_excursion_m,
)
from tests.published import Published

SPEED_M_S = 343.2
BAFFLE = {"path_length_m": 0.447, "resonance_hz": 32.0, "total_q": 0.85, "speed_of_sound_m_s": SPEED_M_S}
NO_RESONANCE = BAFFLE | {"resonance_hz": 0.01}
SIX_DB, THREE_DB = 20.0 * math.log10(2.0), 10.0 * math.log10(2.0)
GRID_HZ = np.geomspace(10.0, 4000.0, 61)


def test_resonance_by_hand():
    # at f_s: 20 lg Q; an octave below with Q 1: (1/4) / |3/4 + j/2| = 0.25 / 0.90139 = 0.27735: -11.14 dB
    assert resonance_gain_db(50.0, resonance_hz=50.0, total_q=0.5) == pytest.approx(-SIX_DB, abs=1e-12)
    assert resonance_gain_db(25.0, resonance_hz=50.0, total_q=1.0) == pytest.approx(-11.14, abs=5e-3)


def test_resonance_is_the_filter_of_a_library():
    numerator, denominator = signal.butter(2, 2 * math.pi * 47.0, btype="highpass", analog=True)
    _, expected = signal.freqs(numerator, denominator, worN=2 * np.pi * GRID_HZ)
    gain_db = resonance_gain_db(GRID_HZ, resonance_hz=47.0, total_q=math.sqrt(0.5))
    np.testing.assert_allclose(gain_db, 20.0 * np.log10(np.abs(expected)), atol=1e-9)


def test_three_db_point_of_a_closed_box():
    # Q 0.60622 at 43.301 Hz, without loss of a baffle (a path of 100 m: no loss above 1.7 Hz)
    row = Published(
        printed="51.664",
        unit="Hz",
        source="SMALL-1972",
        where="f3 / fc = sqrt([(1 / Q^2 - 2) + sqrt((1 / Q^2 - 2)^2 + 4)] / 2), by hand",
        inputs={},
        tolerance=0.003,
        why_wider="Q and fc of five digits",
    )
    arguments = {"path_length_m": 100.0, "resonance_hz": 43.301, "total_q": 0.60622, "speed_of_sound_m_s": SPEED_M_S}
    row.check(open_baffle_low_limit_hz(loss_db=THREE_DB, **arguments))


def test_limits_of_the_baffle_alone():
    # c / (4 D) and c / (6 D): 191.9 and 128.0 Hz for 0.447 m; 10 dB: asin(10^-0.5) = 0.32175 c / (pi D) = 78.63 Hz
    for loss_db, expected_hz in ((THREE_DB, 191.95), (SIX_DB, 127.96), (10.0, 78.63)):
        limit_hz = open_baffle_low_limit_hz(loss_db=loss_db, **NO_RESONANCE)
        assert limit_hz == pytest.approx(expected_hz, abs=0.01)


def test_gain_is_the_sum_of_both():
    expected_db = dipole_baffle_gain_db(GRID_HZ, path_length_m=0.447, speed_of_sound_m_s=SPEED_M_S) + resonance_gain_db(
        GRID_HZ, resonance_hz=32.0, total_q=0.85
    )
    np.testing.assert_allclose(open_baffle_gain_db(GRID_HZ, **BAFFLE), expected_db, atol=1e-12)


def test_limit_where_the_driver_is_level():
    # with Q 1 the driver is at 0 dB at its resonance: put there, c / (6 D) stays the -6.02 dB point
    resonance_hz = SPEED_M_S / (6.0 * 0.447)
    limit_hz = open_baffle_low_limit_hz(loss_db=SIX_DB, **(BAFFLE | {"resonance_hz": resonance_hz, "total_q": 1.0}))
    assert limit_hz == pytest.approx(resonance_hz, rel=1e-9)


@pytest.mark.parametrize("loss_db", [1.0, 3.0, 6.0, 10.0, 30.0])
@pytest.mark.parametrize("total_q", [0.1, 0.4, 1.3, 10.0])
@pytest.mark.parametrize("resonance_hz", [5.0, 45.0, 900.0])
def test_limit_has_the_loss_and_nothing_above_it_has_more(loss_db, total_q, resonance_hz):
    arguments = BAFFLE | {"resonance_hz": resonance_hz, "total_q": total_q}
    limit_hz = open_baffle_low_limit_hz(loss_db=loss_db, **arguments)
    assert open_baffle_gain_db(limit_hz, **arguments) == pytest.approx(-loss_db, abs=1e-6)
    above_hz = np.geomspace(limit_hz * 1.0001, max(limit_hz, 900.0) * 100.0, 2000)
    assert (open_baffle_gain_db(above_hz, **arguments) > -loss_db).all()


def test_limits_follow_loss_size_and_q():
    def limit_hz(loss_db, **change):
        return open_baffle_low_limit_hz(loss_db=loss_db, **(BAFFLE | change))

    assert limit_hz(3.0) > limit_hz(6.0) > limit_hz(10.0)
    assert limit_hz(6.0, path_length_m=0.6) < limit_hz(6.0)
    assert limit_hz(6.0, total_q=0.5) > limit_hz(6.0)


def test_twice_as_large_and_half_as_high_tuned_is_an_octave_lower():
    low_hz = open_baffle_low_limit_hz(loss_db=6.0, **(BAFFLE | {"path_length_m": 0.894, "resonance_hz": 16.0}))
    assert 2.0 * low_hz == pytest.approx(open_baffle_low_limit_hz(loss_db=6.0, **BAFFLE), rel=1e-9)


def test_equalised_is_flat_down_to_the_frequency_and_falls_below():
    equalised_db = open_baffle_gain_db(GRID_HZ, **BAFFLE) + equalisation_for_flat_db(
        GRID_HZ, flat_down_to_hz=50.0, **BAFFLE
    )
    np.testing.assert_allclose(equalised_db[GRID_HZ >= 50.0], 0.0, atol=1e-12)
    assert (equalised_db[GRID_HZ < 50.0] < 0.0).all()


def test_equalisation_by_hand():
    # no resonance, c / (12 D): sin 15 degrees = 0.258819: 11.74 dB, held below
    frequency_hz = SPEED_M_S / (12.0 * 0.447)
    gains_db = equalisation_for_flat_db([frequency_hz, 20.0], flat_down_to_hz=frequency_hz, **NO_RESONANCE)
    np.testing.assert_allclose(gains_db, 11.74, atol=5e-3)


AIR = {"distance_m": 3.0, "driver_area_m2": 0.053, "air_density_kg_m3": 1.204, "speed_of_sound_m_s": SPEED_M_S}


def test_excursion_by_hand():
    # 94 dB: 1.0024 Pa rms; endless baffle at 40 Hz: 1.0024 x 1.41421 x 3 / (2 pi x 1.204 x 1600 x 0.053) = 6.629 mm;
    # sin(pi x 40 x 0.447 / 343.2) = sin 0.163670 = 0.162940: 40.69 mm
    excursion_m = open_baffle_excursion_m(40.0, level_db=94.0, path_length_m=0.447, **AIR)
    assert 1000.0 * excursion_m == pytest.approx(40.69, abs=0.02)


def test_excursion_drives_two_opposite_sources_to_the_level():
    # volume acceleration rho w^2 S x / (4 pi r) of each side, 3 km away; below c / (2 D)
    frequency_hz = np.array([31.0, 80.0, 300.0])
    far = AIR | {"distance_m": 3000.0}
    excursion_m = open_baffle_excursion_m(frequency_hz, level_db=20.0, path_length_m=0.447, **far)
    k = 2.0 * np.pi * frequency_hz / SPEED_M_S
    strength = 1.204 * (2.0 * np.pi * frequency_hz) ** 2 * 0.053 * excursion_m / (4.0 * np.pi)
    near, back = 3000.0 - 0.447 / 2.0, 3000.0 + 0.447 / 2.0
    peak_pa = strength * np.abs(np.exp(-1j * k * near) / near - np.exp(-1j * k * back) / back)
    np.testing.assert_allclose(20.0 * np.log10(peak_pa / math.sqrt(2.0) / 20e-6), 20.0, atol=1e-2)


def test_excursion_laws():
    def excursion_m(frequency_hz=5.0, level_db=90.0, **change):
        return open_baffle_excursion_m(frequency_hz, level_db=level_db, **({"path_length_m": 0.447} | AIR | change))

    assert excursion_m(2.5) / excursion_m() == pytest.approx(8.0, rel=1e-3)  # 18 dB per octave
    assert excursion_m(level_db=110.0) / excursion_m() == pytest.approx(10.0, rel=1e-12)
    assert excursion_m(driver_area_m2=0.106) / excursion_m() == pytest.approx(0.5, rel=1e-12)
    assert excursion_m(distance_m=6.0) / excursion_m() == pytest.approx(2.0, rel=1e-12)


def test_width_of_a_square_for_a_limit():
    # D = c / (6 f) = 0.572 m at 100 Hz, and 0.70 of the side for a square, within 1 %
    width_m = baffle_width_for_limit_m(
        frequency_hz=100.0,
        loss_db=SIX_DB,
        height_to_width_ratio=1.0,
        resonance_hz=0.01,
        total_q=0.7,
        speed_of_sound_m_s=SPEED_M_S,
    )
    assert width_m == pytest.approx(0.572 / 0.70, rel=0.01)
    # between the discs inside and around it: 4 a / pi = 0.572 at a = 0.44925
    assert 4.0 * width_m / 2.0 / math.pi < 0.572 < 4.0 * width_m / math.sqrt(2.0) / math.pi


@pytest.mark.parametrize("ratio", [0.5, 1.0, 2.3, 6.0])
@pytest.mark.parametrize("loss_db", [3.0, 6.0, 10.0])
def test_size_and_limit_undo_each_other(ratio, loss_db):
    driver = {"resonance_hz": 38.0, "total_q": 0.6, "speed_of_sound_m_s": SPEED_M_S}
    width_m = baffle_width_for_limit_m(frequency_hz=95.0, loss_db=loss_db, height_to_width_ratio=ratio, **driver)
    path_m = dipole_path_length_of_rectangle_m(width_m=width_m, height_m=ratio * width_m)
    assert open_baffle_low_limit_hz(loss_db=loss_db, path_length_m=path_m, **driver) == pytest.approx(95.0, rel=1e-9)


def test_no_baffle_helps_a_driver_that_has_lost_it_already():
    # an octave below the resonance with Q 1: 11.1 dB
    with pytest.raises(
        OutOfRangeError, match=r"frequency_hz must be where the driver alone has lost at most 6 dB; here 11\.1"
    ):
        baffle_width_for_limit_m(
            frequency_hz=25.0,
            loss_db=6.0,
            height_to_width_ratio=1.0,
            resonance_hz=50.0,
            total_q=1.0,
            speed_of_sound_m_s=SPEED_M_S,
        )


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"loss_db": 0.5}, "loss_db must be from 1 to 30"),
        ({"loss_db": 31.0}, "loss_db must be from 1 to 30"),
        ({"path_length_m": 0.0}, "path_length_m"),
        ({"resonance_hz": -1.0}, "resonance_hz"),
        ({"total_q": 0.05}, "total_q must be from 0.1 to 10"),
        ({"speed_of_sound_m_s": math.inf}, "speed_of_sound_m_s"),
    ],
)
def test_limit_refusals(change, match):
    with pytest.raises(OutOfRangeError, match=match):
        open_baffle_low_limit_hz(**({"loss_db": 6.0} | BAFFLE | change))


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"height_to_width_ratio": 0.0}, "height_to_width_ratio"),
        ({"frequency_hz": 0.0}, "frequency_hz"),
        ({"total_q": 0.0}, "total_q"),
        ({"loss_db": 40.0}, "loss_db"),
        ({"speed_of_sound_m_s": 0.0}, "speed_of_sound_m_s"),
    ],
)
def test_width_refusals(change, name):
    arguments = {"frequency_hz": 90.0, "loss_db": 6.0, "height_to_width_ratio": 1.5, "resonance_hz": 30.0}
    with pytest.raises(OutOfRangeError, match=name):
        baffle_width_for_limit_m(**(arguments | {"total_q": 0.7, "speed_of_sound_m_s": SPEED_M_S} | change))


def test_other_refusals():
    with pytest.raises(OutOfRangeError, match="frequency_hz"):
        open_baffle_gain_db([100.0, 0.0], **BAFFLE)
    with pytest.raises(OutOfRangeError, match="total_q"):
        resonance_gain_db(100.0, resonance_hz=30.0, total_q=0.0)
    with pytest.raises(OutOfRangeError, match="resonance_hz"):
        resonance_gain_db(100.0, resonance_hz=0.0, total_q=0.7)
    with pytest.raises(OutOfRangeError, match="flat_down_to_hz"):
        equalisation_for_flat_db(100.0, flat_down_to_hz=0.0, **BAFFLE)
    with pytest.raises(OutOfRangeError, match="level_db"):
        open_baffle_excursion_m(40.0, level_db=math.nan, path_length_m=0.4, **AIR)
    with pytest.raises(OutOfRangeError, match="driver_area_m2"):
        open_baffle_excursion_m(40.0, level_db=90.0, path_length_m=0.4, **(AIR | {"driver_area_m2": 0.0}))
