"""Bass sections that stand apart from the tops: their places are searched after those of tops and seat."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from service.advice.answers.placement import MeritParts, PlacedAnswer, ToleranceAnswer
from service.advice.placement import policy
from service.advice.placement.answers import Answers, Present, curve_frequencies_hz, pair_curve
from service.advice.placement.frames import Frame
from service.advice.placement.merit import Judge, first_pass_score, merit_db
from service.advice.placement.moves import JudgedPlacement
from service.advice.placement.search import PlacementSearch
from service.advice.placement.tolerance import tolerance
from service.advice.placement.wanted import PlacedSpeaker, Wanted
from service.advice.room.model import RoomAcoustics
from service.domain.position import Positions
from service.physics.loudspeaker.crossover import crossover_response
from service.physics.placement.bulk import WORKERS, bulk_best
from service.physics.placement.candidates import Grid, evenly_spaced_m
from service.physics.placement.search import Setting


class BassApart:
    """Places bass sections, one for each top, about the line that the tops are symmetric about.

    Parameters
    ----------
    room : RoomAcoustics
        [-]
    speaker : PlacedSpeaker
        With a crossover. [-]
    wanted : Wanted
        [-]
    search : PlacementSearch
        [-]

    Notes
    -----
    Tops and bass sections are taken as one source each in the bass, crossed over by Linkwitz-Riley filters of the
    fourth order without a delay, and the bass sections as trimmed to the tops.
    """

    def __init__(self, room: RoomAcoustics, speaker: PlacedSpeaker, wanted: Wanted, search: PlacementSearch) -> None:
        self.room, self.speaker, self.wanted, self.search = room, speaker, wanted, search

    def answers(self, answers: Answers, best: Sequence[JudgedPlacement]) -> list[PlacedAnswer]:
        """Return the placements of a search, each with its bass sections, best first."""
        placed = [self._placed(answers, each) for each in best]
        return sorted(placed, key=lambda each: each.merit)

    def as_found(self, answers: Answers, present: Present) -> PlacedAnswer:
        """Return the present positions, the bass sections where the speakers are."""
        bass_m = self._below(present.speakers_m)
        judge = self._judge(present.setting).beside(bass_m)
        parts = judge.parts(present.speakers_m, present.facing_rad, present.lead_m)
        return self._answer(answers, present.frame, present.positions, bass_m, parts=parts, tolerance_cm=None)

    def _placed(self, answers: Answers, placement: JudgedPlacement) -> PlacedAnswer:
        judge = self._judge(self.search.judge_of(placement.constraints).setting)
        bass_m = self._best_bass_m(judge, placement)
        tops = judge.beside(bass_m)
        parts = tops.parts(placement.speakers_m, placement.facing_rad, placement.lead_m)
        whole = replace(placement, parts=parts, merit_db=float(merit_db(parts)))
        reach = tolerance(tops, whole, tried=self.search.effort.tried)
        frame, positions = placement.constraints.frame, answers.positions(placement)
        return self._answer(answers, frame, positions, bass_m, parts=parts, tolerance_cm=reach)

    def _answer(
        self,
        answers: Answers,
        frame: Frame,
        positions: Positions,
        bass_m: np.ndarray,
        *,
        parts: MeritParts,
        tolerance_cm: ToleranceAnswer | None,
    ) -> PlacedAnswer:
        bass = [frame.place_in_room(place_m, facing_rad=0.0) for place_m in bass_m]
        weights = self._weights(curve_frequencies_hz(), len(positions.speakers))
        curve = pair_curve(
            self.room,
            [*positions.speakers, *bass],
            positions.seats[0].xyz_m,
            radiation=self.speaker.radiation,
            weights=weights,
        )
        return answers.answer(frame, positions, bass=bass, curve=curve, parts=parts, tolerance_cm=tolerance_cm)

    def _judge(self, setting: Setting) -> Judge:
        tops = self.wanted.count
        energy = np.concatenate([np.ones(tops), np.zeros(tops)])
        weights = self._weights(setting.bands.frequency_hz, tops)
        setting = replace(setting, source_weights=weights, middle_energy_ratio=energy)
        return Judge(setting, self.speaker, free_m=self.search.free_m)

    def _weights(self, frequency_hz: np.ndarray, tops: int) -> np.ndarray:
        """What tops and bass sections radiate, shape (2 tops, f)."""
        sections = [
            crossover_response(
                frequency_hz,
                crossover_hz=self.speaker.crossover_hz,
                order=policy.BASS_SECTION_ORDER,
                alignment="linkwitz_riley",
                section=section,
            )
            for section in ("high", "low")
        ]
        return np.repeat(sections, tops, axis=0)

    def _below(self, speakers_m: ArrayLike) -> np.ndarray:
        bass_m = np.array(speakers_m)
        bass_m[:, 2] = policy.BASS_SECTION_HEIGHT_M
        return bass_m

    def _best_bass_m(self, judge: Judge, placement: JudgedPlacement) -> np.ndarray:
        """Where the bass sections stand best, (tops, 3): below the tops, or apart where that is better."""
        constraints = placement.constraints
        present = self.wanted.staying("bass")
        if present is not None:
            told = constraints.frame.positions(present).speakers
            return self._below([place.xyz_m for place in told])
        grid = self._grid(placement)
        choices = [self._below(placement.speakers_m)]
        if grid.count:
            score = first_pass_score(grid, dimensions_m=constraints.dimensions_m, free_m=self.search.free_m)
            best = bulk_best(
                judge.setting, grid, score=score, most=max(4, self.search.effort.rescored // 8), workers=WORKERS
            )
            choices += list(best.candidates.speakers_m[:, self.wanted.count :])
        merits = [
            judge.beside(bass_m).merit_db(placement.speakers_m, placement.facing_rad, placement.lead_m)
            for bass_m in choices
        ]
        return choices[int(np.argmin(merits))]

    def _grid(self, placement: JudgedPlacement) -> Grid:
        """Bass sections between the wall behind the speakers and the chair, as far apart as cabinets can be."""
        constraints, tops = placement.constraints, self.wanted.count
        width_m, depth_m = constraints.cabinet_m
        furthest_m = max(placement.lead_m[0] + constraints.seat_offsets_m[:, 0].min() - policy.LEAST_DEPTH_M, depth_m)
        area_m2 = (furthest_m - depth_m) * constraints.dimensions_m[1] / tops
        step_m = max(policy.BASS_STEP_M, math.sqrt(area_m2 / policy.BASS_CANDIDATES))
        front_m = evenly_spaced_m(from_m=depth_m, to_m=furthest_m, step_m=step_m)
        middle_m = float(placement.speakers_m[:, 1].mean())
        side_m = min(middle_m, constraints.dimensions_m[1] - middle_m) - width_m / 2
        if tops == 2:
            half_m = evenly_spaced_m(from_m=width_m / 2, to_m=max(side_m, width_m / 2), step_m=step_m)
            across_m = middle_m + np.multiply.outer(half_m, (-1.0, 1.0))
        else:
            low_m, high_m = width_m / 2, constraints.dimensions_m[1] - width_m / 2
            across_m = evenly_spaced_m(from_m=low_m, to_m=high_m, step_m=step_m)[:, None]
        places_m = np.empty((len(across_m), len(front_m), 2 * tops, 3))
        places_m[:, :, :tops] = placement.speakers_m
        places_m[:, :, tops:, 0] = front_m[:, None]
        places_m[:, :, tops:, 1] = across_m[:, None]
        places_m[:, :, tops:, 2] = policy.BASS_SECTION_HEIGHT_M
        bass_m = places_m[:, :, tops:]
        clear = constraints.cabinets_clear(bass_m, np.zeros(bass_m.shape[:3])).all(axis=2)
        return Grid(
            speakers_m=places_m, seats_m=placement.lead_m[None], facing_rad=np.zeros(2 * tops), allowed=clear[..., None]
        )
