"""What an amplifier delivers into the speaker: the physics' model fed with the facts of the request."""

import functools
import itertools
import math
from dataclasses import dataclass

import numpy as np

from service.advice import policy
from service.advice.assumptions import Assumptions, Default
from service.domain.equipment import Amplifier
from service.domain.errors import DomainError
from service.domain.words import Words, words
from service.physics.chain.amplifier import (
    PRINTED_ROUNDING_RATIO,
    AmplifierModel,
    amplifier_model,
    power_into_w,
    voltage_into_v,
)
from service.physics.chain.amplifier_ratings import best_tap_ohm, clean_power_ratio
from service.physics.checks import OutOfRangeError
from service.physics.uncertainty import standard_from_half_width
from service.tables.loader import amplifier_kinds

_UNTOLD_KIND_BEHAVIOUR = "voltage_source"


@dataclass(frozen=True, kw_only=True)
class AmplifierPower:
    """What an amplifier delivers into a speaker.

    `told_standard_db` is the uncertainty if its power into this speaker's impedance were told. The rating is the one
    with the most power, as printed; `clean_ratio` is the clean share of it. `tap_ohm` is the tap in use, the best one
    where that is not known, None where nothing is known of taps; `models` has a model for each tap, or one under None.
    """

    how: Words
    told_standard_db: float
    rated_power_w: float
    rated_load_ohm: float
    clean_ratio: float
    tap_ohm: float | None
    best_tap_ohm: float | None
    models: dict[float | None, AmplifierModel]

    def voltage_v(self, load_ohm):
        """Return the highest clean voltage of a sine at the terminals of the amplifier. [V]"""
        return voltage_into_v(self.models[self.tap_ohm], load_ohm=load_ohm)

    def into_w(self, load_ohm, *, tap_ohm=None):
        """Return the highest clean power of a sine into a load, on the tap in use or on another one. [W]"""
        return power_into_w(self.models[self.tap_ohm if tap_ohm is None else tap_ohm], load_ohm=load_ohm)


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


@functools.lru_cache(maxsize=256)
def _clean_ratio(rated_distortion_pct):
    return 1.0 if rated_distortion_pct is None else clean_power_ratio(rated_distortion_pct=rated_distortion_pct)


def amplifier_power(amplifier: Amplifier, assume: Assumptions, *, impedance_ohm: float) -> AmplifierPower:
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

    Notes
    -----
    A power that is rated at a stated distortion counts with its clean share. Ratings that stand for two channels
    bridged count only where there are no others. On a transformer each tap gives its rated power into its own load; a
    tap that nobody named is the best one.
    """
    loads, powers = _ratings(amplifier, assume)
    clean_ratio = _clean_ratio(amplifier.rated_distortion_pct)
    models = _models(amplifier, loads, tuple(power * clean_ratio for power in powers))
    tap_ohm, best_ohm = _taps(amplifier, models, impedance_ohm)
    model = models[tap_ohm]
    if amplifier.kind is None and tap_ohm is None and impedance_ohm != loads[0] and len(loads) == 1:
        assume.add(None, {"behaviour": "transistor"}, why=words("assumptions.transistor_amplifier"), source="ours")
    rated_power_w, rated_load_ohm = max(zip(powers, loads, strict=True))
    return AmplifierPower(
        how=words(f"power_rules.{model.rule}"),
        told_standard_db=rating_standard_db(amplifier.kind),
        rated_power_w=rated_power_w,
        rated_load_ohm=rated_load_ohm,
        clean_ratio=clean_ratio,
        tap_ohm=tap_ohm,
        best_tap_ohm=best_ohm,
        models=models,
    )


def _models(amplifier, loads, powers):
    """One model, or one for each tap: every tap gives the power of its own rating, or that of the only one."""
    if not amplifier.known_taps_ohm:
        return {None: _checked_model(amplifier, loads, powers, behaviour_of(amplifier.kind))}
    by_load = dict(zip(loads, powers, strict=True))
    most_w = max(powers)
    return {
        tap: _checked_model(amplifier, (tap,), (by_load.get(tap, most_w),), "matched_tap")
        for tap in amplifier.known_taps_ohm
    }


def _checked_model(amplifier, loads, powers, behaviour):
    try:
        return _model(loads, powers, behaviour, amplifier.maximum_current_a)
    except OutOfRangeError as error:
        if error.name == "current_limit_a":
            needed_a = max(math.sqrt(power_w / load_ohm) for load_ohm, power_w in zip(loads, powers, strict=True))
            least = {"least_a": float(f"{needed_a:.3g}")}
            raise DomainError(
                pointer=amplifier.pointer("maximum_current_a"),
                code="contradiction",
                detail=words("refusals_amplifier.current_limit", **least),
                given=amplifier.maximum_current_a,
                allowed=words("refusals_amplifier.current_limit.allowed", **least),
            ) from error
        rises = _rises_as_the_load_falls(loads, powers)
        key = "refusals_amplifier.ratings." + ("voltage" if rises else "current")
        raise DomainError(
            pointer=amplifier.pointer("ratings" if amplifier.ratings else "power_w"),
            code="contradiction",
            detail=words(key),
            given=list(powers),
            allowed=words(f"{key}.allowed"),
        ) from error


def _rises_as_the_load_falls(loads, powers):
    """Whether the voltage of some ratings is higher into a lower load, which no amplifier does."""
    voltages_v = [math.sqrt(load * power) for load, power in sorted(zip(loads, powers, strict=True), reverse=True)]
    return any(low > high * (1 + PRINTED_ROUNDING_RATIO) for high, low in itertools.pairwise(voltages_v))


def _taps(amplifier, models, impedance_ohm):
    """Tap in use, the best where nobody named it, and the best tap; both None where no taps are known."""
    if not amplifier.known_taps_ohm:
        return None, None
    powers = {tap: float(power_into_w(models[tap], load_ohm=impedance_ohm)) for tap in models}
    most_w = max(powers.values())
    best_ohm = best_tap_ohm(
        taps_ohm=[tap for tap, power_w in powers.items() if power_w >= most_w * (1 - 1e-9)], load_ohm=impedance_ohm
    )
    return amplifier.tap_in_use_ohm or best_ohm, best_ohm


def _ratings(amplifier, assume):
    """Loads and powers of the ratings; a load that was not told is the usual one of the kind. [ohm, W]"""
    if amplifier.ratings:
        counted = amplifier.counted_ratings
        return tuple(each.load_ohm for each in counted), tuple(each.power_w for each in counted)
    if amplifier.load_ohm is None and amplifier.known_taps_ohm:
        return (amplifier.tap_in_use_ohm or amplifier.known_taps_ohm[0],), (amplifier.power_w,)
    default = None
    if amplifier.kind is not None:
        usual = amplifier_kinds()[amplifier.kind]
        why = words("assumptions.amplifier_kind.load_ohm", kind=usual.id)
        default = Default(value=usual.load_ohm, why=why, source=usual.source)
    return (assume.take(amplifier.pointer("load_ohm"), amplifier.load_ohm, default=default),), (amplifier.power_w,)


def power_standard_db(
    amplifier: Amplifier, power: AmplifierPower, *, impedance_ohm: np.ndarray, tap_ohm: np.ndarray
) -> np.ndarray:
    """Return the standard uncertainty of the power into some speakers, more off the rated load, shape (n,). [dB]

    Parameters
    ----------
    amplifier : Amplifier
        As told. [-]
    power : AmplifierPower
        [-]
    impedance_ohm, tap_ohm : ndarray, shape (n,)
        Rated impedances of the speakers, and the tap that each is on, NaN where nothing is known of taps. [ohm]

    Notes
    -----
    Away from a single rating; above it only a transformer's tap loses power, which an unknown kind may have.
    """
    has_taps = power.tap_ohm is not None
    told_db = np.full(impedance_ohm.shape, power.told_standard_db)
    if len(amplifier.counted_ratings) > 1 and not has_taps:
        return told_db
    rated_at_ohm = tap_ohm if has_taps else power.rated_load_ohm
    rule = next(iter(power.models.values())).rule
    one_sided = amplifier.kind is not None and rule != "matched_tap"
    off = (impedance_ohm < rated_at_ohm * 0.99) | ((impedance_ohm > rated_at_ohm * 1.01) & (not one_sided))
    return np.where(off, max(power.told_standard_db, policy.RULE_OF_THUMB_STANDARD_DB), told_db)
