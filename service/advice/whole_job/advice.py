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
from service.advice.level.level import level_answer
from service.advice.match.match import match_part
from service.advice.pairing.grade import confidence_of
from service.advice.pairing.pairing import paired
from service.advice.pairing.questions import questions
from service.advice.pairing.reasons import headline
from service.advice.pairing.seat import moved_to
from service.advice.placement.answers import pair_curve
from service.advice.placement.placement import placed_speaker, placement_answer
from service.advice.places.as_found import with_sides_mapped
from service.advice.room_questions.modes import modes_answer
from service.advice.room_questions.reverberation import reverberation_answer
from service.advice.whole_job.next_steps import next_steps
from service.domain.position import Place, Positions
from service.domain.requests import AdviceRequest
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


def advice(request: AdviceRequest) -> AdviceAnswer:
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
    return _Job(with_sides_mapped(request, assume), assume).answer()


class _Job:
    """One request on its way: each part is computed when it is wanted, and once."""

    def __init__(self, request, assume):
        self.request, self.assume, self.comparing = request, assume, Assumptions()
        self.asked = frozenset(request.include or PARTS)
        self.has_match = request.speaker is not None and bool(request.all_amplifiers)
        self.pairing = paired(request, assume, comparing=self.comparing if self._compares() else None)
        self.scene, self.pair, self.inverse = self.pairing.scene, self.pairing.leading, self.pairing.inverse
        self.level = level_answer(self.pairing, assume)
        self.findings, self.cautions = list(self.level.findings), list(self.level.cautions)
        self.has_sides = self.scene.room.sides_are_known

    def _compares(self):
        """Whether amplifiers are compared: because it is asked for, or to find the best of a list."""
        best_of_list = self.request.amplifier is None and bool(self.request.amplifiers)
        return self.has_match and (best_of_list or not self.asked.isdisjoint(("match", "inputs")))

    def wants(self, *parts):
        """Whether one of some parts is asked for and can be had."""
        return any(part in self.asked and (self.has_sides or part not in _NEED_SIDES) for part in parts)

    def answer(self):
        room, level = self.scene.room, self.level
        reverberation = None
        if self.wants("room", "next_steps"):
            reverberation = reverberation_answer(room, include_air=True, assumptions=[])
        placed = self._placed() if self.has_sides and self.wants("placement", "next_steps") else None
        modes = self._modes() if self.wants("modes") else None
        matched = None
        if self.wants("match", "inputs") and self.has_match:
            self.assume.extend(self.comparing.listed())
            matched = match_part(self.pairing, self.assume)
        curve = None
        if self.wants("response"):
            positions = self.scene.positions
            lead = positions.seats[0].xyz_m
            curve = pair_curve(room, positions.speakers, lead, radiation=self.pair.speaker.radiation)
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
            parts["next_steps"] = next_steps(self.pair, placed, reverberation)
        if self.wants("ask_next"):
            parts["ask_next"] = questions(self.pair.parts, self.inverse)
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
        places = self.scene.places
        found = places.positions if places.found else None
        told = request if request.speaker is not None else dataclasses.replace(request, speaker=self.pair.seat.told)
        speaker = placed_speaker(told.speaker, assume)
        placed = placement_answer(self.scene.room, speaker, told, present=found, assume=assume)
        self.findings += placed.findings
        self.cautions += placed.cautions
        return placed

    def _modes(self):
        modes = modes_answer(
            self.scene.room, to_hz=DEFAULTS["to_hz"].value, positions=self.scene.positions, assumptions=[]
        )
        self.findings += modes.findings
        return modes

    def _verdict(self):
        return VerdictAnswer(
            grade=policy.GRADES[self.pair.power_grade] if self.inverse is None else None,
            headline=headline(self.pair, self.inverse),
            confidence=confidence_of(self.pair.numbers.headroom_standard_db),
        )

    def _headroom(self, placed):
        numbers = self.pair.numbers
        return HeadroomAnswer(
            headroom_db=numbers.headroom_db,
            uncertainty_db=numbers.headroom_standard_db,
            clean_peak_chance_pct=numbers.clean_peak_chance_pct,
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
        there = self.pair.numbers_at(moved_to(self.pair.seat, positions))
        return RecommendedLevelAnswer(
            peak_spl_db=there.peak_db, short_peak_db=there.short_peak_db, headroom_db=there.headroom_db
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
    shown = vars(answer)
    return part(**{field.name: shown[field.name] for field in dataclasses.fields(part)})


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
