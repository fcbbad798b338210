"""Cable: wire tables as printed, laws, refusals."""

import math

import numpy as np
import pytest

from service.physics.chain import cable
from service.physics.checks import OutOfRangeError
from tests.published import Published

IEC_60228 = [
    Published(
        printed=printed,
        unit="ohm/km",
        source="IEC-60228",
        where=f"{conductor}, {area:g} mm2 (secondary transcription, four agree)",
        inputs={"cross_section_mm2": area, "conductor": conductor},
    )
    for conductor, printed_row in (
        ("solid_or_stranded", ("36.0", "24.5", "18.1", "12.1", "7.41", "4.61", "3.08", "1.83")),
        ("flexible", ("39.0", "26.0", "19.5", "13.3", "7.98", "4.95", "3.30", "1.91")),
    )
    for area, printed in zip((0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0), printed_row, strict=True)
]


@pytest.mark.parametrize("row", IEC_60228, ids=lambda row: row.where)
def test_resistance_of_metric_cables(row):
    row.check(cable.resistance_ohm_per_km(**row.inputs))


AWG = [
    Published(
        printed=printed,
        unit="ohm/km",
        source="NBS-HANDBOOK-100",
        where=f"AWG {gauge} (from memory, recomputed by hand)",
        inputs={"gauge": gauge},
        **wider,
    )
    for gauge, printed, wider in (
        (10, "3.277", {}),
        (12, "5.211", {}),
        (14, "8.286", {"tolerance": 0.001, "why_wider": "printed for a diameter rounded to 64.08 mil"}),
        (16, "13.17", {}),
        (18, "20.95", {}),
    )
]


@pytest.mark.parametrize("row", AWG, ids=lambda row: row.where)
def test_resistance_of_gauges(row):
    row.check(cable.awg_resistance_ohm_per_km(row.inputs["gauge"]))


def test_gauges_by_their_definition():
    # AWG 36 is 0.005 in and 4/0 is 0.46 in across, 39 steps apart; the ratio of their diameters is 92
    assert cable.awg_cross_section_mm2(36) == pytest.approx(math.pi / 4 * 0.127**2, rel=1e-12)
    assert cable.awg_cross_section_mm2(-3) == pytest.approx(math.pi / 4 * (0.46 * 25.4) ** 2, rel=1e-12)


def test_between_and_beyond_the_table_by_hand():
    # 2 mm2 flexible: 1/A 0.5 lies 0.375 of the way from 0.4 to 0.6667: 7.98 + 0.375 x (13.3 - 7.98) = 9.975
    # 0.25 mm2: 39.0 x 0.5 / 0.25 = 78; 16 mm2: 1.91 x 10 / 16 = 1.19375
    resistances = cable.resistance_ohm_per_km(cross_section_mm2=[2.0, 0.25, 16.0], conductor="flexible")
    np.testing.assert_allclose(resistances, [9.975, 78.0, 1.19375], rtol=1e-12)


def test_both_tables_agree_with_the_resistivity_of_copper():
    # a standard's upper limit lies a little above resistivity / area at every size, gauge wire at it
    areas_mm2 = np.geomspace(0.3, 20.0, 50)
    pure = 17.241 / areas_mm2  # ohm/km
    for conductor in cable.CONDUCTORS:
        resistances = cable.resistance_ohm_per_km(cross_section_mm2=areas_mm2, conductor=conductor)
        assert np.all((resistances > pure) & (resistances < 1.2 * pure))
        assert np.all(np.diff(resistances) < 0)
    gauge_mm2 = cable.awg_cross_section_mm2(13)
    assert cable.awg_resistance_ohm_per_km(13) * gauge_mm2 == pytest.approx(17.241, rel=1e-9)


def test_loop_of_five_metres_by_hand():
    # 2 x 5 m x 7.98 / 1000
    loop_ohm = cable.loop_resistance_ohm(length_m=5.0, conductor_resistance_ohm_per_km=7.98)
    assert loop_ohm == pytest.approx(0.0798, abs=1e-12)
    assert cable.loop_resistance_ohm(length_m=0.0, conductor_resistance_ohm_per_km=7.98) == 0.0


def test_damping_factor_by_hand():
    # 8 / (0.08 + 0.0798) = 50.06
    damping = cable.effective_damping_factor(load_ohm=8.0, output_impedance_ohm=0.08, loop_resistance_ohm=0.0798)
    assert damping == pytest.approx(50.06, abs=0.005)


@pytest.mark.parametrize("bad", [0.0, -2.5, math.nan, math.inf])
def test_refuses_impossible_cross_sections_and_loads(bad):
    with pytest.raises(OutOfRangeError, match="cross_section_mm2"):
        cable.resistance_ohm_per_km(cross_section_mm2=bad, conductor="flexible")
    with pytest.raises(OutOfRangeError, match="conductor_resistance_ohm_per_km"):
        cable.loop_resistance_ohm(length_m=3.0, conductor_resistance_ohm_per_km=bad)
    with pytest.raises(OutOfRangeError, match="load_ohm"):
        cable.effective_damping_factor(load_ohm=bad, output_impedance_ohm=0.1, loop_resistance_ohm=0.1)


def test_refuses_unknown_conductors_and_gauges():
    with pytest.raises(OutOfRangeError, match="conductor must be one of solid_or_stranded, flexible"):
        cable.resistance_ohm_per_km(cross_section_mm2=2.5, conductor="silver")
    for bad in (-4, 41, math.nan):
        with pytest.raises(OutOfRangeError, match="gauge"):
            cable.awg_cross_section_mm2(bad)
        with pytest.raises(OutOfRangeError, match="gauge"):
            cable.awg_resistance_ohm_per_km(bad)


def test_refuses_negative_resistances_and_no_resistance_at_all():
    with pytest.raises(OutOfRangeError, match="length_m"):
        cable.loop_resistance_ohm(length_m=-1.0, conductor_resistance_ohm_per_km=7.98)
    with pytest.raises(OutOfRangeError, match="output_impedance_ohm"):
        cable.effective_damping_factor(load_ohm=8.0, output_impedance_ohm=-0.1, loop_resistance_ohm=0.2)
    with pytest.raises(OutOfRangeError, match="loop_resistance_ohm"):
        cable.effective_damping_factor(load_ohm=8.0, output_impedance_ohm=0.1, loop_resistance_ohm=-0.05)
    with pytest.raises(OutOfRangeError, match="loop_resistance_ohm"):
        cable.effective_damping_factor(load_ohm=8.0, output_impedance_ohm=0.0, loop_resistance_ohm=0.0)
