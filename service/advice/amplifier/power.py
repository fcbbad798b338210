"""What an amplifier delivers into the speaker: the physics' model fed with the facts of the request."""

import functools
from dataclasses import dataclass, replace

from service.advice import policy
from service.advice.assumptions import Default
from service.domain.errors import DomainError
from service.domain.words import Words, words
from service.physics.chain.amplifier import AmplifierModel, amplifier_model, power_into_w, voltage_into_v
from service.physics.chain.amplifier_ratings import best_tap_ohm, clean_power_ratio
from service.physics.checks import OutOfRangeError
from service.physics.uncertainty import standard_from_half_width
from service.tables.loader import amplifier_kinds

_UNTOLD_KIND_BEHAVIOUR = "voltage_source"


@dataclass(frozen=True, kw_only=True)
class AmplifierPower:
    """An amplifier on this speaker.

    `power_w` is what arrives in the speaker behind the cable that was told. `told_standard_db` is the uncertainty if
    its power into this speaker's impedance were told. The rating is the one with the most power, as printed;
    `clean_ratio` is the clean share of it. `tap_ohm` is the tap in use, the best one where that is not known, None
    where nothing is known of taps; `models` has a model for each tap, or one under None.
    """

    power_w: float
    how: Words
    standard_db: float
    told_standard_db: float
    rated_power_w: float
    rated_load_ohm: float
    clean_ratio: float
    tap_ohm: float | None
    best_tap_ohm: float | None
    models: dict[float | None, AmplifierModel]
    cable_ohm: float

    def voltage_v(self, load_ohm):
        """Return the highest clean voltage of a sine at the terminals of the amplifier. [V]"""
        return voltage_into_v(self.models[self.tap_ohm], load_ohm=load_ohm)

    def into_w(self, load_ohm, *, tap_ohm=None):
        """Return the highest clean power of a sine into a load, on the tap in use or on another one. [W]"""
        return power_into_w(self.models[self.tap_ohm if tap_ohm is None else tap_ohm], load_ohm=load_ohm)

    def current_a(self, load_ohm):
        """Return the rms current of a clean sine into a load behind the cable. [A]"""
        return self.voltage_v(load_ohm + self.cable_ohm) / (load_ohm + self.cable_ohm)

    def into_speaker_w(self, load_ohm):
        """Return the power that arrives in a load behind the cable. [W]"""
        return self.current_a(load_ohm) ** 2 * load_ohm


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


def amplifier_power(amplifier, assume, *, impedance_ohm, cable_ohm=0.0):
    """Settle the amplifier's power into the speaker's rated impedance.

    Parameters
    ----------
    amplifier : Amplifier
        As told. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]
    impedance_ohm : float
        Rated impedance of the speaker. [ohm]
    cable_ohm : float
        Resistance of the cable, 0 where none was told. [ohm]

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
    # away from a single rating; above it only a transformer's tap loses power, which an unknown kind may have
    rated_at = loads[0] if tap_ohm is None else tap_ohm
    one_sided = amplifier.kind is not None and model.rule != "matched_tap"
    by_rule_of_thumb = (len(loads) == 1 or tap_ohm is not None) and (
        impedance_ohm < rated_at * 0.99 or (impedance_ohm > rated_at * 1.01 and not one_sided)
    )
    if amplifier.kind is None and tap_ohm is None and impedance_ohm != loads[0] and len(loads) == 1:
        assume.add(None, {"behaviour": "transistor"}, why=words("assumptions.transistor_amplifier"), source="ours")
    told_db = rating_standard_db(amplifier.kind)
    rated_power_w, rated_load_ohm = max(zip(powers, loads, strict=True))
    found = AmplifierPower(
        power_w=0.0,
        how=words(f"power_rules.{model.rule}"),
        standard_db=max(told_db, policy.RULE_OF_THUMB_STANDARD_DB) if by_rule_of_thumb else told_db,
        told_standard_db=told_db,
        rated_power_w=rated_power_w,
        rated_load_ohm=rated_load_ohm,
        clean_ratio=clean_ratio,
        tap_ohm=tap_ohm,
        best_tap_ohm=best_ohm,
        models=models,
        cable_ohm=cable_ohm,
    )
    return replace(found, power_w=float(found.into_speaker_w(impedance_ohm)))


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
        current = error.name == "current_limit_a"
        name = "maximum_current_a" if current else ("ratings" if amplifier.ratings else "power_w")
        raise DomainError(
            pointer=f"/amplifier/{name}",
            code="contradiction",
            detail=f"{'the current limit' if current else 'the ratings'} cannot be: must be {error.allowed}.",
            given=amplifier.maximum_current_a if current else list(powers),
            allowed=error.allowed,
        ) from error


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
    return (assume.take("/amplifier/load_ohm", amplifier.load_ohm, default=default),), (amplifier.power_w,)
