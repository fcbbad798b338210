"""What plays and how much an amplifier amplifies, told or usual."""

from service.advice import policy
from service.advice.amplifier.power import AmplifierPower
from service.advice.assumptions import Assumptions, Default
from service.domain.equipment import Amplifier
from service.domain.errors import DomainError
from service.domain.load import SignalSource
from service.domain.reference_data import AmplifierKind
from service.domain.words import words
from service.physics.chain.gain_structure import (
    gain_disagreement_db,
    gain_of_sensitivity_db,
)


def source_of(source: SignalSource | None, assume: Assumptions) -> SignalSource:
    """Return what plays, with every fact.

    Parameters
    ----------
    source : SignalSource or None
        As told. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]
    """
    told = source or SignalSource()
    return SignalSource(
        output_v=assume.take(told.pointer("output_v"), told.output_v),
        preamplifier_gain_db=assume.take(told.pointer("preamplifier_gain_db"), told.preamplifier_gain_db),
    )


def gain_db_of(amplifier: Amplifier, usual: AmplifierKind | None, power: AmplifierPower, assume: Assumptions) -> float:
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
        if abs(float(apart_db)) > policy.GAIN_AGREES_DB:
            raise DomainError(
                pointer=amplifier.pointer("input_sensitivity_v"),
                code="contradiction",
                detail=words(
                    "refusals_amplifier.gain_and_input_sensitivity",
                    sensitivity_v=sensitivity_v,
                    full_v=float(f"{full_v:.3g}"),
                    follows_db=follows_db,
                    gain_db=amplifier.gain_db,
                ),
                given=sensitivity_v,
                allowed=words("refusals_amplifier.gain_and_input_sensitivity.allowed", within_db=policy.GAIN_AGREES_DB),
            )
    if amplifier.gain_db is not None:
        return amplifier.gain_db
    default = None
    if usual is not None:
        default = Default(
            value=usual.gain_db,
            why=words("assumptions.amplifier_kind.gain_db", kind=usual.id),
            source=usual.source,
            spread=(usual.gain_from_db, usual.gain_to_db),
        )
    return assume.take(amplifier.pointer("gain_db"), None, default=default)
