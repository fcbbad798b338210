"""The inverse question: no amplifier told gives the watts that are needed, no speaker told the sensitivity.

What is missing is filled in with what would be comfortable, so that every other part of the answer holds for it.
"""

import dataclasses
import math
from collections.abc import Callable
from dataclasses import dataclass

from service.advice import policy
from service.advice.answers.level import LimitAnswer
from service.advice.assumptions import Assumptions
from service.advice.pairing.seat import SpeakerAtSeat
from service.domain.equipment import Amplifier, Loudspeaker
from service.domain.limits import LIMITS
from service.domain.requests import PairingRequest
from service.domain.words import words

_TRIED_POWER_W = 1.0
_TRIED_SENSITIVITY_DB = 95.0


@dataclass(frozen=True, kw_only=True)
class Inverse:
    """What was looked for, speaker or amplifier, and whether it is out of reach."""

    looked_for: str
    out_of_reach: bool


def one_watt(seat: SpeakerAtSeat) -> Amplifier:
    """Return an amplifier of one watt into the rated impedance of a speaker, with which a power is tried."""
    return Amplifier(power_w=_TRIED_POWER_W, load_ohm=seat.load.rated_ohm)


def amplifier_looked_for(seat: SpeakerAtSeat, assume: Assumptions, *, headroom_db: float) -> tuple[Amplifier, Inverse]:
    """Return the amplifier that is comfortable, its power rounded up to two digits and into the speaker's own load.

    Parameters
    ----------
    seat : SpeakerAtSeat
        [-]
    assume : Assumptions
        Receives what was filled in. [-]
    headroom_db : float
        What `one_watt` leaves above the loudest peaks. [dB]
    """
    wanted_w = _TRIED_POWER_W * 10 ** ((policy.COMFORTABLE_HEADROOM_DB - headroom_db) / 10)
    wanted_w = _rounded_up(max(wanted_w, LIMITS["power_w"].minimum))
    power_w = min(wanted_w, policy.MOST_SENSIBLE_POWER_W)
    amplifier = Amplifier(power_w=power_w, load_ohm=seat.load.rated_ohm)
    why = words("assumptions.amplifier_looked_for")
    assume.add(amplifier.pointer("power_w"), power_w, why=why, source="ours")
    assume.add(amplifier.pointer("load_ohm"), amplifier.load_ohm, why=why, source="ours")
    out_of_reach = wanted_w > 2 * policy.MOST_SENSIBLE_POWER_W
    return amplifier, Inverse(looked_for="amplifier", out_of_reach=out_of_reach)


def speaker_looked_for(
    request: PairingRequest, assume: Assumptions, *, headroom_db_of: Callable[[PairingRequest], float]
) -> tuple[PairingRequest, Inverse]:
    """Return the request with the speaker that is comfortable, its sensitivity rounded up to half a decibel.

    Parameters
    ----------
    request : PairingRequest
        With an amplifier. [-]
    assume : Assumptions
        Receives what was filled in. [-]
    headroom_db_of : callable
        What the amplifier alone leaves above the loudest peaks, of a request with a speaker. [dB]
    """

    tried = Loudspeaker(sensitivity_db_1w_1m=_TRIED_SENSITIVITY_DB)
    headroom_db = headroom_db_of(dataclasses.replace(request, speaker=tried))
    wanted_db = math.ceil(2 * (_TRIED_SENSITIVITY_DB + policy.COMFORTABLE_HEADROOM_DB - headroom_db)) / 2
    most_db = policy.ASK_FOR_DIRECTIVITY_ABOVE_DB
    sensitivity_db = min(max(wanted_db, LIMITS["sensitivity_db"].minimum), most_db)
    speaker = Loudspeaker(sensitivity_db_1w_1m=sensitivity_db)
    assume.add(
        speaker.pointer("sensitivity_db_1w_1m"),
        sensitivity_db,
        why=words("assumptions.speaker_looked_for"),
        source="ours",
    )
    out_of_reach = wanted_db - policy.COMFORTABLE_HEADROOM_DB > most_db
    return dataclasses.replace(request, speaker=speaker), Inverse(looked_for="speaker", out_of_reach=out_of_reach)


def _rounded_up(power_w: float) -> float:
    """A power rounded up to two digits. [W]"""
    step = 10.0 ** (math.floor(math.log10(power_w)) - 1)
    return float(f"{math.ceil(power_w / step - 1e-9) * step:.2g}")


def missing_for_comfort_db(headroom_db: float) -> float:
    """Return what a headroom lacks to be comfortable, 0 when it is enough. [dB]"""
    return max(policy.COMFORTABLE_HEADROOM_DB - headroom_db, 0.0)


def comfortable_power_w(power_w: float, *, headroom_db: float, limits: list[LimitAnswer]) -> float | None:
    """Return the power with which the headroom would be comfortable, None where watts alone do not bring it.

    Parameters
    ----------
    power_w : float
        Power now. [W]
    headroom_db : float
        Above the loudest peaks. [dB]
    limits : list of LimitAnswer
        What ends the level, lowest first: watts help only as far as nothing else ends it. [-]
    """
    missing_db = missing_for_comfort_db(headroom_db)
    needed_w = power_w * 10 ** (missing_db / 10)
    first, *others = limits
    held_down = first.code != "amplifier_clipping" or any(
        limit.peak_spl_db < first.peak_spl_db + missing_db for limit in others
    )
    return None if held_down or needed_w > policy.MOST_SENSIBLE_POWER_W else needed_w
