"""The figure of merit, part by part: hand sums, an independent least-squares line, and the reflections themselves."""

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.placement import merit
from service.physics.room.reflections import first_order_reflections

OCTAVE = merit.bass_bands(low_hz=100.0, points=4)  # six bands of one octave: 100 to 200 Hz


def from_20_hz():
    return merit.bass_bands(low_hz=20.0, points=4)


# bands ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("low_hz", "count"),
    [
        (20.0, 20),  # 6 log2(10) = 19.93
        (28.0, 17),  # 6 log2(7.143) = 17.02
        (45.0, 13),  # 6 log2(4.444) = 12.91
        (70.0, 9),  # 6 log2(2.857) = 9.09
        (100.0, 6),
        (150.0, 2),  # 6 log2(1.333) = 2.49
    ],
)
def test_number_of_bands(low_hz, count):
    bands = merit.bass_bands(low_hz=low_hz, points=5)
    assert len(bands.midbands_hz) == count
    assert len(bands.frequency_hz) == 5 * count


@pytest.mark.parametrize("points", [4, 8])
def test_bands_have_equal_ratios_and_fill_the_range(points):
    """Midbands an equal ratio apart, the outer ones half a ratio inside; each band holds its own frequencies."""
    bands = merit.bass_bands(low_hz=41.0, points=points)
    count = len(bands.midbands_hz)
    ratio = (200 / 41) ** (1 / count)
    np.testing.assert_allclose(bands.midbands_hz[1:] / bands.midbands_hz[:-1], ratio)
    np.testing.assert_allclose(bands.midbands_hz[[0, -1]], [41 * ratio**0.5, 200 / ratio**0.5])
    per_band = bands.frequency_hz.reshape(count, points)
    edges_hz = 41 * ratio ** np.arange(count + 1)
    assert (per_band > edges_hz[:-1, None]).all()
    assert (per_band < edges_hz[1:, None]).all()
    np.testing.assert_allclose(np.exp(np.log(per_band).mean(axis=1)), bands.midbands_hz)
    assert bands.low_hz == 41.0


@pytest.mark.parametrize(
    ("arguments", "name"),
    [
        ({"low_hz": 19.9, "points": 4}, "low_hz"),
        ({"low_hz": 151.0, "points": 4}, "low_hz"),
        ({"low_hz": float("nan"), "points": 4}, "low_hz"),
        ({"low_hz": 40.0, "points": 3}, "points"),
    ],
)
def test_bands_refuse(arguments, name):
    with pytest.raises(OutOfRangeError, match=name):
        merit.bass_bands(**arguments)


def test_band_means_are_means_of_energy():
    """Energies 1, 2, 3, 6 have the mean 3; the mean of their levels would be lower."""
    bands = merit.bass_bands(low_hz=150.0, points=4)
    energy = np.array([1.0, 2.0, 3.0, 6.0, 10.0, 10.0, 10.0, 30.0])[:, None] * np.array([1.0, 7.0])
    np.testing.assert_allclose(merit.band_means(energy, bands=bands), [[3.0, 21.0], [15.0, 105.0]])


# evenness ---------------------------------------------------------------------------------------------------


def test_flat_response_costs_nothing():
    parts = merit.bass_parts(np.full(20, -12.3), bands=from_20_hz())
    assert parts.bass_unevenness_db == pytest.approx(0, abs=1e-12)
    assert parts.dips_db == 0
    assert parts.slope_db_per_octave == pytest.approx(0, abs=1e-12)
    assert parts.deepest_hole_db == pytest.approx(0, abs=1e-12)


def test_one_notch():
    """20 bands, bands 9 and 10 (in the middle, so without slope) 10 dB down, the line at -1 dB.

    Deviations: 18 times +1, twice -9: rms sqrt((18 + 162) / 20) = 3; beyond 3 dB: twice 6: rms sqrt(72 / 20) = 1.8974.
    """
    levels_db = np.zeros(20)
    levels_db[[9, 10]] = -10.0
    parts = merit.bass_parts(levels_db, bands=from_20_hz())
    assert parts.bass_unevenness_db == pytest.approx(3.0, abs=1e-12)
    assert parts.dips_db == pytest.approx(1.8974, abs=5e-5)
    assert parts.deepest_hole_db == pytest.approx(-9.0, abs=1e-12)
    assert parts.deepest_hole_hz == pytest.approx(20 * 10 ** (9.5 / 20), rel=1e-12)  # the first of the two


def test_dip_of_three_db_is_free_and_peaks_are_no_dips():
    """Deviations of +3 and -3 in turn, symmetric about the middle: rms 3, nothing beyond 3 dB."""
    levels_db = np.array([3.0, -3, 3, -3, 3, -3, 3, -3, 3, -3])
    levels_db = np.concatenate([levels_db, levels_db[::-1]])
    parts = merit.bass_parts(levels_db, bands=from_20_hz())
    assert parts.bass_unevenness_db == pytest.approx(3.0, abs=1e-12)
    assert parts.dips_db == pytest.approx(0.0, abs=1e-9)
    peak_db = merit.bass_parts(np.where(np.arange(20) == 9, 20.0, 0.0), bands=from_20_hz())
    assert peak_db.dips_db == 0.0


@pytest.mark.parametrize(
    ("slope", "held", "unevenness"),
    [
        (-2.0, -2.0, 0.0),
        (-3.0, -3.0, 0.0),
        # what is left is a line of -2 (or +1.5) dB an octave over six bands a sixth of an octave apart:
        # rms of (-2.5 .. 2.5) / 6 octaves is sqrt(35 / 12) / 6 = 0.28464 octaves
        (-5.0, -3.0, 2 * 0.28464),
        (1.5, 0.0, 1.5 * 0.28464),
    ],
)
def test_slope_is_held_between_minus_three_and_zero(slope, held, unevenness):
    parts = merit.bass_parts(7.0 + slope * np.log2(OCTAVE.midbands_hz / 140), bands=OCTAVE)
    assert parts.slope_db_per_octave == pytest.approx(held, abs=1e-9)
    assert parts.bass_unevenness_db == pytest.approx(unevenness, abs=2e-5)


@pytest.mark.parametrize("seed", range(8))
def test_least_squares_line_equals_a_general_library(seed):
    """The line through the level over log frequency of [COX-DANTONIO-AVIS-2004], from memory, by numpy's polyfit."""
    rng = np.random.default_rng(seed)
    bands = merit.bass_bands(low_hz=rng.uniform(20, 60), points=4)
    octaves = np.log2(bands.midbands_hz)
    levels_db = -1.4 * octaves + rng.normal(0, 1.0, len(octaves))
    slope, level_db = np.polyfit(octaves, levels_db, 1)
    assert -3 < slope < 0, "the case is meant to be inside the limits"
    residual_db = levels_db - (level_db + slope * octaves)
    parts = merit.bass_parts(levels_db, bands=bands)
    assert parts.slope_db_per_octave == pytest.approx(slope, rel=1e-9)
    assert parts.bass_unevenness_db == pytest.approx(np.sqrt(np.mean(residual_db**2)), rel=1e-9)
    assert parts.deepest_hole_db == pytest.approx(residual_db.min(), rel=1e-9)
    assert parts.deepest_hole_hz == bands.midbands_hz[residual_db.argmin()]


def test_level_changes_nothing_and_many_places_are_judged_alike():
    rng = np.random.default_rng(3)
    levels_db = rng.normal(0, 4, size=(2, 5, 20))
    parts = merit.bass_parts(levels_db, bands=from_20_hz())
    louder = merit.bass_parts(levels_db + 11.0, bands=from_20_hz())
    np.testing.assert_allclose(louder.bass_unevenness_db, parts.bass_unevenness_db)
    single = merit.bass_parts(levels_db[1, 3], bands=from_20_hz())
    assert single.bass_unevenness_db == pytest.approx(parts.bass_unevenness_db[1, 3])
    assert single.deepest_hole_hz == parts.deepest_hole_hz[1, 3]


def test_over_seats_one_even_seat_does_not_hide_an_uneven_one():
    """One seat uneven by sqrt(5) dB, the other even: the mean of both; the hole is that of the uneven one."""
    levels_db = np.array([[[-6.0, 0, 0, 0, 0, 0]], [[1.0, 1, 1, 1, 1, 1]]])
    parts = merit.over_seats(merit.bass_parts(levels_db, bands=OCTAVE))
    assert parts.bass_unevenness_db == pytest.approx([np.sqrt(5) / 2])
    assert parts.dips_db == pytest.approx([2 / np.sqrt(6) / 2])  # one band 5 dB down: 2 dB beyond 3, in one of six
    assert parts.deepest_hole_db == pytest.approx([-5.0])
    assert parts.deepest_hole_hz == pytest.approx([OCTAVE.midbands_hz[0]])


# seats, balance, range --------------------------------------------------------------------------------------


def test_seat_spread():
    """Two seats 4 dB apart in one of two bands: variances 4 and 0, mean 2; three seats -3, 0, 3: variance 6."""
    two = np.array([[[0.0, 5.0]], [[4.0, 5.0]]])
    three = np.array([[[-3.0, 1.0]], [[0.0, 1.0]], [[3.0, 1.0]]])
    np.testing.assert_allclose(merit.seat_spread_db(two), [np.sqrt(2)])
    np.testing.assert_allclose(merit.seat_spread_db(three), [np.sqrt(3)])
    assert merit.seat_spread_db(np.ones((4, 1, 20)))[0] == 0


def test_bass_balance_is_the_mean_from_40_to_160_hz():
    bands = from_20_hz()
    inside = (bands.midbands_hz >= 40) & (bands.midbands_hz <= 160)
    levels_db = np.where(inside, 5.0, 99.0)[None]
    assert merit.bass_balance_db(levels_db, bands=bands, middle_level_db=np.array([1.5])) == pytest.approx([3.5])


def test_bass_balance_of_a_speaker_that_starts_above_takes_all_bands():
    bands = merit.bass_bands(low_hz=150.0, points=4)  # midbands 161 and 186 Hz
    levels_db = np.array([[2.0, 4.0]])
    assert merit.bass_balance_db(levels_db, bands=bands, middle_level_db=np.array([1.0])) == pytest.approx([2.0])


def test_outside_a_range():
    found = merit.outside_db(np.array([-2.5, 0.0, 3.0, 6.0, 7.25]), low=0.0, high=6.0)
    np.testing.assert_allclose(found, [2.5, 0, 0, 0, 1.25])


# reflections ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("window_s", [0.003, 0.015, 1.0])
def test_strongest_early_reflection_equals_the_reflections_of_the_room(window_s):
    rng = np.random.default_rng(5)
    dimensions_m = np.array([6.1, 4.3, 2.7])
    alpha = np.array([0.05, 0.3, 0.12, 0.6, 0.45, 0.02])
    sources_m, seats_m = (rng.uniform(0.2, dimensions_m - 0.2, size=(40, 3)) for _ in range(2))
    found = merit.strongest_early_reflection_db(
        sources_m,
        seats_m,
        dimensions_m=tuple(dimensions_m),
        absorption_coefficients=alpha,
        window_s=window_s,
        speed_of_sound_m_s=343.2,
    )
    for source_m, seat_m, level_db in zip(sources_m, seats_m, found, strict=True):
        six = first_order_reflections(
            source_m,
            seat_m,
            length_m=6.1,
            width_m=4.3,
            height_m=2.7,
            absorption_coefficients=alpha,
            speed_of_sound_m_s=343.2,
        )
        early = six.level_db[six.delay_s <= window_s]
        assert level_db == pytest.approx(early.max() if len(early) else -100.0, abs=1e-9)
