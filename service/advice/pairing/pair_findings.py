"""What a pair has to say beside its verdict: what ends the level, load, taps, ratings, sound, noise and gain."""

from typing import Any

import numpy as np

from service.advice import policy
from service.advice.amplifier.facts import usual_of
from service.advice.answers.common import Finding
from service.advice.findings.finding import finding
from service.advice.pairing.pair import Pair
from service.advice.pairing.reasons import verdict_finding
from service.advice.speaker.model import LoudspeakerModel
from service.physics.chain.noise_floor import tone_threshold_db


def pair_findings(pair: Pair) -> list[Finding]:
    """Return the findings of one pair of a comparison."""
    return [
        verdict_finding(pair, None),
        *limit_findings(pair),
        *_of_load(pair),
        *_of_taps(pair),
        *_of_ratings(pair),
        *sound_findings(pair),
        *_of_gain(pair),
    ]


def limit_findings(pair: Pair) -> list[Finding]:
    """Return the finding that something gives out before the amplifier, if it does."""
    first = pair.limits[0]
    if first.code == "amplifier_clipping":
        return []
    return [finding("other_limit_first", limit=first.code, what=first.text, peak_spl_db=first.peak_spl_db)]


def sound_findings(pair: Pair) -> list[Finding]:
    """Return what an amplifier does to a speaker beside its power: current, sound, hum and hiss."""
    return [*_of_current(pair), *_of_sound(pair), *_of_noise(pair), *_of_sensitivity(pair.speaker)]


def _of_load(pair: Pair) -> list[Finding]:
    load, numbers, said = pair.load, pair.numbers, []
    if numbers.load_is_too_low:
        lowest_ohm = min(load.lowest_ohm, load.rated_ohm) if load.lowest_was_told else load.rated_ohm
        said.append(
            finding(
                "load_too_low",
                grade=policy.GRADES[-1],
                minimum_load_ohm=pair.amplifier.told.minimum_load_ohm,
                lowest_impedance_ohm=lowest_ohm,
            )
        )
    if pair.load_grade > 0 and numbers.load_loss_db >= policy.LOAD_LOSS_FROM_DB[0]:
        said.append(
            finding(
                "dip_costs_level",
                grade=policy.GRADES[pair.load_grade],
                lowest_impedance_ohm=load.lowest_ohm,
                rated_impedance_ohm=load.rated_ohm,
                load_loss_db=numbers.load_loss_db,
                peak_current_a=numbers.peak_current_a,
            )
        )
    if load.steepest_phase_deg is not None and abs(load.steepest_phase_deg) >= policy.STEEP_PHASE_DEG:
        said.append(
            finding(
                "steep_phase",
                steepest_phase_deg=load.steepest_phase_deg,
                steepest_phase_hz=load.steepest_phase_hz,
            )
        )
    return said


def _of_taps(pair: Pair) -> list[Finding]:
    """Which tap to take, and what another one costs; the next one in power is the one that is named."""
    if len(pair.taps) < 2:
        return []
    best = next(tap for tap in pair.taps if tap.tap_ohm == pair.numbers.best_tap_ohm)
    used = next((tap for tap in pair.taps if tap.in_use), None)
    next_best = min((tap for tap in pair.taps if tap is not best), key=lambda tap: (tap.loss_db, tap.tap_ohm))
    other = next_best if used is None or used is best else used
    values: dict[str, Any] = {"best_tap_ohm": best.tap_ohm, "other_tap_ohm": other.tap_ohm, "loss_db": other.loss_db}
    values["impedance_pct"] = 100 * other.tap_ohm / best.tap_ohm
    if used is best:
        return [finding("tap_choice", variant="right", **values)]
    return [finding("tap_choice", variant="wrong" if used is not None else None, **values)]


def _of_ratings(pair: Pair) -> list[Finding]:
    told, power, said = pair.amplifier.told, pair.power, []
    if told.is_bridged:
        said.append(finding("bridged_rating", rated_power_w=power.rated_power_w))
    elif any(rating.bridged for rating in told.ratings):
        said.append(finding("bridged_rating", variant="left_out", rated_power_w=power.rated_power_w))
    if power.clean_ratio < 1:
        said.append(
            finding(
                "clean_power",
                rated_distortion_pct=told.rated_distortion_pct,
                rated_power_w=power.rated_power_w,
                clean_power_w=power.rated_power_w * power.clean_ratio,
                loss_db=-10 * float(np.log10(power.clean_ratio)),
            )
        )
    return said


def _of_current(pair: Pair) -> list[Finding]:
    told, power, into_w = pair.amplifier.told, pair.power, pair.numbers.power_into_speaker_w
    usual, impedance_ohm = usual_of(told), pair.speaker.impedance_ohm
    if usual is None or usual.clipping != "current_first":
        return []
    loss_db = 10 * float(np.log10(power.rated_power_w / into_w))
    if loss_db < policy.CURRENT_ENDS_FROM_DB or impedance_ohm >= power.rated_load_ohm:
        return []
    limit_is_known = told.maximum_current_a is not None or len(told.ratings) > 1
    return [
        finding(
            "current_ends_first",
            variant="known" if limit_is_known else None,
            rated_power_w=power.rated_power_w,
            rated_load_ohm=power.rated_load_ohm,
            power_w=into_w,
            impedance_ohm=impedance_ohm,
            loss_db=loss_db,
        )
    ]


def _of_sound(pair: Pair) -> list[Finding]:
    found = pair.on_speaker
    if found.level_swing_db is None or found.level_swing_db < policy.SWING_WORTH_SAYING_DB:
        return []
    return [
        finding(
            "follows_impedance",
            output_impedance_ohm=found.output_impedance_ohm,
            level_swing_db=found.level_swing_db,
            better_output_impedance_ohm=found.better_output_impedance_ohm,
            better_swing_db=found.better_swing_db,
        )
    ]


def _of_noise(pair: Pair) -> list[Finding]:
    found, said = pair.on_speaker, []
    hum_hz, hum_margin_db = found.hum_hz, found.hum_margin_db
    if hum_hz is not None and hum_margin_db is not None and hum_margin_db >= policy.NOISE_HEARD_FROM_DB:
        said.append(
            finding(
                "hum_may_be_heard",
                hum_mv=found.hum_mv,
                hum_at_1m_db=found.hum_at_1m_db,
                hum_at_seat_db=found.hum_at_seat_db,
                hum_hz=hum_hz,
                hearing_threshold_db=float(tone_threshold_db(hum_hz)),
                background_dba=found.background_dba,
            )
        )
    if found.hiss_margin_db is not None and found.hiss_margin_db >= policy.NOISE_HEARD_FROM_DB:
        said.append(
            finding(
                "hiss_may_be_heard",
                noise_uv=found.noise_uv,
                noise_at_1m_dba=found.noise_at_1m_dba,
                noise_at_seat_dba=found.noise_at_seat_dba,
                background_dba=found.background_dba,
            )
        )
    return said


def _of_sensitivity(speaker: LoudspeakerModel) -> list[Finding]:
    """A sensitivity far from that of its kind; with an unstated basis neither reading may come near."""
    usual = speaker.usual
    lower_db, higher_db = speaker.sensitivity_db_1w_1m, speaker.sensitivity_db_1w_1m + speaker.basis_spread_db
    strays_db = max(usual.sensitivity_from_db - higher_db, lower_db - usual.sensitivity_to_db)
    if not speaker.kind_was_told or strays_db <= policy.UNUSUAL_SENSITIVITY_DB:
        return []
    return [
        finding(
            "usual_sensitivity",
            sensitivity_db_1w_1m=lower_db,
            usual_from_db=usual.sensitivity_from_db,
            usual_to_db=usual.sensitivity_to_db,
            kind=usual.id,
        )
    ]


def _of_gain(pair: Pair) -> list[Finding]:
    numbers, said = pair.numbers, []
    values: dict[str, Any] = {
        "volume_below_full_db": numbers.volume_below_full_db,
        "short_db": -numbers.volume_below_full_db,
        "drive_short_db": -numbers.drive_margin_db,
        "input_sensitivity_v": numbers.input_sensitivity_v,
    }
    if numbers.volume_below_full_db < 0:
        said.append(finding("gain_too_low", **values))
    elif numbers.drive_margin_db < 0:
        said.append(finding("full_output_not_reached", **values))
    elif numbers.volume_below_full_db > policy.VOLUME_FAR_DOWN_DB:
        said.append(finding("gain_high", **values))
    if numbers.input_overload_margin_db < 0:
        said.append(finding("input_overload", overload_db=-numbers.input_overload_margin_db))
    return said
