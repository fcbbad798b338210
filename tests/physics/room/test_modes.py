"""Frequencies, kinds, decay times and coincidences of room modes, and the transition frequency."""

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.room.modes import (
    coincident_groups,
    mode_decay_times_s,
    mode_frequencies_hz,
    mode_kind,
    mode_orders,
    schroeder_frequency_hz,
)
from service.physics.room.reverberation import sabine_time_s
from tests.published import Published

FOOT_M = 0.3048
ROOM = {"length_m": 6.0, "width_m": 4.5, "height_m": 2.7}
C = {"speed_of_sound_m_s": 343.2}


def frequencies_up_to(to_hz, **room):
    return mode_frequencies_hz(mode_orders(**room, to_hz=to_hz), **room)


def in_feet(length, width, height, speed_ft_s):
    return {
        "length_m": length * FOOT_M,
        "width_m": width * FOOT_M,
        "height_m": height * FOOT_M,
        "speed_of_sound_m_s": speed_ft_s * FOOT_M,
    }


AXIAL = [
    Published(
        printed=printed,
        unit="Hz",
        source="BALLOU-HANDBOOK",
        where=f"{where}, mode {order}",
        inputs={"orders": [order], "room": room},
    )
    for where, room, rows in (
        (
            "Table 6-4 p. 130",
            in_feet(16, 12, 8, 1130),
            [
                ((1, 0, 0), "35.31"),
                ((2, 0, 0), "70.63"),
                ((3, 0, 0), "105.94"),
                ((0, 1, 0), "47.08"),
                ((0, 2, 0), "94.17"),
                ((0, 3, 0), "141.25"),
                ((0, 0, 1), "70.63"),
                ((0, 0, 2), "141.25"),
            ],
        ),
        ("p. 130", in_feet(23, 17, 9, 1130), [((4, 0, 0), "98.26"), ((0, 3, 0), "99.71")]),
    )
    for order, printed in rows
]


@pytest.mark.parametrize("row", AXIAL, ids=lambda row: row.where)
def test_printed_axial_modes(row):
    row.check(mode_frequencies_hz(row.inputs["orders"], **row.inputs["room"])[0])


def test_no_exact_coincidence_in_the_printed_room():
    """[BALLOU-HANDBOOK] p. 130: the room of 23 x 17 x 9 ft has no exact coincidence up to 130 Hz."""
    frequencies = frequencies_up_to(130.0, **in_feet(23, 17, 9, 1130))
    assert coincident_groups(frequencies, within_ratio=0.0) == []


def test_mode_list_from_memory():
    """[EVEREST-MASTER-HANDBOOK], from memory: 23 ft 4 in x 16 x 10 ft; the speed is not printed, hence 0.03 Hz.

    The remembered list passes over (1, 1, 1), which lies at 70.80 Hz; every other mode is compared.
    """
    room = in_feet(23 + 4 / 12, 16, 10, 1128.6)
    orders = mode_orders(**room, to_hz=73.0)
    remembered = orders[(orders != 1).any(axis=1)]
    printed = [24.18, 35.27, 42.76, 48.37, 56.43, 59.86, 61.39, 66.55, 70.53, 72.55]
    assert len(remembered) == len(orders) - 1
    assert mode_frequencies_hz(remembered, **room) == pytest.approx(printed, abs=0.03)


def test_modes_of_a_room_by_hand():
    # 171.6 sqrt((nx / 6)^2 + (ny / 4.5)^2 + (nz / 2.7)^2)
    expected = {
        (1, 0, 0): 28.600,
        (0, 1, 0): 38.133,
        (1, 1, 0): 47.667,
        (2, 0, 0): 57.200,
        (0, 0, 1): 63.556,
        (2, 1, 0): 68.746,
        (1, 0, 1): 69.694,
        (0, 1, 1): 74.118,
        (0, 2, 0): 76.267,
        (1, 1, 1): 79.444,
        (1, 2, 0): 81.453,
        (2, 0, 1): 85.505,
        (3, 0, 0): 85.800,
    }
    orders = mode_orders(**ROOM, to_hz=86.0, **C)
    assert [tuple(order) for order in orders.tolist()] == list(expected)
    assert mode_frequencies_hz(orders, **ROOM, **C) == pytest.approx(list(expected.values()), abs=5e-4)


def test_second_room_by_hand():
    expected = [26.98, 38.65, 47.13, 53.96, 57.20, 63.24, 66.38, 69.03, 74.12, 77.30]
    found = frequencies_up_to(77.5, length_m=6.36, width_m=4.44, height_m=3.0, **C)
    assert found == pytest.approx(expected, abs=0.01)


def test_every_mode_is_found_once():
    """Against a plain loop over more orders than needed."""
    expected = sorted(
        171.6 * np.sqrt((x / 6.0) ** 2 + (y / 4.5) ** 2 + (z / 2.7) ** 2)
        for x in range(15)
        for y in range(15)
        for z in range(15)
        if (x or y or z) and (x / 6.0) ** 2 + (y / 4.5) ** 2 + (z / 2.7) ** 2 <= (300.0 / 171.6) ** 2
    )
    assert len(expected) == 276
    assert frequencies_up_to(300.0, **ROOM, **C) == pytest.approx(expected, rel=1e-12)


def test_frequency_on_the_limit_is_included():
    # 171.6 / 6 = 28.6 Hz
    assert mode_orders(**ROOM, to_hz=28.6, **C).tolist() == [[1, 0, 0]]
    assert mode_orders(**ROOM, to_hz=28.5, **C).shape == (0, 3)
    # in floating point 2 * 6.7 * (5 * 343.2 / 13.4) / 343.2 is just below 5
    long_room = mode_orders(length_m=6.7, width_m=0.5, height_m=0.4, to_hz=5 * 343.2 / 13.4, **C)
    assert long_room.tolist() == [[1, 0, 0], [2, 0, 0], [3, 0, 0], [4, 0, 0], [5, 0, 0]]


def test_permuting_the_axes_permutes_the_modes():
    turned = {"length_m": 2.7, "width_m": 6.0, "height_m": 4.5}
    orders = mode_orders(**ROOM, to_hz=150.0, **C)
    here = mode_frequencies_hz(orders, **ROOM, **C)
    assert mode_frequencies_hz(orders[:, [2, 0, 1]], **turned, **C) == pytest.approx(here, rel=1e-12)
    assert frequencies_up_to(150.0, **turned, **C) == pytest.approx(here, rel=1e-12)


def test_twice_the_room_halves_the_frequencies():
    orders = [(1, 0, 0), (2, 1, 3)]
    doubled = {name: 2 * size for name, size in ROOM.items()}
    here, there = mode_frequencies_hz(orders, **ROOM, **C), mode_frequencies_hz(orders, **doubled, **C)
    assert 2 * there == pytest.approx(here, rel=1e-12)


def test_kinds():
    assert mode_kind([(0, 0, 4), (3, 1, 0), (0, 2, 2), (1, 2, 3)]) == ["axial", "tangential", "tangential", "oblique"]


def test_decay_times_by_hand():
    """Six walls of absorption 0.1, b = 0.01398, 5.4 x 4.1 x 2.5 m; recomputed from Kuttruff's first-order damping."""
    # delta of (1, 0, 0): 171.6 * 0.02796 * (2 / 5.4 + 1 / 4.1 + 1 / 2.5) = 4.866 /s; 6.9078 / 4.866 = 1.42 s
    room = {"length_m": 5.4, "width_m": 4.1, "height_m": 2.5, **C}
    found = mode_decay_times_s([(1, 0, 0), (1, 1, 0), (1, 1, 1)], pair_admittance_sums=[0.0279644] * 3, **room)
    assert found == pytest.approx([1.42, 1.14, 0.87], abs=5e-3)
    # the two walls across the length alone would give 3.89 s
    alone = mode_decay_times_s([(1, 0, 0)], pair_admittance_sums=[0.0279644, 0.0, 0.0], **room)
    assert alone == pytest.approx([3.89], abs=5e-3)


def test_axial_decay_agrees_with_the_exact_plane_wave():
    """Between two walls alone a plane wave loses (1 - b) / (1 + b) of its amplitude at each: exact for any b."""
    admittance, length_m = 0.01, 5.0
    loss_per_s = 343.2 / length_m * np.log((1 + admittance) / (1 - admittance))
    found = mode_decay_times_s(
        [(3, 0, 0)], pair_admittance_sums=[2 * admittance, 0.0, 0.0], length_m=length_m, width_m=4.0, height_m=2.5, **C
    )
    assert found[0] == pytest.approx(3 * np.log(10) / loss_per_s, rel=admittance**2)


def test_oblique_decay_is_sabines_with_eight_times_the_admittance():
    """Sum of 1 / L_i is S / (2 V), so that delta = c b S / V and T = 24 ln 10 V / (c S 8 b)."""
    found = mode_decay_times_s([(2, 1, 3)], pair_admittance_sums=[2 * 0.004] * 3, **ROOM, **C)
    expected = sabine_time_s(
        [8 * 0.004], areas_m2=[110.7], volume_m3=72.9, object_area_m2=0.0, air_attenuation_per_m=0.0, **C
    )
    assert found[0] == pytest.approx(expected, rel=1e-12)


def test_decay_with_walls_that_depend_on_frequency():
    orders, sums = [(1, 0, 0), (0, 2, 1)], np.array([[0.02, 0.03, 0.05], [0.08, 0.01, 0.04]])
    found = mode_decay_times_s(orders, pair_admittance_sums=sums, **ROOM, **C)
    for order, row, time_s in zip(orders, sums, found, strict=True):
        assert mode_decay_times_s([order], pair_admittance_sums=row, **ROOM, **C)[0] == pytest.approx(time_s)


def test_rigid_walls_have_no_decay():
    assert np.isnan(mode_decay_times_s([(1, 0, 0)], pair_admittance_sums=[0.0, 0.0, 0.0], **ROOM, **C)).all()


def test_exact_coincidence_by_proportion():
    # 6 / 4.5 = 4 / 3: (4, 0, 0) and (0, 3, 0) are both 114.4 Hz
    orders = mode_orders(**ROOM, to_hz=116.0, **C)
    groups = coincident_groups(mode_frequencies_hz(orders, **ROOM, **C), within_ratio=0.0)
    assert [sorted(map(tuple, orders[group].tolist())) for group in groups] == [[(0, 3, 0), (4, 0, 0)]]


def test_groups_by_hand():
    # 1 % of 100 is 1: 100, 100.4 and 101 are one group; 101 to 101.9 another; 200 stands alone
    assert coincident_groups([200.0, 101.9, 100.4, 100.0, 101.0], within_ratio=0.01) == [[3, 2, 4], [4, 1]]
    assert coincident_groups([200.0, 101.9, 100.4, 100.0, 101.0], within_ratio=0.001) == []
    assert coincident_groups([], within_ratio=0.1) == []


def test_transition_frequency_by_hand():
    # 2000 sqrt(0.4 / 60) = 163.3; 2000 sqrt(0.25 / 100) = 100; with 0.70 s in 55 m3 225 Hz, with 0.5 s 190 Hz
    assert schroeder_frequency_hz(reverberation_time_s=0.4, volume_m3=60.0) == pytest.approx(163.3, abs=0.05)
    assert schroeder_frequency_hz(reverberation_time_s=0.25, volume_m3=100.0) == pytest.approx(100.0, abs=1e-9)
    assert schroeder_frequency_hz(reverberation_time_s=0.70, volume_m3=55.35) == pytest.approx(225, abs=0.5)
    assert schroeder_frequency_hz(reverberation_time_s=0.50, volume_m3=55.35) == pytest.approx(190, abs=0.5)


@pytest.mark.parametrize("name", ["length_m", "width_m", "height_m", "to_hz", "speed_of_sound_m_s"])
@pytest.mark.parametrize("bad", [0.0, -1.0, np.nan, np.inf])
def test_mode_orders_refuse(name, bad):
    with pytest.raises(OutOfRangeError, match=name):
        mode_orders(**{**ROOM, "to_hz": 100.0, **C, name: bad})


@pytest.mark.parametrize("orders", [[(0, 0, 0)], [(1, -1, 0)], [(1, 0)], [(1.0, 0.0, 0.0)], (1, 0, 0)])
def test_impossible_orders_are_refused(orders):
    with pytest.raises(OutOfRangeError, match="orders"):
        mode_frequencies_hz(orders, **ROOM, **C)
    with pytest.raises(OutOfRangeError, match="orders"):
        mode_kind(orders)


@pytest.mark.parametrize("sums", [[0.1, -0.1, 0.1], [0.1, 0.1], [[0.1, 0.1, 0.1]] * 2])
def test_impossible_admittances_are_refused(sums):
    with pytest.raises(OutOfRangeError, match="pair_admittance_sums"):
        mode_decay_times_s([(1, 0, 0)], pair_admittance_sums=sums, **ROOM, **C)


def test_other_refusals():
    with pytest.raises(OutOfRangeError, match="frequencies_hz"):
        coincident_groups([10.0, 0.0], within_ratio=0.1)
    with pytest.raises(OutOfRangeError, match="within_ratio"):
        coincident_groups([10.0, 20.0], within_ratio=-0.1)
    with pytest.raises(OutOfRangeError, match="volume_m3"):
        schroeder_frequency_hz(reverberation_time_s=0.5, volume_m3=0.0)
    with pytest.raises(OutOfRangeError, match="reverberation_time_s"):
        schroeder_frequency_hz(reverberation_time_s=np.nan, volume_m3=50.0)
