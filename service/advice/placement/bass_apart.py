"""Bass sections that stand apart from the tops: their places are searched after those of tops and seat."""

import math
from dataclasses import dataclass, replace

import numpy as np

from service.advice import policy
from service.advice.placement.answers import curve_frequencies_hz, pair_curve
from service.advice.placement.merit import Judge, first_pass_score, merit_db
from service.advice.placement.tolerance import tolerance
from service.physics.loudspeaker.crossover import crossover_response
from service.physics.placement.bulk import WORKERS, bulk_best
from service.physics.placement.candidates import Grid, evenly_spaced_m


@dataclass(frozen=True, kw_only=True)
class _TopsMove:
    """A judge of the tops while the bass sections stand."""

    judge: Judge
    bass_m: np.ndarray

    def merit_db(self, speakers_m, facing_rad, lead_m):
        return float(merit_db(self.parts(speakers_m, facing_rad, lead_m)))

    def parts(self, speakers_m, facing_rad, lead_m):
        places_m = np.concatenate([speakers_m, self.bass_m])
        return self.judge.parts(places_m, np.concatenate([facing_rad, np.zeros(len(self.bass_m))]), lead_m)


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

    def __init__(self, room, speaker, wanted, search):
        self.room, self.speaker, self.wanted, self.search = room, speaker, wanted, search

    def answers(self, answers, best):
        """Return the placements of a search, each with its bass sections, best first."""
        placed = [self._placed(answers, found) for found in best]
        return sorted(placed, key=lambda each: each.merit)

    def as_found(self, answers, frame, found, setting, speakers_m, facing_rad, lead_m):
        """Return the present positions, the bass sections where the speakers are."""
        bass_m = self._below(speakers_m)
        judge = _TopsMove(judge=self._judge(setting), bass_m=bass_m)
        parts = judge.parts(speakers_m, facing_rad, lead_m)
        return self._answer(answers, frame, found.speakers, found.seats, bass_m, parts=parts, tolerance_cm=None)

    def _placed(self, answers, found):
        judge = self._judge(self.search.judge_of(found.limits).setting)
        bass_m = self._best_bass_m(judge, found)
        tops = _TopsMove(judge=judge, bass_m=bass_m)
        parts = tops.parts(found.speakers_m, found.facing_rad, found.lead_m)
        whole = replace(found, parts=parts, merit_db=float(merit_db(parts)))
        reach = tolerance(tops, whole, tried=self.search.effort["tried"])
        speakers, seats = answers.places(found)
        return self._answer(answers, found.limits.frame, speakers, seats, bass_m, parts=parts, tolerance_cm=reach)

    def _answer(self, answers, frame, speakers, seats, bass_m, **judged):
        bass = [frame.place_in_room(place_m, facing_rad=0.0) for place_m in bass_m]
        weights = self._weights(curve_frequencies_hz(), len(speakers))
        curve = pair_curve(
            self.room, [*speakers, *bass], seats[0].xyz_m, radiation=self.speaker.radiation, weights=weights
        )
        return answers.answer(frame, speakers, seats, bass=bass, curve=curve, **judged)

    def _judge(self, setting):
        tops = self.wanted.count
        energy = np.concatenate([np.ones(tops), np.zeros(tops)])
        weights = self._weights(setting.bands.frequency_hz, tops)
        setting = replace(setting, source_weights=weights, middle_energy_ratio=energy)
        return Judge(setting, self.speaker, free_m=self.search.free_m, tops=tops)

    def _weights(self, frequency_hz, tops):
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

    def _below(self, speakers_m):
        bass_m = np.array(speakers_m)
        bass_m[:, 2] = policy.BASS_SECTION_HEIGHT_M
        return bass_m

    def _best_bass_m(self, judge, found):
        """Where the bass sections stand best, (tops, 3): below the tops, or apart where that is better."""
        limits = found.limits
        if "bass" in self.wanted.search.must_stay:
            told = limits.frame.positions(self.wanted.found).speakers
            return self._below([place.xyz_m for place in told])
        grid = self._grid(found)
        choices = [self._below(found.speakers_m)]
        if grid.count:
            score = first_pass_score(grid, dimensions_m=limits.dimensions_m, free_m=self.search.free_m)
            best = bulk_best(
                judge.setting, grid, score=score, most=max(4, self.search.effort["rescored"] // 8), workers=WORKERS
            )
            choices += list(best.candidates.speakers_m[:, self.wanted.count :])
        merits = [
            _TopsMove(judge=judge, bass_m=bass_m).merit_db(found.speakers_m, found.facing_rad, found.lead_m)
            for bass_m in choices
        ]
        return choices[int(np.argmin(merits))]

    def _grid(self, found):
        """Bass sections between the wall behind the speakers and the chair, as far apart as cabinets can be."""
        limits, tops = found.limits, self.wanted.count
        width_m, depth_m = limits.cabinet_m
        furthest_m = max(found.lead_m[0] + limits.seat_offsets_m[:, 0].min() - policy.LEAST_DEPTH_M, depth_m)
        area_m2 = (furthest_m - depth_m) * limits.dimensions_m[1] / tops
        step_m = max(policy.BASS_STEP_M, math.sqrt(area_m2 / policy.BASS_CANDIDATES))
        front_m = evenly_spaced_m(from_m=depth_m, to_m=furthest_m, step_m=step_m)
        middle_m = float(found.speakers_m[:, 1].mean())
        side_m = min(middle_m, limits.dimensions_m[1] - middle_m) - width_m / 2
        if tops == 2:
            half_m = evenly_spaced_m(from_m=width_m / 2, to_m=max(side_m, width_m / 2), step_m=step_m)
            across_m = middle_m + np.multiply.outer(half_m, (-1.0, 1.0))
        else:
            low_m, high_m = width_m / 2, limits.dimensions_m[1] - width_m / 2
            across_m = evenly_spaced_m(from_m=low_m, to_m=high_m, step_m=step_m)[:, None]
        places_m = np.empty((len(across_m), len(front_m), 2 * tops, 3))
        places_m[:, :, :tops] = found.speakers_m
        places_m[:, :, tops:, 0] = front_m[:, None]
        places_m[:, :, tops:, 1] = across_m[:, None]
        places_m[:, :, tops:, 2] = policy.BASS_SECTION_HEIGHT_M
        bass_m = places_m[:, :, tops:]
        clear = limits.cabinets_clear(bass_m, np.zeros(bass_m.shape[:3])).all(axis=2)
        return Grid(
            speakers_m=places_m, seats_m=found.lead_m[None], facing_rad=np.zeros(2 * tops), allowed=clear[..., None]
        )
