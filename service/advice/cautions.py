"""The cautions that apply: where the work can hurt someone. Each defers to local rules and licensed practice."""

from service.advice import policy
from service.advice.answers.common import Caution
from service.domain.equipment import HOT_KINDS, VALVE_KINDS
from service.physics.hearing import niosh_allowed_hours

_TEXTS = {
    "hearing": "This system can be louder than is good for ears. At an average of {level_dba:.0f} dB(A) the NIOSH "
    "recommendation is {allowed}. Limits at work are set by local law; if in doubt ask a doctor or a hearing "
    "specialist.",
    "exposure": "These are sums over the levels given, not measurements. Which rule binds is decided by local law; "
    "hearing at work is for a licensed hearing or safety specialist.",
    "hearing_peaks": "Single peaks may reach {peak_db:.0f} dB at the chair. The lower action value of European law for "
    "peak pressure is 135 dB(C); local law decides at work.",
    "mains": "Mains-powered equipment holds dangerous voltage. Only a qualified technician opens it; local electrical "
    "rules apply to every installation.",
    "valve_voltage": "Valve amplifiers hold lethal voltage inside, even after switching off. Opening them is work for "
    "a qualified technician; local electrical rules apply to every installation.",
    "hot_surfaces": "Valves and class A amplifiers get hot enough to burn: keep children, pets and curtains away, and "
    "leave air around them as the maker and local fire rules ask.",
    "field_coil": "The supply of a field coil carries dangerous voltage: switch it off before unplugging the coil, "
    "whose collapsing field makes a dangerous voltage of its own. Work on it is for a qualified technician. The "
    "magnet runs at about 40 degrees Celsius and is strong: keep pacemakers, cards and steel tools away.",
    "heavy": "Move heavy cabinets with two people or more and follow local rules for lifting.",
    "mounting": "Hang nothing on a wall or ceiling without a fixing chosen by a specialist for that wall and weight; "
    "local building rules apply.",
    "calculation": "This is a calculation from the facts given and the assumptions listed, not a measurement and not a "
    "promise. Trust your ears: a home trial beats any sheet.",
}
"""That the magnet of a field coil runs at about 40 degrees Celsius is common practice, no source."""


def caution(code, **values):
    """Return a caution with its text."""
    return Caution(code=code, text=_TEXTS[code].format(**values))


def hours_in_words(hours):
    """Return a time as a person says it, rounded down: 4 hours, 2.5 hours, 30 minutes, 50 seconds."""
    if hours >= 2:
        return f"{int(2 * hours) / 2:g} hours"
    if hours * 60 >= 2:
        return f"{int(hours * 60)} minutes"
    seconds = int(hours * 3600)
    return {0: "less than a second", 1: "1 second"}.get(seconds, f"{seconds} seconds")


def allowed_in_words(hours):
    """Return a time allowed in a day as a person says it."""
    return "no limit within a day" if hours >= policy.HOURS_A_DAY else f"{hours_in_words(hours)} a day"


def for_hearing(average_dba, peak_pressure_db):
    """Return the cautions about hearing that a level calls for."""
    found = []
    if average_dba >= policy.CAUTION_FROM_DBA:
        allowed = allowed_in_words(float(niosh_allowed_hours(average_dba)))
        found.append(caution("hearing", level_dba=average_dba, allowed=allowed))
    if peak_pressure_db is not None and peak_pressure_db >= policy.CAUTION_PEAK_DB:
        found.append(caution("hearing_peaks", peak_db=peak_pressure_db))
    return found


def for_level(request, *, average_dba, peak_pressure_db):
    """Return the cautions that a level budget calls for."""
    kind = request.amplifier.kind
    found = for_hearing(average_dba, peak_pressure_db)
    found.append(caution("valve_voltage" if kind in VALVE_KINDS else "mains"))
    if kind in HOT_KINDS:
        found.append(caution("hot_surfaces"))
    if request.speaker.field_coil:
        found.append(caution("field_coil"))
    return [*found, *for_cabinet(request.speaker), caution("calculation")]


def for_cabinet(speaker):
    """Return the cautions that moving or fixing a speaker calls for."""
    found = []
    if speaker is not None and speaker.mass_kg is not None and speaker.mass_kg >= policy.HEAVY_FROM_KG:
        found.append(caution("heavy"))
    if speaker is not None and speaker.fixed_to_wall_or_ceiling:
        found.append(caution("mounting"))
    return found
