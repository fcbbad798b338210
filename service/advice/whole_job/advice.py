"""The whole job: verdict, level, room, bass, placement, what to do and what to ask, from one request."""

import dataclasses

from service.advice import policy
from service.advice.answers.level import LevelPart
from service.advice.answers.modes import ModesPart
from service.advice.answers.placement import PlacementPart
from service.advice.answers.reverberation import ReverberationPart
from service.advice.answers.whole_job import (
    AdviceAnswer,
    AllowedAnswer,
    HeadroomAnswer,
    LeftOut,
    RecommendedLevelAnswer,
    VerdictAnswer,
)
from service.advice.assumptions import DEFAULTS, Assumptions
from service.advice.findings import wording
from service.advice.level.level import level_answer
from service.advice.match.match import compared_amplifiers, match_part, with_best_amplifier
from service.advice.pairing.inverse import completed
from service.advice.pairing.level_basis import level_basis
from service.advice.pairing.uncertainty import contributions
from service.advice.placement.answers import pair_curve
from service.advice.placement.placement import placed_speaker, placement_answer
from service.advice.places.as_found import with_sides_mapped
from service.advice.room_questions.modes import modes_answer
from service.advice.room_questions.reverberation import reverberation_answer
from service.advice.whole_job.next_steps import next_steps, questions
from service.domain.position import Place, Positions
from service.domain.words import words
from service.physics.hearing.daily_dose import niosh_allowed_hours
from service.physics.hearing.equal_energy import WHO_ITU_ADULT_WEEK, who_itu_allowed_hours

PARTS = (
    "verdict",
    "level",
    "headroom",
    "match",
    "room",
    "modes",
    "response",
    "placement",
    "exposure",
    "next_steps",
    "ask_next",
    "inputs",
)
"""Parts of the answer that a request may ask for. Findings, cautions and assumptions come with any of them."""

_NEED_SIDES = frozenset(("modes", "response", "placement"))


def advice(request):
    """Answer POST /v1/advice.

    Parameters
    ----------
    request : AdviceRequest
        As told. [-]

    Returns
    -------
    AdviceAnswer

    Raises
    ------
    DomainError
        Facts that do not fit together.
    """
    assume = Assumptions()
    request = with_best_amplifier(with_sides_mapped(request, assume), assume)
    request, turned_round = completed(request, assume)
    return _Job(request, assume, turned_round).answer()


class _Job:
    """One request on its way: each part is computed when it is wanted, and once."""

    def __init__(self, request, assume, turned_round):
        self.request, self.assume, self.turned_round = request, assume, turned_round
        self.asked = frozenset(request.include or PARTS)
        self.basis = level_basis(request, assume)
        self.level = level_answer(request, self.basis, assume, turned_round=turned_round)
        self.findings, self.cautions = list(self.level.findings), list(self.level.cautions)
        self.has_sides = self.basis.room.sides_are_known
        self.has_match = turned_round is None and bool(compared_amplifiers(request))

    def wants(self, *parts):
        """Whether one of some parts is asked for and can be had."""
        return any(part in self.asked and (self.has_sides or part not in _NEED_SIDES) for part in parts)

    def answer(self):
        basis, room, level = self.basis, self.basis.room, self.level
        reverberation = None
        if self.wants("room", "next_steps"):
            reverberation = reverberation_answer(room, include_air=True, assumptions=[])
        placed = self._placed() if self.has_sides and self.wants("placement", "next_steps") else None
        modes = self._modes() if self.wants("modes") else None
        matched = None
        if self.wants("match", "inputs") and self.has_match:
            matched = match_part(self.request, self.assume)
        curve = None
        if self.wants("response"):
            lead = basis.positions.seats[0].xyz_m
            curve = pair_curve(room, basis.positions.speakers, lead, radiation=basis.speaker.radiation)
        parts = {
            "verdict": self._verdict(),
            "level": _part(LevelPart, level),
            "headroom": self._headroom(placed),
            "match": matched,
            "room": reverberation and _part(ReverberationPart, reverberation),
            "modes": modes and _part(ModesPart, modes),
            "response": curve,
            "placement": placed and _part(PlacementPart, placed),
            "exposure": _allowed(level.average_at_target_dba),
        }
        if self.wants("next_steps"):
            parts["next_steps"] = next_steps(self.request, basis, level, placed, reverberation)
        if self.wants("ask_next"):
            parts["ask_next"] = questions(contributions(self.request, basis), self.turned_round)
        assumptions = self.assume.listed()
        parts["inputs"] = self.assume.completing() if self.wants("inputs") else None
        return AdviceAnswer(
            **{part: parts.get(part) if part in self.asked else None for part in PARTS},
            left_out=self._left_out(),
            findings=_each_once(self.findings),
            cautions=_each_once(self.cautions),
            assumptions=assumptions,
        )

    def _placed(self):
        request, assume = self.request, self.assume
        standing = self.basis.standing
        found = standing.positions if standing.found else None
        speaker = placed_speaker(request.speaker, assume)
        placed = placement_answer(self.basis.room, speaker, request, present=found, assume=assume)
        self.findings += placed.findings
        self.cautions += placed.cautions
        return placed

    def _modes(self):
        positions = self.basis.positions
        modes = modes_answer(self.basis.room, to_hz=DEFAULTS["to_hz"].value, positions=positions, assumptions=[])
        self.findings += modes.findings
        return modes

    def _verdict(self):
        level = self.level
        headroom_db, uncertainty_db = level.verdict_headroom_db, level.headroom_uncertainty_db
        grade = None
        if self.turned_round is None:
            grade = wording.grade_of_headroom(headroom_db, uncertainty_db)
        return VerdictAnswer(
            grade=grade,
            headline=wording.headline(
                grade,
                power_w=level.power_into_rated_w,
                headroom_db=headroom_db,
                power=level.power_needed_w,
                sensitivity_needed_db=level.sensitivity_needed_db_1w_1m,
                turned_round=self.turned_round,
            ),
            confidence=wording.confidence_of(uncertainty_db),
        )

    def _headroom(self, placed):
        level = self.level
        return HeadroomAnswer(
            headroom_db=level.verdict_headroom_db,
            uncertainty_db=level.headroom_uncertainty_db,
            clean_peak_chance_pct=level.clean_peak_chance_pct,
            at_recommended_place=self._recommended_level(placed) if self.wants("headroom") else None,
        )

    def _recommended_level(self, placed):
        if placed is None or not placed.placements:
            return None
        best = placed.placements[0]
        positions = Positions(
            speakers=tuple(
                Place(x_m=place.x_m, y_m=place.y_m, z_m=place.z_m, facing_deg=place.facing_deg)
                for place in best.speakers
            ),
            seats=tuple(Place(x_m=seat.x_m, y_m=seat.y_m, z_m=seat.z_m) for seat in best.seats),
        )
        there = dataclasses.replace(self.request, positions=positions, as_found=None, listening_distance_m=None)
        assume = Assumptions()
        level = level_answer(there, level_basis(there, assume), assume, turned_round=self.turned_round)
        return RecommendedLevelAnswer(
            peak_spl_db=level.peak_spl_db, short_peak_db=level.short_peak_db, headroom_db=level.verdict_headroom_db
        )

    def _left_out(self):
        found = []
        for part in PARTS:
            reason = None
            if part not in self.asked:
                reason = "not_asked_for"
            elif part in _NEED_SIDES and not self.has_sides:
                reason = "needs_length_and_width"
            elif part == "match" and not self.has_match:
                reason = "nothing_to_match"
            if reason is not None:
                found.append(LeftOut(part=part, reason=reason, text=words(f"reasons.{reason}")))
        return found


def _part(part, answer):
    """The numbers of an answer, without the findings that the whole advice lists once."""
    return part(**{field.name: getattr(answer, field.name) for field in dataclasses.fields(part)})


def _each_once(items):
    return list({item.code: item for item in reversed(items)}.values())[::-1]


def _allowed(level_dba):
    """How long the level at the target is allowed; a level too low to count is allowed all day and week."""
    niosh_hours = float(niosh_allowed_hours(level_dba))
    week_hours = float(who_itu_allowed_hours(level_dba, weekly_limit=WHO_ITU_ADULT_WEEK))
    return AllowedAnswer(
        average_level_dba=level_dba,
        niosh_hours_a_day=min(niosh_hours, policy.HOURS_A_DAY),
        who_itu_adult_hours_a_week=min(week_hours, policy.HOURS_A_WEEK),
    )
