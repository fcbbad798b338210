"""Level budget, a view of a pairing: how loud at the chair, what ends it first, and how sure that is."""

import math

import numpy as np

from service.advice.answers.common import Finding
from service.advice.answers.level import BandsAnswer, LevelAnswer
from service.advice.assumptions import Assumptions
from service.advice.findings.finding import finding
from service.advice.pairing.inverse import Inverse
from service.advice.pairing.pair import Pair
from service.advice.pairing.pair_findings import limit_findings, sound_findings
from service.advice.pairing.pairing import Pairing, paired
from service.advice.pairing.reasons import pair_cautions, verdict_finding
from service.advice.pairing.uncertainty import standard_db, uncertainty_parts
from service.advice.places.as_found import sides_findings, with_sides_mapped
from service.advice.room.findings import room_findings
from service.advice.speaker.findings import speaker_findings
from service.domain.requests import LevelRequest
from service.physics import level_budget
from service.physics.bands import OCTAVE_NOMINAL_HZ
from service.physics.loudspeaker.sensitivity import free_field_level_db


def level(request: LevelRequest) -> LevelAnswer:
    """Answer POST /v1/level.

    Parameters
    ----------
    request : LevelRequest
        As told. [-]

    Returns
    -------
    LevelAnswer
    """
    assume = Assumptions()
    return level_answer(paired(with_sides_mapped(request, assume), assume), assume)


def level_answer(pairing: Pairing, assume: Assumptions) -> LevelAnswer:
    """Return the level budget of the leading pair.

    Parameters
    ----------
    pairing : Pairing
        [-]
    assume : Assumptions
        What had to be assumed. [-]
    """
    pair, scene = pairing.leading, pairing.scene
    numbers, programme, room = pair.numbers, scene.programme, scene.room
    target_db, power = programme.peak_target_db, pair.power_needed
    single_db = float(
        free_field_level_db(
            pair.speaker.sensitivity_db_1w_1m, power_w=numbers.power_into_speaker_w, distance_m=scene.distance_m
        )
    )
    return LevelAnswer(
        direct_single_db=single_db,
        direct_pair_db=single_db + 10 * math.log10(2) if scene.speaker_count == 2 else None,
        reverberant_db=_reverberant_db(pair),
        peak_spl_db=numbers.peak_db,
        short_peak_db=numbers.short_peak_db,
        peak_pressure_db=pair.peak_pressure_db,
        peak_target_db=target_db,
        headroom_db=numbers.headroom_db,
        steady_headroom_db=numbers.peak_db - target_db,
        short_peak_headroom_db=numbers.short_peak_db - target_db,
        uncertainty_db=standard_db(part for part in pair.parts if part.about != "how_loud"),
        headroom_uncertainty_db=numbers.headroom_standard_db,
        uncertainty_parts=uncertainty_parts(pair.parts),
        clean_peak_chance_pct=numbers.clean_peak_chance_pct,
        average_at_target_dba=programme.average_at_target_dba,
        average_power_w=numbers.average_power_w,
        power_needed_w=power,
        sensitivity_needed_db_1w_1m=pair.sensitivity_needed_db,
        power_into_rated_w=numbers.power_into_rated_w,
        power_into_speaker_w=numbers.power_into_speaker_w,
        power_rule=pair.power.how,
        listening_distance_m=scene.distance_m,
        programme=programme.id,
        amplifier_on_speaker=pair.on_speaker,
        limits=pair.limits,
        bands=_bands(pair),
        transition_hz=None if room is None else room.transition_hz,
        findings=[
            verdict_finding(pair, pairing.inverse),
            *sides_findings(assume),
            *_findings(pair, pairing.inverse),
            *sound_findings(pair),
        ],
        cautions=pair_cautions(pair),
        assumptions=assume.listed(),
    )


def _gained_db(pair):
    """What the amplifier adds to the levels of one watt. [dB]"""
    return pair.numbers.peak_db - pair.seat.peak_db


def _reverberant_db(pair: Pair) -> float | None:
    if pair.seat.scene.room is None:
        return None
    shares = pair.seat.scene.programme.octave_shares
    at_1w_db = level_budget.programme_sum_db(pair.seat.octaves.reverberant_db, power_shares=shares)
    return float(at_1w_db) + _gained_db(pair)


def _bands(pair: Pair) -> BandsAnswer:
    octaves, shares = pair.seat.octaves, pair.seat.scene.programme.octave_shares
    share_db = 10 * np.log10(shares) + _gained_db(pair)
    return BandsAnswer(
        octaves_hz=list(OCTAVE_NOMINAL_HZ),
        programme_share_ratio=shares,
        direct_db=octaves.direct_db + share_db,
        reverberant_db=None if pair.seat.scene.room is None else octaves.reverberant_db + share_db,
        level_db=octaves.level_db + share_db,
        wave_field_share_ratio=octaves.wave_field_share_ratio,
        directivity_index_db=pair.speaker.directivity_index_db,
    )


def _findings(pair: Pair, inverse: Inverse | None) -> list[Finding]:
    """What a level budget says beside the finding that the verdict rests on."""
    says_it = inverse is not None and inverse.looked_for == "amplifier"
    average = [] if says_it else [finding("average_power", average_power_w=pair.numbers.average_power_w)]
    room = pair.seat.scene.room
    return [
        *average,
        *limit_findings(pair),
        *speaker_findings(pair.speaker),
        *([] if room is None else room_findings(room)),
    ]
