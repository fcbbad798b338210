"""Direct and reverberant level: hand sums and the laws between them."""

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.room.diffuse_field import critical_distance_m, direct_energy_ratio, reverberant_energy_ratio
from service.physics.room.measured_time import eyring_exponent, room_constant_m2
from tests.published import Published


def db(energy):
    return 10 * np.log10(energy)


def direct_db(**given):
    return db(direct_energy_ratio(**given))


def reverberant_db(**given):
    return db(reverberant_energy_ratio(**given))


def total_db(*levels_db):
    return db(sum(10 ** (level / 10) for level in levels_db))


def test_inverse_distance_by_hand():
    # -20 lg 3 = -9.542; with 0.105 dB/m of air another 0.315 dB
    assert direct_db(distance_m=3.0, air_absorption_db_per_m=0.0) == pytest.approx(-9.542, abs=5e-4)
    assert direct_db(distance_m=3.0, air_absorption_db_per_m=0.105) == pytest.approx(-9.857, abs=1e-3)
    assert direct_db(distance_m=1.0, air_absorption_db_per_m=0.0) == 0.0


def test_each_doubling_of_distance_costs_the_same():
    gains = direct_db(distance_m=np.array([0.7, 1.4, 2.8]), air_absorption_db_per_m=0.0)
    assert np.diff(gains) == pytest.approx([-6.0206, -6.0206], abs=1e-4)


def test_steady_level_by_hand():
    """L_W + 10 lg(Q / (4 pi r^2) + 4 / R) with L_W = 100, Q = 2, r = 4 m, R = 110 m2 is 86.657 dB."""
    directivity_index = 10 * np.log10(2.0)
    on_axis_at_1m = 100.0 + directivity_index - 10 * np.log10(4 * np.pi)
    direct = on_axis_at_1m + direct_db(distance_m=4.0, air_absorption_db_per_m=0.0)
    reverberant = on_axis_at_1m + reverberant_db(room_constant_m2=110.0, directivity_index_db=directivity_index)
    # 2 / 201.062 = 0.0099472 and 4 / 110 = 0.0363636
    assert total_db(direct, reverberant) == pytest.approx(86.657, abs=1e-3)
    assert direct - reverberant == pytest.approx(-5.630, abs=1e-3)


def test_worked_room_by_hand():
    """6 x 4 x 2.5 m, 0.4 s, Q = 5; R = 32.047 m2 or, in its place, the area A = 24.150 m2."""
    directivity_index = 10 * np.log10(5.0)
    direct = direct_db(distance_m=3.0, air_absorption_db_per_m=0.0)
    for area, level_db, distance_m in ((32.047, -3.718, 1.785), (24.150, -2.779, 1.550)):
        reverberant = reverberant_db(room_constant_m2=area, directivity_index_db=directivity_index)
        assert total_db(direct, reverberant) == pytest.approx(level_db, abs=1e-3)
        critical = critical_distance_m(directivity_index_db=directivity_index, room_constant_m2=area)
        assert critical == pytest.approx(distance_m, abs=1e-3)


def test_critical_distance_by_hand():
    # sqrt(200 / (16 pi)) = 1.995 m
    assert critical_distance_m(directivity_index_db=0.0, room_constant_m2=200.0) == pytest.approx(1.995, abs=5e-4)


def test_critical_distance_constant_for_a_lively_room():
    """r_c = k sqrt(Q V / T) where R tends to A."""
    where = "eq. 4.50, sqrt(55.26 / (16 pi c))"
    row = Published(printed="0.0566", unit="m^-1/2 s^1/2", source="VIGRAN-2008", where=where, inputs={})
    time_s, volume_m3 = 2000.0, 72.9
    exponent = eyring_exponent(
        reverberation_time_s=time_s, volume_m3=volume_m3, surface_area_m2=110.7, speed_of_sound_m_s=343.2
    )
    constant = room_constant_m2(exponent=exponent, surface_area_m2=110.7)
    critical = critical_distance_m(directivity_index_db=0.0, room_constant_m2=constant)
    row.check(critical / np.sqrt(volume_m3 / time_s))


@pytest.mark.parametrize(("directivity_index_db", "room_constant_m2"), [(0.0, 10.0), (4.5, 22.1), (9.0, 60.0)])
def test_levels_are_equal_at_the_critical_distance(directivity_index_db, room_constant_m2):
    given = {"directivity_index_db": directivity_index_db, "room_constant_m2": room_constant_m2}
    direct = direct_db(distance_m=critical_distance_m(**given), air_absorption_db_per_m=0.0)
    assert direct == pytest.approx(reverberant_db(**given), abs=1e-12)
    assert total_db(direct, reverberant_db(**given)) - direct == pytest.approx(3.010, abs=5e-4)


def test_refusals():
    with pytest.raises(OutOfRangeError, match="distance_m"):
        direct_energy_ratio(distance_m=0.0, air_absorption_db_per_m=0.0)
    with pytest.raises(OutOfRangeError, match="air_absorption_db_per_m"):
        direct_energy_ratio(distance_m=1.0, air_absorption_db_per_m=-0.1)
    for function in (reverberant_energy_ratio, critical_distance_m):
        with pytest.raises(OutOfRangeError, match="room_constant_m2"):
            function(room_constant_m2=0.0, directivity_index_db=3.0)
        with pytest.raises(OutOfRangeError, match="directivity_index_db"):
            function(room_constant_m2=20.0, directivity_index_db=np.nan)
