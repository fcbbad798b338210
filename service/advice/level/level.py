"""Level budget: how loud at the chair, what ends it first, and how sure that is."""

import math

import numpy as np

from service.advice import policy
from service.advice.amplifier.on_speaker import amplifier_findings, amplifier_on_speaker
from service.advice.answers.level import BandsAnswer, LevelAnswer, PowerNeededAnswer
from service.advice.assumptions import Assumptions
from service.advice.findings import cautions, wording
from service.advice.pairing.inverse import completed
from service.advice.pairing.level_basis import level_basis
from service.advice.pairing.limits import level_limits
from service.advice.pairing.uncertainty import contributions, standard_db, uncertainty_parts
from service.advice.places.as_found import sides_findings, with_sides_mapped
from service.physics import level_budget
from service.physics.bands import OCTAVE_NOMINAL_HZ
from service.physics.chain.voice_coil import average_power_w
from service.physics.levels import CREST_OF_SINE_DB
from service.physics.loudspeaker.sensitivity import free_field_level_db
from service.physics.uncertainty import chance_above


def level(request):
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
    request = with_sides_mapped(request, assume)
    request, turned_round = completed(request, assume)
    basis = level_basis(request, assume)
    return level_answer(request, basis, assume, turned_round=turned_round)


def level_answer(request, basis, assume, *, turned_round):
    """Return the level budget of a settled basis.

    Parameters
    ----------
    request : LevelRequest
        With a speaker and an amplifier. [-]
    basis : LevelBasis
        [-]
    assume : Assumptions
        [-]
    turned_round : TurnedRound or None
        What was looked for. [-]
    """
    octaves, programme, amplifier = basis.octaves, basis.programme, basis.amplifier
    shares = programme.octave_shares
    peak_db, short_db, in_phase_db = basis.at_seat_db().tolist()
    peak_pressure_db = in_phase_db + CREST_OF_SINE_DB
    target_db = programme.peak_target_db
    single_db = float(
        free_field_level_db(basis.speaker.sensitivity_db_1w_1m, power_w=amplifier.power_w, distance_m=basis.distance_m)
    )
    limits = level_limits(request.speaker, basis, peak_db=peak_db)
    # what ends the level before the amplifier does holds short peaks down by as much as steady ones
    headroom_db = min(peak_db, short_db) - (peak_db - limits[0].peak_spl_db) - target_db
    parts = contributions(request, basis)
    uncertainty_db = standard_db(parts)
    amplifier_headroom_db = min(peak_db, short_db) - target_db
    needed_w = amplifier.power_w * 10 ** (-amplifier_headroom_db / 10)
    at_target_w = amplifier.power_w * 10 ** ((target_db - peak_db) / 10)
    power = PowerNeededAnswer(
        for_average=float(average_power_w(sine_power_w=at_target_w, crest_factor_db=programme.crest_factor_db)),
        for_peaks=needed_w,
        comfortable=needed_w * 10 ** (policy.COMFORTABLE_HEADROOM_DB / 10),
    )
    sensitivity_needed_db = basis.speaker.sensitivity_db_1w_1m - amplifier_headroom_db
    on_speaker = amplifier_on_speaker(
        speaker=basis.speaker,
        amplifier=request.amplifier,
        power=amplifier,
        load=basis.load,
        cable=request.cable,
        background=request.background,
        octaves_re_1m_db=octaves.level_db - basis.level_at_1m_db,
        assume=assume,
    )
    in_a_room = basis.room is not None
    share_db = 10 * np.log10(shares)
    return LevelAnswer(
        direct_single_db=single_db,
        direct_pair_db=single_db + 10 * math.log10(2) if basis.speaker_count == 2 else None,
        reverberant_db=(
            float(level_budget.programme_sum_db(octaves.reverberant_db, power_shares=shares)) if in_a_room else None
        ),
        peak_spl_db=peak_db,
        short_peak_db=short_db,
        peak_pressure_db=peak_pressure_db,
        peak_target_db=target_db,
        headroom_db=peak_db - target_db,
        short_peak_headroom_db=short_db - target_db,
        verdict_headroom_db=headroom_db,
        uncertainty_db=standard_db([part for part in parts if part.about != "how_loud"]),
        headroom_uncertainty_db=uncertainty_db,
        uncertainty_parts=uncertainty_parts(parts),
        clean_peak_chance_pct=100 * float(chance_above(headroom_db, standard_uncertainty_db=uncertainty_db)),
        average_at_target_dba=programme.average_at_target_dba,
        average_power_w=power.for_average,
        power_needed_w=power,
        sensitivity_needed_db_1w_1m=sensitivity_needed_db,
        power_into_rated_w=amplifier.power_w,
        power_rule=amplifier.how,
        listening_distance_m=basis.distance_m,
        programme=programme.id,
        amplifier_on_speaker=on_speaker,
        limits=limits,
        bands=BandsAnswer(
            octaves_hz=list(OCTAVE_NOMINAL_HZ),
            programme_share_ratio=shares,
            direct_db=octaves.direct_db + share_db,
            reverberant_db=octaves.reverberant_db + share_db if in_a_room else None,
            level_db=octaves.level_db + share_db,
            wave_field_share_ratio=octaves.wave_field_share_ratio,
            directivity_index_db=basis.speaker.directivity_index_db,
        ),
        transition_hz=basis.room.transition_hz if in_a_room else None,
        findings=[
            wording.verdict_finding(
                basis,
                headroom_db=headroom_db,
                uncertainty_db=uncertainty_db,
                limits=limits,
                power=power,
                sensitivity_needed_db=sensitivity_needed_db,
                turned_round=turned_round,
            ),
            *sides_findings(assume),
            *wording.level_findings(basis, limits=limits, average_power_w=power.for_average, turned_round=turned_round),
            *amplifier_findings(on_speaker, speaker=basis.speaker, amplifier=request.amplifier, power=amplifier),
        ],
        cautions=cautions.for_level(
            request, basis, average_dba=programme.average_at_target_dba, peak_pressure_db=peak_pressure_db
        ),
        assumptions=assume.listed(),
    )
