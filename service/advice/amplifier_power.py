"""What an amplifier delivers into the speaker: the physics' model fed with the facts of the request."""

import functools
from dataclasses import dataclass

from service.advice import policy
from service.advice.assumptions import Default
from service.advice.words import Words, words
from service.domain.errors import DomainError
from service.physics.chain.amplifier import amplifier_model, power_into_w
from service.physics.checks import OutOfRangeError
from service.physics.uncertainty import standard_from_half_width
from service.tables.loader import amplifier_kinds

_UNTOLD_KIND_BEHAVIOUR = "voltage_source"


@dataclass(frozen=True, kw_only=True)
class AmplifierPower:
    """An amplifier on this speaker.

    `told_standard_db` is the uncertainty if its power into this speaker's impedance were told. The rating is the one
    with the most power.
    """

    power_w: float
    how: Words
    standard_db: float
    told_standard_db: float
    rated_power_w: float
    rated_load_ohm: float


def behaviour_of(kind):
    """Return how an amplifier of a kind answers to a load off its rating."""
    return _UNTOLD_KIND_BEHAVIOUR if kind is None else amplifier_kinds()[kind].behaviour


def rating_standard_db(kind):
    """Return the standard uncertainty of the rated power of an amplifier of a kind, which may be unknown. [dB]"""
    if kind is None:
        return policy.UNTOLD_KIND_POWER_STANDARD_DB
    usual = amplifier_kinds()[kind]
    return float(standard_from_half_width((usual.tolerance_high_db - usual.tolerance_low_db) / 2))


@functools.lru_cache(maxsize=256)
def _model(loads_ohm, powers_w, behaviour, current_limit_a):
    """The fitted model, kept for the next request about the same amplifier."""
    return amplifier_model(loads_ohm=loads_ohm, powers_w=powers_w, behaviour=behaviour, current_limit_a=current_limit_a)


def amplifier_power(amplifier, assume, *, impedance_ohm):
    """Settle the amplifier's power into the speaker's rated impedance.

    Parameters
    ----------
    amplifier : Amplifier
        As told. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]
    impedance_ohm : float
        Rated impedance of the speaker. [ohm]

    Raises
    ------
    DomainError
        The ratings contradict each other.
    """
    loads, powers = _ratings(amplifier, assume)
    try:
        model = _model(loads, powers, behaviour_of(amplifier.kind), amplifier.maximum_current_a)
    except OutOfRangeError as error:
        current = error.name == "current_limit_a"
        name = "maximum_current_a" if current else ("ratings" if amplifier.ratings else "power_w")
        raise DomainError(
            pointer=f"/amplifier/{name}",
            code="contradiction",
            detail=f"{'the current limit' if current else 'the ratings'} cannot be: must be {error.allowed}.",
            given=amplifier.maximum_current_a if current else list(powers),
            allowed=error.allowed,
        ) from error
    # away from a single rating; above it only a transformer's tap loses power, which an unknown kind may have
    one_sided = amplifier.kind is not None and model.rule != "matched_tap"
    by_rule_of_thumb = len(loads) == 1 and (
        impedance_ohm < loads[0] * 0.99 or (impedance_ohm > loads[0] * 1.01 and not one_sided)
    )
    if amplifier.kind is None and impedance_ohm != loads[0] and len(loads) == 1:
        assume.add(None, {"behaviour": "transistor"}, why=words("assumptions.transistor_amplifier"), source="ours")
    told_db = rating_standard_db(amplifier.kind)
    rated_power_w, rated_load_ohm = max(zip(powers, loads, strict=True))
    return AmplifierPower(
        power_w=float(power_into_w(model, load_ohm=impedance_ohm)),
        how=words(f"power_rules.{model.rule}"),
        standard_db=max(told_db, policy.RULE_OF_THUMB_STANDARD_DB) if by_rule_of_thumb else told_db,
        told_standard_db=told_db,
        rated_power_w=rated_power_w,
        rated_load_ohm=rated_load_ohm,
    )


def _ratings(amplifier, assume):
    """Loads and powers of the ratings; a load that was not told is the usual one of the kind. [ohm, W]"""
    if amplifier.ratings:
        return tuple(each.load_ohm for each in amplifier.ratings), tuple(each.power_w for each in amplifier.ratings)
    default = None
    if amplifier.kind is not None:
        usual = amplifier_kinds()[amplifier.kind]
        why = words("assumptions.amplifier_kind.load_ohm", kind=usual.id)
        default = Default(value=usual.load_ohm, why=why, source=usual.source)
    return (assume.take("/amplifier/load_ohm", amplifier.load_ohm, default=default),), (amplifier.power_w,)
