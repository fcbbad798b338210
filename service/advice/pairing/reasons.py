"""What is worth saying about an amplifier on a speaker in a comparison: findings with their codes and numbers."""

import numpy as np

from service.advice import policy
from service.advice.amplifier.on_speaker import amplifier_findings
from service.advice.answers.level import PowerNeededAnswer
from service.advice.findings import wording
from service.advice.findings.wording import finding


def match_findings(pair):
    """Return the findings of one pair: first the one that its power rests on, then load, sound, noise and gain.

    Parameters
    ----------
    pair : PairMatch
        [-]

    Returns
    -------
    list of Finding
    """
    basis, power = pair.basis, pair.power
    needed_w = power.power_w * 10 ** (-pair.headroom_db / 10)
    verdict = wording.verdict_finding(
        basis,
        headroom_db=pair.headroom_db,
        uncertainty_db=pair.uncertainty_db,
        limits=pair.limits,
        power=PowerNeededAnswer(for_average=pair.average_power_w, for_peaks=needed_w, comfortable=2 * needed_w),
        sensitivity_needed_db=basis.speaker.sensitivity_db_1w_1m - pair.headroom_db,
        turned_round=None,
    )
    return [
        verdict,
        *_of_limits(pair),
        *_of_load(pair),
        *_of_taps(pair),
        *_of_ratings(pair),
        *amplifier_findings(pair.on_speaker, speaker=basis.speaker, amplifier=pair.told, power=power),
        *_of_gain(pair),
        *pair.bass_findings,
    ]


def equal_finding(names):
    """Return the finding that some entries cannot be told apart."""
    return finding("equal_within_uncertainty", names=list(names))


def _of_limits(pair):
    first = pair.limits[0]
    if first.code == "amplifier_clipping":
        return []
    return [finding("other_limit_first", limit=first.code, what=first.text, peak_spl_db=first.peak_spl_db)]


def _of_load(pair):
    load, said = pair.basis.load, []
    if pair.load_is_too_low:
        lowest_ohm = min(load.lowest_ohm, load.rated_ohm) if load.lowest_was_told else load.rated_ohm
        said.append(
            finding(
                "load_too_low",
                grade=policy.GRADES[-1],
                minimum_load_ohm=pair.told.minimum_load_ohm,
                lowest_impedance_ohm=lowest_ohm,
            )
        )
    if pair.graded.load > 0 and pair.load_loss_db >= policy.LOAD_LOSS_FROM_DB[0]:
        said.append(
            finding(
                "dip_costs_level",
                grade=policy.GRADES[int(pair.graded.load)],
                lowest_impedance_ohm=load.lowest_ohm,
                rated_impedance_ohm=load.rated_ohm,
                load_loss_db=pair.load_loss_db,
                peak_current_a=pair.peak_current_a,
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


def _of_taps(pair):
    """Which tap to take, and what another one costs; the next one in power is the one that is named."""
    if len(pair.taps) < 2:
        return []
    best = next(tap for tap in pair.taps if tap.tap_ohm == pair.power.best_tap_ohm)
    used = next((tap for tap in pair.taps if tap.in_use), None)
    other = used
    if used is None or used is best:
        other = min((tap for tap in pair.taps if tap is not best), key=lambda tap: (tap.loss_db, tap.tap_ohm))
    values = {"best_tap_ohm": best.tap_ohm, "other_tap_ohm": other.tap_ohm, "loss_db": other.loss_db}
    values["impedance_pct"] = 100 * other.tap_ohm / best.tap_ohm
    if used is best:
        return [finding("tap_choice", variant="right", **values)]
    return [finding("tap_choice", variant="wrong" if used is not None else None, **values)]


def _of_ratings(pair):
    told, said = pair.told, []
    if told.is_bridged:
        said.append(finding("bridged_rating", rated_power_w=pair.power.rated_power_w))
    elif any(rating.bridged for rating in told.ratings):
        said.append(finding("bridged_rating", variant="left_out", rated_power_w=pair.power.rated_power_w))
    if pair.power.clean_ratio < 1:
        said.append(
            finding(
                "clean_power",
                rated_distortion_pct=told.rated_distortion_pct,
                rated_power_w=pair.power.rated_power_w,
                clean_power_w=pair.power.rated_power_w * pair.power.clean_ratio,
                loss_db=-10 * float(np.log10(pair.power.clean_ratio)),
            )
        )
    return said


def _of_gain(pair):
    gain, said = pair.gain, []
    values = {
        "volume_below_full_db": gain.volume_below_full_db,
        "short_db": -gain.volume_below_full_db,
        "drive_short_db": -gain.drive_margin_db,
        "input_sensitivity_v": gain.input_sensitivity_v,
    }
    if gain.volume_below_full_db < 0:
        said.append(finding("gain_too_low", **values))
    elif gain.drive_margin_db < 0:
        said.append(finding("full_output_not_reached", **values))
    elif gain.volume_below_full_db > policy.VOLUME_FAR_DOWN_DB:
        said.append(finding("gain_high", **values))
    if gain.overload_margin_db is not None and gain.overload_margin_db < 0:
        said.append(finding("input_overload", overload_db=-gain.overload_margin_db))
    return said
