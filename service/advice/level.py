"""Level budget: how loud at the chair, what ends it first, and how sure that is."""

import math
from dataclasses import dataclass

import numpy as np

from service.advice import cautions, policy, wording
from service.advice.amplifier_power import AmplifierPower, amplifier_power
from service.advice.answers.level import BandsAnswer, LevelAnswer, LimitAnswer
from service.advice.assumptions import Assumptions
from service.advice.level_uncertainty import uncertainty_parts
from service.advice.loudspeaker_model import LoudspeakerModel
from service.advice.programme import ProgrammeFacts, programme_facts
from service.advice.room_state import Air, RoomAcoustics, air_of
from service.advice.settled import settled_room, settled_speaker, wave_field
from service.advice.standing import settled_positions
from service.domain.position import Positions
from service.physics import level_budget
from service.physics.bands import OCTAVE_NOMINAL_HZ
from service.physics.chain.voice_coil import average_power_w
from service.physics.levels import CREST_OF_SINE_DB
from service.physics.loudspeaker.excursion import displacement_limited_level_db
from service.physics.loudspeaker.sensitivity import free_field_level_db, sensitivity_db_1w_1m_from_voltage
from service.physics.uncertainty import chance_above, combined_standard

_FULL_SPACE_SR = 4 * math.pi


@dataclass(frozen=True, kw_only=True)
class LevelBasis:
    """Everything a level is computed from, settled."""

    speaker: LoudspeakerModel
    amplifier: AmplifierPower
    air: Air
    room: RoomAcoustics | None
    positions: Positions | None
    distance_m: float
    speaker_count: int
    programme: ProgrammeFacts
    level_at_1m_db: float
    octaves: level_budget.OctaveLevels


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
    basis = level_basis(request, assume)
    return level_answer(request, basis, assume)


def level_basis(request, assume):
    """Settle speaker, amplifier, room and places, and compute the octave levels."""
    room = None if request.room is None else settled_room(request.room, assume)
    air = air_of(None, assume) if room is None else room.air
    speaker = settled_speaker(request.speaker, assume, speed_of_sound_m_s=air.speed_of_sound_m_s)
    amplifier = amplifier_power(request.amplifier, assume, impedance_ohm=speaker.impedance_ohm)
    programme = programme_facts(request.programme, assume)
    speaker_count = assume.take("/speaker_count", _told_count(request))
    positions, field, join_hz = None, None, None
    if room is None:
        distance_m = assume.take("/listening_distance_m", request.listening_distance_m)
    else:
        positions, distance_m = settled_positions(
            request, assume, dimensions_m=room.dimensions_m, speaker_count=speaker_count
        )
        join_hz = min(room.transition_hz, policy.HIGHEST_JOIN_HZ)
        field = wave_field(request.room, positions, radiation=speaker.radiation, join_hz=join_hz)
    relief_db = 0.0
    if speaker.bass_section_below_hz is not None:
        relief_db = programme.relief_db(above_hz=speaker.bass_section_below_hz)
    _state_method(assume, in_a_room=room is not None, speaker_count=speaker_count, relief_db=relief_db)
    level_at_1m_db = speaker.sensitivity_db_1w_1m + 10 * math.log10(amplifier.power_w) + relief_db
    octaves = level_budget.octave_levels(
        level_at_1m_db=level_at_1m_db,
        low_end_gain_db=speaker.grid_low_end_gain_db,
        distance_m=distance_m,
        air_absorption_db_per_m=air.absorption_db_per_m,
        speaker_count=speaker_count,
        room_constant_m2=None if room is None else room.room_constant_m2,
        directivity_index_db=speaker.directivity_index_db,
        reverberation_time_s=None if room is None else room.time_s,
        short_window_s=policy.SHORT_PEAK_WINDOW_S,
        wave_field=field,
        join_hz=join_hz,
    )
    return LevelBasis(
        speaker=speaker,
        amplifier=amplifier,
        air=air,
        room=room,
        positions=positions,
        distance_m=distance_m,
        speaker_count=speaker_count,
        programme=programme,
        level_at_1m_db=level_at_1m_db,
        octaves=octaves,
    )


def _told_count(request):
    """Number of speakers as told, by itself or by their places."""
    if request.speaker_count is None and request.positions is not None:
        return len(request.positions.speakers)
    return request.speaker_count


def level_answer(request, basis, assume):
    """Return the level budget of a settled basis."""
    octaves, programme, amplifier = basis.octaves, basis.programme, basis.amplifier
    shares = programme.octave_shares
    summed = np.stack([octaves.level_db, octaves.short_db, octaves.coherent_db])
    peak_db, short_db, in_phase_db = level_budget.programme_sum_db(summed, power_shares=shares).tolist()
    peak_pressure_db = in_phase_db + CREST_OF_SINE_DB
    target_db = programme.peak_target_db
    single_db = float(
        free_field_level_db(basis.speaker.sensitivity_db_1w_1m, power_w=amplifier.power_w, distance_m=basis.distance_m)
    )
    limits = _limits(request.speaker, basis, peak_db=peak_db)
    # what ends the level before the amplifier does holds short peaks down by as much as steady ones
    headroom_db = min(peak_db, short_db) - (peak_db - limits[0].peak_spl_db) - target_db
    parts = uncertainty_parts(request, basis)
    uncertainty_db = float(combined_standard([part.standard_db for part in parts]))
    at_target_w = amplifier.power_w * 10 ** ((target_db - peak_db) / 10)
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
        uncertainty_db=uncertainty_db,
        uncertainty_parts=parts,
        clean_peak_chance_pct=100 * float(chance_above(headroom_db, standard_uncertainty_db=uncertainty_db)),
        average_at_target_dba=programme.average_at_target_dba,
        average_power_w=float(average_power_w(sine_power_w=at_target_w, crest_factor_db=programme.crest_factor_db)),
        power_into_rated_w=amplifier.power_w,
        power_rule=amplifier.how,
        listening_distance_m=basis.distance_m,
        programme=programme.id,
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
        findings=wording.level_findings(
            basis, headroom_db=headroom_db, uncertainty_db=uncertainty_db, target_db=target_db, limits=limits
        ),
        cautions=cautions.for_level(
            request, average_dba=programme.average_at_target_dba, peak_pressure_db=peak_pressure_db
        ),
        assumptions=assume.listed(),
    )


def _state_method(assume, *, in_a_room, speaker_count, relief_db):
    """List what the method itself takes for granted."""
    if speaker_count == 2:
        assume.add(
            None,
            "in phase below 120 Hz, unrelated above 240 Hz",
            why="bass is recorded nearly in mono; above, the two channels of music are taken as uncorrelated (3.01 dB "
            "for the pair)",
            source="ITU-R-BS-775",
        )
    if relief_db:
        assume.add(
            None,
            f"{relief_db:.2f} dB of power relief",
            why="the bass section plays the bass with an amplifier of its own, which saves that share of the "
            "programme's power; clipping is a matter of voltage, so that bass-heavy music gains more",
            source="ours",
        )
    if in_a_room:
        assume.add(
            None,
            "on the speaker's axis",
            why="the chair is taken to sit where the sensitivity holds; off axis the treble is lower",
            source="ours",
        )


def _limits(speaker, basis, *, peak_db):
    """Everything that ends the level, lowest first."""
    power_w, programme = basis.amplifier.power_w, basis.programme
    found = [
        LimitAnswer(
            code="amplifier_clipping",
            peak_spl_db=peak_db,
            text=f"the amplifier clips at {wording.watts(power_w)} into {basis.speaker.impedance_ohm:g} ohm",
        )
    ]
    if speaker.long_term_power_w is not None:
        heating_w = float(average_power_w(sine_power_w=power_w, crest_factor_db=programme.crest_factor_db))
        found.append(
            LimitAnswer(
                code="long_term_power",
                peak_spl_db=peak_db + 10 * math.log10(speaker.long_term_power_w / heating_w),
                text="the average power of this programme reaches the speaker's "
                f"{wording.watts(speaker.long_term_power_w)}",
            )
        )
    bass = speaker.bass_section
    driver = speaker.driver if bass is None else bass.driver
    if driver is not None:
        found.append(_excursion_limit(driver, basis, peak_db=peak_db))
    if bass is not None and bass.sensitivity_db_2v83_1m is not None and bass.power_w is not None:
        found.append(_bass_section_limit(bass, basis, peak_db=peak_db))
    return sorted(found, key=lambda limit: limit.peak_spl_db)


def _excursion_limit(driver, basis, *, peak_db):
    """Level at which the programme's bass uses up the driver's travel, third by third."""
    frequency_hz, share = basis.programme.bass_thirds(below_hz=basis.speaker.bass_section_below_hz)
    wanted_db = basis.level_at_1m_db + 10 * np.log10(share) + basis.speaker.low_end_gain_db(frequency_hz)
    possible_db = displacement_limited_level_db(
        frequency_hz,
        driver_area_m2=driver.area_m2,
        peak_excursion_m=driver.peak_excursion_m,
        distance_m=1.0,
        air_density_kg_m3=basis.air.density_kg_m3,
        solid_angle_sr=_FULL_SPACE_SR,
    )
    # the thirds' excursions add in energy: the sum of their ratios is the programme's
    ratio_db = 10 * math.log10((10 ** ((wanted_db - possible_db) / 10)).sum())
    return LimitAnswer(
        code="excursion",
        peak_spl_db=peak_db - ratio_db,
        text="the bass driver reaches the end of its travel",
    )


def _bass_section_limit(bass, basis, *, peak_db):
    impedance_ohm = bass.impedance_ohm or basis.speaker.impedance_ohm
    at_1w_db = float(sensitivity_db_1w_1m_from_voltage(bass.sensitivity_db_2v83_1m, impedance_ohm=impedance_ohm))
    share_db = 10 * math.log10(1 - basis.programme.share_above(bass.crossover_hz))
    margin_db = at_1w_db + 10 * math.log10(bass.power_w) - (basis.level_at_1m_db + share_db)
    return LimitAnswer(
        code="bass_section_power",
        peak_spl_db=peak_db + margin_db,
        text=f"the amplifier of the bass section clips at {wording.watts(bass.power_w)}",
    )
