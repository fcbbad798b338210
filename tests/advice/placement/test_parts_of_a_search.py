"""Parts of a search by hand: frames, grids, moves, effort, the merit, what is given up, what is said."""

import dataclasses
import itertools

import numpy as np
import pytest

from service.advice.answers.placement import MeritParts
from service.advice.language.localise import text_of
from service.advice.placement import policy
from service.advice.placement.frames import default_front_walls, facing_rad, front_wall_of
from service.advice.placement.give_up import without_one
from service.advice.placement.grids import grids
from service.advice.placement.merit import axes_of, free_wall_m, geometry_db, merit_db, weighted_parts_db
from service.advice.placement.moves import JudgedPlacement, Moves, different
from service.advice.placement.refusals import require_search
from service.advice.placement.search import affordable_effort
from service.domain.errors import DomainError
from service.domain.position import Place, Positions
from service.domain.search import FRONT_WALLS, KeepClear, Search
from tests.advice.placement.scenes import ROOM_M, constraints, frame, placed_speaker, present, wanted

NO_PARTS = MeritParts(**dict.fromkeys(MeritParts.__dataclass_fields__, 0.0))


def judged(speakers_m=((1.0, 1.0, 0.9), (1.0, 3.0, 0.9)), lead_m=(3.0, 2.0, 1.1), *, merit=1.0, **kept):
    return JudgedPlacement(
        constraints=constraints(**kept),
        speakers_m=np.array(speakers_m),
        facing_rad=np.zeros(len(speakers_m)),
        lead_m=np.array(lead_m),
        parts=NO_PARTS,
        merit_db=merit,
    )


# frames --------------------------------------------------------------------------------------------------------------

# a place 1 m from the front and 0.5 m from the left wall of 6 x 4 m, as somebody sees it who faces each wall
SEEN = {
    "front_wall": (1.0, 0.5),
    "back_wall": (5.0, 3.5),
    "left_wall": (0.5, 5.0),
    "right_wall": (3.5, 1.0),
}
# what looks along the room, from the front wall to the back wall: ahead, back, to the left, to the right
LOOKS_DEG = {"front_wall": 0.0, "back_wall": 180.0, "left_wall": -90.0, "right_wall": 90.0}


@pytest.mark.parametrize("wall", FRONT_WALLS)
def test_places_and_directions_there_and_back(wall):
    seen = frame(wall)
    here = seen.place_here(Place(x_m=1.0, y_m=0.5, z_m=0.9, facing_deg=0.0))
    assert here.xyz_m == (*SEEN[wall], 0.9)
    assert here.facing_deg == pytest.approx(LOOKS_DEG[wall])
    back = seen.place_in_room((*SEEN[wall], 0.9), facing_rad=np.radians(LOOKS_DEG[wall]))
    assert (back.xyz_m, back.facing_deg) == ((1.0, 0.5, 0.9), pytest.approx(0.0, abs=1e-6))
    assert seen.place_in_room((*SEEN[wall], 0.9)).facing_deg is None
    assert seen.place_here(Place(x_m=1.0, y_m=0.5, z_m=0.9)).facing_deg is None


@pytest.mark.parametrize(
    ("told_deg", "seen_deg"), [(190.0, -170.0), (-180.0, 180.0), (180.0, 180.0), (370.0, 10.0), (-350.0, 10.0)]
)
def test_directions_lie_within_half_a_turn(told_deg, seen_deg):
    place = frame().place_here(Place(x_m=1.0, y_m=0.5, z_m=0.9, facing_deg=told_deg))
    assert place.facing_deg == pytest.approx(seen_deg)


@pytest.mark.parametrize(
    ("wall", "ends_m"),
    [
        ("front_wall", (1.0, 1.5, 0.5, 0.7)),
        ("back_wall", (4.5, 5.0, 3.3, 3.5)),
        ("left_wall", (0.5, 0.7, 4.5, 5.0)),
        ("right_wall", (3.3, 3.5, 1.0, 1.5)),
    ],
)
def test_zones_as_they_are_seen(wall, ends_m):
    zone = KeepClear(name="door", x_m=1.0, y_m=0.5, length_m=0.5, width_m=0.2)
    assert frame(wall).zone_m(zone) == pytest.approx(ends_m)


def test_all_positions_are_seen():
    there = frame("back_wall").positions(present(((5.0, 1.6, 1.1), (4.0, 1.0, 1.1))))
    assert [place.x_m for place in there.speakers] == pytest.approx([5.3, 5.2])
    assert [place.x_m for place in there.seats] == pytest.approx([1.0, 2.0])
    assert np.degrees(facing_rad(there.speakers)) == pytest.approx([-160.0, 145.0])


@pytest.mark.parametrize(
    ("seat_m", "wall"),
    [
        ((5.0, 2.0), "front_wall"),
        ((1.0, 2.0), "back_wall"),
        ((3.0, 3.5), "left_wall"),
        ((3.0, 0.5), "right_wall"),
        ((4.0, 2.9), "front_wall"),
        ((4.0, 3.1), "left_wall"),
        ((4.0, 3.0), "front_wall"),  # as far ahead as aside
    ],
)
def test_the_wall_behind_speakers(seat_m, wall):
    """The middle of the pair is (3, 2)."""
    pair = (Place(x_m=2.5, y_m=1.0, z_m=1.0), Place(x_m=3.5, y_m=3.0, z_m=1.0))
    assert front_wall_of(Positions(speakers=pair, seats=(Place(x_m=seat_m[0], y_m=seat_m[1], z_m=1.0),))) == wall


def test_walls_that_may_be_the_front():
    assert default_front_walls((6.0, 4.0, 2.5)) == ("front_wall", "back_wall", "left_wall", "right_wall")
    assert default_front_walls((4.0, 6.0, 2.5)) == default_front_walls((4.0, 4.0, 2.5)) == ("front_wall", "back_wall")


# grids ---------------------------------------------------------------------------------------------------------------

STEPS = {"front_m": (1.0, 1.4), "spacing_m": (2.0, 2.8), "seat_x_m": (3.0, 3.4)}


def grids_of(*kept, candidates=1000, step_m=0.2, told_m=None):
    return grids(kept, search=Search(step_m=told_m), candidates=candidates, step_m=step_m)


def test_a_grid_by_hand():
    """Steps of 0.2 m, twice that apart and four times that for the whole pair: 3 x 3 x 3 about one axis."""
    (one,) = grids_of(constraints(**STEPS))
    grid = one.grid
    assert grid.count == 27
    assert grid.speakers_m.shape == (3, 3, 2, 3)
    assert grid.speakers_m[1, 2].tolist() == [[1.4, pytest.approx(0.8), 0.9], [1.4, pytest.approx(3.2), 0.9]]
    assert grid.seats_m == pytest.approx(np.array([(3.0, 2.0, 1.1), (3.2, 2.0, 1.1), (3.4, 2.0, 1.1)]))
    assert grid.facing_rad is None
    off_axis = grids_of(constraints(**STEPS, axis_y_m=(1.5, 2.3)))
    assert [each.grid.seats_m[0, 1] for each in off_axis] == pytest.approx([1.5, 2.3])
    assert grids_of(constraints(**STEPS, seat_y_m=1.6))[0].grid.seats_m[:, 1].tolist() == [1.6] * 3
    kept = constraints(**STEPS, fixed_facing_rad=np.array([0.1, 0.2]))
    assert grids_of(kept)[0].grid.facing_rad.tolist() == [0.1, 0.2]


def test_grids_of_one_speaker_and_of_speakers_that_stay():
    one = constraints(**{**STEPS, "spacing_m": (0.0, 0.0)}, speaker_count=1)
    assert grids_of(one)[0].grid.speakers_m.tolist() == [[[[x_m, 2.0, 0.9]] for x_m in (1.0, 1.2, 1.4)]]
    stay = constraints(**STEPS, fixed_speakers=present())
    assert grids_of(stay)[0].grid.speakers_m.tolist() == [[[[0.7, 0.9, 0.8], [0.8, 2.9, 0.8]]]]


def test_grids_without_a_place_are_left_out():
    assert grids_of(constraints(**{**STEPS, "front_m": (1.4, 1.0)})) == []
    assert grids_of(constraints(**STEPS, distance_m=(8.0, 9.0))) == []
    assert grids_of(constraints(**STEPS, side_m=1.5)) == [], "0.5 m on each side of the axis leave 1 m"
    both = grids_of(constraints(**STEPS, distance_m=(8.0, 9.0)), constraints(**STEPS))
    assert len(both) == 1


def test_a_step_is_coarser_where_the_candidates_are_too_many():
    """As told it is refused with the finest that would do, in steps of 2 %; untold it is taken."""
    kept = constraints(**STEPS)
    assert grids_of(kept, candidates=27)[0].grid.count == 27
    assert grids_of(kept, candidates=26)[0].grid.count == 8, "steps of 0.4 m or more: two places of each"
    assert grids_of(kept, candidates=27, step_m=0.1)[0].grid.count == 27
    assert len(grids_of(kept, kept, candidates=54)) == 2
    assert grids_of(kept, kept, candidates=53)[0].grid.count == 8, "those of all front walls together"
    assert grids_of(kept, candidates=27, step_m=0.4, told_m=0.2)[0].grid.count == 27
    with pytest.raises(DomainError) as refused:
        grids_of(kept, candidates=26, step_m=0.4, told_m=0.2)
    assert (refused.value.pointer, refused.value.given) == ("/search/step_m", 0.2)
    said = text_of(refused.value.detail, "en")
    assert said == "steps of 0.2 m make 27 candidates here; the effort allows 26."
    # 0.2 x 1.02^35 = 0.39998 m is just too fine for two places of each, 0.2 x 1.02^36 = 0.408 m is not
    assert text_of(refused.value.allowed, "en").startswith("at least 0.408,")


def test_a_grid_allows_what_the_constraints_allow():
    """A zone beside the left speaker: nothing in it is allowed, and little else is left out, since a cabinet is tried
    at the directions 4 degrees apart that enclose its own."""
    zones_m = np.array([(0.6, 1.3, 0.3, 0.9), (3.25, 3.4, 2.2, 2.4)])
    ends = {"front_m": (1.0, 2.0), "spacing_m": (1.0, 3.0), "seat_x_m": (2.5, 4.5)}
    kept = constraints(**ends, zones_m=zones_m, least_depth_m=1.0, angle_deg=(40.0, 70.0))
    (one,) = grids_of(kept, candidates=10**6, step_m=0.1)
    grid = one.grid
    shape = grid.allowed.shape
    j, i, k = (index.ravel() for index in np.indices(shape))
    truly = kept.allows(grid.speakers_m[j, i], grid.seats_m[k]).reshape(shape)
    assert 0 < grid.allowed.sum() < grid.allowed.size
    assert not (grid.allowed & ~truly).any()
    assert (truly & ~grid.allowed).sum() < 0.03 * truly.sum()
    free = constraints(**ends, least_depth_m=1.0, angle_deg=(40.0, 70.0))
    assert grids_of(free, candidates=10**6, step_m=0.1)[0].grid.count > truly.sum()


# moves ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kept", "names"),
    [
        ({}, ["front", "spacing", "seat"]),
        ({"axis_y_m": (1.5, 2.5)}, ["front", "spacing", "seat", "axis"]),
        ({"speaker_count": 1}, ["front", "seat"]),
        ({"fixed_speakers": present()}, ["seat"]),
        ({"seat_y_m": 2.0}, ["front", "spacing"]),
        ({"front_m": (1.0, 1.0), "seat_x_m": (3.0, 3.0)}, ["spacing"]),
        ({"spacing_m": (2.0, 2.0)}, ["front", "seat"]),
    ],
)
def test_what_may_be_moved(kept, names):
    assert Moves(judged(**kept)).names == names


def test_moves_by_hand():
    """Whole millimetres; half of the spacing on each side; the chair goes sideways with the pair unless it stays."""
    speakers_m, lead_m = Moves(judged(axis_y_m=(1.5, 2.5))).places([0.1004, 0.2, -0.3, 0.05])
    assert speakers_m.tolist() == [[1.1, 0.95, 0.9], [1.1, 3.15, 0.9]]
    assert lead_m.tolist() == [2.7, 2.05, 1.1]
    speakers_m, lead_m = Moves(judged(axis_y_m=(1.5, 2.5), seat_y_m=2.0)).places([0.0, 0.0, 0.05])
    assert speakers_m[:, 1].tolist() == [1.05, 3.05]
    assert lead_m.tolist() == [3.0, 2.0, 1.1]
    speakers_m, _ = Moves(judged()).places([0.0, 0.003, 0.0])
    assert speakers_m[:, 1].tolist() == [0.998, 3.002], "1.5 mm on each side are 2"


def test_coordinates_by_which_placements_differ():
    assert judged().coordinates_m == pytest.approx([1.0, 2.0, 3.0, 2.0])
    assert judged(((1.2, 0.5, 0.9), (1.3, 3.1, 0.9))).coordinates_m == pytest.approx([1.2, 2.6, 3.0, 1.8])


def test_placements_differ_in_one_way_by_0_4_m():
    first = judged()
    near = judged(lead_m=(3.39, 2.0, 1.1))
    further = judged(lead_m=(3.4, 2.0, 1.1))
    wider = judged(((1.0, 0.8, 0.9), (1.0, 3.2, 0.9)))
    assert different([first, near, further, wider], most=9) == [first, further, wider]
    assert different([first, near, further, wider], most=2) == [first, further]
    turned = dataclasses.replace(near, constraints=constraints(frame=frame("back_wall")))
    assert different([first, turned], most=9) == [first, turned], "another wall is another place"


# effort --------------------------------------------------------------------------------------------------------------

EFFORT = policy.Effort(candidates=1000, step_m=0.1, rescored=160, refined=3, evaluations=70, tried=5)


@pytest.mark.parametrize(
    ("affordable", "changed"),
    [
        (10_000, {}),
        # 0.4 of it rescored, 0.3 of it in 3 refinements, 0.3 of it in tolerances of 3 proposals
        (600, {"evaluations": 60}),
        (499, {"evaluations": 49, "tried": 3}),  # 0.3 x 499 < 10 x 3 x 5
        (350, {"rescored": 140, "evaluations": 35, "tried": 3}),
        (200, {"rescored": 80, "evaluations": 20, "tried": 3, "proposals": 2}),  # 60 / 30
        (99, {"rescored": 39, "refined": 1, "evaluations": 29, "tried": 3, "proposals": 1}),  # 9.9 each of three
        (40, {"rescored": 16, "refined": 1, "evaluations": 12, "tried": 3, "proposals": 1}),
    ],
)
def test_effort_that_can_be_afforded(affordable, changed):
    assert affordable_effort(EFFORT, affordable) == dataclasses.replace(EFFORT, **changed)


def test_effort_without_refinement_stays_without():
    none = dataclasses.replace(EFFORT, refined=0)
    assert affordable_effort(none, 40).refined == 0
    assert affordable_effort(none, 40).evaluations == 70


# merit ---------------------------------------------------------------------------------------------------------------


def test_what_each_part_adds():
    parts = dataclasses.replace(
        NO_PARTS,
        bass_unevenness_db=3.0,
        dips_db=2.0,
        seat_spread_db=4.0,
        bass_balance_db=8.0,  # 2 above the 6 that are welcome
        strongest_reflection_db=-7.0,  # 3 above -10
        geometry_db=1.5,
        deepest_hole_db=-9.0,
        slope_db_per_octave=-2.0,
    )
    added_db = {
        "bass_unevenness_db": 3.0,
        "dips_db": 1.0,
        "seat_spread_db": 2.0,
        "bass_balance_db": 0.5,
        "strongest_reflection_db": 1.5,
        "geometry_db": 1.5,
    }
    assert weighted_parts_db(parts) == pytest.approx(added_db)
    assert merit_db(parts) == pytest.approx(9.5)
    quiet = dataclasses.replace(NO_PARTS, bass_balance_db=-3.0, strongest_reflection_db=-12.0)
    assert merit_db(quiet) == pytest.approx(0.75)


def test_air_that_costs_nothing_by_the_way_of_standing():
    ways = (("free",), ("near_wall",), ("corner",), ("near_wall", "free"), ("corner", "near_wall"))
    assert [free_wall_m(each) for each in ways] == [1.0, 0.5, 0.0, 1.0, 0.0]


@pytest.mark.parametrize(
    ("speakers_m", "lead_m", "penalty_db"),
    [
        # the chair 0.3 m beside the axis: distances sqrt(1.3^2 + 2^2) and sqrt(0.7^2 + 2^2) differ by 0.2664 m
        ([(1.0, 1.0), (1.0, 3.0)], (3.0, 2.3), 0.88797),
        # the same beside the other way, and the room's other end
        ([(1.0, 1.0), (1.0, 3.0)], (3.0, 1.7), 0.88797),
        ([(5.0, 1.0), (5.0, 3.0)], (3.0, 2.3), 0.88797),
        # 0.2 m short of 1 m: from the front, the left, the back, the right wall
        ([(0.8, 1.0), (0.8, 3.0)], (2.8, 2.0), 0.4),
        ([(1.0, 0.8), (1.0, 3.0)], (2.9, 1.9), 0.4),
        ([(5.2, 1.0), (5.2, 3.0)], (3.2, 2.0), 0.4),
        ([(1.0, 1.0), (1.0, 3.2)], (2.9, 2.1), 0.4),
    ],
)
def test_what_unlike_distances_and_walls_cost(speakers_m, lead_m, penalty_db):
    speakers_m = np.array([[(*place, 0.9) for place in speakers_m]])
    found_db = geometry_db(speakers_m, np.array([(*lead_m, 1.1)]), dimensions_m=ROOM_M, free_m=1.0)
    assert found_db == pytest.approx([penalty_db], abs=1e-4)
    near_db = geometry_db(speakers_m, np.array([(*lead_m, 1.1)]), dimensions_m=ROOM_M, free_m=0.8)
    assert near_db == pytest.approx([0.0 if penalty_db == 0.4 else penalty_db], abs=1e-4)


def test_axes_of_dipoles():
    assert axes_of(np.radians([30.0, -90.0]), dipole=True) == pytest.approx(
        np.array([(3**0.5 / 2, 0.5, 0), (0, -1, 0)])
    )
    assert not axes_of(np.radians([30.0, -90.0]), dipole=False).any()


# what is given up ----------------------------------------------------------------------------------------------------

ZONES = tuple(KeepClear(name=name, x_m=1.0, y_m=1.0, length_m=0.5, width_m=0.5) for name in ("door", "sofa"))
EVERYTHING = {
    "seat_not_mid_room": True,
    "front_wall_to_baffle_max_m": 1.0,
    "front_wall_distance_m": (0.5, 1.0),
    "spacing_m": (2.0, 2.5),
    "seat_distance_m": (2.0, 3.0),
    "base_angle_deg": (50.0, 60.0),
    "seat_to_back_wall_min_m": 1.0,
    "keep_clear": ZONES,
    "step_m": 0.1,
}


def test_what_is_given_up_in_turn():
    """One thing less each, everything else as told, but for the step."""
    told = wanted(search=EVERYTHING, ways_of_standing=("corner",), distance_m=2.5)
    base = told.relaxed(step_m=None)
    given_up = {(each.name, each.zone): each.wanted for each in without_one(told)}
    own = {
        "walking_room": {"walking_room_m": 0.0},
        "standing": {"ways_of_standing": ("free", "near_wall")},
        "base_angle": {"angle_is_free": True},
        "listening_distance": {"distance_m": None, "distance_is_free": True},
    }
    searches = {
        ("seat_not_mid_room", None): {"seat_not_mid_room": False},
        ("walking_room", None): {},
        ("seat_to_back_wall", None): {"seat_to_back_wall_min_m": 0.0},
        ("listening_distance", None): {"seat_distance_m": None, "seat_to_back_wall_min_m": 0.0},
        ("base_angle", None): {"base_angle_deg": None},
        ("front_wall_to_baffle_max", None): {"front_wall_to_baffle_max_m": None},
        ("front_wall_distance", None): {"front_wall_distance_m": None},
        ("spacing", None): {"spacing_m": None},
        ("standing", None): {},
        ("keep_clear", "door"): {"keep_clear": ZONES[1:]},
        ("keep_clear", "sofa"): {"keep_clear": ZONES[:1]},
        ("symmetric", None): {"symmetric": False},
    }
    assert list(given_up) == list(searches), "what is given up easily comes first"
    for (name, zone), search in searches.items():
        looser = given_up[name, zone]
        assert looser.search == dataclasses.replace(base.search, **search), name
        assert {field: getattr(looser, field) for field in own.get(name, {})} == own.get(name, {})
        for field in ("walking_room_m", "ways_of_standing", "distance_m", "distance_is_free", "angle_is_free"):
            if field not in own.get(name, {}):
                assert getattr(looser, field) == getattr(base, field), (name, field)


def test_what_was_not_asked_is_not_given_up():
    names = [each.name for each in without_one(wanted(walking_room_m=0.0, ways_of_standing=("free", "near_wall")))]
    assert names == ["seat_to_back_wall", "listening_distance", "base_angle", "symmetric"]


def test_what_must_stay_is_given_up_one_by_one():
    told = wanted(search={"must_stay": ("seat", "speakers", "bass")}, present=present())
    given_up = {each.name: each.wanted.search.must_stay for each in without_one(told)}
    assert given_up["must_stay_seat"] == ("speakers", "bass")
    assert given_up["must_stay_speakers"] == ("seat", "bass")
    assert "seat_to_back_wall" not in given_up
    assert "symmetric" not in given_up


# refusals ------------------------------------------------------------------------------------------------------------


def require(search, speaker=None, *, at=None):
    require_search(Search(**search), speaker or placed_speaker(), present=at, room_m=ROOM_M)


@pytest.mark.parametrize(("axis", "size"), list(itertools.product((0, 1), (0.96, 1.0))))
def test_zones_cover_the_floor_together_only(axis, size):
    """Two halves, along the room or across it; a little less than a half leaves a strip."""
    ends_m = [[0.0, 0.0, 6.0, 4.0], [0.0, 0.0, 6.0, 4.0]]
    ends_m[0][2 + axis] *= size / 2
    ends_m[1][2 + axis] /= 2
    ends_m[1][axis] = ROOM_M[axis] / 2
    zones = tuple(KeepClear(name="half", x_m=x, y_m=y, length_m=dx, width_m=dy) for x, y, dx, dy in ends_m)
    for each in zones:
        require({"keep_clear": (each,)})
    if size < 1:
        require({"keep_clear": zones})
        return
    with pytest.raises(DomainError) as refused:
        require({"keep_clear": zones})
    assert (refused.value.pointer, refused.value.code) == ("/search/keep_clear", "covers_the_room")


@pytest.mark.parametrize(
    ("zone", "name", "allowed"),
    [
        ((6.0, 1.0, 1.0, 1.0), "x_m", "less than 6"),
        ((1.0, 4.0, 1.0, 1.0), "y_m", "less than 4"),
        ((5.5, 1.0, 0.6, 1.0), "length_m", "at most 0.5"),
        ((1.0, 3.7, 1.0, 0.4), "width_m", "at most 0.3"),
    ],
)
def test_zones_out_of_the_room(zone, name, allowed):
    first = KeepClear(name="in", x_m=5.0, y_m=3.0, length_m=1.0, width_m=1.0)
    x, y, dx, dy = zone
    with pytest.raises(DomainError) as refused:
        require({"keep_clear": (first, KeepClear(name="out", x_m=x, y_m=y, length_m=dx, width_m=dy))})
    assert refused.value.pointer == f"/search/keep_clear/1/{name}"
    assert text_of(refused.value.allowed, "en") == allowed
    side = "length_m is 6" if name in ("x_m", "length_m") else "width_m is 4"
    assert side.split()[0] in text_of(refused.value.detail, "en")
    require({"keep_clear": (first,)})


def test_what_stays_and_where():
    require({"must_stay": ("speakers",), "front_walls": ("front_wall",)}, at=present())
    require({"must_stay": ("seat",), "front_walls": ("left_wall",)}, at=present())
    with pytest.raises(DomainError) as refused:
        require({"must_stay": ("speakers",), "front_walls": ("left_wall", "back_wall")}, at=present())
    assert (refused.value.pointer, refused.value.given) == ("/search/front_walls", ["left_wall", "back_wall"])
    with_bass = placed_speaker(crossover_hz=100.0)
    require({"must_stay": ("bass",), "bass_apart": True}, with_bass, at=present())
    for search, speaker, pointer in (
        ({"must_stay": ("bass",)}, with_bass, "/search/bass_apart"),
        ({"bass_apart": True}, placed_speaker(), "/search/bass_apart"),
    ):
        with pytest.raises(DomainError) as refused:
            require(search, speaker, at=present())
        assert refused.value.pointer == pointer
