"""Running in: hand sums, agreement with the noise level and the average power, refusals."""

import math

import numpy as np
import pytest

from service.physics.chain.noise import noise_level_dba
from service.physics.chain.run_in import run_in_level_db, run_in_voltage_v, sine_power_for_noise_w
from service.physics.chain.voice_coil import average_power_w
from service.physics.checks import OutOfRangeError


def test_voltage_by_hand():
    # half of 40 W into 5 ohm: sqrt(100)
    voltage_v = run_in_voltage_v(rated_noise_power_w=40.0, rated_impedance_ohm=5.0, share_ratio=0.5)
    assert voltage_v == pytest.approx(10.0, rel=1e-12)
    assert run_in_voltage_v(rated_noise_power_w=40.0, rated_impedance_ohm=5.0, share_ratio=0.0) == 0.0


def test_level_by_hand():
    # 98 + 20 lg(0.283 / 2.83) - 20 lg 2 = 98 - 20 - 6.02
    level_db = run_in_level_db(sensitivity_db_2v83_1m=98.0, voltage_v=0.283, distance_m=2.0)
    assert level_db == pytest.approx(71.98, abs=5e-3)


def test_level_goes_with_the_share():
    levels_db = [
        run_in_level_db(
            sensitivity_db_2v83_1m=98.0,
            voltage_v=run_in_voltage_v(rated_noise_power_w=30.0, rated_impedance_ohm=8.0, share_ratio=share),
            distance_m=1.0,
        )
        for share in (0.05, 0.5)
    ]
    assert levels_db[1] - levels_db[0] == pytest.approx(10.0, abs=1e-9)


def test_level_is_reckoned_as_that_of_any_noise():
    arguments = {"sensitivity_db_2v83_1m": 101.0, "distance_m": 1.7}
    level_db = run_in_level_db(voltage_v=0.4, **arguments)
    assert level_db == pytest.approx(noise_level_dba(noise_voltage_v=0.4, **arguments), abs=1e-12)


def test_sine_power_by_hand():
    # noise clipped at twice its rms: peak power 4 x 12.5 W, as a sine half of it
    power_w = sine_power_for_noise_w(noise_power_w=12.5, crest_factor_db=20 * math.log10(2.0))
    assert power_w == pytest.approx(25.0, rel=1e-12)


def test_sine_power_undoes_the_average_power():
    crest_db = np.array([3.0, 6.0, 12.0])
    sine_power_w = sine_power_for_noise_w(noise_power_w=3.0, crest_factor_db=crest_db)
    np.testing.assert_allclose(average_power_w(sine_power_w=sine_power_w, crest_factor_db=crest_db), 3.0, rtol=1e-12)


def test_refusals():
    with pytest.raises(OutOfRangeError, match="rated_noise_power_w"):
        run_in_voltage_v(rated_noise_power_w=0.0, rated_impedance_ohm=8.0, share_ratio=0.5)
    with pytest.raises(OutOfRangeError, match="rated_impedance_ohm"):
        run_in_voltage_v(rated_noise_power_w=10.0, rated_impedance_ohm=-8.0, share_ratio=0.5)
    with pytest.raises(OutOfRangeError, match="share_ratio must be from 0 to 1"):
        run_in_voltage_v(rated_noise_power_w=10.0, rated_impedance_ohm=8.0, share_ratio=1.5)
    with pytest.raises(OutOfRangeError, match="sensitivity_db_2v83_1m"):
        run_in_level_db(sensitivity_db_2v83_1m=math.nan, voltage_v=1.0, distance_m=1.0)
    with pytest.raises(OutOfRangeError, match="voltage_v"):
        run_in_level_db(sensitivity_db_2v83_1m=98.0, voltage_v=0.0, distance_m=1.0)
    with pytest.raises(OutOfRangeError, match="distance_m"):
        run_in_level_db(sensitivity_db_2v83_1m=98.0, voltage_v=1.0, distance_m=0.0)
    with pytest.raises(OutOfRangeError, match="noise_power_w"):
        sine_power_for_noise_w(noise_power_w=-1.0, crest_factor_db=6.0)
    with pytest.raises(OutOfRangeError, match="crest_factor_db"):
        sine_power_for_noise_w(noise_power_w=1.0, crest_factor_db=-6.0)
