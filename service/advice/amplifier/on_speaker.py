"""What an amplifier does to a speaker beside its power: the sound it shapes, the hum and the hiss it leaves."""

import functools

import numpy as np

from service.advice import policy
from service.advice.answers.level import AmplifierOnSpeaker
from service.advice.assumptions import DEFAULTS, Default
from service.advice.findings.wording import finding
from service.advice.speaker.load import settled_cable_ohm
from service.domain.words import words
from service.physics.chain.cable import effective_damping_factor
from service.physics.chain.noise import (
    HEARING_THRESHOLD_HISS_OCTAVES_DB,
    HISS_OCTAVES_HZ,
    hiss_margin_db,
    hum_level_db,
    noise_level_dba,
    white_hiss_octaves_db,
)
from service.physics.chain.noise_floor import noise_voltage_v, tone_threshold_db
from service.physics.chain.noise_rating import (
    NOISE_RATING_OCTAVES_HZ,
    noise_rating_level_dba,
    noise_rating_octaves_db,
    noise_rating_of_dba,
)
from service.physics.loudspeaker.sensitivity import sensitivity_db_2v83_1m_from_power
from service.physics.weighting import a_weighting_db
from service.tables.loader import amplifier_kinds, backgrounds

_HUM_OCTAVE = 1
"""Place of 125 Hz, the octave in which 100 Hz lies, among 63 Hz to 8 kHz."""
_HISS_OCTAVES = slice(4, 8)
"""Places of 1 to 8 kHz."""
_BACKGROUND_HUM_OCTAVE = NOISE_RATING_OCTAVES_HZ.index(125)
_BACKGROUND_HISS_OCTAVES = slice(NOISE_RATING_OCTAVES_HZ.index(HISS_OCTAVES_HZ[0]), None)
_DEFAULT_DAMPING_LOAD_OHM = 8.0
_USUAL_HUM_HZ = 100.0
_RATIO_TELLS = {"a": "noise_uv", "none": "hum_mv"}
"""Weighting of a signal-to-noise ratio -> what it says: without weighting hum is by far the most of it."""
_HISS_WEIGHTS = 10 ** (a_weighting_db(np.array(HISS_OCTAVES_HZ, dtype=float)) / 10)


def amplifier_on_speaker(*, speaker, amplifier, power, load, cable, background, octaves_re_1m_db, assume):
    """Return what an amplifier does to a speaker beside its power.

    Parameters
    ----------
    speaker : LoudspeakerModel
        [-]
    amplifier : Amplifier
        As told. [-]
    power : AmplifierPower
        Its power into this speaker, and on which tap. [-]
    load : Load
        The speaker as it meets it. [-]
    cable : Cable or None
        As told. [-]
    background : Background or None
        As told. [-]
    octaves_re_1m_db : ndarray, shape (8,)
        Level of all speakers at the chair re the axial free-field level of one of them at 1 m. [dB]
    assume : Assumptions
        Receives what had to be assumed. [-]

    Returns
    -------
    AmplifierOnSpeaker
        None where neither a fact nor the kind of amplifier tells a number. [-]

    Notes
    -----
    The hum is taken at twice the mains, 100 Hz unless told, of both channels as much in phase as bass is. At
    1 m it is the voltage through the sensitivity. At the chair it rises or falls as the 125 Hz octave does, an average
    over the octave: the field of a single tone at a single chair can be 10 dB more or less. A bass section's crossover
    is not counted. Hiss is white; its octaves rise or fall as those of the music do.
    """
    usual = usual_of(amplifier)
    output_ohm = output_impedance_ohm(amplifier, usual, power, assume)
    hum_mv = _told_or_usual(amplifier, usual, power, "hum_mv", assume)
    noise_uv = _told_or_usual(amplifier, usual, power, "noise_uv", assume)
    hum_hz = amplifier.hum_frequency_hz or _USUAL_HUM_HZ
    background_dba = None
    if hum_mv is not None or noise_uv is not None:
        background_dba = _background_dba(background, assume)
    return AmplifierOnSpeaker(
        output_impedance_ohm=output_ohm,
        **_impedance_facts(load, output_ohm, cable, assume),
        hum_mv=hum_mv,
        hum_hz=None if hum_mv is None else hum_hz,
        **_hum_facts(speaker, hum_mv, hum_hz, octaves_re_1m_db, background_dba),
        noise_uv=noise_uv,
        **_hiss_facts(speaker, noise_uv, octaves_re_1m_db, background_dba),
        background_dba=background_dba,
    )


def usual_of(amplifier):
    """Return what is usual for the kind of an amplifier, None where that is not known."""
    return None if amplifier.kind is None else amplifier_kinds()[amplifier.kind]


def _told_or_usual(amplifier, usual, power, name, assume):
    """A fact of the amplifier as told, from its signal-to-noise ratio or usual for its kind; None where none tells."""
    told = getattr(amplifier, name)
    if told is None and _RATIO_TELLS.get(amplifier.signal_to_noise_weighting or "a") == name:
        told = _from_ratio(amplifier, power, name, assume)
    if told is not None or usual is None:
        return told
    stem, _, unit = name.rpartition("_")
    spread = (getattr(usual, f"{stem}_from_{unit}"), getattr(usual, f"{stem}_to_{unit}"))
    return _take_usual(usual, name, getattr(usual, name), spread, assume)


def _from_ratio(amplifier, power, name, assume):
    """Noise in uV or hum in mV from a signal-to-noise ratio; what it refers to is the full output unless told."""
    if amplifier.signal_to_noise_db is None:
        return None
    for fact, value in (("signal_to_noise_weighting", "a"), ("signal_to_noise_reference", "full_output")):
        default = Default(value=value, why=words(f"assumptions.{fact}"), source="practice")
        value = assume.take(f"/amplifier/{fact}", getattr(amplifier, fact), default=default)
    voltage_v = noise_voltage_v(
        signal_to_noise_db=amplifier.signal_to_noise_db,
        reference_power_w=1.0 if value == "one_watt" else power.rated_power_w,
        load_ohm=power.rated_load_ohm,
    )
    return float(voltage_v) * (1e6 if name == "noise_uv" else 1e3)


def _take_usual(usual, name, value, spread, assume):
    why = words(f"assumptions.amplifier_kind.{name}", kind=usual.id)
    default = Default(value=value, why=why, source=usual.source, spread=spread)
    return assume.take(f"/amplifier/{name}", None, default=default)


def output_impedance_ohm(amplifier, usual, power, assume, *, tap_ohm=None):
    """Return the output impedance: as told, from the damping factor, or usual for the kind.

    Parameters
    ----------
    amplifier : Amplifier
        As told: at the load of its rating, or at the tap in use. [-]
    usual : AmplifierKind or None
        What is usual for it. [-]
    power : AmplifierPower
        Tells the tap in use. [-]
    assume : Assumptions
        [-]
    tap_ohm : float, optional
        Another tap than the one in use. [ohm]

    Returns
    -------
    float or None
        In proportion to the tap. [ohm]
    """
    tap_ohm = tap_ohm or power.tap_ohm
    told_at_ohm = amplifier.load_ohm or amplifier.tap_in_use_ohm or power.rated_load_ohm
    told_ratio = 1.0 if tap_ohm is None else tap_ohm / told_at_ohm
    if amplifier.output_impedance_ohm is not None:
        return amplifier.output_impedance_ohm * told_ratio
    if amplifier.damping_factor is not None:
        load_ohm = amplifier.damping_factor_load_ohm
        default_ohm = _DEFAULT_DAMPING_LOAD_OHM if tap_ohm is None else told_at_ohm
        why = words("assumptions.damping_factor_load_ohm")
        default = Default(value=default_ohm, why=why, source="practice")
        load_ohm = assume.take("/amplifier/damping_factor_load_ohm", load_ohm, default=default)
        return load_ohm / amplifier.damping_factor * (1.0 if tap_ohm is None else tap_ohm / load_ohm)
    if usual is None:
        return None
    tap = (tap_ohm or power.rated_load_ohm) / usual.load_ohm if usual.scales_with_tap else 1.0
    low, typical, high = (
        round(value * tap, 4)
        for value in (usual.output_impedance_from_ohm, usual.output_impedance_ohm, usual.output_impedance_to_ohm)
    )
    return _take_usual(usual, "output_impedance_ohm", typical, (low, high), assume)


def _background_dba(background, assume):
    """A-weighted level of the background noise, as told or usual. [dB(A)]"""
    if background is not None and background.level_dba is not None:
        return background.level_dba
    if background is not None and background.nr is not None:
        return float(noise_rating_level_dba(background.nr))
    kind = assume.take(
        "/background/kind", None if background is None else background.kind, default=DEFAULTS["background_kind"]
    )
    row = backgrounds()[kind]
    assume.add(
        None,
        {"background_dba": row.level_dba},
        why=words("assumptions.background_of_kind", kind=kind),
        source=row.source,
        spread=(row.level_from_dba, row.level_to_dba),
    )
    return row.level_dba


@functools.lru_cache(maxsize=256)
def _background_octaves_db(background_dba):
    """Octaves of background noise that is shaped like the noise rating curve of its level. [dB]"""
    octaves_db = noise_rating_octaves_db(noise_rating_of_dba(background_dba))
    octaves_db.setflags(write=False)
    return octaves_db


def _impedance_facts(load, output_ohm, cable, assume):
    """How far the sound follows the impedance of the speaker, and the damping factor."""
    names = ("level_swing_db", "effective_damping_factor", "better_output_impedance_ohm", "better_swing_db")
    if output_ohm is None:
        return dict.fromkeys(names)
    cable_ohm = settled_cable_ohm(cable, assume)
    damping = None
    if output_ohm + cable_ohm > 0:
        damping = float(
            effective_damping_factor(
                load_ohm=load.rated_ohm, output_impedance_ohm=output_ohm, loop_resistance_ohm=cable_ohm
            )
        )
    better_ohm = output_ohm / policy.BETTER_OUTPUT_IMPEDANCE_DIVISOR
    swing_db, better_db = load.level_swing_db(np.array([output_ohm, better_ohm]) + cable_ohm).tolist()
    return dict(zip(names, (swing_db, damping, better_ohm, better_db), strict=True))


def _at_2v83_db(speaker):
    return float(sensitivity_db_2v83_1m_from_power(speaker.sensitivity_db_1w_1m, impedance_ohm=speaker.impedance_ohm))


def _hum_facts(speaker, hum_mv, hum_hz, octaves_re_1m_db, background_dba):
    names = ("hum_at_1m_db", "hum_at_seat_db", "hum_margin_db")
    if not hum_mv:
        return dict.fromkeys(names)
    at_1m_db = float(
        hum_level_db(sensitivity_db_2v83_1m=_at_2v83_db(speaker), hum_voltage_v=hum_mv / 1000, distance_m=1.0)
    )
    at_seat_db = at_1m_db + float(octaves_re_1m_db[_HUM_OCTAVE])
    background_db = _background_octaves_db(background_dba)[_BACKGROUND_HUM_OCTAVE]
    hidden_by_db = 10 * np.log10(10 ** (background_db / 10) + 10 ** (float(tone_threshold_db(hum_hz)) / 10))
    return dict(zip(names, (at_1m_db, at_seat_db, at_seat_db - float(hidden_by_db)), strict=True))


def _hiss_facts(speaker, noise_uv, octaves_re_1m_db, background_dba):
    names = ("noise_at_1m_dba", "noise_at_seat_dba", "hiss_margin_db")
    if not noise_uv:
        return dict.fromkeys(names)
    at_1m_dba = float(
        noise_level_dba(sensitivity_db_2v83_1m=_at_2v83_db(speaker), noise_voltage_v=noise_uv * 1e-6, distance_m=1.0)
    )
    at_1m_db = white_hiss_octaves_db(at_1m_dba)
    at_seat_db = at_1m_db + octaves_re_1m_db[_HISS_OCTAVES]
    margin_db = hiss_margin_db(
        at_seat_db,
        background_octaves_db=_background_octaves_db(background_dba)[_BACKGROUND_HISS_OCTAVES],
        threshold_octaves_db=np.array(HEARING_THRESHOLD_HISS_OCTAVES_DB),
    )
    # 1 to 8 kHz carry nearly all of an A-weighted hiss: the whole rises or falls as their weighted sum does
    gain_db = 10 * np.log10((10 ** (at_seat_db / 10) @ _HISS_WEIGHTS) / (10 ** (at_1m_db / 10) @ _HISS_WEIGHTS))
    return dict(zip(names, (at_1m_dba, at_1m_dba + float(gain_db), float(margin_db.max())), strict=True))


def amplifier_findings(found, *, speaker, amplifier, power):
    """Return what is worth saying about an amplifier on a speaker.

    Parameters
    ----------
    found : AmplifierOnSpeaker
        [-]
    speaker : LoudspeakerModel
        [-]
    amplifier : Amplifier
        As told. [-]
    power : AmplifierPower
        [-]

    Returns
    -------
    list of Finding
    """
    return [*_of_current(speaker, amplifier, power), *_of_sound(found), *_of_noise(found), *_of_sensitivity(speaker)]


def _of_current(speaker, amplifier, power):
    usual = usual_of(amplifier)
    if usual is None or usual.clipping != "current_first":
        return []
    loss_db = 10 * float(np.log10(power.rated_power_w / power.power_w))
    if loss_db < policy.CURRENT_ENDS_FROM_DB or speaker.impedance_ohm >= power.rated_load_ohm:
        return []
    known = amplifier.maximum_current_a is not None or len(amplifier.ratings) > 1
    return [
        finding(
            "current_ends_first",
            variant="known" if known else None,
            rated_power_w=power.rated_power_w,
            rated_load_ohm=power.rated_load_ohm,
            power_w=power.power_w,
            impedance_ohm=speaker.impedance_ohm,
            loss_db=loss_db,
        )
    ]


def _of_sound(found):
    if found.level_swing_db is None or found.level_swing_db < policy.SWING_WORTH_SAYING_DB:
        return []
    return [
        finding(
            "follows_impedance",
            output_impedance_ohm=found.output_impedance_ohm,
            level_swing_db=found.level_swing_db,
            better_output_impedance_ohm=found.better_output_impedance_ohm,
            better_swing_db=found.better_swing_db,
        )
    ]


def _of_noise(found):
    said = []
    if found.hum_margin_db is not None and found.hum_margin_db >= policy.NOISE_HEARD_FROM_DB:
        said.append(
            finding(
                "hum_may_be_heard",
                hum_mv=found.hum_mv,
                hum_at_1m_db=found.hum_at_1m_db,
                hum_at_seat_db=found.hum_at_seat_db,
                hum_hz=found.hum_hz,
                hearing_threshold_db=float(tone_threshold_db(found.hum_hz)),
                background_dba=found.background_dba,
            )
        )
    if found.hiss_margin_db is not None and found.hiss_margin_db >= policy.NOISE_HEARD_FROM_DB:
        said.append(
            finding(
                "hiss_may_be_heard",
                noise_uv=found.noise_uv,
                noise_at_1m_dba=found.noise_at_1m_dba,
                noise_at_seat_dba=found.noise_at_seat_dba,
                background_dba=found.background_dba,
            )
        )
    return said


def _of_sensitivity(speaker):
    """A sensitivity far from that of its kind; with an unstated basis neither reading may come near."""
    usual = speaker.usual
    lower_db, higher_db = speaker.sensitivity_db_1w_1m, speaker.sensitivity_db_1w_1m + speaker.basis_spread_db
    strays_db = max(usual.sensitivity_from_db - higher_db, lower_db - usual.sensitivity_to_db)
    if not speaker.kind_was_told or strays_db <= policy.UNUSUAL_SENSITIVITY_DB:
        return []
    return [
        finding(
            "usual_sensitivity",
            sensitivity_db_1w_1m=lower_db,
            usual_from_db=usual.sensitivity_from_db,
            usual_to_db=usual.sensitivity_to_db,
            kind=usual.id,
        )
    ]
