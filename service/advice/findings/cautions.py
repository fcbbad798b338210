"""The cautions that apply: where the work can hurt someone. Each defers to local rules and licensed practice."""

from service.advice import policy
from service.advice.answers.common import Caution
from service.domain.equipment import HOT_KINDS, VALVE_KINDS, Amplifier, Loudspeaker
from service.domain.words import Words, words
from service.physics.hearing.daily_dose import niosh_allowed_hours


def caution(code: str, **values: object) -> Caution:
    """Return a caution with its text."""
    return Caution(code=code, text=words(f"cautions.{code}", **values))


def allowed_in_words(time_h: float) -> Words:
    """Return a time allowed in a day as words."""
    return words("terms.no_limit_a_day") if time_h >= policy.HOURS_A_DAY else words("terms.a_day", time_h=time_h)


def for_hearing(average_dba: float, peak_pressure_db: float | None) -> list[Caution]:
    """Return the cautions about hearing that a level calls for."""
    found = []
    if average_dba >= policy.CAUTION_FROM_DBA:
        allowed = allowed_in_words(float(niosh_allowed_hours(average_dba)))
        found.append(caution("hearing", level_dba=average_dba, allowed=allowed))
    if peak_pressure_db is not None and peak_pressure_db >= policy.CAUTION_PEAK_DB:
        found.append(caution("hearing_peaks", peak_db=peak_pressure_db))
    return found


def for_pair(
    speaker: Loudspeaker,
    amplifier: Amplifier,
    *,
    sensitivity_db_1w_1m: float,
    amplifier_w: float,
    long_term_power_w: float,
    average_dba: float,
    peak_pressure_db: float,
) -> list[Caution]:
    """Return the cautions that an amplifier on a speaker calls for at a listening level.

    Parameters
    ----------
    speaker : Loudspeaker
        As told. [-]
    amplifier : Amplifier
        As told. [-]
    sensitivity_db_1w_1m : float
        [dB]
    amplifier_w, long_term_power_w : float
        What arrives in the speaker at clipping, and what it bears for long. [W]
    average_dba, peak_pressure_db : float
        At the chair. [dB(A), dB SPL]
    """
    found = for_hearing(average_dba, peak_pressure_db)
    found.append(caution("valve_voltage" if amplifier.kind in VALVE_KINDS else "mains"))
    if amplifier.kind in HOT_KINDS:
        found.append(caution("hot_surfaces"))
    if speaker.has_field_coil:
        found.append(caution("field_coil"))
    found += for_connecting(
        amplifier,
        sensitivity_db_1w_1m=sensitivity_db_1w_1m,
        amplifier_w=amplifier_w,
        long_term_power_w=long_term_power_w,
    )
    return [*found, *for_cabinet(speaker), caution("calculation")]


def for_connecting(
    amplifier: Amplifier, *, sensitivity_db_1w_1m: float, amplifier_w: float, long_term_power_w: float
) -> list[Caution]:
    """Return the cautions that joining an amplifier and a speaker calls for."""
    found = []
    if amplifier.kind in VALVE_KINDS:
        found.append(caution("never_without_load"))
    if amplifier.balanced_output or amplifier.kind == "headphone_amplifier":
        found.append(caution("balanced_minus"))
    if amplifier_w > long_term_power_w * (1.0 + 1e-9):  # equal ratings differ by rounding
        found.append(caution("speaker_below_amplifier", amplifier_w=amplifier_w, long_term_power_w=long_term_power_w))
    if sensitivity_db_1w_1m >= policy.SWITCH_WITH_CARE_FROM_DB:
        found.append(caution("volume_down_before_switching"))
    return found


def for_cabinet(speaker: Loudspeaker | None) -> list[Caution]:
    """Return the cautions that moving or fixing a speaker calls for."""
    found = []
    if speaker is not None and speaker.mass_kg is not None and speaker.mass_kg >= policy.HEAVY_FROM_KG:
        found.append(caution("heavy"))
    if speaker is not None and speaker.fixed_to_wall_or_ceiling:
        found.append(caution("mounting"))
    return found
