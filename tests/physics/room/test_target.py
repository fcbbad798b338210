"""What studio recommendations ask of a listening room."""

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.room.target import (
    EARLY_REFLECTION_LIMIT_DB,
    EARLY_REFLECTION_WINDOW_S,
    studio_time_s,
    studio_tolerance_s,
)
from tests.published import Published

TIMES = [
    Published(
        printed=printed,
        unit="s",
        source="EBU-TECH-3276",
        where=f"0.25 (V / 100 m3)^(1/3), {volume_m3} m3, formula by secondary transcription",
        inputs={"volume_m3": volume_m3},
    )
    for volume_m3, printed in ((50, "0.1984"), (75, "0.2271"), (100, "0.2500"), (150, "0.2862"), (200, "0.3150"))
]


@pytest.mark.parametrize("row", TIMES, ids=lambda row: row.where)
def test_studio_time(row):
    row.check(studio_time_s(row.inputs["volume_m3"]))


def test_volumes_at_which_the_broadcasters_range_ends():
    # (0.2 / 0.25)^3 = 0.512 and (0.4 / 0.25)^3 = 4.096
    assert studio_time_s(51.2) == pytest.approx(0.2, abs=1e-12)
    assert studio_time_s(409.6) == pytest.approx(0.4, abs=1e-12)


def test_tolerance_at_its_corners():
    """0.05 s from 200 Hz to 4 kHz [ITU-R-BS-1116, secondary]; 0.3 s at 63 Hz and 0.1 s at 8 kHz from memory."""
    found = studio_tolerance_s([63, 200, 500, 1000, 2000, 4000, 8000])
    assert found.longer_s == pytest.approx([0.3, 0.05, 0.05, 0.05, 0.05, 0.05, 0.1], abs=1e-12)
    assert found.shorter_s == pytest.approx([0.05] * 6 + [0.1], abs=1e-12)


def test_tolerance_at_125_hz_by_hand():
    # lg(125 / 63) / lg(200 / 63) = 0.5931 of the way from 0.3 to 0.05
    assert studio_tolerance_s(125).longer_s == pytest.approx(0.3 - 0.5931 * 0.25, abs=5e-5)


def test_early_reflections_in_words_of_distance():
    # 15 ms at 343.2 m/s is 5.148 m; 10 dB by distance alone needs 3.162 times the path. Limits from memory.
    assert pytest.approx(5.148, abs=5e-4) == EARLY_REFLECTION_WINDOW_S * 343.2
    assert pytest.approx(3.162, abs=5e-4) == 10 ** (-EARLY_REFLECTION_LIMIT_DB / 20)


@pytest.mark.parametrize("bad", [0.0, -50.0, np.nan])
def test_impossible_volume_is_refused(bad):
    with pytest.raises(OutOfRangeError, match="volume_m3"):
        studio_time_s(bad)


@pytest.mark.parametrize("bad", [31.5, 16000.0])
def test_bands_without_a_tolerance_are_refused(bad):
    with pytest.raises(OutOfRangeError, match="frequency_hz"):
        studio_tolerance_s(bad)
