"""The verdict of a pair in one line, the finding that it rests on, and the cautions that the pair calls for."""

from collections.abc import Iterable, Sequence
from typing import Any

from service.advice import policy
from service.advice.answers.common import Caution, Finding
from service.advice.answers.level import PowerNeededAnswer
from service.advice.findings import cautions
from service.advice.findings.finding import finding
from service.advice.pairing.inverse import Inverse, comfortable_power_w
from service.advice.pairing.pair import Pair
from service.domain.words import Words, words

_ROUNDS_TO_NOTHING_DB = 0.05
_VERDICT_NEEDS = "findings.needs"


def headline(pair: Pair, inverse: Inverse | None) -> Words:
    """Return the verdict in one line."""
    numbers = pair.numbers
    if inverse is None:
        grade = policy.GRADES[pair.power_grade]
        return graded_line(grade, power_w=numbers.power_into_speaker_w, headroom_db=numbers.headroom_db)
    if inverse.looked_for == "amplifier":
        return needed_power_line(pair.power_needed, out_of_reach=inverse.out_of_reach)
    return needed_sensitivity_line(pair.sensitivity_needed_db, out_of_reach=inverse.out_of_reach)


def graded_line(grade: str, *, power_w: float, headroom_db: float) -> Words:
    """Return a graded verdict in one line."""
    short = grade == "suits_with_care" and headroom_db <= -_ROUNDS_TO_NOTHING_DB
    key = f"headlines.{grade}.short" if short else f"headlines.{grade}"
    return words(key, power_w=power_w, headroom_db=headroom_db, short_db=-headroom_db)


def needed_power_line(power: PowerNeededAnswer, *, out_of_reach: bool) -> Words:
    """Return the watts that are needed in one line."""
    key = "headlines.power_needed" + (".more_than_sensible" if out_of_reach else "")
    return words(key, **needed_power_values(power))


def needed_sensitivity_line(sensitivity_needed_db: float, *, out_of_reach: bool) -> Words:
    """Return the sensitivity that is needed in one line."""
    key = "headlines.sensitivity_needed" + (".more_than_most" if out_of_reach else "")
    return words(key, **needed_sensitivity_values(sensitivity_needed_db))


def verdict_finding(pair: Pair, inverse: Inverse | None) -> Finding:
    """Return the finding that the verdict rests on: enough, short, or what is needed."""
    programme, numbers = pair.seat.scene.programme, pair.numbers
    needs = f"{_VERDICT_NEEDS}.at_your_level" if programme.level_was_told else _VERDICT_NEEDS
    values: dict[str, Any] = {
        "power_w": numbers.power_into_speaker_w,
        "target_db": programme.peak_target_db,
        "uncertainty_db": numbers.headroom_standard_db,
        "programme": programme.id,
        "needs": words(needs, programme=programme.id),
    }
    if inverse is not None:
        return _needed_finding(values, pair, inverse)
    grade, headroom_db = policy.GRADES[pair.power_grade], numbers.headroom_db
    values |= {"reached_db": headroom_db + programme.peak_target_db, "headroom_db": headroom_db}
    if headroom_db > -_ROUNDS_TO_NOTHING_DB:
        return finding("power_enough", grade=grade, **values)
    needed_w = comfortable_power_w(numbers.power_into_speaker_w, headroom_db=headroom_db, limits=pair.limits)
    variant = "watts_do_not_help" if needed_w is None else None
    values |= {"short_db": -headroom_db, "comfortable_power_w": needed_w}
    return finding("power_short", grade=grade, variant=variant, **values)


def _needed_finding(values: dict[str, Any], pair: Pair, inverse: Inverse) -> Finding:
    if inverse.looked_for == "amplifier":
        values = {name: value for name, value in values.items() if name != "power_w"}
        variant = "more_than_sensible" if inverse.out_of_reach else None
        return finding("power_needed", variant=variant, **values, **needed_power_values(pair.power_needed))
    variant = "more_than_most" if inverse.out_of_reach else None
    needed = needed_sensitivity_values(pair.sensitivity_needed_db)
    return finding("sensitivity_needed", variant=variant, **values, **needed)


def needed_power_values(power: PowerNeededAnswer) -> dict[str, Any]:
    """Return what an answer about a missing amplifier names."""
    return {
        "for_average_w": power.for_average,
        "for_peaks_w": power.for_peaks,
        "comfortable_w": power.comfortable,
    }


def needed_sensitivity_values(sensitivity_needed_db: float) -> dict[str, Any]:
    """Return what an answer about a missing speaker names."""
    return {
        "for_peaks_db": sensitivity_needed_db,
        "comfortable_db": sensitivity_needed_db + policy.COMFORTABLE_HEADROOM_DB,
    }


def equal_finding(names: Sequence[Words]) -> Finding:
    """Return the finding that some entries cannot be told apart."""
    return finding("equal_within_uncertainty", names=list(names))


def pair_cautions(pair: Pair) -> list[Caution]:
    """Return the cautions that a pair calls for at its listening level."""
    return cautions.for_pair(
        pair.seat.told,
        pair.amplifier.told,
        sensitivity_db_1w_1m=pair.speaker.sensitivity_db_1w_1m,
        amplifier_w=pair.numbers.power_into_speaker_w,
        long_term_power_w=pair.speaker.long_term_power_w,
        average_dba=pair.seat.scene.programme.average_at_target_dba,
        peak_pressure_db=pair.peak_pressure_db,
    )


def each_caution_once(of_pairs: Iterable[Sequence[Caution]]) -> list[Caution]:
    """Return the cautions of several pairs, each once, that about the calculation itself last."""
    found: dict[str, Caution] = {}
    for each in (caution for of_one in of_pairs for caution in of_one):
        found.setdefault(each.code, each)
    last = found.pop("calculation")
    return [*found.values(), last]
