"""Speed of the search for placements. It prints rates and ratios of one run; nothing here fails for being slow.

Run with `python -m pytest tests/benchmarks/test_placement_speed.py -o addopts= -s`; the ordinary test run only checks
that each still works, on few candidates.
"""

import time
import tracemalloc
from statistics import median

import numpy as np
import pytest

from service.physics.placement import bulk, merit
from service.physics.placement.bulk import bulk_best
from service.physics.placement.bulk_field import BulkField
from service.physics.placement.candidates import Grid, pairs_across_m
from service.physics.placement.search import Setting, head_middles_m
from service.physics.placement.single import PlacementJudge
from service.physics.room.wave_field import Box, box_wavenumbers, pressure_ratio
from tests.physics.placement.oracles import fitting, judge_placement

C_M_S = 343.2
DIMENSIONS_M = (5.4, 4.1, 2.5)
BANDS, POINTS = 22, 5  # 110 frequencies, 20 to 200 Hz
REPEATS = 7


def setting(*, dipole=False):
    edges = np.log2(10.0) * np.arange(BANDS * POINTS + 1) / (BANDS * POINTS)
    middles = (edges[1:] + edges[:-1]) / 2
    bands = merit.Bands(
        low_hz=20.0,
        midbands_hz=20.0 * 2 ** middles.reshape(BANDS, POINTS).mean(axis=1),
        frequency_hz=20.0 * 2**middles,
        points=POINTS,
    )
    k = box_wavenumbers(bands.frequency_hz, speed_of_sound_m_s=C_M_S)
    walls = np.array([0.02, 0.04, 0.03, 0.12, 0.08, 0.025])
    return Setting(
        box=Box(
            dimensions_m=DIMENSIONS_M,
            admittance_ratio=np.repeat(walls[:, None], len(k), axis=1),
            wavenumber_per_m=k,
        ),
        bands=bands,
        seat_offsets_m=np.zeros((1, 3)),
        dipole=dipole,
        reverberant_ratio=0.6,
        treble_absorption=np.full(6, 0.2),
        reflection_window_s=0.015,
        speed_of_sound_m_s=C_M_S,
    )


def grid(spacings, fronts, seats, *, angles_deg=None):
    """Pairs 0.4 to 1.4 m out, 1.4 to 3.2 m apart, seats 2.6 to 4.6 m from the front wall; base angles if limited."""
    speakers_m = pairs_across_m(
        front_m=np.linspace(0.4, 1.4, fronts),
        spacing_m=np.linspace(1.4, 3.2, spacings),
        axis_y_m=2.05,
        speaker_z_m=0.9,
    )
    seats_m = np.stack([np.linspace(2.6, 4.6, seats), np.full(seats, 2.05), np.full(seats, 1.1)], axis=1)
    allowed = np.ones((spacings, fronts, seats), dtype=bool)
    if angles_deg is not None:
        allowed = fitting(
            speakers_m=speakers_m,
            seats_m=seats_m,
            least_depth_m=1.2,
            angle_range_deg=angles_deg,
            distance_range_m=(0.0, 9.0),
        )
    return Grid(speakers_m=speakers_m, seats_m=seats_m, facing_rad=None, allowed=allowed)


def score(parts):
    """All bass parts of the merit of one seat."""
    outside_db = merit.outside_db(parts.bass_balance_db, low=np.float32(0.0), high=np.float32(6.0))
    return parts.bass_unevenness_db + np.float32(0.5) * parts.dips_db + np.float32(0.25) * outside_db


def seconds(function, *, repeats=REPEATS):
    spent = []
    for _ in range(repeats):
        start = time.perf_counter()
        function()
        spent.append(time.perf_counter() - start)
    return median(spent)


def search_seconds(here, where, *, workers=bulk.WORKERS, repeats=REPEATS):
    return seconds(lambda: bulk_best(here, where, score=score, most=200, workers=workers), repeats=repeats)


def sizes(benchmark):
    """Spacings, fronts and seats of the large search, and how often it is repeated."""
    return ((100, 100, 100), REPEATS) if benchmark.enabled else ((10, 10, 10), 1)


@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
def test_rate_of_the_search(benchmark, dipole):
    size, repeats = sizes(benchmark)
    here, where = setting(dipole=dipole), grid(*size)
    rates = [where.count / search_seconds(here, where, workers=w, repeats=repeats) / 1e6 for w in (1, 2)]
    limited = grid(*size, angles_deg=(50.0, 70.0))
    rate = limited.count / search_seconds(here, limited, repeats=repeats) / 1e6
    benchmark(lambda: None)
    print(
        f"\n{'dipole' if dipole else 'monopole'} pairs: {rates[0]:.2f} million candidates/s on one thread, "
        f"{rates[1]:.2f} on two; angles of 50 to 70 degrees only ({limited.count}): {rate:.2f}"
    )


def test_time_is_linear_and_memory_bounded(benchmark):
    sides = ((10, 25, 40), (25, 40, 100), (100, 100, 100)) if benchmark.enabled else ((10, 10, 10),)
    here, repeats, shown = setting(), sizes(benchmark)[1], []
    for side in sides:
        where = grid(*side)
        spent_s = search_seconds(here, where, repeats=repeats)
        tracemalloc.start()
        bulk_best(here, where, score=score, most=200, workers=bulk.WORKERS)
        peak_mb = tracemalloc.get_traced_memory()[1] / 1e6
        tracemalloc.stop()
        shown.append(
            f"{where.count}: {1000 * spent_s:.0f} ms, {1e6 * spent_s / where.count:.2f} us each, {peak_mb:.0f} MB"
        )
    benchmark(lambda: None)
    print("\ncandidates: " + "; ".join(shown))


def bare_seconds(here, where, *, repeats):
    """The products of the search and one logarithm per band level alone, on arrays of the same sizes."""
    ears_m = head_middles_m(here, where)
    field = BulkField(here, where, ears_m=ears_m, least_separation_m=1.2)
    (tables,) = field.tables(run=map)
    (block,), (square,) = field.blocks, field.squares
    source = tables.sources[block.parts[0].table]
    fronts, pairs = max(1, bulk._PAIRS // len(tables.seats)), len(tables.fronts) * len(tables.seats)
    step = fronts * len(tables.seats)
    piece = min(step, max(1, bulk._PIECE // len(where.allowed)))
    modes = source.shape[1]
    rng = np.random.default_rng(0)

    def numbers(*shape):
        return rng.random(shape, dtype=np.float32)

    reached = numbers(BANDS * POINTS, modes, step).astype(np.complex64)
    mixing = block.parts[0].mixing
    mixed = numbers(BANDS, step, mixing.shape[1], 2 * POINTS)
    turned = np.ascontiguousarray(mixed.swapaxes(2, 3))
    energy = numbers(BANDS * step, square.mixing.shape[0])
    few = numbers(BANDS * piece, square.mixing.shape[1])
    levels = numbers(BANDS * piece, len(where.allowed)) + np.float32(0.1)

    def run():
        for _ in range(pairs // step):
            source[:, :, :fronts] @ tables.arrivals[0]
            mixing @ reached
            mixed @ turned
            energy @ square.mixing
        for _ in range(pairs // piece):
            np.matmul(few, square.features, out=levels)
            np.log(levels, out=levels)

    with np.errstate(all="ignore"):
        return seconds(run, repeats=repeats)


def direct_seconds(here, where, *, repeats):
    """The plain form of the sum alone: the modes of width by matrix product at each frequency, for every candidate,
    and one logarithm per band level; neither squares nor sums over a band, single precision, pieces that fit the cache.
    """
    (tables,) = BulkField(here, where, ears_m=head_middles_m(here, where), least_separation_m=1.2).tables(run=map)
    modes, spacings = tables.arrivals[0].shape[1], len(where.allowed)
    piece = max(1, 1000 // spacings)
    rng = np.random.default_rng(0)
    shapes, arriving, field = (
        (rng.random(shape) + 1j).astype(np.complex64)
        for shape in ((BANDS * POINTS, spacings, modes), (BANDS * POINTS, modes, piece), (1, spacings, piece))
    )
    field = np.repeat(field, BANDS * POINTS, axis=0)
    levels = rng.random((BANDS, spacings * piece), dtype=np.float32) + np.float32(0.1)
    logarithms = np.empty_like(levels)

    def run():
        for _ in range(where.count // (spacings * piece)):
            np.matmul(shapes, arriving, out=field)
            np.log(levels, out=logarithms)

    return seconds(run, repeats=repeats)


def test_share_of_what_cannot_be_avoided(benchmark):
    size, repeats = sizes(benchmark)
    here, where = setting(), grid(*size)
    whole_s = search_seconds(here, where, workers=1, repeats=repeats)
    bare_s = bare_seconds(here, where, repeats=repeats)
    direct_s = direct_seconds(here, where, repeats=repeats)
    benchmark(lambda: None)
    print(
        f"\none thread: the search's own products and logarithms alone take {bare_s / whole_s:.2f} of its time; those "
        f"of the plain sum at each frequency, without squares, sums and deviations, {direct_s / whole_s:.2f}"
    )


def test_rate_against_one_candidate_after_the_other(benchmark):
    """The same solver and the same parts, one candidate after the other; and what is used on the few that are left."""
    size, repeats = sizes(benchmark)
    here, where = setting(), grid(*size)
    speakers_m, seat_m = where.speakers_m[0, 0], where.seats_m[0]
    place = {"speakers_m": speakers_m, "axes": np.zeros((2, 3)), "lead_m": seat_m}

    def alone():
        field = pressure_ratio(here.box, sources_m=speakers_m, axes=place["axes"], seats_m=[seat_m]).sum(axis=1)
        energy = merit.band_means((np.abs(field) ** 2).T, bands=here.bands)
        merit.bass_parts(10 * np.log10(energy.T), bands=here.bands)

    alone_s = seconds(alone, repeats=20 * repeats)
    each_s = search_seconds(here, where, repeats=repeats) / where.count
    judge = PlacementJudge(here)
    judge.judge(**place)
    kept_ms = 1000 * seconds(lambda: judge.judge(**place), repeats=20 * repeats)
    plain_ms = 1000 * seconds(lambda: judge_placement(here, **place), repeats=3 * repeats)
    benchmark(lambda: None)
    print(
        f"\none candidate alone takes as long as {alone_s / each_s:.0f} of the search ({1000 * alone_s:.2f} ms). "
        f"Whole head, all parts: {kept_ms:.2f} ms by the judge that keeps its modes, {plain_ms:.1f} ms plainly"
    )


def image_response(order):
    """Response of a pair at one seat, 20 to 200 Hz, by images up to an order, from a general-purpose library."""
    images = pytest.importorskip("pyroomacoustics")
    rate_hz = 1000
    room = images.ShoeBox(DIMENSIONS_M, fs=rate_hz, materials=images.Material(0.2), max_order=order)
    for y_m in (1.0, 3.1):
        room.add_source((0.8, y_m, 0.9))
    room.add_microphone((3.4, 2.05, 1.1))
    room.compute_rir()
    frequency_hz = setting().bands.frequency_hz
    first, second = (
        np.exp(-2j * np.pi * np.outer(frequency_hz, np.arange(len(rir))) / rate_hz) @ rir for rir in room.rir[0]
    )
    return first + second


def test_rate_against_images(benchmark):
    """As many orders as the library needs until its own response stands still to 0.01 dB rms."""
    orders = (30, 50, 60, 70, 80, 90) if benchmark.enabled else (3, 4)
    size, repeats = sizes(benchmark)
    responses = {order: image_response(order) for order in orders}
    last = responses[orders[-1]]
    deviation_db = {
        order: float(np.sqrt(np.mean((20 * np.log10(np.abs(response / last))) ** 2)))
        for order, response in responses.items()
    }
    enough = next(order for order in orders if deviation_db[order] < 0.01)
    library_s = seconds(lambda: image_response(enough), repeats=3 if benchmark.enabled else 1)
    where = grid(*size)
    each_s = search_seconds(setting(), where, repeats=repeats) / where.count
    benchmark(lambda: None)
    print(
        f"\nimages up to order {enough} ({1000 * library_s:.0f} ms a candidate, still to 0.01 dB): the search judges "
        f"{library_s / each_s:.0f} candidates in that time. By order: "
        + ", ".join(f"{order}: {value:.3f} dB" for order, value in deviation_db.items())
    )
