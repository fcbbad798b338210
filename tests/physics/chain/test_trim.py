"""Trim: hand sums, agreement of the two ways to feed a bass amplifier, refusals."""

import math

import numpy as np
import pytest

from service.physics.chain.trim import bass_section_trim_db, bass_section_trim_from_terminals_db
from service.physics.checks import OutOfRangeError

LINE = {
    "top_sensitivity_db_2v83_1m": 100.0,
    "top_gain_db": 14.0,
    "bass_sensitivity_db_2v83_1m": 90.0,
    "bass_gain_db": 29.0,
}
TERMINALS = {
    "top_sensitivity_db_2v83_1m": 99.0,
    "bass_sensitivity_db_2v83_1m": 91.0,
    "terminals_to_driver_gain_db": 5.5,
}


def test_line_input_by_hand():
    assert bass_section_trim_db(**LINE) == pytest.approx(-5.0, abs=1e-12)  # 100 + 14 - 90 - 29


def test_terminals_by_hand():
    assert bass_section_trim_from_terminals_db(**TERMINALS) == pytest.approx(2.5, abs=1e-12)  # 99 - 91 - 5.5


def test_the_two_ways_agree():
    # From the terminals to the bass drivers is the way from the line to them, less that to the terminals
    from_terminals_db = bass_section_trim_from_terminals_db(
        top_sensitivity_db_2v83_1m=LINE["top_sensitivity_db_2v83_1m"],
        bass_sensitivity_db_2v83_1m=LINE["bass_sensitivity_db_2v83_1m"],
        terminals_to_driver_gain_db=LINE["bass_gain_db"] - LINE["top_gain_db"],
    )
    assert from_terminals_db == pytest.approx(bass_section_trim_db(**LINE), abs=1e-12)


def test_trimmed_sections_are_equally_loud():
    top_gain_db = np.array([10.0, 14.0, 26.0])
    arguments = LINE | {"top_gain_db": top_gain_db}
    bass_db = 90.0 + 29.0 + bass_section_trim_db(**arguments)
    np.testing.assert_allclose(bass_db, 100.0 + top_gain_db, atol=1e-12)


@pytest.mark.parametrize("name", LINE)
@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_line_input_refusals(name, bad):
    with pytest.raises(OutOfRangeError, match=f"^{name}"):
        bass_section_trim_db(**(LINE | {name: bad}))


@pytest.mark.parametrize("name", TERMINALS)
@pytest.mark.parametrize("bad", [math.nan, -math.inf])
def test_terminals_refusals(name, bad):
    with pytest.raises(OutOfRangeError, match=f"^{name}"):
        bass_section_trim_from_terminals_db(**(TERMINALS | {name: bad}))
