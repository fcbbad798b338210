"""Run-in of a new driver: voltage and level of noise at a share of its rated power, before it is fitted."""

import numpy as np

from service.advice import policy
from service.advice.answers.run_in import RunInAnswer
from service.advice.assumptions import Assumptions
from service.advice.findings import cautions
from service.advice.findings.finding import finding
from service.advice.room.model import air_of
from service.advice.speaker.cached import cached_speaker_model
from service.domain.words import words
from service.physics.bands import THIRD_OCTAVE_NOMINAL_HZ
from service.physics.chain.run_in import run_in_level_db, run_in_voltage_v, sine_power_for_noise_w
from service.physics.hearing.daily_dose import niosh_allowed_hours
from service.physics.loudspeaker.sensitivity import sensitivity_db_2v83_1m_from_power
from service.physics.weighting import a_weighted_offset_db

_PINK_OFFSET_DB = float(a_weighted_offset_db(np.zeros(len(THIRD_OCTAVE_NOMINAL_HZ))))
"""Pink noise has the same power in each third."""


def run_in(request):
    """Answer POST /v1/run-in.

    Parameters
    ----------
    request : RunInRequest
        As told. [-]

    Returns
    -------
    RunInAnswer
    """
    assume = Assumptions()
    air = air_of(None, Assumptions())  # nothing here depends on it
    speaker = cached_speaker_model(request.speaker, assume, speed_of_sound_m_s=air.speed_of_sound_m_s)
    share_pct = assume.take(request.pointer("share_pct"), request.share_pct)
    hours = assume.take(request.pointer("hours"), request.hours)
    distance_m = assume.take(request.pointer("distance_m"), request.distance_m)
    noise_w = share_pct / 100 * speaker.long_term_power_w
    voltage_v = float(
        run_in_voltage_v(
            rated_noise_power_w=speaker.long_term_power_w,
            rated_impedance_ohm=speaker.impedance_ohm,
            share_ratio=share_pct / 100,
        )
    )
    at_2v83_db = float(
        sensitivity_db_2v83_1m_from_power(speaker.sensitivity_db_1w_1m, impedance_ohm=speaker.impedance_ohm)
    )
    level = {"sensitivity_db_2v83_1m": at_2v83_db, "voltage_v": voltage_v}
    level_dba = float(run_in_level_db(**level, distance_m=distance_m)) + _PINK_OFFSET_DB
    assume.add(None, {"spectrum": "pink_noise"}, why=words("assumptions.pink_noise"), source="practice")
    amplifier_w = float(sine_power_for_noise_w(noise_power_w=noise_w, crest_factor_db=policy.NOISE_CREST_DB))
    allowed_h = float(niosh_allowed_hours(level_dba))
    return RunInAnswer(
        hours=hours,
        share_pct=share_pct,
        rated_power_w=speaker.long_term_power_w,
        noise_power_w=noise_w,
        rated_impedance_ohm=speaker.impedance_ohm,
        voltage_v=voltage_v,
        level_at_1m_db=float(run_in_level_db(**level, distance_m=1.0)),
        distance_m=distance_m,
        level_dba=level_dba,
        allowed_hours_a_day=min(allowed_h, policy.HOURS_A_DAY),
        amplifier_power_w=amplifier_w,
        findings=[
            finding(
                "run_in",
                hours_h=hours,
                voltage_v=voltage_v,
                noise_power_w=noise_w,
                share_pct=share_pct,
                amplifier_power_w=amplifier_w,
            ),
            finding("run_in_level", level_dba=level_dba, distance_m=distance_m),
        ],
        cautions=_cautions(request, level_dba),
        assumptions=assume.listed(),
    )


def _cautions(request, level_dba):
    found = [*cautions.for_hearing(level_dba, None), cautions.caution("run_in"), cautions.caution("mains")]
    if request.speaker.has_field_coil:
        found.append(cautions.caution("field_coil"))
    return [*found, cautions.caution("calculation")]
