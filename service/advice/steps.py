"""What to do next, free before cheap before buy, and which fact would sharpen the answer most."""

import math

from service.advice import policy, wording
from service.advice.answers.whole_job import NextStep, Question
from service.advice.comfort import comfortable_power_w, missing_for_comfort_db

_QUESTIONS = {
    "sensitivity": "Was the sensitivity measured, and where? A test report narrows it; data sheets hold within 2 dB.",
    "basis of the sensitivity": "Is the sensitivity for 1 W or for 2.83 V? The small print of the data sheet says it.",
    "level of the bass": "Does the sensitivity hold in the bass (free field), or was it measured in a wall or above "
    "the baffle step (half space)? The maker can say.",
    "reverberation time": "What are walls, floor and furniture made of? Or record a hand clap: how long it rings is "
    "the reverberation time.",
    "directivity": "Does the maker state a directivity index? The kind of speaker alone gives only a usual value.",
    "distance": "How far is the ear from the front of each speaker? Measure it with a tape.",
    "power of the amplifier": "At which distortion is the power rated, and into which load? It stands on the data "
    "sheet.",
}
"""Part of the uncertainty -> the question that narrows it. What no layman can answer is not asked."""


def questions(parts, uncertainty_db):
    """Return the questions that would narrow the uncertainty most.

    Parameters
    ----------
    parts : list of UncertaintyPart
        The budget. [-]
    uncertainty_db : float
        The combined standard uncertainty. [dB]
    """
    asked = [
        Question(
            about=part.about,
            text=_QUESTIONS[part.about],
            narrows_db=uncertainty_db - math.sqrt(max(uncertainty_db**2 - part.standard_db**2, 0.0)),
        )
        for part in parts
        if part.about in _QUESTIONS and part.standard_db >= policy.WORTH_ASKING_DB
    ]
    return sorted(asked, key=lambda question: -question.narrows_db)[: policy.MOST_QUESTIONS]


def next_steps(level, placed, reverberation):
    """Return at most three things to do, free before cheap before buy.

    Parameters
    ----------
    level : LevelAnswer
        [-]
    placed : PlacementAnswer
        [-]
    reverberation : ReverberationAnswer
        [-]
    """
    steps = []
    if placed.placements and (placed.gain_of_moving_db is None or placed.gain_of_moving_db >= policy.LEAVE_IT_BELOW_DB):
        front_cm = 100 * placed.placements[0].speakers[0].x_m
        steps.append(
            NextStep(
                cost="free",
                text=f"Try the speakers {front_cm:.0f} cm from the wall behind them and the chair where the "
                "tape-measure list says.",
                gain_db=placed.gain_of_moving_db,
            )
        )
    home = reverberation.to_reach[0]
    usable = [option for option in home.options if option.fits]
    if usable and home.absorption_area_m2 >= policy.WORTH_ADDING_M2:
        first = usable[0]
        steps.append(
            NextStep(
                cost="cheap",
                text=f"About {first.area_m2:.0f} m2 of {wording.material_words(first.material)} bring the room to "
                f"{home.time_s:g} s, which helps voices most.",
                gain_db=None,
            )
        )
    missing_db = missing_for_comfort_db(level.verdict_headroom_db)
    if missing_db > 0:
        needed_w = comfortable_power_w(
            level.power_into_rated_w, headroom_db=level.verdict_headroom_db, limits=level.limits
        )
        steps.append(
            NextStep(
                cost="buy",
                text="More watts alone do not bring comfort on the loudest passages: a more efficient speaker does."
                if needed_w is None
                else f"For comfort on the loudest passages look for {wording.watts(needed_w)} a channel.",
                gain_db=missing_db,
            )
        )
    return steps[: policy.MOST_STEPS]
