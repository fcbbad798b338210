"""What an amplifier delivers into the speaker: the physics' model fed with the facts of the request."""

import functools
from dataclasses import dataclass

from service.advice import policy
from service.domain.equipment import VALVE_KINDS
from service.domain.errors import DomainError
from service.physics.chain.amplifier import amplifier_model, power_into_w
from service.physics.checks import OutOfRangeError

_RULES = {
    "voltage_source": "one rating: the voltage is held above the rated load, and each halving below it gives 1.6 "
    "times the power",
    "matched_tap": "one rating of a transformer tap: a load off the rated one by a factor loses that factor of power",
    "current_limited": "the voltage is held above the rated load and the current below it",
    "fit_of_ratings": "supply sag fitted to the ratings",
    "fit_within_ratings": "supply sag fitted to the ratings, never beyond their highest voltage and current",
}


@dataclass(frozen=True, kw_only=True)
class AmplifierPower:
    """An amplifier on this speaker."""

    power_w: float
    how: str
    standard_db: float


def behaviour_of(kind):
    """Return how an amplifier of a kind answers to a load off its rating."""
    if kind in VALVE_KINDS:
        return "matched_tap"
    return "current_limited" if kind == "headphone_amplifier" else "voltage_source"


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
    if amplifier.ratings:
        loads = [rating.load_ohm for rating in amplifier.ratings]
        powers = [rating.power_w for rating in amplifier.ratings]
    else:
        loads, powers = [assume.take("/amplifier/load_ohm", amplifier.load_ohm)], [amplifier.power_w]
    try:
        model = _model(tuple(loads), tuple(powers), behaviour_of(amplifier.kind), amplifier.maximum_current_a)
    except OutOfRangeError as error:
        current = error.name == "current_limit_a"
        name = "maximum_current_a" if current else ("ratings" if amplifier.ratings else "power_w")
        raise DomainError(
            pointer=f"/amplifier/{name}",
            code="contradiction",
            detail=f"{'the current limit' if current else 'the ratings'} cannot be: must be {error.allowed}.",
            given=amplifier.maximum_current_a if current else powers,
            allowed=error.allowed,
        ) from error
    by_rule_of_thumb = len(loads) == 1 and (
        impedance_ohm < loads[0] * 0.99 or (model.rule == "matched_tap" and impedance_ohm > loads[0] * 1.01)
    )
    if amplifier.kind is None and impedance_ohm != loads[0] and len(loads) == 1:
        assume.add(
            None,
            "transistor amplifier",
            why="the kind of amplifier was not told: away from its rated load it is taken to hold its voltage",
            source="ours",
        )
    standard_db = policy.VALVE_POWER_STANDARD_DB if amplifier.kind in VALVE_KINDS else policy.POWER_STANDARD_DB
    return AmplifierPower(
        power_w=float(power_into_w(model, load_ohm=impedance_ohm)),
        how=_RULES[model.rule],
        standard_db=max(standard_db, policy.RULE_OF_THUMB_STANDARD_DB) if by_rule_of_thumb else standard_db,
    )
