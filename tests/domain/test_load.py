"""Curves, drivers, sections, cables, taps and noise: facts that contradict each other are refused for every caller."""

import pytest

from service.domain.equipment import Amplifier, Background, Loudspeaker, Rating
from service.domain.errors import DomainError
from service.domain.load import BassSection, Cable, DriverParameters, ImpedancePoint, Section
from service.domain.requests import MatchRequest

DRIVER = {"resonance_hz": 45.0, "mechanical_q": 4.0, "dc_resistance_ohm": 6.0}
SPEAKER = Loudspeaker(sensitivity_db_1m=97.0)
CURVE = (
    ImpedancePoint(frequency_hz=20.0, magnitude_ohm=9.0),
    ImpedancePoint(frequency_hz=50.0, magnitude_ohm=40.0),
    ImpedancePoint(frequency_hz=300.0, magnitude_ohm=5.5),
)


@pytest.mark.parametrize(
    ("make", "pointer", "code"),
    [
        (lambda: DriverParameters(**DRIVER), "", "one_of"),
        (lambda: DriverParameters(**DRIVER, electrical_q=0.5, total_q=0.4), "", "one_of"),
        (lambda: DriverParameters(**DRIVER, total_q=4.0), "/total_q", "contradiction"),
        (
            lambda: DriverParameters(**DRIVER, total_q=0.4, box="closed", box_volume_l=30.0),
            "/compliance_volume_l",
            "missing",
        ),
        (
            lambda: DriverParameters(**DRIVER, total_q=0.4, box="vented", box_volume_l=30.0, compliance_volume_l=50.0),
            "/tuning_hz",
            "missing",
        ),
        (lambda: DriverParameters(**DRIVER, total_q=0.4, box_volume_l=30.0), "/box_volume_l", "contradiction"),
        (lambda: Section(from_hz=300.0, to_hz=300.0), "/to_hz", "upside_down"),
        (lambda: Section(from_hz=300.0, power_w=50.0), "/power_w", "contradiction"),
        (lambda: Cable(length_m=3.0), "", "one_of"),
        (lambda: Cable(length_m=3.0, cross_section_mm2=2.5, awg=14), "", "one_of"),
        (lambda: BassSection(crossover_hz=100.0, trim_from_db=-6.0), "/trim_to_db", "missing"),
        (lambda: BassSection(crossover_hz=100.0, trim_from_db=6.0, trim_to_db=-6.0), "/trim_to_db", "upside_down"),
        (
            lambda: BassSection(crossover_hz=100.0, crossover_alignment="linkwitz_riley", crossover_order=3),
            "/crossover_order",
            "contradiction",
        ),
        (
            lambda: Loudspeaker(sensitivity_db_1m=97.0, impedance=CURVE, minimum_impedance_ohm=7.0),
            "/minimum_impedance_ohm",
            "contradiction",
        ),
        (
            lambda: Loudspeaker(
                sensitivity_db_1m=97.0, impedance=CURVE, driver_parameters=DriverParameters(**DRIVER, total_q=0.4)
            ),
            "/driver_parameters",
            "one_of",
        ),
        (
            lambda: Loudspeaker(sensitivity_db_1m=97.0, sections=(Section(amplifier="own"),)),
            "/sections/0/amplifier",
            "contradiction",
        ),
        (lambda: Amplifier(power_w=8.0, taps_ohm=(4.0, 8.0), tap_in_use_ohm=16.0), "/tap_in_use_ohm", "contradiction"),
        (lambda: Amplifier(power_w=8.0, taps_ohm=(4.0, 8.0), load_ohm=6.0), "/load_ohm", "contradiction"),
        (
            lambda: Amplifier(ratings=(Rating(load_ohm=6.0, power_w=8.0),), taps_ohm=(4.0, 8.0)),
            "/ratings/0/load_ohm",
            "contradiction",
        ),
        (lambda: Amplifier(power_w=8.0, signal_to_noise_db=90.0, noise_uv=100.0), "/signal_to_noise_db", "one_of"),
        (
            lambda: Amplifier(power_w=8.0, signal_to_noise_db=90.0, signal_to_noise_weighting="none", hum_mv=1.0),
            "/signal_to_noise_db",
            "one_of",
        ),
        (lambda: Background(level_dba=30.0, nr=20.0), "", "one_of"),
        (lambda: MatchRequest(speaker=SPEAKER), "", "missing"),
        (lambda: MatchRequest(speaker=SPEAKER, speakers=(SPEAKER,), amplifier=Amplifier(power_w=8.0)), "", "one_of"),
    ],
)
def test_what_cannot_be(make, pointer, code):
    with pytest.raises(DomainError) as refused:
        make()
    assert (refused.value.pointer, refused.value.code) == (pointer, code)
    assert refused.value.allowed


def test_hum_beside_a_weighted_ratio_is_another_fact():
    assert Amplifier(power_w=8.0, signal_to_noise_db=90.0, hum_mv=1.0).hum_mv == 1.0


def test_bridged_ratings_count_only_alone():
    bridged, channel = Rating(load_ohm=8.0, power_w=200.0, bridged=True), Rating(load_ohm=8.0, power_w=60.0)
    assert Amplifier(ratings=(bridged, channel)).counted_ratings == (channel,)
    assert Amplifier(ratings=(bridged,)).counted_ratings == (bridged,)
    assert [Amplifier(ratings=each).is_bridged for each in ((bridged, channel), (bridged,))] == [False, True]


def test_known_taps():
    assert Amplifier(power_w=8.0).known_taps_ohm == ()
    assert Amplifier(power_w=8.0, taps_ohm=(16.0, 4.0, 8.0)).known_taps_ohm == (4.0, 8.0, 16.0)
    # rated on one tap, connected to another
    assert Amplifier(power_w=8.0, load_ohm=8.0, tap_in_use_ohm=4.0).known_taps_ohm == (4.0, 8.0)


@pytest.mark.parametrize(
    ("facts", "lowest_ohm"),
    [
        ({}, None),
        ({"minimum_impedance_ohm": 5.0}, 5.0),
        ({"impedance": CURVE}, 5.5),
        ({"driver_parameters": DriverParameters(**DRIVER, total_q=0.4)}, 6.0),
    ],
)
def test_lowest_impedance_that_was_told(facts, lowest_ohm):
    assert Loudspeaker(sensitivity_db_1m=97.0, **facts).lowest_told_impedance_ohm == lowest_ohm


def test_a_lowest_section_on_its_own_amplifier_is_the_bass_section():
    sections = (Section(to_hz=120.0, amplifier="own", power_w=80.0), Section(from_hz=120.0))
    bass = Loudspeaker(sensitivity_db_1m=97.0, sections=sections).bass_section
    assert (bass.crossover_hz, bass.power_w) == (120.0, 80.0)
    with pytest.raises(DomainError, match="bass_section_twice"):
        Loudspeaker(sensitivity_db_1m=97.0, sections=sections, bass_section=BassSection(crossover_hz=120.0))
