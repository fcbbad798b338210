"""The first pass of a large search: its parts are those of the merit, and the best is the best."""

import dataclasses
import tracemalloc

import numpy as np
import pytest

from service.physics.placement import bulk, merit
from service.physics.placement.bulk import bulk_best
from tests.physics.placement.oracles import judge_placement
from tests.physics.placement.rooms import ONE_SEAT, UNEQUAL, axes_of, grid, setting, single_levels_db

SMALL = {"low_hz": 40.0, "points": 4}
SOFA = np.array([[0.0, 0.0, 0.0], [0.0, -0.6, 0.0], [0.1, 0.6, -0.05]])


def weighted(*, unevenness=1.0, dips=0.5, balance=0.25, spread=0.0, within_db=(0.0, 6.0)):
    """A score of the bass parts alone."""

    def score(parts):
        outside_db = merit.outside_db(parts.bass_balance_db, low=within_db[0], high=within_db[1])
        bass_db = unevenness * parts.bass_unevenness_db + dips * parts.dips_db
        return bass_db + balance * outside_db + spread * parts.seat_spread_db

    return score


def pairs(*, j=8, i=7, k=9, axis_y_m=2.0, share=0.7):
    across_m = axis_y_m + np.multiply.outer(np.linspace(1.3, 3.0, j), (-0.5, 0.5))
    seats_m = [(x_m, axis_y_m, 1.1) for x_m in np.linspace(2.7, 4.8, k)]
    return grid(across_m=across_m, front_m=np.linspace(0.4, 1.4, i), seats_m=seats_m, share=share)


def tables_of(setting, grid):
    """Every part of every candidate by name, (j, i, k), NaN where it is none."""
    names = ("bass_unevenness_db", "dips_db", "bass_balance_db", "seat_spread_db")
    found = {name: np.full(grid.allowed.shape, np.nan) for name in names}

    weigh = bulk.BassWeigher(setting, grid)

    def keep(energies, places, allowed):
        parts = weigh(energies, places)
        for name in names:
            found[name][np.broadcast_arrays(*parts.places)[0], parts.places[1], parts.places[2]] = vars(parts)[name]

    bulk.each_piece(setting, grid, judge=keep, workers=1)
    return {name: np.where(grid.allowed, table, np.nan) for name, table in found.items()}


def places_in(grid, best):
    """Which spacing, front and seat of the grid the best are, (m, 3), found again by where they stand."""
    speakers_m, seats_m = best.candidates.speakers_m, best.candidates.seats_m
    spacing = (grid.speakers_m[:, 0, :, 1] == speakers_m[:, None, :, 1]).all(axis=2).argmax(axis=1)
    front = (grid.speakers_m[0, :, :, 0] == speakers_m[:, None, :, 0]).all(axis=2).argmax(axis=1)
    seat = (grid.seats_m == seats_m[:, None]).all(axis=2).argmax(axis=1)
    np.testing.assert_array_equal(grid.speakers_m[spacing, front], speakers_m)
    np.testing.assert_array_equal(grid.seats_m[seat], seats_m)
    return np.stack([spacing, front, seat], axis=1)


@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
@pytest.mark.parametrize("seat_offsets_m", [ONE_SEAT, SOFA], ids=["one seat", "sofa"])
def test_parts_are_those_of_the_merit(dipole, seat_offsets_m):
    """From the levels of the single solver, by `merit`, and the sum of 1 / r^2 + 0.6 by hand."""
    room, here = setting(dipole=dipole, seat_offsets_m=seat_offsets_m, **SMALL), pairs()
    tables = tables_of(room, here)
    for j, i, k in np.random.default_rng(1).permutation(np.argwhere(here.allowed))[:40]:
        levels_db = np.array([single_levels_db(room, here, (j, i, k), offset_m=offset) for offset in seat_offsets_m])
        expected = merit.over_seats(merit.bass_parts(levels_db, bands=room.bands))
        squared_m2 = ((here.speakers_m[j, i] - here.seats_m[k]) ** 2).sum(axis=1)
        middle_db = 10 * np.log10((1 / squared_m2 + 0.6).sum())
        balance_db = levels_db[0, (room.bands.midbands_hz >= 40) & (room.bands.midbands_hz <= 160)].mean() - middle_db
        spread_db = np.sqrt(levels_db.var(axis=0).mean())
        assert tables["bass_unevenness_db"][j, i, k] == pytest.approx(expected.bass_unevenness_db, abs=0.01)
        assert tables["dips_db"][j, i, k] == pytest.approx(expected.dips_db, abs=0.01)
        assert tables["bass_balance_db"][j, i, k] == pytest.approx(balance_db, abs=0.01)
        assert tables["seat_spread_db"][j, i, k] == pytest.approx(spread_db, abs=0.01)


@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
def test_the_exhaustive_optimum_is_the_optimum(dipole):
    """Brute force: every candidate by the single solver."""
    room, here = setting(dipole=dipole, **SMALL), pairs(j=4, i=4, k=5)
    candidates = np.argwhere(here.allowed)
    levels_db = np.array([single_levels_db(room, here, index) for index in candidates])
    parts = merit.bass_parts(levels_db, bands=room.bands)
    brute_db = parts.bass_unevenness_db + 0.5 * parts.dips_db
    best = bulk_best(room, here, score=weighted(balance=0.0), most=5, workers=1)
    order = np.argsort(brute_db)[:5]
    found = places_in(here, best)
    np.testing.assert_array_equal(found, candidates[order])
    np.testing.assert_allclose(best.score_db, brute_db[order], atol=0.01)


def test_the_best_are_the_head_of_the_whole_list(monkeypatch):
    """The best 10 of all, kept piece by piece, in whatever order the pieces come."""
    room, here, score = setting(**SMALL), pairs(), weighted()
    whole = bulk_best(room, here, score=score, most=here.count, workers=1)
    assert len(whole.score_db) == here.count
    assert (np.diff(whole.score_db) >= 0).all()
    assert here.allowed[tuple(places_in(here, whole).T)].all()
    monkeypatch.setattr(bulk, "_PAIRS", 4)
    monkeypatch.setattr(bulk, "_PIECE", 30)
    for workers in (1, 2):
        best = bulk_best(room, here, score=score, most=10, workers=workers)
        np.testing.assert_allclose(best.score_db, whole.score_db[:10], atol=0.003)
        np.testing.assert_array_equal(best.candidates.seats_m, whole.candidates.seats_m[:10])


def test_equal_scores_stand_in_the_order_of_the_grid(monkeypatch):
    monkeypatch.setattr(bulk, "_PAIRS", 4)
    monkeypatch.setattr(bulk, "_PIECE", 30)
    here = pairs()
    best = bulk_best(setting(**SMALL), here, score=lambda parts: 0 * parts.dips_db, most=12, workers=2)
    found = places_in(here, best)
    np.testing.assert_array_equal(found, np.argwhere(here.allowed)[:12])


def test_a_score_may_look_up_what_depends_on_the_place():
    """A table of the caller's own decides: the one candidate it likes wins."""
    here = pairs()
    wanted = np.argwhere(here.allowed)[100]
    table = np.full(here.allowed.shape, 50.0)
    table[tuple(wanted)] = 0.0
    best = bulk_best(setting(**SMALL), here, score=lambda p: p.bass_unevenness_db + table[p.places], most=1, workers=1)
    assert places_in(here, best).tolist() == [wanted.tolist()]


@pytest.mark.parametrize("part", ["dips", "balance", "spread"])
def test_more_weight_on_a_part_makes_that_part_of_the_winner_smaller(part):
    """argmin(a + w b): with w rising, b of the winner cannot rise; and somewhere it does fall."""
    room, here = setting(seat_offsets_m=SOFA, **SMALL), pairs(j=10, i=10, k=10)
    tables = tables_of(room, here)
    within_db = (9.0, 9.5)  # more bass than any of them has, so that it costs them all
    tables["balance_db"] = merit.outside_db(tables["bass_balance_db"], low=9.0, high=9.5)
    name = {"dips": "dips_db", "balance": "balance_db", "spread": "seat_spread_db"}[part]
    values = []
    for weight in (0.0, 0.3, 1.0, 3.0, 30.0):
        weights = {"dips": 0.0, "balance": 0.0, part: weight}
        best = bulk_best(room, here, score=weighted(within_db=within_db, **weights), most=1, workers=1)
        values.append(float(tables[name][tuple(places_in(here, best)[0])]))
    assert (np.diff(values) <= 1e-3).all()
    assert values[-1] < values[0] - 0.05
    assert values[-1] == pytest.approx(np.nanmin(tables[name]), abs=0.1)


def test_a_mirror_image_room_has_the_mirror_image_winner():
    room = setting(**SMALL)
    walls = (0, 1, 3, 2, 4, 5)
    mirrored = setting(beta=[UNEQUAL[wall] for wall in walls], **SMALL)
    here, there = pairs(axis_y_m=1.7, share=1.0), pairs(axis_y_m=4.1 - 1.7, share=1.0)
    found = [bulk_best(*each, score=weighted(), most=20, workers=2) for each in ((room, here), (mirrored, there))]
    np.testing.assert_allclose(found[0].score_db, found[1].score_db, atol=0.003)
    assert places_in(here, found[0])[0].tolist() == places_in(there, found[1])[0].tolist()


def test_bass_sections_have_no_share_in_the_middle():
    """The balance is against the two tops: 10 lg(sum of 1 / r^2 + 0.6) over them alone, as in `judge_placement`."""
    room = setting(middle_energy_ratio=np.array([1.0, 1.0, 0.0, 0.0]), **SMALL)
    here = grid(
        across_m=[(1.0, 3.0, 0.5, 3.6)],
        front_m=[(0.9, 0.9, 0.4, 0.4)],
        seats_m=[(3.2, 2.0, 1.1)],
        height_m=(0.95, 0.95, 0.25, 0.25),
    )
    lead_m, speakers_m = here.seats_m[0], here.speakers_m[0, 0]
    levels_db = single_levels_db(room, here, (0, 0, 0))
    # r^2 of the tops: 2.3^2 + 1.0^2 + 0.15^2 = 6.3125
    middle_db = 10 * np.log10(2 * (1 / 6.3125 + 0.6))
    expected_db = levels_db[(room.bands.midbands_hz >= 40) & (room.bands.midbands_hz <= 160)].mean() - middle_db
    assert tables_of(room, here)["bass_balance_db"][0, 0, 0] == pytest.approx(expected_db, abs=0.01)
    axes = axes_of(room, here, speakers_m=speakers_m, seat_m=lead_m)
    judged = judge_placement(room, speakers_m=speakers_m, axes=axes, lead_m=lead_m)
    alone = judge_placement(
        dataclasses.replace(room, middle_energy_ratio=None), speakers_m=speakers_m[:2], axes=axes[:2], lead_m=lead_m
    )
    assert judged.strongest_reflection_db == alone.strongest_reflection_db


def test_a_place_that_hears_nothing_has_a_score():
    """A dipole turned across, itself and the seat in the middle of a symmetric room: the field is nothing at all."""
    room = setting(beta=(0.02, 0.04, 0.05, 0.05, 0.08, 0.03), dipole=True, **SMALL)
    here = grid(across_m=[(2.05,)], front_m=[0.6, 0.9], seats_m=[(3.0, 2.05, 1.1)], facing_rad=np.array([np.pi / 2]))
    silent = dataclasses.replace(room, source_weights=np.zeros((1, len(room.bands.frequency_hz))))
    for each in (room, silent):
        assert np.isfinite(bulk_best(each, here, score=weighted(), most=2, workers=1).score_db).all()


def test_a_million_candidates_need_little_memory():
    """As one array of complex pressures, double precision, they would need 1.3 GB."""
    room, here = setting(low_hz=40.0, points=6), pairs(j=100, i=100, k=100, share=1.0)
    assert here.count == 1_000_000
    tracemalloc.start()
    try:
        bulk_best(room, here, score=weighted(), most=200, workers=2)
        _, peak_bytes = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak_bytes < 200e6
