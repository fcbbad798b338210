"""Level off the axis: the pattern has the directivity index that it was made for, by an integral over the sphere."""

import numpy as np
import pytest
from scipy.integrate import quad

from service.physics.checks import OutOfRangeError
from service.physics.loudspeaker.off_axis import off_axis_gain_db

DEEP_DB = -300.0


def pattern(angle_deg, index_db, *, to_both_sides, lowest_db=DEEP_DB):
    return off_axis_gain_db(angle_deg, directivity_index_db=index_db, to_both_sides=to_both_sides, lowest_db=lowest_db)


@pytest.mark.parametrize("to_both_sides", [False, True])
@pytest.mark.parametrize("index_db", [0.0, 2.5, 4.7712, 7.0, 10.0, 13.0])
def test_the_mean_over_all_directions_is_the_directivity_index(index_db, to_both_sides):
    def energy(angle_rad):
        gain_db = pattern(np.degrees(angle_rad), index_db, to_both_sides=to_both_sides)
        return 10 ** (gain_db / 10) * np.sin(angle_rad) / 2

    halves = (quad(energy, 0, np.pi / 2), quad(energy, np.pi / 2, np.pi))
    assert -10 * np.log10(sum(value for value, _ in halves)) == pytest.approx(index_db, abs=1e-4)


def test_cardioid_and_dipole():
    index_db = 10 * np.log10(3.0)
    # cardioid (1 + cos)/2 in pressure: 20 lg of it, and cos for the dipole
    for angle_deg in (0.0, 30.0, 60.0, 85.0):
        cosine = np.cos(np.radians(angle_deg))
        assert pattern(angle_deg, index_db, to_both_sides=False) == pytest.approx(20 * np.log10((1 + cosine) / 2))
        assert pattern(angle_deg, index_db, to_both_sides=True) == pytest.approx(20 * np.log10(cosine), abs=1e-9)


def test_nothing_is_louder_than_the_axis_and_nothing_below_the_floor():
    angles_deg = np.linspace(0, 180, 181)[:, None]
    gains_db = pattern(angles_deg, np.array([0.0, 3.0, 9.0]), to_both_sides=False, lowest_db=-25.0)
    assert gains_db.shape == (181, 3)
    assert (gains_db[0] == 0).all()
    assert gains_db.max() <= 0
    assert gains_db.min() == -25.0
    assert (np.diff(gains_db, axis=0) <= 1e-12).all()
    assert (gains_db[:, 0] == 0).all()


def test_front_and_back_of_an_open_baffle_are_alike():
    assert pattern(30.0, 6.0, to_both_sides=True) == pytest.approx(pattern(150.0, 6.0, to_both_sides=True))


def test_refusals():
    with pytest.raises(OutOfRangeError, match="angle_deg"):
        pattern(181.0, 3.0, to_both_sides=False)
    with pytest.raises(OutOfRangeError, match="directivity_index_db"):
        pattern(10.0, -1.0, to_both_sides=False)
