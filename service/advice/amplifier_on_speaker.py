"""What an amplifier does to a speaker beside its power: the sound it shapes, the hum and the hiss it leaves."""

import functools

import numpy as np

from service.advice import policy
from service.advice.answers.level import AmplifierOnSpeaker
from service.advice.assumptions import DEFAULTS, Default
from service.advice.wording import finding
from service.advice.words import words
from service.physics.chain.cable import (
    divider_gain_db,
    effective_damping_factor,
    loop_resistance_ohm,
    resistance_ohm_per_km,
)
from service.physics.chain.noise import (
    HEARING_THRESHOLD_100_HZ_DB,
    HEARING_THRESHOLD_HISS_OCTAVES_DB,
    HISS_OCTAVES_HZ,
    hiss_margin_db,
    hum_level_db,
    noise_level_dba,
    white_hiss_octaves_db,
)
from service.physics.chain.noise_rating import NOISE_RATING_OCTAVES_HZ, noise_rating_octaves_db, noise_rating_of_dba
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
_HISS_WEIGHTS = 10 ** (a_weighting_db(np.array(HISS_OCTAVES_HZ, dtype=float)) / 10)
_CABLE_OHM = float(
    loop_resistance_ohm(
        length_m=policy.CABLE_LENGTH_M,
        conductor_resistance_ohm_per_km=resistance_ohm_per_km(
            cross_section_mm2=policy.CABLE_CROSS_SECTION_MM2, conductor="flexible"
        ),
    )
)


def amplifier_on_speaker(*, speaker, amplifier, power, background, octaves_re_1m_db, assume):
    """Return what an amplifier does to a speaker beside its power.

    Parameters
    ----------
    speaker : LoudspeakerModel
        [-]
    amplifier : Amplifier
        As told. [-]
    power : AmplifierPower
        Its rating. [-]
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
    The hum is taken at 100 Hz, the second harmonic of 50 Hz mains, of both channels as much in phase as bass is. At
    1 m it is the voltage through the sensitivity. At the chair it rises or falls as the 125 Hz octave does, an average
    over the octave: the field of a single tone at a single chair can be 10 dB more or less. A bass section's crossover
    is not counted. Hiss is white; its octaves rise or fall as those of the music do.
    """
    usual = None if amplifier.kind is None else amplifier_kinds()[amplifier.kind]
    output_ohm = _output_impedance_ohm(amplifier, usual, power, assume)
    hum_mv = _told_or_usual(amplifier, usual, "hum_mv", assume)
    noise_uv = _told_or_usual(amplifier, usual, "noise_uv", assume)
    background_dba = None
    if hum_mv is not None or noise_uv is not None:
        background_dba = _background_dba(background, assume)
    return AmplifierOnSpeaker(
        output_impedance_ohm=output_ohm,
        **_impedance_facts(speaker, output_ohm, assume),
        hum_mv=hum_mv,
        **_hum_facts(speaker, hum_mv, octaves_re_1m_db, background_dba),
        noise_uv=noise_uv,
        **_hiss_facts(speaker, noise_uv, octaves_re_1m_db, background_dba),
        background_dba=background_dba,
    )


def _told_or_usual(amplifier, usual, name, assume):
    """A fact of the amplifier as told or usual for its kind, None where neither is known."""
    told = getattr(amplifier, name)
    if told is not None or usual is None:
        return told
    stem, _, unit = name.rpartition("_")
    spread = (getattr(usual, f"{stem}_from_{unit}"), getattr(usual, f"{stem}_to_{unit}"))
    return _take_usual(usual, name, getattr(usual, name), spread, assume)


def _take_usual(usual, name, value, spread, assume):
    why = words(f"assumptions.amplifier_kind.{name}", kind=usual.id)
    default = Default(value=value, why=why, source=usual.source, spread=spread)
    return assume.take(f"/amplifier/{name}", None, default=default)


def _output_impedance_ohm(amplifier, usual, power, assume):
    """Output impedance as told, from the damping factor, or usual for the kind on the tap that was rated. [ohm]"""
    if amplifier.output_impedance_ohm is not None:
        return amplifier.output_impedance_ohm
    if amplifier.damping_factor is not None:
        load_ohm = amplifier.damping_factor_load_ohm
        why = words("assumptions.damping_factor_load_ohm")
        default = Default(value=_DEFAULT_DAMPING_LOAD_OHM, why=why, source="practice")
        return assume.take("/amplifier/damping_factor_load_ohm", load_ohm, default=default) / amplifier.damping_factor
    if usual is None:
        return None
    tap = power.rated_load_ohm / usual.load_ohm if usual.scales_with_tap else 1.0
    low, typical, high = (
        round(value * tap, 4)
        for value in (usual.output_impedance_from_ohm, usual.output_impedance_ohm, usual.output_impedance_to_ohm)
    )
    return _take_usual(usual, "output_impedance_ohm", typical, (low, high), assume)


def _background_dba(background, assume):
    """A-weighted level of the background noise, as told or usual. [dB(A)]"""
    if background is not None and background.level_dba is not None:
        return background.level_dba
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


def _impedance_facts(speaker, output_ohm, assume):
    """How far the sound follows the impedance of the speaker, and the damping factor."""
    names = ("level_swing_db", "effective_damping_factor", "better_output_impedance_ohm", "better_swing_db")
    if output_ohm is None:
        return dict.fromkeys(names)
    assume.add(
        None,
        {"cable_length_m": policy.CABLE_LENGTH_M, "cable_cross_section_mm2": policy.CABLE_CROSS_SECTION_MM2},
        why=words("assumptions.cable"),
        source="practice",
    )
    extremes_ohm = np.array([speaker.minimum_impedance_ohm, speaker.maximum_impedance_ohm])

    def swing_db(source_ohm):
        low_db, high_db = divider_gain_db(load_ohm=extremes_ohm, series_resistance_ohm=source_ohm + _CABLE_OHM)
        return abs(float(high_db - low_db))

    damping = effective_damping_factor(
        load_ohm=speaker.impedance_ohm, output_impedance_ohm=output_ohm, loop_resistance_ohm=_CABLE_OHM
    )
    better_ohm = output_ohm / policy.BETTER_OUTPUT_IMPEDANCE_DIVISOR
    return dict(zip(names, (swing_db(output_ohm), float(damping), better_ohm, swing_db(better_ohm)), strict=True))


def _at_2v83_db(speaker):
    return float(sensitivity_db_2v83_1m_from_power(speaker.sensitivity_db_1w_1m, impedance_ohm=speaker.impedance_ohm))


def _hum_facts(speaker, hum_mv, octaves_re_1m_db, background_dba):
    names = ("hum_at_1m_db", "hum_at_seat_db", "hum_margin_db")
    if not hum_mv:
        return dict.fromkeys(names)
    at_1m_db = float(
        hum_level_db(sensitivity_db_2v83_1m=_at_2v83_db(speaker), hum_voltage_v=hum_mv / 1000, distance_m=1.0)
    )
    at_seat_db = at_1m_db + float(octaves_re_1m_db[_HUM_OCTAVE])
    background_db = _background_octaves_db(background_dba)[_BACKGROUND_HUM_OCTAVE]
    hidden_by_db = 10 * np.log10(10 ** (background_db / 10) + 10 ** (HEARING_THRESHOLD_100_HZ_DB / 10))
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
    usual = None if amplifier.kind is None else amplifier_kinds()[amplifier.kind]
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
                hearing_threshold_db=HEARING_THRESHOLD_100_HZ_DB,
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
