"""A bass section with its own amplifier beside a top: the trim that makes them meet, and their sum at the crossover."""

import numpy as np

from service.advice import policy
from service.advice.answers.common import Finding
from service.advice.answers.match import BassSectionMatch
from service.advice.assumptions import Assumptions
from service.advice.findings.finding import finding
from service.advice.octaves import VOICE_OCTAVES
from service.advice.pairing.pair import Pair
from service.physics.bands import OCTAVE_NOMINAL_HZ
from service.physics.chain.trim import (
    bass_section_trim_db,
    bass_section_trim_from_terminals_db,
    trim_beyond_range_db,
)
from service.physics.loudspeaker.crossover import crossover_sum_apart, louder_high_polarity
from service.physics.loudspeaker.sensitivity import sensitivity_db_2v83_1m_from_power

_SIGN = {"as_top": 1, "reversed": -1}
_LOWEST_SUM_DB = -60.0


def bass_section_match(pair: Pair, assume: Assumptions) -> tuple[BassSectionMatch | None, list[Finding]]:
    """Return how the bass section of a speaker meets its top, and what is worth saying of it; None without one.

    Parameters
    ----------
    pair : Pair
        The speaker with the amplifier of its top. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]

    Notes
    -----
    The free-field match: level of the top above its baffle step against that of the bass section in its pass band. What
    the room adds to the octave of the crossover, re the middle octaves, is shown apart and counts within 3 dB either
    way. The trim is None without a sensitivity or a gain of the bass section, the sum is always there.
    """
    seat, speaker, bass = pair.seat, pair.speaker, pair.seat.told.bass_section
    if bass is None:
        return None, []
    room_db = _room_gain_db(seat, bass.crossover_hz)
    counted_db = float(np.clip(room_db, -policy.TRIM_ROOM_PART_DB, policy.TRIM_ROOM_PART_DB))
    trim_db = None
    if bass.sensitivity_db_2v83_1m is not None and bass.gain_db is not None:
        top_db = float(
            sensitivity_db_2v83_1m_from_power(speaker.sensitivity_db_1w_1m, impedance_ohm=speaker.impedance_ohm)
        )
        levels = {"top_sensitivity_db_2v83_1m": top_db, "bass_sensitivity_db_2v83_1m": bass.sensitivity_db_2v83_1m}
        taken = assume.take(bass.pointer("input"), bass.input)
        if taken == "line":
            trim_db = float(bass_section_trim_db(top_gain_db=pair.numbers.gain_db, bass_gain_db=bass.gain_db, **levels))
        else:
            trim_db = float(bass_section_trim_from_terminals_db(terminals_to_driver_gain_db=bass.gain_db, **levels))
    in_room_db = None if trim_db is None else trim_db - counted_db
    beyond_db = None
    if in_room_db is not None and bass.trim_from_db is not None:
        beyond_db = float(
            trim_beyond_range_db(in_room_db, lowest_trim_db=bass.trim_from_db, highest_trim_db=bass.trim_to_db)
        )
    crossover = {
        "crossover_hz": bass.crossover_hz,
        "order": assume.take(bass.pointer("crossover_order"), bass.crossover_order),
        "alignment": assume.take(bass.pointer("crossover_alignment"), bass.crossover_alignment),
        # the top's extra distance is what the bass section's is not
        "high_extra_distance_m": -bass.further_away_m,
        "speed_of_sound_m_s": seat.scene.air.speed_of_sound_m_s,
    }
    sum_db = _sum_db(bass.crossover_hz, bass.polarity, crossover)
    better = "as_top" if louder_high_polarity(**crossover) == 1 else "reversed"
    own_db = next((each.peak_spl_db for each in pair.limits if each.code == "bass_section_power"), None)
    found = BassSectionMatch(
        crossover_hz=bass.crossover_hz,
        trim_db=trim_db,
        room_gain_db=room_db,
        trim_in_room_db=in_room_db,
        beyond_range_db=beyond_db,
        own_amplifier_headroom_db=None if own_db is None else own_db - seat.target_db,
        sum_at_crossover_db=sum_db,
        better_polarity=better,
        sum_with_better_polarity_db=_sum_db(bass.crossover_hz, better, crossover),
    )
    return found, _findings(found, bass)


def _sum_db(frequency_hz, polarity, crossover):
    ratio = abs(complex(crossover_sum_apart(frequency_hz, high_polarity=_SIGN[polarity], **crossover)))
    return max(20 * float(np.log10(max(ratio, 1e-9))), _LOWEST_SUM_DB)


def _room_gain_db(seat, crossover_hz):
    """Level at the seat in the octave of the crossover re the middle octaves, low end of the speaker taken off. [dB]"""
    low_end_db = seat.speaker.grid_low_end_gain_db.reshape(8, -1)
    of_room_db = seat.octaves_re_1m_db - 10 * np.log10(np.mean(10 ** (low_end_db / 10), axis=1))
    octave = int(np.argmin(np.abs(np.log2(np.array(OCTAVE_NOMINAL_HZ) / crossover_hz))))
    return float(of_room_db[octave] - of_room_db[VOICE_OCTAVES].mean())


def _findings(found, bass):
    said = []
    if found.trim_in_room_db is not None:
        said.append(
            finding(
                "bass_section_trim",
                trim_in_room_db=found.trim_in_room_db,
                trim_db=found.trim_db,
                room_gain_db=found.room_gain_db,
                crossover_hz=bass.crossover_hz,
            )
        )
    if found.beyond_range_db:
        said.append(
            finding(
                "trim_out_of_reach",
                variant=None if found.beyond_range_db > 0 else "attenuation",
                missing_db=abs(found.beyond_range_db),
                trim_from_db=bass.trim_from_db,
                trim_to_db=bass.trim_to_db,
            )
        )
    if found.sum_at_crossover_db < policy.SUM_DIP_WORTH_SAYING_DB:
        said.append(
            finding(
                "sections_cancel",
                variant=None if found.better_polarity != bass.polarity else "delay",
                loss_db=-found.sum_at_crossover_db,
                crossover_hz=bass.crossover_hz,
                with_better_db=found.sum_with_better_polarity_db,
            )
        )
    return said
