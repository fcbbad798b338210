"""Bands: exact frequencies of the standard, edges that meet, sums and shares that add up."""

import math

import numpy as np
import pytest

from service.physics import bands
from service.physics.checks import OutOfRangeError
from tests.published import Published
from tests.published_tables import published_rows

OCTAVES = dict(
    zip(
        bands.OCTAVE_NOMINAL_HZ,
        ("63.096", "125.893", "251.189", "501.187", "1000.000", "1995.262", "3981.072", "7943.282"),
        strict=True,
    )
)
THIRDS = {
    20: "19.953",
    25: "25.119",
    31.5: "31.623",
    50: "50.119",
    80: "79.433",
    160: "158.489",
    315: "316.228",
    630: "630.957",
    1250: "1258.925",
    3150: "3162.278",
    20000: "19952.623",
}


def _record(nominal_hz, printed):
    return Published(
        printed=printed,
        unit="Hz",
        source="IEC-61260-1",
        where=f"equations 1 and 2 (recomputed by hand), {nominal_hz} Hz",
        inputs={"nominal_hz": nominal_hz},
    )


@pytest.mark.parametrize("row", [_record(*item) for item in OCTAVES.items()], ids=lambda row: row.where)
def test_octave_midbands(row):
    row.check(bands.octave_midbands_hz()[bands.OCTAVE_NOMINAL_HZ.index(row.inputs["nominal_hz"])])


@pytest.mark.parametrize("row", [_record(*item) for item in THIRDS.items()], ids=lambda row: row.where)
def test_third_octave_midbands(row):
    row.check(bands.third_octave_midbands_hz()[bands.THIRD_OCTAVE_NOMINAL_HZ.index(row.inputs["nominal_hz"])])


def test_names_are_the_exact_frequencies_rounded():
    # the preferred numbers stray less than 1.6 % from the exact series (1250 for 1258.9 and so on)
    assert bands.third_octave_midbands_hz() == pytest.approx(np.array(bands.THIRD_OCTAVE_NOMINAL_HZ), rel=0.016)
    assert bands.octave_midbands_hz() == pytest.approx(np.array(bands.OCTAVE_NOMINAL_HZ), rel=0.016)
    assert len(bands.third_octave_midbands_hz()) == 31


def test_every_third_third_is_an_octave():
    assert bands.third_octave_midbands_hz()[5:29:3] == pytest.approx(bands.octave_midbands_hz(), rel=1e-14)


EDGES = [
    Published(
        printed=printed,
        unit="Hz",
        source="IEC-61260-1",
        where=f"{midband_hz:.0f} Hz {side}",
        inputs=dict(inputs, side=side),
    )
    for midband_hz, per_octave, lower, upper in [
        (1000.0, 1, "707.946", "1412.538"),
        (100.0, 3, "89.125", "112.202"),
    ]
    for side, printed in [("lower_hz", lower), ("upper_hz", upper)]
    for inputs in [{"midband_hz": midband_hz, "bands_per_octave": per_octave}]
]


@pytest.mark.parametrize("row", EDGES, ids=lambda row: row.where)
def test_edges_recomputed_by_hand(row):
    # 1000 * 10^(-0.15), 1000 * 10^0.15; 100 * 10^(-0.05), 100 * 10^0.05
    inputs = dict(row.inputs)
    side = inputs.pop("side")
    row.check(getattr(bands.band_edges_hz(**inputs), side))


@pytest.mark.parametrize(
    ("midbands_hz", "bands_per_octave"),
    [(bands.octave_midbands_hz(), 1), (bands.third_octave_midbands_hz(), 3)],
)
def test_neighbours_share_an_edge(midbands_hz, bands_per_octave):
    edges = bands.band_edges_hz(midbands_hz, bands_per_octave=bands_per_octave)
    assert edges.upper_hz[:-1] == pytest.approx(edges.lower_hz[1:], rel=1e-13)
    assert edges.lower_hz * edges.upper_hz == pytest.approx(midbands_hz**2, rel=1e-13)


def test_octave_has_the_edges_of_its_thirds():
    octave = bands.band_edges_hz(bands.octave_midbands_hz(), bands_per_octave=1)
    thirds = bands.band_edges_hz(bands.third_octave_midbands_hz(), bands_per_octave=3)
    assert octave.lower_hz == pytest.approx(thirds.lower_hz[4:28:3], rel=1e-13)
    assert octave.upper_hz == pytest.approx(thirds.upper_hz[6:28:3], rel=1e-13)


def test_octave_sums_of_thirds_by_hand():
    # values 0, 1, 2 ... 30: the 63 Hz octave is 4 + 5 + 6, the 8 kHz octave 25 + 26 + 27
    assert bands.octave_sums_of_thirds(np.arange(31.0)).tolist() == [15, 24, 33, 42, 51, 60, 69, 78]


def test_octave_sums_keep_the_leading_axes_and_ignore_the_outer_thirds():
    values = np.ones((2, 5, 31))
    values[..., :4] = values[..., 28:] = 1e6
    sums = bands.octave_sums_of_thirds(values)
    assert sums.shape == (2, 5, 8)
    assert np.all(sums == 3.0)


def test_power_shares_of_a_flat_spectrum_are_equal():
    assert bands.octave_power_shares(np.full(31, -37.5)) == pytest.approx(np.full(8, 1.0 / 8.0), rel=1e-14)


def test_power_shares_by_hand():
    # 250 Hz octave 10 dB up (30 against 3 each of seven others): 30 / 51, 3 / 51
    levels_db = np.zeros(31)
    levels_db[10:13] = 10.0
    expected = np.full(8, 3.0 / 51.0)
    expected[2] = 30.0 / 51.0
    assert bands.octave_power_shares(levels_db) == pytest.approx(expected, rel=1e-12)


def test_power_shares_of_programme_noise():
    levels_db = np.array([float(row["level_db"]) for row in published_rows("iec_60268_1_table_ii")])
    shares = bands.octave_power_shares(levels_db)
    assert shares.sum() == pytest.approx(1.0, rel=1e-14)
    # IEC 60268-1 Table II by hand: 1 kHz thirds 0, -0.1, -0.3 dB: 1 + .97724 + .93325 = 2.91049;
    # 8 kHz thirds -7.0, -9.4, -11.9 dB: .19953 + .11482 + .06457 = .37891
    assert shares[4] / shares[7] == pytest.approx(2.91049 / 0.37891, rel=1e-4)


def test_power_shares_do_not_depend_on_the_reference():
    levels_db = np.linspace(-20.0, 5.0, 31)
    shifted = bands.octave_power_shares(levels_db + 1e4)
    assert shifted == pytest.approx(bands.octave_power_shares(levels_db), rel=1e-9)


def test_power_ratios_are_relative_to_the_strongest_third():
    levels_db = np.full(31, 70.0)
    levels_db[7] = 80.0
    ratios = bands.third_octave_power_ratios(levels_db)
    assert ratios[7] == 1.0
    assert np.delete(ratios, 7) == pytest.approx(0.1, rel=1e-12)


def test_grid_reaches_an_end_that_lies_on_the_step():
    grid_hz = bands.frequencies_per_octave_hz(from_hz=25.0, to_hz=400.0, points_per_octave=6)
    assert len(grid_hz) == 4 * 6 + 1
    assert grid_hz[0] == 25.0
    assert grid_hz[-1] == 400.0
    assert grid_hz[1:] / grid_hz[:-1] == pytest.approx(2.0 ** (1 / 6), rel=1e-12)


def test_grid_stops_below_an_end_that_does_not():
    # 15 to 300 Hz is lg2 20 = 4.32 octaves: 103.7 steps of 1/24 octave
    grid_hz = bands.frequencies_per_octave_hz(from_hz=15.0, to_hz=300.0, points_per_octave=24)
    assert len(grid_hz) == 104
    assert grid_hz[-1] < 300.0 < grid_hz[-1] * 2.0 ** (1 / 24)


def test_finer_grid_holds_every_point_of_the_coarser():
    coarse = bands.frequencies_per_octave_hz(from_hz=17.0, to_hz=230.0, points_per_octave=5)
    fine = bands.frequencies_per_octave_hz(from_hz=17.0, to_hz=230.0, points_per_octave=10)
    assert fine[::2][: len(coarse)] == pytest.approx(coarse, rel=1e-12)


def test_grid_of_one_point():
    assert bands.frequencies_per_octave_hz(from_hz=40.0, to_hz=40.0, points_per_octave=24).tolist() == [40.0]


def test_grid_never_passes_its_end():
    for points_per_octave in range(1, 60):
        for to_hz in (40.0, 80.0, 199.9, 300.0):
            grid_hz = bands.frequencies_per_octave_hz(from_hz=20.0, to_hz=to_hz, points_per_octave=points_per_octave)
            assert grid_hz[-1] <= to_hz


def test_grid_does_not_pass_an_end_that_rounding_put_just_below_the_step():
    to_hz = math.nextafter(20.0 * 2.0 ** (7 / 12), 0.0)
    grid_hz = bands.frequencies_per_octave_hz(from_hz=20.0, to_hz=to_hz, points_per_octave=12)
    assert len(grid_hz) == 8
    assert grid_hz[-1] == to_hz


@pytest.mark.parametrize("name", ["from_hz", "to_hz", "points_per_octave"])
@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_grid_refuses(name, value):
    with pytest.raises(OutOfRangeError, match=name):
        bands.frequencies_per_octave_hz(**{"from_hz": 20.0, "to_hz": 200.0, "points_per_octave": 24, name: value})


def test_grid_refuses_an_end_below_its_start():
    with pytest.raises(OutOfRangeError, match="to_hz"):
        bands.frequencies_per_octave_hz(from_hz=200.0, to_hz=20.0, points_per_octave=24)


@pytest.mark.parametrize(("name", "value"), [("midband_hz", 0.0), ("midband_hz", math.nan), ("bands_per_octave", 0)])
def test_edges_refuse(name, value):
    with pytest.raises(OutOfRangeError, match=name):
        bands.band_edges_hz(**{"midband_hz": 1000.0, "bands_per_octave": 3, name: value})


@pytest.mark.parametrize("values", [np.ones(30), np.ones((31, 2)), 1.0, [-1.0] * 31, [math.nan] * 31])
def test_sums_refuse(values):
    with pytest.raises(OutOfRangeError, match="values"):
        bands.octave_sums_of_thirds(values)


@pytest.mark.parametrize("levels_db", [np.zeros(8), 0.0, [math.inf] * 31, [math.nan] * 31])
@pytest.mark.parametrize("function", [bands.octave_power_shares, bands.third_octave_power_ratios])
def test_shares_refuse(function, levels_db):
    with pytest.raises(OutOfRangeError, match="third_octave_levels_db"):
        function(levels_db)
