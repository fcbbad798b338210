"""The search: a first pass over grids, the best judged anew over the whole head, the best few of these refined.

All frames are searched together, so that the best front wall wins by the same merit.
"""

from dataclasses import dataclass, replace

import numpy as np

from service.advice import policy
from service.advice.placement.constraints import search_limits
from service.advice.placement.grids import grids
from service.advice.placement.merit import Judge, first_pass_score, free_wall_m, merit_db
from service.domain.errors import DomainError
from service.domain.limits import MOST_SEARCH_TERMS
from service.physics.bands import octave_midbands_hz
from service.physics.placement import merit
from service.physics.placement.bulk import WORKERS, bulk_best
from service.physics.placement.candidates import different_best
from service.physics.placement.refine import refine
from service.physics.placement.search import Setting, grid_terms, least_separation_m
from service.physics.room.target import EARLY_REFLECTION_WINDOW_S

_MIDDLE = slice(3, 6)  # 500 Hz to 2 kHz
_TREBLE = slice(4, 8)  # 1 to 8 kHz
_REFUSED_DB = 1000.0
_WHOLE_M = 0.001
_MOST_KEPT = 40_000
_PAIR_SHARE = 1 / 30
"""What a term costs in the products of fronts and seats, re one in the tables of modes."""


@dataclass(frozen=True, kw_only=True)
class Found:
    """One placement of the search, in its frame.

    Attributes
    ----------
    limits : Limits
        Of its frame. [-]
    speakers_m, facing_rad, lead_m : ndarray, shapes (n, 3), (n,) and (3,)
        [m, rad, m]
    parts : MeritParts
        [-]
    merit_db : float
        [dB]
    """

    limits: object
    speakers_m: np.ndarray
    facing_rad: np.ndarray
    lead_m: np.ndarray
    parts: object
    merit_db: float

    @property
    def coordinates_m(self):
        """Front, spacing, seat and axis, by which placements differ. [m]"""
        y_m = self.speakers_m[:, 1]
        return np.array([self.speakers_m[0, 0], y_m[-1] - y_m[0], self.lead_m[0], (y_m[0] + y_m[-1]) / 2])


@dataclass(frozen=True, kw_only=True)
class SearchResult:
    """What a search found, best first; `too_large` where it would have taken too long."""

    best: list
    candidates_judged: int
    median: Found | None
    too_large: bool


def setting_of(room, speaker, frame, seat_offsets_m):
    """Return what all candidates of a frame have in common.

    Parameters
    ----------
    room : RoomAcoustics
        [-]
    speaker : PlacedSpeaker
        [-]
    frame : Frame
        [-]
    seat_offsets_m : ndarray, shape (s, 3)
        Judged seats re the leading one, in the frame. [m]
    """
    lively = float(room.time_s[:3].mean()) > policy.LIVELY_FROM_S
    least_hz, most_hz = policy.BASS_JUDGED_FROM_HZ
    bands = merit.bass_bands(
        low_hz=min(max(least_hz, speaker.low_limit_hz), most_hz),
        points=policy.POINTS_PER_BAND_LIVELY if lively else policy.POINTS_PER_BAND,
    )
    reverberant = 16 * np.pi / room.room_constant_m2 * 10 ** (-speaker.directivity_index_db / 10)
    treble = room.wall_absorption(octave_midbands_hz()[_TREBLE]).mean(axis=1)
    setting = Setting(
        box=room.box(bands.frequency_hz),
        bands=bands,
        seat_offsets_m=np.zeros((1, 3)),
        dipole=speaker.radiation == "dipole",
        reverberant_ratio=float(reverberant[_MIDDLE].mean()),
        treble_absorption=np.minimum(treble, policy.MOST_TREBLE_ABSORPTION),
        reflection_window_s=EARLY_REFLECTION_WINDOW_S,
        speed_of_sound_m_s=room.air.speed_of_sound_m_s,
    )
    return replace(frame.turn.setting(setting), seat_offsets_m=seat_offsets_m)


class PlacementSearch:
    """A search of a settled room for a settled speaker.

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
    effort : dict
        One of `policy.EFFORTS`. [-]
    """

    def __init__(self, room, speaker, wanted, frames, effort):
        self.speaker, self.wanted, self.effort = speaker, wanted, dict(effort)
        self.free_m = free_wall_m(wanted.standings)
        self.limits, self.judges = [], {}
        refusals = []
        for frame in frames:
            try:
                limits = search_limits(frame, speaker, wanted)
            except DomainError as refusal:
                refusals.append(refusal)
                continue
            setting = setting_of(room, speaker, frame, limits.seat_offsets_m)
            if not any(self._is_twin(limits, setting, other) for other in self.limits):
                self.limits.append(limits)
                self.judges[frame.front_wall] = Judge(setting, speaker, free_m=self.free_m, tops=wanted.count)
        if refusals and not self.limits:
            raise refusals[-1]

    def _is_twin(self, limits, setting, other):
        """Whether a frame asks the very same as another: opposite walls alike, and nothing that must stay."""
        judged = self.judges[other.frame.front_wall].setting
        return (
            limits.dimensions_m == other.dimensions_m
            and not self.wanted.search.must_stay
            and np.array_equal(setting.box.admittance_ratio, judged.box.admittance_ratio)
            and np.array_equal(setting.treble_absorption, judged.treble_absorption)
            and np.array_equal(np.sort(limits.zones_m, axis=0), np.sort(other.zones_m, axis=0))
        )

    def judge_of(self, limits):
        """Return the judge of a frame."""
        return self.judges[limits.frame.front_wall]

    def result(self):
        """Return what the search found."""
        found, terms = self._grids()
        if not found or terms is None:
            return SearchResult(best=[], candidates_judged=0, median=None, too_large=terms is None)
        affordable = policy.MOST_JUDGED_TERMS / terms
        if self.wanted.search.bass_apart:
            affordable /= policy.BASS_APART_COSTS
        self._limit_effort(affordable)
        passed = self._first_pass(found)
        rescored = [self._found(each.limits, speakers_m, lead_m) for each, speakers_m, lead_m in passed]
        rescored.sort(key=lambda each: each.merit_db)
        return SearchResult(
            best=self._refined(rescored),
            candidates_judged=sum(each.grid.count for each in found),
            median=rescored[len(rescored) // 2] if rescored else None,
            too_large=False,
        )

    def _grids(self):
        """The grids, coarse enough to be affordable, and the terms of judging one placement; None if nothing helps."""
        told_m, seats = self.wanted.search.step_m, len(self.wanted.judged)
        candidates = max(1, self.effort["candidates"] // seats)
        any_fits = False
        while True:
            found = grids(self.limits, candidates=candidates, step_m=self.effort["step_m"], told_step_m=told_m)
            if not found and any_fits:
                return [], None
            any_fits = any_fits or bool(found)
            costs = [self._terms(each) for each in found]
            terms = max((one for _, one in costs), default=0.0)
            if sum(whole for whole, _ in costs) <= MOST_SEARCH_TERMS and terms * policy.LEAST_JUDGED <= (
                policy.MOST_JUDGED_TERMS
            ):
                return found, terms
            if told_m is not None or candidates < policy.LEAST_JUDGED:
                return found, None
            candidates //= 4

    def _terms(self, each):
        """About how many terms a grid sums, and how many judging one placement of it does."""
        setting, grid = self.judge_of(each.limits).setting, each.grid
        common = {"separation_m": max(least_separation_m(setting, grid), 0.02)}
        fronts, seats = (int(grid.allowed.any(axis=axes).sum()) for axes in ((0, 2), (0, 1)))
        one = grid_terms(setting, fronts=1, seats=0, **common)
        ears = len(setting.seat_offsets_m)
        return one * (fronts + seats * ears + fronts * seats * ears * _PAIR_SHARE), one * ears

    def _limit_effort(self, affordable):
        """Fewer places judged one by one where each takes long."""
        effort, shares = self.effort, policy.SHARES
        effort["rescored"] = int(min(effort["rescored"], shares["rescored"] * affordable))
        if effort["refined"]:
            evaluations = shares["refined"] * affordable / effort["refined"]
            if evaluations < 10:
                effort["refined"], evaluations = 1, shares["refined"] * affordable
            effort["evaluations"] = int(min(effort["evaluations"], evaluations))
        least = min(policy.TOLERANCE_TRIED_M)
        if shares["tolerance"] * affordable < 10 * policy.PROPOSALS * effort["tried"]:
            effort["tried"] = least
        effort["proposals"] = int(min(policy.PROPOSALS, max(1, shares["tolerance"] * affordable // (10 * least))))

    def _first_pass(self, found):
        """The best of each neighbourhood, best first, as (grid, speakers, seat)."""
        scores, coordinates, places = [], [], []
        for number, each in enumerate(found):
            judge, grid = self.judge_of(each.limits), each.grid
            most = int(min(max(4 * self.effort["rescored"], grid.count // 3), _MOST_KEPT))
            score = first_pass_score(grid, dimensions_m=each.limits.dimensions_m, free_m=self.free_m)
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
            if each.limits.allows(speakers_m[None], lead_m[None])[0]:
                chosen.append((each, speakers_m, lead_m))
            if len(chosen) == self.effort["rescored"]:
                break
        return chosen

    def _found(self, limits, speakers_m, lead_m):
        facing_rad = limits.facing_rad(speakers_m, lead_m)
        parts = self.judge_of(limits).parts(speakers_m, facing_rad, lead_m)
        return Found(
            limits=limits,
            speakers_m=speakers_m,
            facing_rad=facing_rad,
            lead_m=lead_m,
            parts=parts,
            merit_db=float(merit_db(parts)),
        )

    def _refined(self, rescored):
        """The best few that really differ, refined as far as the effort goes, best first."""
        kept = []
        for number, each in enumerate(_different(rescored, most=self.effort["proposals"] + 2)):
            kept.append(self._refine(each) if number < self.effort["refined"] else each)
        kept.sort(key=lambda each: each.merit_db)
        # one that was refined may have come near another: the next best of the others takes its place
        chosen = _different(
            [*kept[:1], *sorted([*kept[1:], *rescored], key=lambda each: each.merit_db)], most=policy.PROPOSALS
        )
        return sorted(chosen, key=lambda each: each.merit_db)

    def _refine(self, start):
        """Look around a placement without a grid; never worse than the start."""
        moves = _Moves(start)
        if not moves.names or self.effort["evaluations"] < 2 * len(moves.names):
            return start
        best = [start]

        def judged(values):
            speakers_m, lead_m = moves.places(values)
            if not start.limits.allows(speakers_m[None], lead_m[None])[0]:
                return _REFUSED_DB
            found = self._found(start.limits, speakers_m, lead_m)
            if found.merit_db < best[0].merit_db:
                best[0] = found
            return found.merit_db

        refine(
            judged,
            count=len(moves.names),
            first_step_m=policy.REFINED_STEP_M,
            reach_m=policy.DIFFERENT_PLACEMENTS_M / 2,
            finest_m=2 * _WHOLE_M,
            evaluations=self.effort["evaluations"],
        )
        return best[0]


class _Moves:
    """What of a placement may be moved in a refinement: front, spacing, seat, and the whole sideways."""

    def __init__(self, start):
        self.start, limits = start, start.limits
        self.names = []
        if limits.standing is None:
            self.names.append("front")
            if limits.speaker_count == 2:
                self.names.append("spacing")
        if limits.seat_y_m is None:
            self.names.append("seat")
        if limits.axis_y_m[0] < limits.axis_y_m[1]:
            self.names.append("axis")
        spans_m = {"front": limits.front_m, "spacing": limits.spacing_m, "seat": limits.seat_x_m}
        self.names = [name for name in self.names if name not in spans_m or spans_m[name][0] < spans_m[name][1]]

    def places(self, values):
        """Return speakers and seat after moves (m,), in whole millimetres."""
        moves = dict(zip(self.names, np.round(np.asarray(values, dtype=float) / _WHOLE_M) * _WHOLE_M, strict=True))
        speakers_m, lead_m = self.start.speakers_m.copy(), self.start.lead_m.copy()
        speakers_m[:, 0] += moves.get("front", 0.0)
        if "spacing" in moves:
            # both speakers by whole millimetres, so that the pair stays about its axis
            half_m = round(moves["spacing"] / 2 / _WHOLE_M) * _WHOLE_M
            speakers_m[:, 1] += np.array([-half_m, half_m])
        lead_m[0] += moves.get("seat", 0.0)
        speakers_m[:, 1] += moves.get("axis", 0.0)
        if self.start.limits.seat_y_m is None:
            lead_m[1] += moves.get("axis", 0.0)
        return speakers_m.round(4), lead_m.round(4)


def _different(ordered, *, most):
    """The best of which no two are near each other; those with different front walls never are."""
    walls = {each.limits.frame.front_wall: 1e3 * number for number, each in enumerate(ordered)}
    coordinates_m = np.array([[walls[each.limits.frame.front_wall], *each.coordinates_m] for each in ordered])
    chosen = different_best(
        range(len(ordered)), coordinates_m, least_difference_m=policy.DIFFERENT_PLACEMENTS_M, most=most
    )
    return [ordered[index] for index in chosen]


def relaxed(wanted, **changes):
    """Return what is wanted with parts of its search, or of itself, given up."""
    own = {name: changes.pop(name) for name in ("distance_m", "distance_is_free", "angle_is_free") if name in changes}
    own |= {name: changes.pop(name) for name in ("walking_room_m", "standings") if name in changes}
    return replace(wanted, search=replace(wanted.search, **changes), **own)
