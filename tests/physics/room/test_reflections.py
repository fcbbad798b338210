"""First reflections: hand sums, a general library's image sources, and the laws of reflection."""

import numpy as np
import pyroomacoustics
import pytest
from scipy.optimize import brentq

from service.physics.checks import OutOfRangeError
from service.physics.room.reflections import WALLS, first_order_reflections, first_zone_area_m2

SOURCE, RECEIVER = (1.2, 1.0, 1.0), (4.0, 2.25, 1.2)
ROOM = {"length_m": 6.0, "width_m": 4.5, "height_m": 2.7, "speed_of_sound_m_s": 343.2}
ALPHA = {"absorption_coefficients": [0.1] * 6}


def test_six_reflections_by_hand():
    """Direct sqrt(2.8^2 + 1.25^2 + 0.2^2); images of the source, 20 lg(r0 / r) + 10 lg 0.9."""
    found = first_order_reflections(SOURCE, RECEIVER, **ROOM, **ALPHA)
    assert found.direct_path_m == pytest.approx(3.07287, abs=5e-6)
    order = np.argsort(found.delay_s)
    assert [WALLS[wall] for wall in order] == [
        "floor", "left_wall", "ceiling", "front_wall", "right_wall", "back_wall"
    ]  # fmt: skip
    assert 1000 * found.delay_s[order] == pytest.approx([2.043, 3.559, 3.960, 6.640, 9.690, 11.200], abs=1e-3)
    assert found.level_db[order] == pytest.approx([-2.243, -3.365, -3.639, -5.277, -6.828, -7.505], abs=1e-3)


def test_paths_agree_with_a_general_library():
    room = pyroomacoustics.ShoeBox([6.0, 4.5, 2.7], fs=16000, materials=pyroomacoustics.Material(0.1), max_order=1)
    room.add_source(list(SOURCE))
    room.add_microphone(list(RECEIVER))
    room.image_source_model()
    images = room.sources[0].images[:, room.sources[0].orders == 1]
    theirs = np.linalg.norm(images - np.array(RECEIVER)[:, None], axis=0)
    assert images.shape == (3, 6)
    found = first_order_reflections(SOURCE, RECEIVER, **ROOM, **ALPHA)
    assert np.sort(found.path_m) == pytest.approx(np.sort(theirs), abs=1e-6)


def test_each_wall_by_hand_in_a_room_of_whole_numbers():
    # source (1, 2, 3), receiver (9, 2, 3) in 10 x 5 x 7: the images lie at -1, 19, -2, 8, -3 and 11
    found = first_order_reflections(
        (1, 2, 3), (9, 2, 3), length_m=10, width_m=5, height_m=7, speed_of_sound_m_s=340.0, **ALPHA
    )
    assert found.path_m == pytest.approx([10.0, 10.0, np.sqrt(80), 10.0, 10.0, np.sqrt(128)], abs=1e-12)
    expected = [(0, 2, 3), (10, 2, 3), (5, 0, 3), (5, 5, 3), (5, 2, 0), (5, 2, 7)]
    assert found.point_m == pytest.approx(np.array(expected, dtype=float), abs=1e-12)
    assert found.delay_s[0] == pytest.approx(2 / 340.0, abs=1e-12)


def test_the_point_lies_on_the_wall_and_on_the_path():
    found = first_order_reflections(SOURCE, RECEIVER, **ROOM, **ALPHA)
    walls = [(0, 0.0), (0, 6.0), (1, 0.0), (1, 4.5), (2, 0.0), (2, 2.7)]
    for (axis, coordinate), point, path_m in zip(walls, found.point_m, found.path_m, strict=True):
        assert point[axis] == coordinate
        detour = np.linalg.norm(point - SOURCE) + np.linalg.norm(np.array(RECEIVER) - point)
        assert detour == pytest.approx(path_m, abs=1e-12)


def test_source_and_receiver_may_be_exchanged():
    here = first_order_reflections(SOURCE, RECEIVER, **ROOM, **ALPHA)
    there = first_order_reflections(RECEIVER, SOURCE, **ROOM, **ALPHA)
    assert there.path_m == pytest.approx(here.path_m, abs=1e-12)
    assert there.level_db == pytest.approx(here.level_db, abs=1e-12)
    assert there.point_m == pytest.approx(here.point_m, abs=1e-12)


def test_mirroring_the_room_exchanges_left_and_right():
    here = first_order_reflections(SOURCE, RECEIVER, **ROOM, **ALPHA)
    mirrored = first_order_reflections((1.2, 3.5, 1.0), (4.0, 2.25, 1.2), **ROOM, **ALPHA)
    assert mirrored.path_m[[0, 1, 3, 2, 4, 5]] == pytest.approx(here.path_m, abs=1e-12)


def test_each_wall_has_its_own_absorption_in_each_band():
    hard = first_order_reflections(SOURCE, RECEIVER, **ROOM, absorption_coefficients=np.zeros(6)).level_db
    absorption = np.array([[0.0, 0.5], [0.1, 0.6], [0.2, 0.7], [0.3, 0.8], [0.4, 0.9], [0.5, 1.0]])
    found = first_order_reflections(SOURCE, RECEIVER, **ROOM, absorption_coefficients=absorption).level_db
    assert found.shape == (6, 2)
    # 10 lg of what is left: 1 0.9 0.8 0.7 0.6 0.5
    left = [0.0, -0.45757, -0.96910, -1.54902, -2.21849, -3.01030]
    assert found[:, 0] - hard == pytest.approx(left, abs=1e-5)
    assert found[5, 1] == -np.inf


def test_on_the_wall_the_reflection_is_the_direct_sound():
    found = first_order_reflections((0.0, 1.0, 1.0), (0.0, 3.0, 1.0), **ROOM, absorption_coefficients=[0.0] * 6)
    assert found.delay_s[0] == 0.0
    assert found.level_db[0] == 0.0
    assert found.point_m[0] == pytest.approx([0.0, 2.0, 1.0], abs=1e-12)


@pytest.mark.parametrize(
    ("source", "receiver", "change", "name"),
    [
        ((6.1, 1.0, 1.0), RECEIVER, {}, "source_m"),
        (SOURCE, (4.0, 2.25, -0.1), {}, "receiver_m"),
        (SOURCE, SOURCE, {}, "receiver_m"),
        ((1.0, 1.0), RECEIVER, {}, "source_m"),
        ((1.0, np.nan, 1.0), RECEIVER, {}, "source_m"),
        (SOURCE, RECEIVER, {"absorption_coefficients": [0.1] * 5}, "absorption_coefficients"),
        (SOURCE, RECEIVER, {"absorption_coefficients": [0.1] * 5 + [1.1]}, "absorption_coefficients"),
        (SOURCE, RECEIVER, {"height_m": 0.0}, "height_m"),
        (SOURCE, RECEIVER, {"speed_of_sound_m_s": 0.0}, "speed_of_sound_m_s"),
    ],
)
def test_refusals(source, receiver, change, name):
    with pytest.raises(OutOfRangeError, match=name):
        first_order_reflections(source, receiver, **{**ROOM, **ALPHA, **change})


# the zone that makes a reflection ----------------------------------------------------------------------------

ZONE = {"source_path_m": 1.3, "receiver_path_m": 2.9, "incidence_deg": 50.0, "wavelength_m": 0.343}


def contour_area_m2(*, source_path_m, receiver_path_m, incidence_deg, wavelength_m):
    """Area within which the path over the surface z = 0 is less than half a wavelength longer than over the origin:
    the rim is looked for in 720 directions."""
    angle = np.radians(incidence_deg)
    source = source_path_m * np.array([-np.sin(angle), 0.0, np.cos(angle)])
    receiver = receiver_path_m * np.array([np.sin(angle), 0.0, np.cos(angle)])
    directions = np.linspace(0, 2 * np.pi, 720, endpoint=False)

    def excess_m(radius_m, direction):
        point = radius_m * np.array([np.cos(direction), np.sin(direction), 0.0])
        path_m = np.linalg.norm(point - source) + np.linalg.norm(receiver - point)
        return path_m - source_path_m - receiver_path_m - wavelength_m / 2

    rim_m = np.array([brentq(excess_m, 0.0, 100.0, args=(direction,)) for direction in directions])
    return (rim_m**2).mean() * np.pi


@pytest.mark.parametrize(
    ("source_path_m", "receiver_path_m", "incidence_deg", "wavelength_m"),
    [
        (1.3, 2.9, 50.0, 0.343),
        (2.9, 1.3, 50.0, 0.343),
        (0.3, 4.0, 20.0, 0.343),
        (0.05, 3.0, 75.0, 0.343),
        (0.0, 3.0, 40.0, 0.343),
        (2.0, 2.0, 0.0, 0.343),
        (1.5, 2.5, 89.0, 0.172),
        (1.0, 2.0, 90.0, 0.343),
        (6.0, 9.0, 63.0, 0.04),
    ],
)
def test_the_zone_is_where_the_path_is_half_a_wavelength_longer(
    source_path_m, receiver_path_m, incidence_deg, wavelength_m
):
    zone = {
        "source_path_m": source_path_m,
        "receiver_path_m": receiver_path_m,
        "incidence_deg": incidence_deg,
        "wavelength_m": wavelength_m,
    }
    assert first_zone_area_m2(**zone) == pytest.approx(contour_area_m2(**zone), rel=1e-6)


def test_the_zone_of_a_short_wave_is_the_ellipse_of_the_handbooks():
    """Radius sqrt(lambda d1 d2 / (d1 + d2)) across the path, 1 / cos(i) times that along it."""
    found = first_zone_area_m2(source_path_m=4.0, receiver_path_m=6.0, incidence_deg=60.0, wavelength_m=1e-5)
    assert found == pytest.approx(np.pi * 1e-5 * 2.4 * 2, rel=1e-4)


def test_the_zone_takes_arrays_and_a_longer_wave_needs_more():
    areas = first_zone_area_m2(
        **{**ZONE, "source_path_m": np.array([1.3, 2.0]), "receiver_path_m": np.array([2.9, 1.0])}
    )
    assert areas.shape == (2,)
    assert areas[0] == first_zone_area_m2(**ZONE)
    assert first_zone_area_m2(**{**ZONE, "wavelength_m": 0.5}) > areas[0]


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("source_path_m", -0.1),
        ("receiver_path_m", np.nan),
        ("incidence_deg", 90.1),
        ("incidence_deg", -1.0),
        ("wavelength_m", 0.0),
    ],
)
def test_refusals_of_the_zone(name, value):
    with pytest.raises(OutOfRangeError, match=name):
        first_zone_area_m2(**{**ZONE, name: value})
