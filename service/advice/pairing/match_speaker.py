"""A speaker at its seat, settled once for all amplifiers that are compared on it: levels at one watt, other limits."""

import dataclasses
from dataclasses import dataclass

import numpy as np

from service.advice.assumptions import Assumptions
from service.advice.pairing.level_basis import LevelBasis, level_basis
from service.advice.pairing.limits import level_limits
from service.advice.pairing.match_places import AssumptionsAt, refusals_at
from service.advice.pairing.settled import settled_speaker
from service.advice.pairing.uncertainty import Contribution, contributions, standard_db
from service.domain.equipment import Amplifier, Loudspeaker
from service.domain.load import Cable
from service.domain.requests import LevelRequest
from service.domain.words import Words

_SETTLED_WITH_W = 1.0
_ANY_SPEED_OF_SOUND_M_S = 343.0


@dataclass(frozen=True, kw_only=True, eq=False)
class SpeakerAtSeat:
    """One speaker in its room with its programme, and an amplifier of one watt, to which others add their decibels.

    `other_limit_db` is the lowest level that anything but the amplifier ends, infinite where nothing does;
    `parts` are the contributions to the uncertainty without that of the amplifier.
    """

    name: Words
    told: Loudspeaker
    places: dict[str, str]
    request: LevelRequest
    cable: Cable | None
    basis: LevelBasis
    peak_1w_db: float
    short_1w_db: float
    in_phase_1w_db: float
    target_db: float
    other_limit_db: float
    parts: list[Contribution]
    rest_standard_db: float
    octaves_re_1m_db: np.ndarray


def speaker_at_seat(request, told, *, pointer, name, assume):
    """Settle a speaker, its room, its places and the programme.

    Parameters
    ----------
    request : MatchRequest or AdviceRequest
        With everything but the speaker. [-]
    told : Loudspeaker
        As told. [-]
    pointer : str
        Where it stands in the request. [-]
    name : Words
        What to call it. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]

    Returns
    -------
    SpeakerAtSeat
    """
    places = {"/speaker": pointer}
    assume = AssumptionsAt(assume, places)
    with refusals_at(places):
        basis, of_one_watt = _basis(request, told, assume)
    peak_db, short_db, in_phase_db = basis.at_seat_db().tolist()
    others = [limit for limit in level_limits(told, basis, peak_db=peak_db) if limit.code != "amplifier_clipping"]
    parts = [part for part in contributions(of_one_watt, basis) if part.about != "amplifier_power"]
    return SpeakerAtSeat(
        name=name,
        told=told,
        places=places,
        request=of_one_watt,
        cable=request.cable,
        basis=basis,
        peak_1w_db=peak_db,
        short_1w_db=short_db,
        in_phase_1w_db=in_phase_db,
        target_db=basis.programme.peak_target_db,
        other_limit_db=min((limit.peak_spl_db for limit in others), default=float("inf")),
        parts=parts,
        rest_standard_db=standard_db(parts),
        octaves_re_1m_db=basis.octaves.level_db - basis.level_at_1m_db,
    )


def _basis(request, told, assume):
    """The basis with one watt into the speaker's own rated impedance, and the request for it, cable left out."""
    # the rated impedance does not depend on the air
    impedance_ohm = settled_speaker(told, Assumptions(), speed_of_sound_m_s=_ANY_SPEED_OF_SOUND_M_S).impedance_ohm
    facts = {field.name: getattr(request, field.name) for field in dataclasses.fields(LevelRequest)}
    one_watt = Amplifier(power_w=_SETTLED_WITH_W, load_ohm=impedance_ohm)
    of_speaker = LevelRequest(**{**facts, "speaker": told, "amplifier": one_watt, "cable": None})
    return level_basis(of_speaker, assume), of_speaker
