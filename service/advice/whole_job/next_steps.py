"""What to do next, free before cheap before buy, and which fact would sharpen the answer most."""

import dataclasses
import math

from service.advice import policy
from service.advice.answers.common import Question
from service.advice.answers.whole_job import NextStep
from service.advice.assumptions import Assumptions
from service.advice.pairing.comfort import comfortable_power_w, missing_for_comfort_db
from service.advice.pairing.level_basis import level_basis
from service.advice.pairing.uncertainty import standard_db
from service.domain.position import Place, Positions
from service.domain.words import words

_COSTS = ("free", "cheap", "buy")


def questions(parts, turned_round):
    """Return the questions that would narrow the uncertainty of the headroom most.

    A question narrows everything that the fields which answer it narrow: length and width settle both the size of the
    room and the bass at the chair.

    Parameters
    ----------
    parts : list of Contribution
        The budget. [-]
    turned_round : TurnedRound or None
        What is looked for; only its kind can be asked, nobody has its data sheet. [-]
    """
    now_db = standard_db(parts)
    asked = {}
    for part in parts:
        if not part.pointers or part.pointers in asked or _is_of(part, turned_round):
            continue
        told = set(part.pointers)
        after_db = math.sqrt(
            sum(
                (each.told_standard_db if each.pointers and set(each.pointers) <= told else each.standard_db) ** 2
                for each in parts
            )
        )
        asked[part.pointers] = Question(
            about=part.about,
            pointers=list(part.pointers),
            text=words(f"questions.{part.question}"),
            where=words(f"questions.{part.question}.where"),
            narrows_db=now_db - after_db,
        )
    worth = [question for question in asked.values() if question.narrows_db >= policy.WORTH_ASKING_DB]
    return _distinct(sorted(worth, key=lambda question: -question.narrows_db))[: policy.MOST_QUESTIONS]


def _is_of(part, turned_round):
    """Whether only the data sheet of what is looked for could answer."""
    if turned_round is None:
        return False
    block = f"/{turned_round.looked_for}/"
    return any(pointer.startswith(block) and pointer != f"{block}kind" for pointer in part.pointers)


def _distinct(asked):
    """Questions that do not ask for a field that an earlier one asked for."""
    found, fields = [], set()
    for question in asked:
        if fields.isdisjoint(question.pointers):
            found.append(question)
            fields.update(question.pointers)
    return found


def next_steps(request, basis, level, placed, reverberation):
    """Return at most three things to do, free before cheap before buy.

    Parameters
    ----------
    request : LevelRequest
        [-]
    basis : LevelBasis
        [-]
    level : LevelAnswer
        [-]
    placed : PlacementAnswer or None
        None where no place was searched for. [-]
    reverberation : ReverberationAnswer
        [-]
    """
    steps = [
        *_of_placement(placed),
        *_of_distance(request, basis, level),
        *_of_room(reverberation),
        *_of_purchase(basis, level),
    ]
    best_of_each = [next((step for step in steps if step.cost == cost), None) for cost in _COSTS]
    chosen = [step for step in best_of_each if step is not None]
    chosen += [step for step in steps if step not in chosen]
    return sorted(chosen[: policy.MOST_STEPS], key=lambda step: _COSTS.index(step.cost))


def _step(code, cost, *, gain_db=None, **values):
    return NextStep(code=code, cost=cost, text=words(f"steps.{code}", gain_db=gain_db, **values), gain_db=gain_db)


def _of_placement(placed):
    if placed is None or not placed.placements:
        return []
    front_cm = placed.placements[0].tape_measure[0].cm
    gain_db = placed.gain_of_moving_db
    if gain_db is None:
        return [_step("place", "free", front_wall_distance_cm=front_cm)]
    if gain_db < policy.LEAVE_IT_BELOW_DB:
        return []
    return [_step("move", "free", gain_db=gain_db, front_wall_distance_cm=front_cm)]


def _of_distance(request, basis, level):
    """Where the peaks are short: a nearer chair, if that gains enough, and the same music a little softer."""
    if missing_for_comfort_db(level.verdict_headroom_db) <= 0:
        return []
    steps = []
    nearer = _nearer(request, basis)
    if nearer is not None:
        there = level_basis(nearer, Assumptions())
        gain_db = there.amplifier_headroom_db() - basis.amplifier_headroom_db()
        if gain_db >= policy.NEARER_WORTH_DB:
            steps.append(
                _step("sit_nearer", "free", gain_db=gain_db, distance_m=there.distance_m, from_m=basis.distance_m)
            )
    if level.verdict_headroom_db < 0:
        steps.append(_step("play_softer", "free", gain_db=float(math.ceil(-level.verdict_headroom_db))))
    return steps


def _nearer(request, basis):
    """The request with the chair a part of the way nearer to the speakers; None where it is near already."""
    if basis.distance_m * policy.NEARER_RATIO < policy.NEAREST_PROPOSED_M:
        return None
    if basis.positions is None:
        return dataclasses.replace(request, listening_distance_m=basis.distance_m * policy.NEARER_RATIO)
    speakers, seat = basis.positions.speakers, basis.positions.seats[0]
    middle = [sum(speaker.xyz_m[i] for speaker in speakers) / len(speakers) for i in range(2)]
    x_m, y_m = (m + policy.NEARER_RATIO * (s - m) for m, s in zip(middle, seat.xyz_m, strict=False))
    positions = Positions(speakers=speakers, seats=(Place(x_m=x_m, y_m=y_m, z_m=seat.z_m),))
    return dataclasses.replace(request, positions=positions, as_found=None, listening_distance_m=None)


def _of_room(reverberation):
    home = reverberation.to_reach[0]
    usable = [option for option in home.options if option.fits]
    if not usable or home.absorption_area_m2 < policy.WORTH_ADDING_M2:
        return []
    first = usable[0]
    return [_step("add_absorption", "cheap", area_m2=first.area_m2, material=first.material, time_s=home.time_s)]


def _of_purchase(basis, level):
    steps = []
    missing_db = missing_for_comfort_db(level.verdict_headroom_db)
    if missing_db > 0:
        needed_w = comfortable_power_w(
            level.power_into_rated_w, headroom_db=level.verdict_headroom_db, limits=level.limits
        )
        if needed_w is None:
            sensitivity_db = basis.speaker.sensitivity_db_1w_1m + missing_db
            steps.append(_step("more_sensitive_speaker", "buy", gain_db=missing_db, sensitivity_db=sensitivity_db))
        else:
            steps.append(_step("more_watts", "buy", gain_db=missing_db, power_w=needed_w))
    if basis.speaker.low_limit_hz > policy.BASS_ENDS_FROM_HZ and basis.speaker.bass_section_below_hz is None:
        steps.append(_step("bass_section", "buy"))
    return steps
