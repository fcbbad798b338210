"""The search: a first pass over grids, the best judged anew over the whole head, the best few of these refined.

All frames are searched together, so that the best front wall wins by the same merit.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from service.advice.placement import policy
from service.advice.placement.constraints import Constraints
from service.advice.placement.frames import Frame
from service.advice.placement.grids import GridOfAxis, grids
from service.advice.placement.merit import Judge, first_pass_score, free_wall_m, merit_db
from service.advice.placement.moves import WHOLE_M, JudgedPlacement, Moves, different
from service.advice.placement.ranges import search_constraints
from service.advice.placement.setting import setting_of
from service.advice.placement.wanted import PlacedSpeaker, Wanted
from service.advice.room.model import RoomAcoustics
from service.domain.errors import DomainError
from service.domain.limits import MOST_SEARCH_TERMS
from service.physics.placement.bulk import WORKERS, bulk_best
from service.physics.placement.refine import refine
from service.physics.placement.search import Setting, grid_terms, least_separation_m

_REFUSED_DB = 1000.0
_MOST_KEPT = 40_000
_PAIR_SHARE = 1 / 30
"""What a term costs in the products of fronts and seats, re one in the tables of modes."""


@dataclass(frozen=True, kw_only=True)
class SearchResult:
    """What a search found, best first; `too_large` where it would have taken too long."""

    best: list[JudgedPlacement]
    candidates_judged: int
    median: JudgedPlacement | None
    too_large: bool


class PlacementSearch:
    """A search of one room for one speaker.

    Parameters
    ----------
    room : RoomAcoustics
        [-]
    speaker : PlacedSpeaker
        [-]
    wanted : Wanted
        [-]
    frames : list of Frame
        Which walls may be the front. [-]
    effort : Effort
        How hard to look, where each place does not take long. [-]
    """

    def __init__(
        self,
        room: RoomAcoustics,
        speaker: PlacedSpeaker,
        wanted: Wanted,
        frames: Sequence[Frame],
        effort: policy.Effort,
    ) -> None:
        self.speaker, self.wanted, self.effort = speaker, wanted, effort
        self.free_m = free_wall_m(wanted.ways_of_standing)
        self.constraints: list[Constraints] = []
        self.judges: dict[str, Judge] = {}
        refusals = []
        for frame in frames:
            try:
                constraints = search_constraints(frame, speaker, wanted)
            except DomainError as refusal:
                refusals.append(refusal)
                continue
            setting = setting_of(room, speaker, frame, constraints.seat_offsets_m)
            if not any(self._is_twin(constraints, setting, other) for other in self.constraints):
                self.constraints.append(constraints)
                self.judges[frame.front_wall] = Judge(setting, speaker, free_m=self.free_m)
        if refusals and not self.constraints:
            raise refusals[-1]

    def _is_twin(self, constraints: Constraints, setting: Setting, other: Constraints) -> bool:
        """Whether a frame asks the very same as another: opposite walls alike, and nothing that must stay."""
        judged = self.judges[other.frame.front_wall].setting
        return (
            constraints.dimensions_m == other.dimensions_m
            and not self.wanted.search.must_stay
            and np.array_equal(setting.box.admittance_ratio, judged.box.admittance_ratio)
            and np.array_equal(setting.treble_absorption, judged.treble_absorption)
            and np.array_equal(np.sort(constraints.zones_m, axis=0), np.sort(other.zones_m, axis=0))
        )

    def judge_of(self, constraints: Constraints) -> Judge:
        """Return the judge of a frame."""
        return self.judges[constraints.frame.front_wall]

    def result(self) -> SearchResult:
        """Return what the search found."""
        found, terms = self._grids()
        if not found or terms is None:
            return SearchResult(best=[], candidates_judged=0, median=None, too_large=terms is None)
        affordable = policy.MOST_JUDGED_TERMS / terms
        if self.wanted.search.bass_apart:
            affordable /= policy.BASS_APART_COSTS
        self.effort = affordable_effort(self.effort, affordable)
        passed = self._first_pass(found)
        rescored = [self._judged(each.constraints, speakers_m, lead_m) for each, speakers_m, lead_m in passed]
        rescored.sort(key=lambda each: each.merit_db)
        return SearchResult(
            best=self._refined(rescored),
            candidates_judged=sum(each.grid.count for each in found),
            median=rescored[len(rescored) // 2] if rescored else None,
            too_large=False,
        )

    def _grids(self) -> tuple[list[GridOfAxis], float | None]:
        """The grids, coarse enough to be affordable, and the terms of judging one placement; None if nothing helps."""
        search = self.wanted.search
        candidates = max(1, self.effort.candidates // len(self.wanted.judged))
        any_fits = False
        while True:
            found = grids(self.constraints, search=search, candidates=candidates, step_m=self.effort.step_m)
            if not found and any_fits:
                return [], None
            any_fits = any_fits or bool(found)
            costs = [self._terms(each) for each in found]
            terms = max((one for _, one in costs), default=0.0)
            if sum(whole for whole, _ in costs) <= MOST_SEARCH_TERMS and terms * policy.LEAST_JUDGED <= (
                policy.MOST_JUDGED_TERMS
            ):
                return found, terms
            if search.step_m is not None or candidates < policy.LEAST_JUDGED:
                return found, None
            candidates //= 4

    def _terms(self, each: GridOfAxis) -> tuple[float, float]:
        """About how many terms a grid sums, and how many judging one placement of it does."""
        setting, grid = self.judge_of(each.constraints).setting, each.grid
        common = {"separation_m": max(least_separation_m(setting, grid), 0.02)}
        fronts, seats = (int(grid.allowed.any(axis=axes).sum()) for axes in ((0, 2), (0, 1)))
        one = grid_terms(setting, fronts=1, seats=0, **common)
        ears = len(setting.seat_offsets_m)
        return one * (fronts + seats * ears + fronts * seats * ears * _PAIR_SHARE), one * ears

    def _first_pass(self, found: list[GridOfAxis]) -> list[tuple[GridOfAxis, np.ndarray, np.ndarray]]:
        """The best of each neighbourhood, best first, as (grid, speakers, seat)."""
        scores, coordinates, places = [], [], []
        for number, each in enumerate(found):
            judge, grid = self.judge_of(each.constraints), each.grid
            most = int(min(max(4 * self.effort.rescored, grid.count // 3), _MOST_KEPT))
            score = first_pass_score(grid, dimensions_m=each.constraints.dimensions_m, free_m=self.free_m)
            best = bulk_best(judge.setting, grid, score=score, most=most, workers=WORKERS)
            scores.append(best.score_db)
            x_m, y_m = best.candidates.speakers_m[:, 0, 0], best.candidates.speakers_m[..., 1]
            spacing_m = y_m[:, -1] - y_m[:, 0]
            seat_m = best.candidates.seats_m[:, 0]
            coordinates.append(np.stack([np.full(len(x_m), 1e3 * number), x_m, spacing_m, seat_m], axis=1))
            places += [(each, best, index) for index in range(len(x_m))]
        order = np.argsort(np.concatenate(scores), kind="stable")
        cells = np.floor(np.concatenate(coordinates)[order] / (policy.DIFFERENT_PLACEMENTS_M / 2))
        _, first = np.unique(cells, axis=0, return_index=True)
        chosen = []
        for index in order[np.sort(first)]:
            each, best, which = places[index]
            speakers_m, lead_m = best.candidates.speakers_m[which], best.candidates.seats_m[which]
            if each.constraints.allows(speakers_m[None], lead_m[None])[0]:
                chosen.append((each, speakers_m, lead_m))
            if len(chosen) == self.effort.rescored:
                break
        return chosen

    def _judged(self, constraints: Constraints, speakers_m: np.ndarray, lead_m: np.ndarray) -> JudgedPlacement:
        facing_rad = constraints.facing_rad(speakers_m, lead_m)
        parts = self.judge_of(constraints).parts(speakers_m, facing_rad, lead_m)
        return JudgedPlacement(
            constraints=constraints,
            speakers_m=speakers_m,
            facing_rad=facing_rad,
            lead_m=lead_m,
            parts=parts,
            merit_db=float(merit_db(parts)),
        )

    def _refined(self, rescored: list[JudgedPlacement]) -> list[JudgedPlacement]:
        """The best few that really differ, refined as far as the effort goes, best first."""
        kept = []
        for number, each in enumerate(different(rescored, most=self.effort.proposals + 2)):
            kept.append(self._refine(each) if number < self.effort.refined else each)
        kept.sort(key=lambda each: each.merit_db)
        # one that was refined may have come near another: the next best of the others takes its place
        chosen = different(
            [*kept[:1], *sorted([*kept[1:], *rescored], key=lambda each: each.merit_db)], most=policy.PROPOSALS
        )
        return sorted(chosen, key=lambda each: each.merit_db)

    def _refine(self, start: JudgedPlacement) -> JudgedPlacement:
        """Look around a placement without a grid; never worse than the start."""
        moves = Moves(start)
        if not moves.names or self.effort.evaluations < 2 * len(moves.names):
            return start
        best = [start]

        def judged(values_m: Sequence[float]) -> float:
            speakers_m, lead_m = moves.places(values_m)
            if not start.constraints.allows(speakers_m[None], lead_m[None])[0]:
                return _REFUSED_DB
            tried = self._judged(start.constraints, speakers_m, lead_m)
            if tried.merit_db < best[0].merit_db:
                best[0] = tried
            return tried.merit_db

        refine(
            judged,
            count=len(moves.names),
            first_step_m=policy.REFINED_STEP_M,
            reach_m=policy.DIFFERENT_PLACEMENTS_M / 2,
            finest_m=2 * WHOLE_M,
            evaluations=self.effort.evaluations,
        )
        return best[0]


def affordable_effort(effort: policy.Effort, affordable: float) -> policy.Effort:
    """Return the effort that judges no more places one by one than can be afforded.

    Parameters
    ----------
    effort : Effort
        As asked for. [-]
    affordable : float
        Places that may be judged one by one. [-]
    """
    shares = policy.SHARES
    refined, evaluations = effort.refined, effort.evaluations
    if refined:
        each = shares["refined"] * affordable / refined
        if each < 10:
            refined, each = 1, shares["refined"] * affordable
        evaluations = int(min(evaluations, each))
    least = min(policy.TOLERANCE_TRIED_M)
    scarce = shares["tolerance"] * affordable < 10 * policy.PROPOSALS * effort.tried
    return replace(
        effort,
        rescored=int(min(effort.rescored, shares["rescored"] * affordable)),
        refined=refined,
        evaluations=evaluations,
        tried=least if scarce else effort.tried,
        proposals=int(min(policy.PROPOSALS, max(1, shares["tolerance"] * affordable // (10 * least)))),
    )
