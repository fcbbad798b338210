"""Placements judged quickly one by one: as by the plain solver at every point of every head."""

import dataclasses

import numpy as np
import pytest

from service.physics.placement.candidates import plan_geometry
from service.physics.placement.single import PlacementJudge
from tests.physics.placement.oracles import judge_placement
from tests.physics.placement.rooms import axes_of, grid, setting

SMALL = {"low_hz": 40.0, "points": 4}
SOFA = np.array([[0.0, 0.0, 0.0], [0.0, -0.6, 0.0], [0.1, 0.6, -0.05]])


def parts_of(judgement):
    bass = dataclasses.asdict(judgement.bass)
    rest = {name: value for name, value in dataclasses.asdict(judgement).items() if name != "bass"}
    return np.stack([*bass.values(), *rest.values()], axis=1)


def axes_to(seat_m, speakers_m, *, dipole):
    bearing_rad = plan_geometry(speakers_m, seat_m).bearing_rad
    return np.stack([np.cos(bearing_rad), np.sin(bearing_rad), 0 * bearing_rad], axis=1) * dipole


@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
@pytest.mark.parametrize(
    ("speakers_m", "lead_m"),
    [
        ([(0.8, 1.0, 0.9), (0.8, 3.1, 0.9)], (3.4, 2.05, 1.1)),  # along the length
        ([(0.6, 1.0, 0.9), (0.9, 3.1, 1.0)], (3.4, 1.7, 1.1)),  # unlike places
        ([(4.8, 1.0, 0.9), (4.7, 3.1, 0.9)], (2.1, 2.05, 1.1)),  # in front of the back wall
        ([(1.6, 0.5, 0.9), (3.8, 0.5, 0.9)], (2.7, 3.3, 1.1)),  # along the width
        ([(1.6, 3.6, 0.9), (3.8, 3.6, 0.9)], (2.7, 1.1, 1.1)),
        ([(2.6, 2.0, 0.3)], (2.7, 2.05, 1.6)),  # straight below
        ([(2.4, 1.9, 0.9), (0.8, 3.1, 0.9)], (2.6, 2.05, 1.1)),  # one of them beside the head
    ],
)
def test_as_by_the_plain_solver(speakers_m, lead_m, dipole):
    speakers_m, lead_m = np.array(speakers_m), np.array(lead_m)
    for offsets_m in (np.zeros((1, 3)), SOFA):
        room = setting(dipole=dipole, seat_offsets_m=offsets_m, **SMALL)
        axes = axes_to(lead_m, speakers_m, dipole=dipole)
        place = {"speakers_m": speakers_m, "axes": axes, "lead_m": lead_m}
        expected, found = judge_placement(room, **place), PlacementJudge(room).judge(**place)
        np.testing.assert_allclose(parts_of(found), parts_of(expected), atol=0.02)


def test_what_is_kept_changes_nothing():
    """A hundred placements by one judge, whose sums come and go, and by a new judge each."""
    room = setting(dipole=True, **SMALL)
    judge, rng = PlacementJudge(room), np.random.default_rng(8)
    for _ in range(40):
        speakers_m, lead_m = rng.uniform(0.4, (5.0, 3.7, 2.1), size=(2, 3)), rng.uniform(0.4, (5.0, 3.7, 2.1))
        place = {"speakers_m": speakers_m, "axes": axes_to(lead_m, speakers_m, dipole=True), "lead_m": lead_m}
        np.testing.assert_array_equal(parts_of(judge.judge(**place)), parts_of(PlacementJudge(room).judge(**place)))


def test_weights_of_the_speakers_count():
    """Half the pressure everywhere is 6.02 dB less bass against the same middle, and as even."""
    room = setting(**SMALL)
    quiet = dataclasses.replace(room, source_weights=np.full((2, len(room.bands.frequency_hz)), 0.5))
    place = {
        "speakers_m": np.array([(0.8, 1.0, 0.9), (0.8, 3.1, 0.9)]),
        "axes": np.zeros((2, 3)),
        "lead_m": np.array([3.4, 2.05, 1.1]),
    }
    for judge in (lambda each: judge_placement(each, **place), lambda each: PlacementJudge(each).judge(**place)):
        loud, soft = judge(room), judge(quiet)
        assert loud.bass_balance_db - soft.bass_balance_db == pytest.approx([20 * np.log10(2)])
        assert loud.bass.bass_unevenness_db == pytest.approx(soft.bass.bass_unevenness_db)


@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
def test_candidates_one_after_the_other_as_by_the_plain_solver(dipole):
    """Pairs that are not symmetric, each dipole turned to the seat, each speaker with a complex weight of its own."""
    room = setting(dipole=dipole, **SMALL)
    phase = np.exp(-2j * np.pi * room.bands.frequency_hz * 0.002)
    room = dataclasses.replace(room, source_weights=np.stack([phase, 0.7 * phase**2]))
    here = grid(
        across_m=[(0.9, 2.7), (1.1, 3.3)],
        front_m=[0.5, 1.0],
        seats_m=[(2.9, 2.2, 1.1), (3.7, 2.2, 1.1)],
    )
    found, judge = here.candidates(), PlacementJudge(room)
    for speakers_m, lead_m in zip(found.speakers_m, found.seats_m, strict=True):
        axes = axes_of(room, here, speakers_m=speakers_m, seat_m=lead_m)
        place = {"speakers_m": speakers_m, "axes": axes, "lead_m": lead_m}
        expected = parts_of(judge_placement(room, **place))
        np.testing.assert_allclose(parts_of(judge.judge(**place)), expected, atol=0.02)


def test_dipoles_that_stay_turned_are_judged_as_turned():
    room = setting(dipole=True, **SMALL)
    speakers_m, lead_m = np.array([(0.8, 1.0, 0.9), (0.8, 3.1, 0.9)]), np.array([3.4, 2.05, 1.1])
    facing_rad = np.array([0.1, -0.6])
    axes = np.stack([np.cos(facing_rad), np.sin(facing_rad), 0 * facing_rad], axis=1)
    found = PlacementJudge(room).judge(speakers_m=speakers_m, axes=axes, lead_m=lead_m)
    expected = judge_placement(room, speakers_m=speakers_m, axes=axes, lead_m=lead_m)
    np.testing.assert_allclose(parts_of(found), parts_of(expected), atol=0.02)
