"""Trim: hand sums, agreement of the two ways to feed a bass amplifier, refusals."""

import math

import numpy as np
import pytest

from service.physics.chain.trim import (
    bass_section_trim_db,
    bass_section_trim_from_terminals_db,
    trim_beyond_range_db,
)
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


def test_trim_within_the_range_and_beyond_it():
    # -6 to +4: -9.5 is 3.5 too low, 7 is 3 too high
    beyond_db = trim_beyond_range_db([-9.5, -6.0, 1.0, 4.0, 7.0], lowest_trim_db=-6.0, highest_trim_db=4.0)
    np.testing.assert_allclose(beyond_db, [-3.5, 0.0, 0.0, 0.0, 3.0], atol=1e-12)


def test_what_is_missing_brings_the_trim_into_the_range():
    wanted_db = bass_section_trim_db(**LINE)  # -5 dB
    beyond_db = trim_beyond_range_db(wanted_db, lowest_trim_db=-3.0, highest_trim_db=8.0)
    damped = LINE | {"bass_gain_db": LINE["bass_gain_db"] + float(beyond_db)}
    assert bass_section_trim_db(**damped) == pytest.approx(-3.0, abs=1e-12)


@pytest.mark.parametrize(
    ("arguments", "match"),
    [
        ({"trim_db": math.nan, "lowest_trim_db": -6.0, "highest_trim_db": 6.0}, "^trim_db"),
        ({"trim_db": 0.0, "lowest_trim_db": -math.inf, "highest_trim_db": 6.0}, "lowest_trim_db"),
        ({"trim_db": 0.0, "lowest_trim_db": -6.0, "highest_trim_db": math.nan}, "highest_trim_db"),
        ({"trim_db": 0.0, "lowest_trim_db": 6.0, "highest_trim_db": -6.0}, r"at least lowest_trim_db \(6\)"),
    ],
)
def test_range_refusals(arguments, match):
    with pytest.raises(OutOfRangeError, match=match):
        trim_beyond_range_db(arguments.pop("trim_db"), **arguments)
