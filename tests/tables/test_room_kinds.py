"""Usual rooms: every value plausible, and middle and bass where the trade puts them (common practice, no source)."""

import pytest

from service.domain.limits import LIMITS
from service.tables import loader
from service.tables.loader import _rows

USUAL = {
    # middle octaves from .. to, 63 and 125 Hz from .. to: common practice of the trade, no source
    "concrete": ((0.4, 0.65), (0.7, 0.9)),
    "concrete_basement": ((0.4, 0.6), (0.9, 1.2)),
    "old_house": ((0.45, 0.75), (0.5, 0.6)),
    "plasterboard": ((0.28, 0.45), (0.35, 0.5)),
    "timber": ((0.3, 0.45), (0.3, 0.4)),
    "attic": ((0.3, 0.45), (0.3, 0.4)),
    "hotel_suite": ((0.28, 0.45), (0.35, 0.5)),
    "shop": ((0.3, 0.45), (0.45, 0.55)),
    "brick_and_plaster": ((0.35, 0.6), (0.6, 0.8)),
}
HEAVY = ("brick_and_plaster", "concrete", "concrete_basement")


def test_every_construction_is_checked():
    assert set(loader.room_constructions()) == set(USUAL)
    assert set(loader.room_furnishings()) == {"sparse", "furnished", "well_furnished"}


@pytest.mark.parametrize("identifier", USUAL)
def test_times_lie_where_such_rooms_do(identifier):
    (middle_from_s, middle_to_s), (bass_from_s, bass_to_s) = USUAL[identifier]
    row = loader.room_constructions()[identifier]
    assert (row.middle_from_s, row.middle_to_s) == (middle_from_s, middle_to_s)
    assert middle_from_s <= sum(row.by_octave_s[3:5]) / 2 <= middle_to_s
    assert all(bass_from_s <= time_s <= bass_to_s for time_s in row.by_octave_s[:2])


@pytest.mark.parametrize("identifier", USUAL)
def test_every_value_is_one_that_a_request_may_carry(identifier):
    row = loader.room_constructions()[identifier]
    assert len(row.by_octave_s) == 8
    for furnishing in loader.room_furnishings().values():
        assert all(LIMITS["reverberation_time_s"].allows(t * furnishing.time_ratio) for t in row.by_octave_s)
    assert row.height_from_m < row.height_m < row.height_to_m
    assert all(LIMITS["height_m"].allows(h) for h in (row.height_from_m, row.height_to_m))


@pytest.mark.parametrize("identifier", HEAVY)
def test_heavy_rooms_ring_longest_in_the_bass(identifier):
    from_125_hz = loader.room_constructions()[identifier].by_octave_s[1:]
    assert list(from_125_hz) == sorted(from_125_hz, reverse=True)


def test_the_default_room_is_the_survey_of_british_living_rooms():
    # 0.69 s at 125 Hz falling to 0.40 s at 8 kHz, mean volume 44 m3: Jackson and Leventhall as quoted in a handbook
    row = loader.room_constructions()["brick_and_plaster"]
    assert (row.by_octave_s[1], row.by_octave_s[7]) == (0.69, 0.40)
    assert row.source == "JACKSON-LEVENTHALL-1972"
    assert loader.room_furnishings()["furnished"].time_ratio == 1.0


def test_bare_rooms_ring_half_as_long_again_and_soft_ones_a_fifth_shorter():
    # common practice, no source; brick and plaster with a hard floor: 0.6 to 1.0 s in the middle octaves
    ratios = {row.id: row.time_ratio for row in loader.room_furnishings().values()}
    assert ratios == {"sparse": 1.5, "furnished": 1.0, "well_furnished": 0.8}
    assert 0.6 <= 1.5 * loader.room_constructions()["brick_and_plaster"].middle_s <= 1.0


@pytest.mark.parametrize("name", ["room_kinds", "furnishings"])
def test_rows_have_known_sources_reasons_and_a_status(name):
    rows = _rows(f"{name}.csv")
    assert len({row["id"] for row in rows}) == len(rows)
    for row in rows:
        assert row["source"] in loader.references(), row
        assert row["why"], row
        assert row["status"] == "common practice", row
