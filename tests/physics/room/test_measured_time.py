"""What a reverberation time says about absorption: exponent, room constant, areas and the factor on admittances."""

import numpy as np
import pytest
from scipy.optimize import brentq

from service.physics.checks import OutOfRangeError
from service.physics.room.admittance import absorption_from_admittance, admittance_from_absorption
from service.physics.room.measured_time import (
    absorber_area_m2,
    absorption_area_needed_m2,
    admittance_scale_for_time,
    eyring_exponent,
    room_constant_m2,
)
from service.physics.room.reverberation import DECAY_CONSTANT, eyring_time_s

# 5.4 x 4.1 x 2.5 m: V = 55.35 m3, S = 2 (22.14 + 13.5 + 10.25) = 91.78 m2
SIZE = {"volume_m3": 55.35, "surface_area_m2": 91.78, "speed_of_sound_m_s": 343.2}
BARE = {"object_area_m2": 0.0, "air_attenuation_per_m": 0.0}
PATCHED = {
    "areas_m2": [10.25, 10.25, 13.5, 13.5, 22.14, 22.14],
    "volume_m3": 55.35,
    "speed_of_sound_m_s": 343.2,
    **BARE,
}
UNEQUAL = [0.05, 0.1, 0.02, 0.3, 0.4, 0.08]


def test_room_constant_from_a_time_by_hand():
    # x = 0.1610199 * 55.35 / (91.78 * 0.45) = 0.215793; 91.78 (exp x - 1) = 22.10. Sabine's A = 19.81 and
    # A / (1 - A / S) = 25.26 are the readings to avoid.
    exponent = eyring_exponent(reverberation_time_s=0.45, **SIZE)
    assert exponent == pytest.approx(0.215793, abs=1e-6)
    assert room_constant_m2(exponent=exponent, surface_area_m2=91.78) == pytest.approx(22.10, abs=5e-3)


def test_room_constant_from_mean_absorption():
    # S a / (1 - a), S = 630 m2, a = 0.15: 94.5 / 0.85 = 111.18
    assert room_constant_m2(exponent=-np.log(0.85), surface_area_m2=630.0) == pytest.approx(111.18, abs=5e-3)


def test_exponent_inverts_eyring():
    time_s = eyring_time_s(UNEQUAL, **PATCHED)
    mean = np.dot(UNEQUAL, PATCHED["areas_m2"]) / 91.78
    assert eyring_exponent(reverberation_time_s=time_s, **SIZE) == pytest.approx(-np.log(1 - mean), rel=1e-12)


def test_area_that_a_studio_would_want_of_a_home():
    # Furnished room of 0.5 s (55.35 / 44)^(1/3) = 0.5397 s, wanted 0.25 (55.35 / 100)^(1/3) = 0.2053 s:
    # 91.78 (exp(-0.17992) - exp(-0.47305)) = 91.78 (0.83534 - 0.62310) = 19.5 m2. Recomputed by hand.
    present, wanted = 0.5 * (55.35 / 44) ** (1 / 3), 0.25 * (55.35 / 100) ** (1 / 3)
    found = absorption_area_needed_m2(present_time_s=present, wanted_time_s=wanted, **SIZE)
    assert found == pytest.approx(19.5, abs=0.05)


def test_area_needed_reaches_the_time():
    """Adding the area, as absorption of the surfaces, gives the wanted time by Eyring's formula."""
    present = eyring_time_s(UNEQUAL, **PATCHED)
    added = absorption_area_needed_m2(present_time_s=present, wanted_time_s=0.35, **SIZE)
    reached = eyring_time_s(np.array(UNEQUAL) + added / 91.78, **PATCHED)
    assert reached == pytest.approx(0.35, rel=1e-12)
    backwards = absorption_area_needed_m2(present_time_s=0.35, wanted_time_s=present, **SIZE)
    assert backwards == pytest.approx(-added, rel=1e-12)


def test_absorber_area_counts_what_it_covers():
    # 6 m2 from an absorber of 0.85 on a wall of 0.1 takes 6 / 0.75 = 8 m2; on a wall as absorbing, no area does
    found = absorber_area_m2(
        added_absorption_area_m2=[6.0, 6.0], absorber_absorption=[0.85, 0.2], covered_absorption=[0.1, 0.2]
    )
    assert found[0] == pytest.approx(8.0, rel=1e-12)
    assert np.isnan(found[1])


def test_admittance_scale_by_hand():
    """Equal walls from 0.52 s to 0.40 s: 1.320 on the admittance, where the absorption itself grows 1.262 times."""
    # 6 x 4.5 x 2.7 m, V = 72.9 m3, S = 110.7 m2; recomputed by hand from Eyring's and Kuttruff's formulas
    size = {"volume_m3": 72.9, "speed_of_sound_m_s": 343.2}
    times_s = np.array([0.52, 0.40])
    absorption = 1 - np.exp(-eyring_exponent(reverberation_time_s=times_s, surface_area_m2=110.7, **size))
    assert absorption[1] / absorption[0] == pytest.approx(1.262, abs=5e-4)
    scale = admittance_scale_for_time(
        [absorption[0]] * 3, areas_m2=[24.3, 32.4, 54.0], **size, **BARE, wanted_time_s=0.40
    )
    assert scale == pytest.approx(1.320, abs=5e-4)
    assert np.ndim(scale) == 0


def test_admittance_scale_agrees_with_a_general_root_finder():
    admittance = admittance_from_absorption(UNEQUAL)
    weights = np.array(PATCHED["areas_m2"]) / 91.78
    for wanted_s in (0.3, 0.35, 0.9, 2.5):
        mean = 1 - np.exp(-DECAY_CONSTANT * 55.35 / (343.2 * 91.78 * wanted_s))
        root = brentq(lambda s, a=mean: weights @ absorption_from_admittance(s * admittance) - a, 1e-6, 8.0, xtol=1e-14)
        scale = admittance_scale_for_time(UNEQUAL, **PATCHED, wanted_time_s=wanted_s)
        assert scale == pytest.approx(root, rel=1e-9)


def test_scaled_admittances_give_the_time_with_air_and_objects_in_each_band():
    bands = np.array([UNEQUAL, np.multiply(0.7, UNEQUAL)]).T
    given = {**PATCHED, "object_area_m2": [1.0, 2.0], "air_attenuation_per_m": [0.001, 0.005]}
    scale = admittance_scale_for_time(bands, **given, wanted_time_s=[0.4, 0.3])
    absorption = absorption_from_admittance(scale * admittance_from_absorption(bands))
    assert eyring_time_s(absorption, **given) == pytest.approx([0.4, 0.3], rel=1e-10)


def test_the_time_as_it_is_needs_no_factor():
    as_it_is_s = eyring_time_s(UNEQUAL, **PATCHED)
    assert admittance_scale_for_time(UNEQUAL, **PATCHED, wanted_time_s=as_it_is_s) == pytest.approx(1.0, rel=1e-9)


def test_a_room_with_a_capped_wall_can_still_be_scaled():
    """A wall at the peak of absorption falls beyond it, the others make up for it."""
    patches = [1.0, 0.1, 0.1, 0.1, 0.1, 0.1]
    computed_s = eyring_time_s(patches, **PATCHED)
    scale = admittance_scale_for_time(patches, **PATCHED, wanted_time_s=0.8 * computed_s)
    absorption = absorption_from_admittance(scale * admittance_from_absorption(patches))
    assert scale > 1
    assert absorption[0] < 0.951
    assert eyring_time_s(absorption, **PATCHED) == pytest.approx(0.8 * computed_s, rel=1e-10)


@pytest.mark.parametrize(
    ("patches", "change", "name"),
    [
        (UNEQUAL, {"wanted_time_s": 0.05}, "wanted_time_s must be longer"),
        (UNEQUAL, {"wanted_time_s": 2.0, "object_area_m2": 6.0}, "wanted_time_s must be shorter"),
        ([0.0] * 6, {"wanted_time_s": 0.5}, "absorption_coefficients"),
        (UNEQUAL, {"wanted_time_s": 0.0}, "reverberation_time_s"),
        (UNEQUAL, {"wanted_time_s": 0.5, "volume_m3": -1.0}, "volume_m3"),
    ],
)
def test_unreachable_times_are_refused(patches, change, name):
    with pytest.raises(OutOfRangeError, match=name):
        admittance_scale_for_time(patches, **{**PATCHED, **change})


@pytest.mark.parametrize("name", ["reverberation_time_s", "volume_m3", "surface_area_m2", "speed_of_sound_m_s"])
def test_exponent_refuses(name):
    with pytest.raises(OutOfRangeError, match=name):
        eyring_exponent(**{"reverberation_time_s": 0.5, **SIZE, name: 0.0})


def test_areas_refuse():
    with pytest.raises(OutOfRangeError, match="exponent"):
        room_constant_m2(exponent=0.0, surface_area_m2=90.0)
    with pytest.raises(OutOfRangeError, match="wanted_time_s"):
        absorption_area_needed_m2(present_time_s=0.5, wanted_time_s=np.inf, **SIZE)
    with pytest.raises(OutOfRangeError, match="absorber_absorption"):
        absorber_area_m2(added_absorption_area_m2=1.0, absorber_absorption=1.1, covered_absorption=0.1)
