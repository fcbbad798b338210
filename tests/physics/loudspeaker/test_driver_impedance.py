"""Driver impedance: peaks in closed form, boxes by hand, the network solved anew from masses and springs, refusals."""

import math

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.loudspeaker.driver_impedance import (
    Resonance,
    closed_box_resonance,
    driver_impedance_ohm,
    electrical_q_of_total,
    vented_box_impedance_ohm,
)
from tests.published import Published

FREE_AIR = Resonance(resonance_hz=25.0, mechanical_q=4.0, electrical_q=0.5)
COIL = {"dc_resistance_ohm": 6.0, "inductance_h": 0.0008}
VENTED = COIL | {
    "free_air": FREE_AIR,
    "compliance_volume_m3": 0.12,
    "box_volume_m3": 0.07,
    "tuning_hz": 31.0,
    "leakage_q": 7.0,
}
GRID_HZ = np.geomspace(5.0, 5000.0, 97)


def test_peak_of_a_driver_without_inductance():
    # R_e (1 + Q_ms / Q_es) = 6 x (1 + 8) = 54, real
    impedance = driver_impedance_ohm(25.0, resonance=FREE_AIR, dc_resistance_ohm=6.0, inductance_h=0.0)
    assert impedance == pytest.approx(54.0, rel=1e-12)


def test_far_from_the_resonance_the_coil_is_left():
    # At 5 kHz: 6 + j 2 pi 5000 x 0.0008 = 6 + j 25.13; the motional rest is j-negative, 12 / 200 = 0.06
    impedance = driver_impedance_ohm(5000.0, resonance=FREE_AIR, **COIL)
    assert impedance == pytest.approx(6.0 + 1j * (25.133 - 0.06), abs=0.002)
    deep = driver_impedance_ohm(0.01, resonance=FREE_AIR, **COIL)
    assert deep == pytest.approx(6.0, abs=0.01)


def test_frequencies_of_the_geometric_mean_mark_the_mechanical_q():
    # |Z| = R_e sqrt(r0), r0 = 1 + Q_ms / Q_es, at f1 and f2 with f1 f2 = f_s^2 and f_s sqrt(r0) / (f2 - f1) = Q_ms:
    # the way Thiele measures Q_ms
    f_hz = np.geomspace(1.0, 625.0, 200001)
    magnitude = np.abs(driver_impedance_ohm(f_hz, resonance=FREE_AIR, dc_resistance_ohm=6.0, inductance_h=0.0))
    above = f_hz[magnitude >= 6.0 * math.sqrt(9.0)]
    assert above[0] * above[-1] == pytest.approx(625.0, rel=1e-3)
    assert 25.0 * 3.0 / (above[-1] - above[0]) == pytest.approx(4.0, rel=1e-3)


CLOSED = [
    Published(printed="43.301", unit="Hz", source="SMALL-1972", where="recomputed by hand: 25 sqrt 3", inputs={}),
    Published(printed="0.60622", unit="-", source="SMALL-1972", where="recomputed by hand: 0.35 sqrt 3", inputs={}),
]


def test_closed_box():
    # f_s 25, Q_ts 0.35, V_as 100 l, V_b 50 l
    driver = Resonance(
        resonance_hz=25.0, mechanical_q=5.0, electrical_q=electrical_q_of_total(total_q=0.35, mechanical_q=5.0)
    )
    boxed = closed_box_resonance(free_air=driver, compliance_volume_m3=0.1, box_volume_m3=0.05)
    CLOSED[0].check(boxed.resonance_hz)
    CLOSED[1].check(boxed.total_q)


def test_electrical_q_by_hand():
    # 1 / 0.4 - 1 / 2 = 2
    assert electrical_q_of_total(total_q=0.4, mechanical_q=2.0) == pytest.approx(0.5, rel=1e-12)
    assert Resonance(resonance_hz=1.0, mechanical_q=2.0, electrical_q=0.5).total_q == pytest.approx(0.4, rel=1e-12)


def test_a_lossless_vented_box_is_the_bare_coil_at_its_tuning():
    lossless = VENTED | {"leakage_q": 1e9, "inductance_h": 0.0}
    assert vented_box_impedance_ohm(31.0, **lossless) == pytest.approx(6.0, rel=1e-6)


def test_peaks_of_a_vented_box_keep_the_relations_of_small():
    # f_L f_H = f_s f_b and f_L^2 + f_H^2 = f_s^2 (1 + V_as / V_b) + f_b^2, so that
    # V_as / V_b = (f_H^2 - f_b^2)(f_b^2 - f_L^2) / (f_L^2 f_H^2) holds with f_b^2 and the driver's own f_s
    lossless = VENTED | {"leakage_q": 1e9, "inductance_h": 0.0}
    f_hz = np.geomspace(5.0, 120.0, 400001)
    magnitude = np.abs(vented_box_impedance_ohm(f_hz, **lossless))
    peaks = f_hz[1:-1][(magnitude[1:-1] > magnitude[:-2]) & (magnitude[1:-1] > magnitude[2:])]
    assert peaks.size == 2
    assert peaks[0] * peaks[1] == pytest.approx(25.0 * 31.0, rel=1e-4)
    assert (peaks**2).sum() == pytest.approx(625.0 * (1.0 + 0.12 / 0.07) + 961.0, rel=1e-4)
    np.testing.assert_allclose(
        np.abs(vented_box_impedance_ohm(peaks, **lossless)), 54.0, rtol=1e-4
    )  # as in free air: only the mechanical loss is left


def test_both_boxes_agree_with_their_parts_solved_as_a_network():
    """Masses, springs and losses with units; cone, box and port as three equations."""
    mass_kg, area_m2, rho_c2 = 0.04, 0.05, 1.204 * 343.2**2
    angular = 2.0 * np.pi * GRID_HZ
    resonance = 2.0 * math.pi * 25.0
    compliance_m_n = 1.0 / (mass_kg * resonance**2)
    loss_n_s_m = resonance * mass_kg / 4.0
    bl_n_a = math.sqrt(resonance * mass_kg * 6.0 / 0.5)
    box_m5_n = 0.07 / rho_c2
    port_kg_m4 = 1.0 / ((2.0 * math.pi * 31.0) ** 2 * box_m5_n)
    leak_n_s_m5 = 7.0 / (2.0 * math.pi * 31.0 * box_m5_n)
    compliance_volume_m3 = rho_c2 * area_m2**2 * compliance_m_n

    for vented in (False, True):
        found = []
        for w in angular:
            box_admittance = 1j * w * box_m5_n + (1.0 / (1j * w * port_kg_m4) + 1.0 / leak_n_s_m5 if vented else 0.0)
            matrix = np.array(
                [
                    [6.0 + 1j * w * 0.0008, bl_n_a, 0.0],  # voltage 1 = coil + back voltage
                    [-bl_n_a, 1j * w * mass_kg + loss_n_s_m + 1.0 / (1j * w * compliance_m_n), area_m2],
                    [0.0, area_m2, -box_admittance],  # flow of the cone into the box
                ]
            )
            current = np.linalg.solve(matrix, np.array([1.0, 0.0, 0.0]))[0]
            found.append(1.0 / current)
        volumes = {"compliance_volume_m3": compliance_volume_m3, "box_volume_m3": 0.07}
        if vented:
            calculated = vented_box_impedance_ohm(GRID_HZ, **(VENTED | volumes))
        else:
            boxed = closed_box_resonance(free_air=FREE_AIR, **volumes)
            calculated = driver_impedance_ohm(GRID_HZ, resonance=boxed, **COIL)
        np.testing.assert_allclose(calculated, found, rtol=1e-9)


def test_no_frequency_gives_power_back():
    for impedance in (
        driver_impedance_ohm(GRID_HZ, resonance=FREE_AIR, **COIL),
        vented_box_impedance_ohm(GRID_HZ, **VENTED),
    ):
        assert (impedance.real >= 6.0).all()


def test_a_huge_box_is_free_air():
    huge = closed_box_resonance(free_air=FREE_AIR, compliance_volume_m3=0.1, box_volume_m3=1e9)
    assert huge.resonance_hz == pytest.approx(25.0, rel=1e-9)
    vented = vented_box_impedance_ohm(GRID_HZ, **(VENTED | {"box_volume_m3": 1e9}))
    np.testing.assert_allclose(vented, driver_impedance_ohm(GRID_HZ, resonance=FREE_AIR, **COIL), rtol=1e-6)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"frequency_hz": 0.0}, "frequency_hz"),
        ({"dc_resistance_ohm": 0.0}, "dc_resistance_ohm"),
        ({"inductance_h": -1e-3}, "inductance_h"),
        ({"free_air": Resonance(resonance_hz=0.0, mechanical_q=4.0, electrical_q=0.5)}, "resonance_hz"),
        ({"free_air": Resonance(resonance_hz=25.0, mechanical_q=-4.0, electrical_q=0.5)}, "mechanical_q"),
        ({"free_air": Resonance(resonance_hz=25.0, mechanical_q=4.0, electrical_q=math.nan)}, "electrical_q"),
        ({"compliance_volume_m3": 0.0}, "compliance_volume_m3"),
        ({"box_volume_m3": -0.1}, "box_volume_m3"),
        ({"tuning_hz": 0.0}, "tuning_hz"),
        ({"leakage_q": 0.0}, "leakage_q"),
    ],
)
def test_vented_refusals(change, name):
    arguments = {"frequency_hz": 40.0} | VENTED | change
    with pytest.raises(OutOfRangeError, match=name):
        vented_box_impedance_ohm(arguments.pop("frequency_hz"), **arguments)


def test_other_refusals():
    with pytest.raises(OutOfRangeError, match=r"mechanical_q must be above total_q \(0.5\)"):
        electrical_q_of_total(total_q=0.5, mechanical_q=0.5)
    with pytest.raises(OutOfRangeError, match="total_q"):
        electrical_q_of_total(total_q=0.0, mechanical_q=0.5)
    with pytest.raises(OutOfRangeError, match="compliance_volume_m3"):
        closed_box_resonance(free_air=FREE_AIR, compliance_volume_m3=-0.1, box_volume_m3=0.05)
    with pytest.raises(OutOfRangeError, match="box_volume_m3"):
        closed_box_resonance(free_air=FREE_AIR, compliance_volume_m3=0.1, box_volume_m3=0.0)
    with pytest.raises(OutOfRangeError, match="inductance_h"):
        driver_impedance_ohm(40.0, resonance=FREE_AIR, dc_resistance_ohm=6.0, inductance_h=-1.0)
