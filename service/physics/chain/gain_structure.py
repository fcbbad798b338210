"""Gain from the source to the loudspeaker: where the volume control stands, and whether full output is reached."""

import numpy as np

from service.physics.checks import require_finite, require_positive
from service.physics.types import FloatLike, FloatOrArray


def gain_of_sensitivity_db(*, full_output_voltage_v: FloatLike, input_sensitivity_v: FloatLike) -> FloatOrArray:
    """Return the voltage gain of an amplifier from its input sensitivity.

    Parameters
    ----------
    full_output_voltage_v : float or array_like
        Output voltage at the rated power, sqrt(P R), rms, > 0. [V]
    input_sensitivity_v : float or array_like
        Input voltage for it, rms, > 0. [V]

    Returns
    -------
    float or ndarray
        Gain. [dB]

    Raises
    ------
    OutOfRangeError
        A voltage is not greater than 0.

    Notes
    -----
    20 lg(V_out / V_in).

    Examples
    --------
    >>> round(float(gain_of_sensitivity_db(full_output_voltage_v=20.0, input_sensitivity_v=0.5)), 2)   # 20 lg 40
    32.04
    """
    full_output = np.asarray(require_positive(full_output_voltage_v, name="full_output_voltage_v"))
    return 20.0 * np.log10(full_output / require_positive(input_sensitivity_v, name="input_sensitivity_v"))


def sensitivity_of_gain_v(*, full_output_voltage_v: FloatLike, gain_db: FloatLike) -> FloatOrArray:
    """Return the input sensitivity of an amplifier from its voltage gain.

    Parameters
    ----------
    full_output_voltage_v : float or array_like
        Output voltage at the rated power, rms, > 0. [V]
    gain_db : float or array_like
        Voltage gain. [dB]

    Returns
    -------
    float or ndarray
        Input voltage for full output, rms. [V]

    Raises
    ------
    OutOfRangeError
        The voltage is not greater than 0, or the gain is not finite.

    Notes
    -----
    V_out 10^(-G / 20), the inverse of `gain_of_sensitivity_db`.
    """
    full_output = np.asarray(require_positive(full_output_voltage_v, name="full_output_voltage_v"))
    return full_output * 10.0 ** (-np.asarray(require_finite(gain_db, name="gain_db")) / 20.0)


def gain_disagreement_db(
    *, gain_db: FloatLike, full_output_voltage_v: FloatLike, input_sensitivity_v: FloatLike
) -> FloatOrArray:
    """Return how far a stated gain differs from the one that the input sensitivity means.

    Parameters
    ----------
    gain_db : float or array_like
        Stated voltage gain. [dB]
    full_output_voltage_v : float or array_like
        Output voltage at the rated power, rms, > 0. [V]
    input_sensitivity_v : float or array_like
        Input voltage for it, rms, > 0. [V]

    Returns
    -------
    float or ndarray
        Stated gain less the other; 0 when both agree. [dB]

    Raises
    ------
    OutOfRangeError
        The gain is not finite, or a voltage is not greater than 0.

    Notes
    -----
    Printed figures agree within some tenths of a decibel. About 6 dB hints at a balanced and an unbalanced
    input, or at a power for another load.
    """
    require_finite(gain_db, name="gain_db")
    return gain_db - gain_of_sensitivity_db(
        full_output_voltage_v=full_output_voltage_v, input_sensitivity_v=input_sensitivity_v
    )


def volume_below_full_db(
    *,
    source_voltage_v: FloatLike,
    preamplifier_gain_db: FloatLike,
    amplifier_gain_db: FloatLike,
    output_voltage_v: FloatLike,
) -> FloatOrArray:
    """Return how far below full the volume control stands at a wanted output voltage.

    Parameters
    ----------
    source_voltage_v : float or array_like
        Highest output of the source (a full-scale sine), rms, > 0. [V]
    preamplifier_gain_db : float or array_like
        Gain before the amplifier with the volume control fully up; 0 without a preamplifier. [dB]
    amplifier_gain_db : float or array_like
        Voltage gain of the amplifier. [dB]
    output_voltage_v : float or array_like
        Wanted output of a full-scale sine, rms, > 0. [V]

    Returns
    -------
    float or ndarray
        Attenuation that is left; below 0 the wanted output is out of reach by so much. [dB]

    Raises
    ------
    OutOfRangeError
        A voltage is not greater than 0, or a gain is not finite.

    Notes
    -----
    20 lg(V_source / V_out) + G_pre + G_amp. With the full output of the amplifier as the wanted one this is
    the margin by which the source drives it fully (`drive_margin_db`).
    """
    source = np.asarray(require_positive(source_voltage_v, name="source_voltage_v"))
    wanted = np.asarray(require_positive(output_voltage_v, name="output_voltage_v"))
    return 20.0 * np.log10(source / wanted) + _total_gain_db(preamplifier_gain_db, amplifier_gain_db)


def drive_margin_db(
    *, source_voltage_v: FloatLike, preamplifier_gain_db: FloatLike, input_sensitivity_v: FloatLike
) -> FloatOrArray:
    """Return by how much a source at full volume drives an amplifier beyond its full output.

    Parameters
    ----------
    source_voltage_v : float or array_like
        Highest output of the source (a full-scale sine), rms, > 0. [V]
    preamplifier_gain_db : float or array_like
        Gain before the amplifier with the volume control fully up; 0 without a preamplifier. [dB]
    input_sensitivity_v : float or array_like
        Input voltage of the amplifier for its full output, rms, > 0. [V]

    Returns
    -------
    float or ndarray
        Above 0 the amplifier clips before the volume control is fully up; below 0 full output is never
        reached. [dB]

    Raises
    ------
    OutOfRangeError
        A voltage is not greater than 0, or the gain is not finite.

    Notes
    -----
    20 lg(V_source / V_sensitivity) + G_pre.

    Examples
    --------
    A source of 1 V and an amplifier that wants 2 V, nothing between:

    >>> margin = drive_margin_db(source_voltage_v=1.0, preamplifier_gain_db=0.0, input_sensitivity_v=2.0)
    >>> round(float(margin), 2)
    -6.02
    """
    source = np.asarray(require_positive(source_voltage_v, name="source_voltage_v"))
    require_positive(input_sensitivity_v, name="input_sensitivity_v")
    require_finite(preamplifier_gain_db, name="preamplifier_gain_db")
    return 20.0 * np.log10(source / input_sensitivity_v) + preamplifier_gain_db


def _total_gain_db(preamplifier_gain_db: FloatLike, amplifier_gain_db: FloatLike) -> FloatOrArray:
    require_finite(preamplifier_gain_db, name="preamplifier_gain_db")
    require_finite(amplifier_gain_db, name="amplifier_gain_db")
    return np.asarray(preamplifier_gain_db) + amplifier_gain_db
