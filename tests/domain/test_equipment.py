"""Loudspeakers and amplifiers: facts that contradict each other are refused for every caller."""

import pytest

from service.domain.equipment import (
    AMPLIFIER_KINDS,
    FIELD_COIL_KINDS,
    HOT_KINDS,
    SPEAKER_KINDS,
    VALVE_KINDS,
    Amplifier,
    Background,
    BassSection,
    Loudspeaker,
    Rating,
)
from service.domain.errors import DomainError


@pytest.mark.parametrize(
    ("facts", "pointer", "code"),
    [
        ({}, "", "one_of"),
        ({"sensitivity_db_1w_1m": 98.0, "sensitivity_db_1m": 97.0}, "", "one_of"),
        (
            {"sensitivity_db_1m": 97.0, "directivity_index_db": 5.0, "directivity_index_by_octave_db": ((1000, 5.0),)},
            "/directivity_index_by_octave_db",
            "one_of",
        ),
        ({"sensitivity_db_1m": 97.0, "kind": "top_with_bass_section"}, "/bass_section", "missing"),
        (
            {"sensitivity_db_1m": 97.0, "kind": "horn", "bass_section": BassSection(crossover_hz=100.0)},
            "/kind",
            "contradiction",
        ),
        (
            {"sensitivity_db_1m": 97.0, "nominal_impedance_ohm": 8.0, "minimum_impedance_ohm": 10.1},
            "/minimum_impedance_ohm",
            "contradiction",
        ),
    ],
)
def test_loudspeakers_that_cannot_be(facts, pointer, code):
    with pytest.raises(DomainError) as refused:
        Loudspeaker(**facts)
    assert (refused.value.pointer, refused.value.code) == (pointer, code)
    assert refused.value.allowed


def test_loudspeakers_that_can_be():
    assert Loudspeaker(sensitivity_db_2v83_1m=90.0).sensitivity_field == "sensitivity_db_2v83_1m"
    assert Loudspeaker(sensitivity_db_1m=90.0, bass_section=BassSection(crossover_hz=100.0)).kind is None
    assert Loudspeaker(sensitivity_db_1m=90.0, nominal_impedance_ohm=8.0, minimum_impedance_ohm=10.0).mass_kg is None


RATINGS = (Rating(load_ohm=8.0, power_w=30.0), Rating(load_ohm=4.0, power_w=45.0))


@pytest.mark.parametrize(
    ("facts", "pointer", "code"),
    [
        ({}, "", "one_of"),
        ({"power_w": 8.0, "ratings": RATINGS}, "", "one_of"),
        ({"ratings": RATINGS, "load_ohm": 8.0}, "/load_ohm", "contradiction"),
        ({"ratings": (*RATINGS, Rating(load_ohm=8.0, power_w=31.0))}, "/ratings/2/load_ohm", "duplicate"),
        ({"power_w": 8.0, "output_impedance_ohm": 2.5, "damping_factor": 3.0}, "/damping_factor", "one_of"),
        ({"power_w": 8.0, "damping_factor_load_ohm": 4.0}, "/damping_factor_load_ohm", "contradiction"),
    ],
)
def test_amplifiers_that_cannot_be(facts, pointer, code):
    with pytest.raises(DomainError) as refused:
        Amplifier(**facts)
    assert (refused.value.pointer, refused.value.code) == (pointer, code)
    assert refused.value.allowed


@pytest.mark.parametrize("facts", [{}, {"kind": "quiet_night", "level_dba": 25.0}])
def test_background_is_a_kind_or_a_level(facts):
    with pytest.raises(DomainError) as refused:
        Background(**facts)
    assert (refused.value.pointer, refused.value.code) == ("", "one_of")
    assert refused.value.given == list(facts)


def test_a_field_coil_is_told_or_follows_from_the_kind():
    assert Loudspeaker(sensitivity_db_1m=98.0, field_coil=True).has_field_coil
    assert Loudspeaker(sensitivity_db_1m=98.0, kind="field_coil_full_range").has_field_coil
    assert not Loudspeaker(sensitivity_db_1m=98.0, kind="horn").has_field_coil


def test_kinds():
    assert len(SPEAKER_KINDS) == len(set(SPEAKER_KINDS))
    assert set(FIELD_COIL_KINDS) < set(SPEAKER_KINDS)
    assert len(AMPLIFIER_KINDS) == len(set(AMPLIFIER_KINDS))
    assert set(VALVE_KINDS) < set(HOT_KINDS) < set(AMPLIFIER_KINDS)
