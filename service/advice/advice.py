"""The whole job: verdict, level, room, bass, placement, what to do and what to ask, from one request."""

import dataclasses

from service.advice import policy, wording
from service.advice.answers.level import LevelPart
from service.advice.answers.modes import ModesPart
from service.advice.answers.placement import PlacementPart
from service.advice.answers.reverberation import ReverberationPart
from service.advice.answers.whole_job import AdviceAnswer, AllowedAnswer, HeadroomAnswer, VerdictAnswer
from service.advice.assumptions import DEFAULTS, Assumptions, filled_in
from service.advice.level import level_answer, level_basis
from service.advice.modes import modes_answer
from service.advice.placement import pair_curve, placed_speaker, placement_answer
from service.advice.reverberation import reverberation_answer
from service.advice.steps import next_steps, questions
from service.physics.hearing import WHO_ITU_ADULT_WEEK, niosh_allowed_hours, who_itu_allowed_hours


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
    basis = level_basis(request, assume)
    room = basis.room
    level = level_answer(request, basis, assume)
    reverberation = reverberation_answer(room, include_air=True, assumptions=[])
    modes = modes_answer(room, to_hz=DEFAULTS["to_hz"].value, positions=basis.positions, assumptions=[])
    found = basis.positions if request.positions is not None else None
    speaker = placed_speaker(request.speaker, assume)
    placed = placement_answer(room, speaker, request, found=found, assume=assume)
    headroom = HeadroomAnswer(
        headroom_db=level.verdict_headroom_db,
        uncertainty_db=level.uncertainty_db,
        clean_peak_chance_pct=level.clean_peak_chance_pct,
    )
    grade = wording.grade_of_headroom(headroom.headroom_db, headroom.uncertainty_db)
    lead = basis.positions.seats[0].xyz_m
    return AdviceAnswer(
        verdict=VerdictAnswer(
            grade=grade,
            headline=wording.headline(grade, power_w=basis.amplifier.power_w, headroom_db=headroom.headroom_db),
            confidence=wording.confidence_of(headroom.uncertainty_db),
        ),
        level=_part(LevelPart, level),
        headroom=headroom,
        room=_part(ReverberationPart, reverberation),
        modes=_part(ModesPart, modes),
        response=pair_curve(room, basis.positions.speakers, lead, radiation=basis.speaker.radiation),
        placement=_part(PlacementPart, placed),
        exposure=_allowed(level.average_at_target_dba),
        next_steps=next_steps(level, placed, reverberation),
        ask_next=questions(level.uncertainty_parts, level.uncertainty_db),
        findings=_each_once([*level.findings, *placed.findings, *modes.findings]),
        cautions=_each_once([*level.cautions, *placed.cautions]),
        assumptions=assume.listed(),
        inputs=filled_in(request.as_posted, assume.listed()),
    )


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
