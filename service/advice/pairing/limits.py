"""What ends the level: the amplifier, the heat of the voice coil, the travel of the driver, the bass section."""

import math

import numpy as np

from service.advice.answers.level import LimitAnswer
from service.advice.speaker.sections import section_limits
from service.domain.words import words
from service.physics.chain.voice_coil import average_power_w
from service.physics.loudspeaker.excursion import displacement_limited_level_db
from service.physics.loudspeaker.sensitivity import sensitivity_db_1w_1m_from_voltage

_FULL_SPACE_SR = 4 * math.pi


def level_limits(speaker, basis, *, peak_db):
    """Return everything that ends the level, lowest first.

    Parameters
    ----------
    speaker : Loudspeaker
        As told: its drivers and its bass section. [-]
    basis : LevelBasis
        [-]
    peak_db : float
        Steady level at the seat when the amplifier clips. [dB SPL]
    """
    power_w, programme = basis.amplifier.power_w, basis.programme
    found = [
        LimitAnswer(
            code="amplifier_clipping",
            peak_spl_db=peak_db,
            text=words("limits.amplifier_clipping", power_w=power_w, impedance_ohm=basis.speaker.impedance_ohm),
        )
    ]
    long_term_power_w = basis.speaker.long_term_power_w
    if long_term_power_w is not None:
        heating_w = float(average_power_w(sine_power_w=power_w, crest_factor_db=programme.crest_factor_db))
        found.append(
            LimitAnswer(
                code="long_term_power",
                peak_spl_db=peak_db + 10 * math.log10(long_term_power_w / heating_w),
                text=words("limits.long_term_power", power_w=long_term_power_w),
            )
        )
    bass = speaker.bass_section
    driver = speaker.driver if bass is None else bass.driver
    if driver is not None:
        found.append(_excursion_limit(driver, basis, peak_db=peak_db))
    if bass is not None and bass.sensitivity_db_2v83_1m is not None and bass.power_w is not None:
        found.append(_bass_section_limit(bass, basis, peak_db=peak_db))
    found += section_limits(speaker, basis, peak_db=peak_db)
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
        text=words("limits.excursion"),
    )


def _bass_section_limit(bass, basis, *, peak_db):
    impedance_ohm = bass.impedance_ohm or basis.speaker.impedance_ohm
    at_1w_db = float(sensitivity_db_1w_1m_from_voltage(bass.sensitivity_db_2v83_1m, impedance_ohm=impedance_ohm))
    share_db = 10 * math.log10(1 - basis.programme.share_above(bass.crossover_hz))
    margin_db = at_1w_db + 10 * math.log10(bass.power_w) - (basis.level_at_1m_db + share_db)
    return LimitAnswer(
        code="bass_section_power",
        peak_spl_db=peak_db + margin_db,
        text=words("limits.bass_section_power", power_w=bass.power_w),
    )
