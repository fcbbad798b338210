"""The question turned round: no amplifier told gives the watts needed, no speaker told the sensitivity needed.

What is missing is filled in with what would be comfortable, so that every other part of the answer holds for it.
"""

import dataclasses
import math

from service.advice import policy
from service.advice.assumptions import DEFAULTS, Assumptions
from service.advice.pairing.level_basis import level_basis
from service.domain.equipment import Amplifier, Loudspeaker
from service.domain.limits import LIMITS
from service.domain.words import words

_TRIED_POWER_W = 1.0
_TRIED_SENSITIVITY_DB = 95.0


@dataclasses.dataclass(frozen=True, kw_only=True)
class TurnedRound:
    """What was looked for, and whether it is out of reach."""

    looked_for: str
    out_of_reach: bool


def completed(request, assume):
    """Return the request with a missing amplifier or speaker filled in, and what was looked for.

    Parameters
    ----------
    request : LevelRequest
        With a speaker, an amplifier, or both. [-]
    assume : Assumptions
        Receives what was filled in. [-]

    Returns
    -------
    tuple of LevelRequest and TurnedRound or None
        None when nothing was missing.
    """
    if request.amplifier is None:
        return _with_amplifier(request, assume)
    if request.speaker is None:
        return _with_speaker(request, assume)
    return request, None


def _with_amplifier(request, assume):
    """The amplifier that is comfortable, its power rounded up to two digits and into the speaker's own load."""
    impedance_ohm = request.speaker.nominal_impedance_ohm or DEFAULTS["nominal_impedance_ohm"].value

    def having(power_w):
        amplifier = Amplifier(power_w=power_w, load_ohm=impedance_ohm)
        return dataclasses.replace(request, amplifier=amplifier)

    headroom_db = level_basis(having(_TRIED_POWER_W), Assumptions()).amplifier_headroom_db()
    wanted_w = _TRIED_POWER_W * 10 ** ((policy.COMFORTABLE_HEADROOM_DB - headroom_db) / 10)
    wanted_w = _rounded_up(max(wanted_w, LIMITS["power_w"].minimum))
    power_w = min(wanted_w, policy.MOST_SENSIBLE_POWER_W)
    why = words("assumptions.amplifier_looked_for")
    assume.add("/amplifier/power_w", power_w, why=why, source="ours")
    assume.add("/amplifier/load_ohm", impedance_ohm, why=why, source="ours")
    out_of_reach = wanted_w > 2 * policy.MOST_SENSIBLE_POWER_W
    return having(power_w), TurnedRound(looked_for="amplifier", out_of_reach=out_of_reach)


def _with_speaker(request, assume):
    """The speaker that is comfortable, its sensitivity rounded up to half a decibel."""

    def having(sensitivity_db):
        return dataclasses.replace(request, speaker=Loudspeaker(sensitivity_db_1w_1m=sensitivity_db))

    headroom_db = level_basis(having(_TRIED_SENSITIVITY_DB), Assumptions()).amplifier_headroom_db()
    wanted_db = math.ceil(2 * (_TRIED_SENSITIVITY_DB + policy.COMFORTABLE_HEADROOM_DB - headroom_db)) / 2
    most_db = policy.ASK_FOR_DIRECTIVITY_ABOVE_DB
    sensitivity_db = min(max(wanted_db, LIMITS["sensitivity_db"].minimum), most_db)
    assume.add(
        "/speaker/sensitivity_db_1w_1m",
        sensitivity_db,
        why=words("assumptions.speaker_looked_for"),
        source="ours",
    )
    out_of_reach = wanted_db - policy.COMFORTABLE_HEADROOM_DB > most_db
    return having(sensitivity_db), TurnedRound(looked_for="speaker", out_of_reach=out_of_reach)


def _rounded_up(power_w):
    """A power rounded up to two digits. [W]"""
    step = 10.0 ** (math.floor(math.log10(power_w)) - 1)
    return float(f"{math.ceil(power_w / step - 1e-9) * step:.2g}")
