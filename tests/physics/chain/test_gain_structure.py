"""Gain structure: hand sums, agreement of gain and input sensitivity, laws of the volume control, refusals."""

import math

import numpy as np
import pytest

from service.physics.chain.gain_structure import (
    drive_margin_db,
    gain_disagreement_db,
    gain_of_sensitivity_db,
    sensitivity_of_gain_v,
    volume_below_full_db,
)
from service.physics.checks import OutOfRangeError

CHAIN = {"source_voltage_v": 2.0, "preamplifier_gain_db": 6.0, "amplifier_gain_db": 26.0}


def test_gain_by_hand():
    # 100 W into 8 ohm, 28.284 V, from 1 V: 20 lg 28.284 = 29.03 dB
    assert gain_of_sensitivity_db(full_output_voltage_v=28.284, input_sensitivity_v=1.0) == pytest.approx(
        29.03, abs=5e-3
    )
    # 26 dB is a ratio of 19.953: 20 / 19.953 = 1.0024 V
    assert sensitivity_of_gain_v(full_output_voltage_v=20.0, gain_db=26.0) == pytest.approx(1.0024, abs=5e-5)


def test_gain_there_and_back():
    gains = gain_of_sensitivity_db(full_output_voltage_v=[12.0, 30.0], input_sensitivity_v=0.7)
    back = sensitivity_of_gain_v(full_output_voltage_v=[12.0, 30.0], gain_db=gains)
    np.testing.assert_allclose(back, 0.7, rtol=1e-12)


def test_a_balanced_figure_beside_an_unbalanced_one_shows():
    # 20 V from 0.5 V is 32.04 dB; 26.02 dB stated is half of it
    disagreement_db = gain_disagreement_db(gain_db=26.02, full_output_voltage_v=20.0, input_sensitivity_v=0.5)
    assert disagreement_db == pytest.approx(-6.02, abs=5e-3)
    agreed = gain_disagreement_db(gain_db=32.04, full_output_voltage_v=20.0, input_sensitivity_v=0.5)
    assert agreed == pytest.approx(0.0, abs=2e-3)


def test_volume_by_hand():
    # 2 V and 32 dB (39.811): 79.62 V at full volume; 8 V are 20 lg 9.953 = 19.96 dB below
    assert volume_below_full_db(**CHAIN, output_voltage_v=8.0) == pytest.approx(19.96, abs=5e-3)


def test_out_of_reach_is_negative():
    # headphone amplifier: 1 V and 12 dB are 3.98 V; 8 V are 6.06 dB beyond
    below_db = volume_below_full_db(
        source_voltage_v=1.0, preamplifier_gain_db=0.0, amplifier_gain_db=12.0, output_voltage_v=8.0
    )
    assert below_db == pytest.approx(-6.06, abs=5e-3)


def test_turned_down_by_that_the_wanted_voltage_comes():
    below_db = volume_below_full_db(**CHAIN, output_voltage_v=5.3)
    assert 2.0 * 10.0 ** ((6.0 + 26.0 - below_db) / 20.0) == pytest.approx(5.3, rel=1e-12)


def test_margin_is_the_volume_at_full_output():
    full_output_voltage_v = 22.0
    sensitivity_v = sensitivity_of_gain_v(full_output_voltage_v=full_output_voltage_v, gain_db=26.0)
    margin_db = drive_margin_db(source_voltage_v=2.0, preamplifier_gain_db=6.0, input_sensitivity_v=sensitivity_v)
    assert margin_db == pytest.approx(volume_below_full_db(**CHAIN, output_voltage_v=full_output_voltage_v), abs=1e-12)


def test_gain_anywhere_counts_alike():
    moved = CHAIN | {"preamplifier_gain_db": 16.0, "amplifier_gain_db": 16.0}
    below_db = volume_below_full_db(**CHAIN, output_voltage_v=8.0)
    assert volume_below_full_db(**moved, output_voltage_v=8.0) == pytest.approx(below_db, rel=1e-12)


@pytest.mark.parametrize(
    ("function", "arguments", "name"),
    [
        (gain_of_sensitivity_db, {"full_output_voltage_v": 0.0, "input_sensitivity_v": 1.0}, "full_output_voltage_v"),
        (gain_of_sensitivity_db, {"full_output_voltage_v": 9.0, "input_sensitivity_v": -1.0}, "input_sensitivity_v"),
        (sensitivity_of_gain_v, {"full_output_voltage_v": -9.0, "gain_db": 26.0}, "full_output_voltage_v"),
        (sensitivity_of_gain_v, {"full_output_voltage_v": 9.0, "gain_db": math.inf}, "gain_db"),
        (
            gain_disagreement_db,
            {"gain_db": math.nan, "full_output_voltage_v": 9.0, "input_sensitivity_v": 1.0},
            "gain_db",
        ),
        (volume_below_full_db, CHAIN | {"output_voltage_v": 0.0}, "output_voltage_v"),
        (volume_below_full_db, CHAIN | {"output_voltage_v": 1.0, "source_voltage_v": -2.0}, "source_voltage_v"),
        (volume_below_full_db, CHAIN | {"output_voltage_v": 1.0, "preamplifier_gain_db": math.nan}, "preamplifier"),
        (volume_below_full_db, CHAIN | {"output_voltage_v": 1.0, "amplifier_gain_db": math.inf}, "amplifier_gain_db"),
        (
            drive_margin_db,
            {"source_voltage_v": 2.0, "preamplifier_gain_db": 0.0, "input_sensitivity_v": 0.0},
            "input_sensitivity_v",
        ),
        (
            drive_margin_db,
            {"source_voltage_v": 2.0, "preamplifier_gain_db": math.nan, "input_sensitivity_v": 1.0},
            "preamplifier_gain_db",
        ),
    ],
)
def test_refusals(function, arguments, name):
    with pytest.raises(OutOfRangeError, match=name):
        function(**arguments)
