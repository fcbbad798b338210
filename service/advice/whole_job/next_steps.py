"""What to do next: free before cheap before buy."""

import math

from service.advice import policy
from service.advice.answers.placement import PlacementAnswer
from service.advice.answers.reverberation import ReverberationAnswer
from service.advice.answers.whole_job import NextStep
from service.advice.pairing.inverse import comfortable_power_w, missing_for_comfort_db
from service.advice.pairing.pair import Pair
from service.advice.pairing.seat import moved_nearer, moved_to
from service.domain.position import Place, Positions
from service.domain.words import words

_COSTS = ("free", "cheap", "buy")


def next_steps(pair: Pair, placed: PlacementAnswer | None, reverberation: ReverberationAnswer) -> list[NextStep]:
    """Return at most three things to do, free before cheap before buy.

    Parameters
    ----------
    pair : Pair
        Speaker and amplifier at the chair. [-]
    placed : PlacementAnswer or None
        None where no place was searched for. [-]
    reverberation : ReverberationAnswer
        [-]
    """
    steps = [
        *_of_placement(placed),
        *_of_distance(pair),
        *_of_room(reverberation),
        *_of_purchase(pair),
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


def _of_distance(pair):
    """Where the peaks are short: a nearer chair, if that gains enough, and the same music a little softer."""
    headroom_db = pair.numbers.headroom_db
    if missing_for_comfort_db(headroom_db) <= 0:
        return []
    steps = []
    nearer = _nearer(pair.seat)
    if nearer is not None:
        gain_db = nearer.amplifier_headroom_db - pair.seat.amplifier_headroom_db
        if gain_db >= policy.NEARER_WORTH_DB:
            distances = {"distance_m": nearer.scene.distance_m, "from_m": pair.seat.scene.distance_m}
            steps.append(_step("sit_nearer", "free", gain_db=gain_db, **distances))
    if headroom_db < 0:
        steps.append(_step("play_softer", "free", gain_db=float(math.ceil(-headroom_db))))
    return steps


def _nearer(seat):
    """The speaker with the chair a part of the way nearer to it; None where it is near already."""
    distance_m = seat.scene.distance_m * policy.NEARER_RATIO
    if distance_m < policy.NEAREST_PROPOSED_M:
        return None
    if seat.scene.positions is None:
        return moved_nearer(seat, distance_m)
    speakers, chair = seat.scene.positions.speakers, seat.scene.positions.seats[0]
    middle = [sum(speaker.xyz_m[i] for speaker in speakers) / len(speakers) for i in range(2)]
    x_m, y_m = (m + policy.NEARER_RATIO * (s - m) for m, s in zip(middle, chair.xyz_m, strict=False))
    return moved_to(seat, Positions(speakers=speakers, seats=(Place(x_m=x_m, y_m=y_m, z_m=chair.z_m),)))


def _of_room(reverberation):
    home = reverberation.to_reach[0]
    usable = [option for option in home.options if option.fits]
    if not usable or home.absorption_area_m2 < policy.WORTH_ADDING_M2:
        return []
    first = usable[0]
    return [_step("add_absorption", "cheap", area_m2=first.area_m2, material=first.material, time_s=home.time_s)]


def _of_purchase(pair):
    steps, numbers, speaker = [], pair.numbers, pair.speaker
    missing_db = missing_for_comfort_db(numbers.headroom_db)
    if missing_db > 0:
        needed_w = comfortable_power_w(
            numbers.power_into_speaker_w, headroom_db=numbers.headroom_db, limits=pair.limits
        )
        if needed_w is None:
            sensitivity_db = speaker.sensitivity_db_1w_1m + missing_db
            steps.append(_step("more_sensitive_speaker", "buy", gain_db=missing_db, sensitivity_db=sensitivity_db))
        else:
            steps.append(_step("more_watts", "buy", gain_db=missing_db, power_w=needed_w))
    if speaker.low_limit_hz > policy.BASS_ENDS_FROM_HZ and speaker.bass_section_below_hz is None:
        steps.append(_step("bass_section", "buy"))
    return steps
