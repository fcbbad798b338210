"""Gain structure: from the source through the volume control to the level at the seat."""

from dataclasses import dataclass

from service.advice import policy
from service.advice.assumptions import Default
from service.domain.errors import DomainError
from service.domain.load import SignalSource
from service.domain.words import words
from service.physics.chain.gain_structure import (
    drive_margin_db,
    gain_disagreement_db,
    gain_of_sensitivity_db,
    sensitivity_of_gain_v,
    volume_below_full_db,
)


@dataclass(frozen=True, kw_only=True)
class GainStructure:
    """How far the volume control is turned up.

    `drive_margin_db` is by how much the source drives the amplifier beyond its full output, the control fully up;
    `overload_margin_db` what is left to the overload of the input, None where that is not known.
    """

    gain_db: float
    input_sensitivity_v: float
    volume_below_full_db: float
    drive_margin_db: float
    overload_margin_db: float | None


def settled_source(source, assume):
    """Return what plays, with every fact settled.

    Parameters
    ----------
    source : SignalSource or None
        As told. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]
    """
    told = source or SignalSource()
    output = Default(
        value=policy.SOURCE_OUTPUT_V,
        why=words("assumptions.source_output_v"),
        source="practice",
        spread=policy.SOURCE_OUTPUT_SPREAD_V,
    )
    passive = Default(value=0.0, why=words("assumptions.preamplifier_gain_db"), source="practice")
    return SignalSource(
        output_v=assume.take("/source/output_v", told.output_v, default=output),
        preamplifier_gain_db=assume.take("/source/preamplifier_gain_db", told.preamplifier_gain_db, default=passive),
    )


def settled_gain_db(amplifier, usual, power, assume):
    """Return the voltage gain of an amplifier: as told, from its input sensitivity, or usual.

    Parameters
    ----------
    amplifier : Amplifier
        As told. [-]
    usual : AmplifierKind or None
        What is usual for it. [-]
    power : AmplifierPower
        Its rating, which an input sensitivity refers to. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]

    Raises
    ------
    DomainError
        A gain and an input sensitivity that contradict each other.
    """
    full_v = (power.rated_power_w * power.rated_load_ohm) ** 0.5
    sensitivity_v = amplifier.input_sensitivity_v
    if sensitivity_v is not None:
        follows_db = float(gain_of_sensitivity_db(full_output_voltage_v=full_v, input_sensitivity_v=sensitivity_v))
        if amplifier.gain_db is None:
            return follows_db
        apart_db = gain_disagreement_db(
            gain_db=amplifier.gain_db, full_output_voltage_v=full_v, input_sensitivity_v=sensitivity_v
        )
        if abs(apart_db) > policy.GAIN_AGREES_DB:
            raise DomainError(
                pointer="/amplifier/input_sensitivity_v",
                code="contradiction",
                detail=f"{sensitivity_v:g} V for the {full_v:.3g} V of full output is a gain of {follows_db:.1f} dB, "
                f"not {amplifier.gain_db:g} dB.",
                given=sensitivity_v,
                allowed=f"within {policy.GAIN_AGREES_DB:g} dB of gain_db, or leave one of both out",
            )
    if amplifier.gain_db is not None:
        return amplifier.gain_db
    if usual is None:
        default = Default(
            value=policy.USUAL_GAIN_DB,
            why=words("assumptions.gain_db"),
            source="practice",
            spread=policy.USUAL_GAIN_SPREAD_DB,
        )
    else:
        default = Default(
            value=usual.gain_db,
            why=words("assumptions.amplifier_kind.gain_db", kind=usual.id),
            source=usual.source,
            spread=(usual.gain_from_db, usual.gain_to_db),
        )
    return assume.take("/amplifier/gain_db", None, default=default)


def gain_structure(amplifier, *, gain_db, source, full_v, target_v):
    """Return how far the volume control is turned up.

    Parameters
    ----------
    amplifier : Amplifier
        Tells the overload of its input. [-]
    gain_db : float
        Its voltage gain. [dB]
    source : SignalSource
        Settled. [-]
    full_v, target_v : float
        Highest clean output into this speaker, and the output of a full-scale sine when the loudest peaks just reach
        their target. [V]

    Returns
    -------
    GainStructure
    """
    sensitivity_v = float(sensitivity_of_gain_v(full_output_voltage_v=full_v, gain_db=gain_db))
    chain = {"source_voltage_v": source.output_v, "preamplifier_gain_db": source.preamplifier_gain_db}
    overload_db = None
    if amplifier.input_overload_v is not None:
        overload_db = -float(drive_margin_db(input_sensitivity_v=amplifier.input_overload_v, **chain))
    return GainStructure(
        gain_db=gain_db,
        input_sensitivity_v=sensitivity_v,
        volume_below_full_db=float(volume_below_full_db(amplifier_gain_db=gain_db, output_voltage_v=target_v, **chain)),
        drive_margin_db=float(drive_margin_db(input_sensitivity_v=sensitivity_v, **chain)),
        overload_margin_db=overload_db,
    )
