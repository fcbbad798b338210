"""Sections of a loudspeaker on one amplifier: what each of them bears, and which gives out first."""

import math

import numpy as np

from service.advice.answers.level import LimitAnswer
from service.domain.words import words
from service.physics.bands import THIRD_OCTAVE_NOMINAL_HZ, third_octave_midbands_hz
from service.physics.chain.voice_coil import average_power_w
from service.physics.loudspeaker.excursion import displacement_limited_level_db
from service.physics.loudspeaker.sensitivity import sensitivity_db_2v83_1m_from_power

_FULL_SPACE_SR = 4 * math.pi
_LOWEST_MOVED_HZ = 31.5


def section_limits(speaker, basis, *, peak_db):
    """Return what ends the level in the sections that the amplifier drives.

    Parameters
    ----------
    speaker : Loudspeaker
        As told: its sections. [-]
    basis : LevelBasis
        [-]
    peak_db : float
        Steady level at the seat when the amplifier clips. [dB SPL]

    Returns
    -------
    list of LimitAnswer

    Notes
    -----
    All sections share one voltage; a section takes its share of the programme, in whole thirds, in proportion to the
    rated impedance of the speaker re its own. A section that is more sensitive than the speaker is padded down to it,
    and bears that much less. The lowest section on an amplifier of its own counts as a bass section, not here.
    """
    found = []
    for section in speaker.sections:
        if section.amplifier == "own":
            continue
        band = _band(section)
        share = float(basis.programme.thirds[band].sum())
        if share <= 0:
            continue
        if section.long_term_power_w is not None:
            found.append(_heat_limit(section, basis, share=share, peak_db=peak_db))
        if section.driver is not None:
            limit = _excursion_limit(section, basis, band=band, peak_db=peak_db)
            found += [] if limit is None else [limit]
    return found


def _band(section):
    nominal_hz = np.array(THIRD_OCTAVE_NOMINAL_HZ)
    low_hz, high_hz = section.from_hz or 0.0, section.to_hz or math.inf
    return (nominal_hz > low_hz) & (nominal_hz <= high_hz)


def _heat_limit(section, basis, *, share, peak_db):
    speaker, power_w = basis.speaker, basis.amplifier.power_w
    whole_w = float(average_power_w(sine_power_w=power_w, crest_factor_db=basis.programme.crest_factor_db))
    # the amplifier's power is the whole of what it plays itself: a bass section relieves it
    relief = 1.0
    if speaker.bass_section_below_hz is not None:
        relief = basis.programme.share_above(speaker.bass_section_below_hz)
    taken_w = whole_w * share / relief * speaker.impedance_ohm / (section.impedance_ohm or speaker.impedance_ohm)
    if section.sensitivity_db_2v83_1m is not None:
        whole_db = float(
            sensitivity_db_2v83_1m_from_power(speaker.sensitivity_db_1w_1m, impedance_ohm=speaker.impedance_ohm)
        )
        taken_w *= 10 ** (-max(section.sensitivity_db_2v83_1m - whole_db, 0.0) / 10)
    return LimitAnswer(
        code="section_long_term_power",
        peak_spl_db=peak_db + 10 * math.log10(section.long_term_power_w / taken_w),
        text=words("limits.section_long_term_power", power_w=section.long_term_power_w),
    )


def _excursion_limit(section, basis, *, band, peak_db):
    """Level at which the thirds of this section, from 31.5 Hz up, use up the travel of its driver."""
    moved = band & (np.array(THIRD_OCTAVE_NOMINAL_HZ) >= _LOWEST_MOVED_HZ)
    if not moved.any():
        return None
    frequency_hz = third_octave_midbands_hz()[moved]
    share_db = 10 * np.log10(basis.programme.thirds[moved])
    wanted_db = basis.level_at_1m_db + share_db + basis.speaker.low_end_gain_db(frequency_hz)
    possible_db = displacement_limited_level_db(
        frequency_hz,
        driver_area_m2=section.driver.area_m2,
        peak_excursion_m=section.driver.peak_excursion_m,
        distance_m=1.0,
        air_density_kg_m3=basis.air.density_kg_m3,
        solid_angle_sr=_FULL_SPACE_SR,
    )
    ratio_db = 10 * math.log10((10 ** ((wanted_db - possible_db) / 10)).sum())
    return LimitAnswer(code="section_excursion", peak_spl_db=peak_db - ratio_db, text=words("limits.section_excursion"))
