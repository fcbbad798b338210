"""What an amplifier brings to any speaker beside its power, as told or as usual for its kind."""

import dataclasses
from dataclasses import dataclass

from service.advice.amplifier.power import AmplifierPower
from service.advice.assumptions import DEFAULTS, Assumptions, Default
from service.advice.speaker.load import settled_cable_ohm
from service.domain.equipment import Amplifier, Background
from service.domain.load import Cable
from service.domain.reference_data import AmplifierKind
from service.domain.words import Words, words
from service.physics.chain.noise_floor import noise_voltage_v
from service.physics.chain.noise_rating import noise_rating_level_dba
from service.tables.loader import amplifier_kinds, backgrounds

_A_WEIGHTED, _UNWEIGHTED = "a", "none"


@dataclass(frozen=True, kw_only=True, eq=False)
class AmplifierFacts:
    """One amplifier; None where neither a fact nor its kind tells a number.

    Attributes
    ----------
    name : Words
        What to call it. [-]
    told : Amplifier
        As told. [-]
    power : AmplifierPower
        Into the first speaker of a comparison, whose tap is the one in use where nobody named it. [-]
    output_impedance_ohm : tuple of float or None
        One for each of `power.models`, in proportion to the tap. [ohm]
    hum_mv, hum_hz, noise_uv : float or None
        At the output with nothing playing: hum unweighted at its frequency, noise A-weighted. [mV, Hz, uV]
    noise_was_told : bool
        Whether hum or noise were told; what is only usual for a kind rules nothing out. [-]
    background_dba : float or None
        What hides them; None where neither is known. [dB(A)]
    """

    name: Words
    told: Amplifier
    power: AmplifierPower
    output_impedance_ohm: tuple[float | None, ...]
    hum_mv: float | None
    hum_hz: float | None
    noise_uv: float | None
    noise_was_told: bool
    background_dba: float | None


def amplifier_facts(
    told: Amplifier,
    power: AmplifierPower,
    assume: Assumptions,
    *,
    name: Words,
    cable: Cable | None,
    background: Background | None,
) -> AmplifierFacts:
    """Return what an amplifier brings to any speaker.

    Parameters
    ----------
    told : Amplifier
        As told. [-]
    power : AmplifierPower
        Into the first speaker. [-]
    assume : Assumptions
        Receives what had to be assumed: of the output impedance that of the tap in use. [-]
    name : Words
        What to call it. [-]
    cable : Cable or None
        As told; the usual one is listed where it plays a part. [-]
    background : Background or None
        As told. [-]
    """
    usual = usual_of(told)
    in_use_ohm = output_impedance_ohm(told, usual, power, assume, tap_ohm=power.tap_ohm)
    if in_use_ohm is not None:
        settled_cable_ohm(cable, assume)
    of_ratio = _of_signal_to_noise(told, power, assume)
    hum_mv = told.hum_mv if told.hum_mv is not None else of_ratio.get(_UNWEIGHTED)
    if hum_mv is None and usual is not None:
        spread = (usual.hum_from_mv, usual.hum_to_mv)
        hum_mv = _take_usual(told, usual, "hum_mv", usual.hum_mv, spread, assume)
    noise_uv = told.noise_uv if told.noise_uv is not None else of_ratio.get(_A_WEIGHTED)
    if noise_uv is None and usual is not None:
        spread = (usual.noise_from_uv, usual.noise_to_uv)
        noise_uv = _take_usual(told, usual, "noise_uv", usual.noise_uv, spread, assume)
    silent = hum_mv is None and noise_uv is None
    told_noise = (told.noise_uv, told.hum_mv, told.signal_to_noise_db)
    return AmplifierFacts(
        name=name,
        told=told,
        power=power,
        output_impedance_ohm=tuple(
            output_impedance_ohm(told, usual, power, assume, tap_ohm=tap) for tap in power.models
        ),
        hum_mv=hum_mv,
        hum_hz=None if hum_mv is None else told.hum_frequency_hz or DEFAULTS["amplifier/hum_frequency_hz"].value,
        noise_uv=noise_uv,
        noise_was_told=any(each is not None for each in told_noise),
        background_dba=None if silent else background_dba_of(background, assume),
    )


def usual_of(amplifier: Amplifier) -> AmplifierKind | None:
    """Return what is usual for the kind of an amplifier, None where that is not known."""
    return None if amplifier.kind is None else amplifier_kinds()[amplifier.kind]


def _of_signal_to_noise(told, power, assume):
    """Noise in uV or hum in mV from a signal-to-noise ratio, by its weighting: without one hum is most of it."""
    if told.signal_to_noise_db is None:
        return {}

    weighting = assume.take(told.pointer("signal_to_noise_weighting"), told.signal_to_noise_weighting)
    refers_to = assume.take(told.pointer("signal_to_noise_reference"), told.signal_to_noise_reference)
    voltage_v = noise_voltage_v(
        signal_to_noise_db=told.signal_to_noise_db,
        reference_power_w=1.0 if refers_to == "one_watt" else power.rated_power_w,
        load_ohm=power.rated_load_ohm,
    )
    return {weighting: float(voltage_v) * (1e6 if weighting == _A_WEIGHTED else 1e3)}


def _take_usual(told, usual, name, value, spread, assume):
    why = words(f"assumptions.amplifier_kind.{name}", kind=usual.id)
    default = Default(value=value, why=why, source=usual.source, spread=spread)
    return assume.take(told.pointer(name), None, default=default)


def output_impedance_ohm(
    told: Amplifier,
    usual: AmplifierKind | None,
    power: AmplifierPower,
    assume: Assumptions,
    *,
    tap_ohm: float | None,
) -> float | None:
    """Return the output impedance: as told, from the damping factor, or usual for the kind.

    Parameters
    ----------
    told : Amplifier
        As told: at the load of its rating, or at the tap in use. [-]
    usual : AmplifierKind or None
        What is usual for it. [-]
    power : AmplifierPower
        Tells the load of the rating. [-]
    assume : Assumptions
        [-]
    tap_ohm : float or None
        The tap that is asked about, None where nothing is known of taps. [ohm]

    Returns
    -------
    float or None
        In proportion to the tap. [ohm]
    """
    told_at_ohm = told.load_ohm or told.tap_in_use_ohm or power.rated_load_ohm
    if told.output_impedance_ohm is not None:
        return told.output_impedance_ohm * (1.0 if tap_ohm is None else tap_ohm / told_at_ohm)
    if told.damping_factor is not None:
        usually = DEFAULTS["amplifier/damping_factor_load_ohm"]
        if tap_ohm is not None:
            usually = dataclasses.replace(usually, value=told_at_ohm)
        load_ohm = assume.take(told.pointer("damping_factor_load_ohm"), told.damping_factor_load_ohm, default=usually)
        return load_ohm / told.damping_factor * (1.0 if tap_ohm is None else tap_ohm / load_ohm)
    if usual is None:
        return None
    tap = (tap_ohm or power.rated_load_ohm) / usual.load_ohm if usual.scales_with_tap else 1.0
    low, typical, high = (
        round(value * tap, 4)
        for value in (usual.output_impedance_from_ohm, usual.output_impedance_ohm, usual.output_impedance_to_ohm)
    )
    return _take_usual(told, usual, "output_impedance_ohm", typical, (low, high), assume)


def background_dba_of(background: Background | None, assume: Assumptions) -> float:
    """Return the A-weighted level of the background noise, as told or usual. [dB(A)]"""
    told = background or Background(kind=DEFAULTS["background/kind"].value)
    if told.level_dba is not None:
        return told.level_dba
    if told.nr is not None:
        return float(noise_rating_level_dba(told.nr))
    kind = assume.take(told.pointer("kind"), None if background is None else told.kind)
    row = backgrounds()[kind]
    assume.add(
        None,
        {"background_dba": row.level_dba},
        why=words("assumptions.background_of_kind", kind=kind),
        source=row.source,
        spread=(row.level_from_dba, row.level_to_dba),
    )
    return row.level_dba
