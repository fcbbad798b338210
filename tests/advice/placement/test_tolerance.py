"""Tolerances by hand, with a merit that is known: so much for each centimetre of each move."""

import numpy as np
import pytest

from service.advice.answers.placement import MeritParts
from service.advice.placement.moves import JudgedPlacement
from service.advice.placement.tolerance import tolerance
from tests.advice.placement.scenes import constraints

SPEAKERS_M = np.array([(1.0, 1.0, 0.9), (1.0, 3.0, 0.9)])
LEAD_M = np.array([3.0, 2.0, 1.1])


class KnownMerit:
    """A merit of 2 dB at the start that rises by so many dB for each metre of a move, forwards and backwards."""

    def __init__(self, **rise_db_per_m):
        self.rise_db_per_m = rise_db_per_m
        self.facings_deg = []

    def merit_db(self, speakers_m, facing_rad, lead_m):
        self.facings_deg.append(np.degrees(facing_rad))
        moved_m = speakers_m - SPEAKERS_M[: len(speakers_m)]
        moves_m = {
            "front": moved_m[0, 0],
            "spacing": moved_m[-1, 1] - moved_m[0, 1],
            "aside": moved_m[:, 1].mean(),
            "seat": lead_m[0] - LEAD_M[0],
            "seat_aside": lead_m[1] - LEAD_M[1],
        }
        assert moved_m[:, 0] == pytest.approx(np.full(len(moved_m), moved_m[0, 0])), "both go the same way"
        ways = {name: self.rise_db_per_m.get(name, (0.0, 0.0)) for name in moves_m}
        return 2.0 + sum(abs(moves_m[name]) * ways[name][0 if moves_m[name] > 0 else 1] for name in moves_m)


def reach(judge, *, tried=3, speakers_m=SPEAKERS_M, lead_m=LEAD_M, **kept):
    placed = JudgedPlacement(
        constraints=constraints(speaker_count=len(speakers_m), **kept),
        speakers_m=speakers_m,
        facing_rad=np.zeros(len(speakers_m)),
        lead_m=lead_m,
        parts=MeritParts(**dict.fromkeys(MeritParts.__dataclass_fields__, 0.0)),
        merit_db=2.0,
    )
    return tolerance(judge, placed, tried=tried)


@pytest.mark.parametrize(
    ("move", "name"),
    [
        ("front", "front_wall_distance"),
        ("spacing", "spacing"),
        ("aside", "pair_sideways"),
        ("seat", "seat"),
        ("seat_aside", "seat_sideways"),
    ],
)
def test_the_tighter_way_of_each_move_counts(move, name):
    """4 dB for each metre one way, 2 the other: 0.5 dB after 12.5 cm and 25 cm; the others cost nothing in 30 cm."""
    for ways in ((4.0, 2.0), (2.0, 4.0)):
        found = vars(reach(KnownMerit(**{move: ways})))
        assert found.pop(name) == pytest.approx(12.5)
        assert set(found.values()) == {30.0}


def test_a_way_that_gains_does_not_hide_the_other():
    assert reach(KnownMerit(seat=(-3.0, 2.0))).seat == pytest.approx(25.0)
    assert reach(KnownMerit(seat=(2.0, -3.0))).seat == pytest.approx(25.0)


def test_between_two_moves_the_way_is_straight():
    """Beyond 10 cm the merit rises from 0.1 to 0.9 dB: 0.4 of these 0.8 dB are 5 cm more."""

    class Bent(KnownMerit):
        def merit_db(self, speakers_m, facing_rad, lead_m):
            return 2.0 + float(np.interp(lead_m[0] - LEAD_M[0], [-0.3, 0.0, 0.1, 0.2], [0.0, 0.0, 0.1, 0.9]))

    assert reach(Bent()).seat == pytest.approx(15.0)


def test_moves_that_are_tried():
    """A merit that jumps by 1 dB at 4 cm: the first move tells it as half its own length."""

    class Step(KnownMerit):
        def merit_db(self, speakers_m, facing_rad, lead_m):
            return 2.0 + (lead_m[0] - LEAD_M[0] > 0.04)

    assert reach(Step(), tried=3).seat == pytest.approx(5.0)
    assert reach(Step(), tried=5).seat == pytest.approx(2.5)


def test_half_a_decibel_exactly_is_still_within():
    """5 dB for each metre: 0.5 dB at 10 cm, up to rounding, and not beyond it."""
    assert reach(KnownMerit(seat=(4.999, 0.0))).seat == pytest.approx(10.0, abs=0.01)


def test_speakers_are_turned_to_where_the_seat_is():
    """After 30 cm sideways of the chair the left speaker looks from (1, 1) to (3, 2.3) or to (3, 1.7)."""
    judge = KnownMerit()
    reach(judge)
    left_deg = [facing[0] for facing in judge.facings_deg]
    assert np.degrees(np.arctan2(1.3, 2.0)) == pytest.approx(max(left_deg))
    kept = KnownMerit()
    reach(kept, fixed_facing_rad=np.radians([20.0, -20.0]))
    assert np.array(kept.facings_deg) == pytest.approx(np.array([[20.0, -20.0]] * len(kept.facings_deg)))


def test_one_speaker_has_no_spacing():
    found = reach(KnownMerit(front=(4.0, 4.0)), speakers_m=SPEAKERS_M[:1])
    assert found.spacing is None
    assert found.front_wall_distance == pytest.approx(12.5)


@pytest.mark.parametrize(
    ("changed", "judged"),
    [
        # within 5 cm of each wall nothing is judged: 0.26 m from it, 10 and 20 cm are, 0.24 m from it, 10 cm alone
        ({"speakers_m": SPEAKERS_M - (0.74, 0, 0)}, {"front": (3, 2)}),
        ({"speakers_m": SPEAKERS_M - (0.76, 0, 0)}, {"front": (3, 1)}),
        ({"lead_m": LEAD_M + np.array((2.74, 0, 0))}, {"seat": (2, 3)}),
        ({"lead_m": LEAD_M + np.array((2.76, 0, 0))}, {"seat": (1, 3)}),
        ({"lead_m": LEAD_M + np.array((0, 1.74, 0))}, {"seat_aside": (2, 3)}),
        ({"lead_m": LEAD_M + np.array((0, 1.76, 0))}, {"seat_aside": (1, 3)}),
        ({"lead_m": LEAD_M - np.array((0, 1.76, 0))}, {"seat_aside": (3, 1)}),
        # 0.4 m of depth stay: from 0.6 m, two moves nearer
        ({"lead_m": LEAD_M - np.array((1.4, 0, 0))}, {"seat": (3, 2), "front": (2, 3)}),
        ({"lead_m": LEAD_M - np.array((1.41, 0, 0))}, {"seat": (3, 1), "front": (1, 3)}),
        # a second seat 0.3 m before the leading one, and one 0.3 m behind it near the wall
        (
            {"lead_m": LEAD_M - np.array((1.1, 0, 0)), "seat_offsets_m": np.array([(0, 0, 0), (-0.3, 0.6, 0)])},
            {"seat": (3, 2), "front": (2, 3)},
        ),
        (
            {"lead_m": LEAD_M + np.array((2.44, 0, 0)), "seat_offsets_m": np.array([(0, 0, 0), (0.3, 0, 0)])},
            {"seat": (2, 3)},
        ),
    ],
)
def test_nothing_is_moved_into_a_wall_or_among_the_speakers(changed, judged):
    class Counting(KnownMerit):
        def __init__(self):
            super().__init__()
            self.count = {}

        def merit_db(self, speakers_m, facing_rad, lead_m):
            start_m, seat_m = changed.get("speakers_m", SPEAKERS_M), changed.get("lead_m", LEAD_M)
            moved = {"front": speakers_m[0, 0] - start_m[0, 0], "seat": lead_m[0] - seat_m[0]}
            moved["seat_aside"] = lead_m[1] - seat_m[1]
            for name, move_m in moved.items():
                if abs(move_m) > 0.01:
                    self.count.setdefault(name, [0, 0])[0 if move_m > 0 else 1] += 1
            return 2.0

    judge = Counting()
    reach(judge, **changed)
    assert {name: tuple(judge.count[name]) for name in judged} == judged
