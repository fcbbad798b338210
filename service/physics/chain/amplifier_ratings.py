"""What a printed power means: taps of an output transformer, bridged channels, power at a stated distortion."""

import math

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import brentq

from service.physics.checks import OutOfRangeError, require_between, require_not_negative, require_positive
from service.physics.types import FloatLike, FloatOrArray

HIGHEST_DISTORTION_PCT = 40.0
"""A hard-clipped sine tends to a square wave of 48 %; no rating goes near it. [ours]"""


def tap_loss_db(*, tap_ohm: FloatLike, load_ohm: FloatLike) -> FloatOrArray:
    """Return the power that an output transformer cannot give because its tap does not fit the load.

    Parameters
    ----------
    tap_ohm : float or array_like
        Load that the tap is meant for, > 0. [ohm]
    load_ohm : float or array_like
        Load that is connected, > 0. [ohm]

    Returns
    -------
    float or ndarray
        Loss against the matched load, at least 0. [dB]

    Raises
    ------
    OutOfRangeError
        A resistance is not greater than 0.

    Notes
    -----
    10 |lg(Z / Z_tap)|: the same voltage above the tap, the same current below it, as the rule
    `matched_tap` of `amplifier.amplifier_model`. Valves with much feedback lose less upwards.
    Common practice, no source.

    Examples
    --------
    >>> round(float(tap_loss_db(tap_ohm=8.0, load_ohm=4.0)), 2)   # half the power
    3.01
    """
    tap = np.asarray(require_positive(tap_ohm, name="tap_ohm"))
    return 10.0 * np.abs(np.log10(require_positive(load_ohm, name="load_ohm") / tap))


def best_tap_ohm(*, taps_ohm: ArrayLike, load_ohm: float) -> float:
    """Return the tap that gives a load the most power.

    Parameters
    ----------
    taps_ohm : sequence of float
        Taps of the output transformer, > 0, at least one. [ohm]
    load_ohm : float
        Load that is connected, > 0. [ohm]

    Returns
    -------
    float
        The tap nearest in ratio; of two that are equally near the lower one, whose output impedance is
        lower. [ohm]

    Raises
    ------
    OutOfRangeError
        No tap is given, or a resistance is not greater than 0.
    """
    taps = np.sort(np.atleast_1d(require_positive(taps_ohm, name="taps_ohm")))
    if not taps.size:
        raise OutOfRangeError(name="taps_ohm", value=taps_ohm, allowed="one tap or more")
    loss_db = tap_loss_db(tap_ohm=taps, load_ohm=load_ohm)
    return float(taps[np.argmax(loss_db <= loss_db.min() + 1e-9)])


def tap_output_impedance_ohm(
    *, output_impedance_ohm: FloatLike, tap_ohm: FloatLike, other_tap_ohm: FloatLike
) -> FloatOrArray:
    """Return the output impedance at one tap of an output transformer from that at another.

    Parameters
    ----------
    output_impedance_ohm : float or array_like
        Output impedance at `tap_ohm`, at least 0. [ohm]
    tap_ohm : float or array_like
        Tap where it is known, > 0. [ohm]
    other_tap_ohm : float or array_like
        Tap where it is wanted, > 0. [ohm]

    Returns
    -------
    float or ndarray
        Output impedance at the other tap. [ohm]

    Raises
    ------
    OutOfRangeError
        The output impedance is below 0, or a tap is not greater than 0.

    Notes
    -----
    In proportion to the tap, for both go with the square of the turns: 4 ohm has half of what 8 ohm has.
    Resistance of the windings and feedback taken from one fixed tap change this somewhat.

    References
    ----------
    [LANGFORD-SMITH-1953] impedance ratio of a transformer.
    """
    impedance = np.asarray(require_not_negative(output_impedance_ohm, name="output_impedance_ohm"))
    require_positive(tap_ohm, name="tap_ohm")
    require_positive(other_tap_ohm, name="other_tap_ohm")
    return impedance * other_tap_ohm / tap_ohm


def clean_power_ratio(*, rated_distortion_pct: float) -> float:
    """Return the sine power at the onset of clipping re that at a stated distortion.

    Parameters
    ----------
    rated_distortion_pct : float
        Total harmonic distortion of a symmetrically clipped sine, harmonics re the fundamental, 0 to 40. [%]

    Returns
    -------
    float
        Clean power re rated power, at most 1. [-]

    Raises
    ------
    OutOfRangeError
        The distortion is outside 0 to 40 %.

    Notes
    -----
    A sine of amplitude A = 1 / sin(t) clipped at 1 has the mean square (2 / pi) [A^2 (t - sin t cos t) / 2 + pi
    / 2 - t] and the fundamental (4 / pi) [A (t - sin t cos t) / 2 + cos t]; t is found from the distortion that
    follows. Rated power counts harmonics too, V^2 / R. Hard clipping, and a supply that does not sag: an
    amplifier that bends early has less clean power, so that this is an upper bound of it.

    References
    ----------
    [IEC-60268-3] rated power as V^2 / R at the rated distortion.
    """
    require_between(rated_distortion_pct, name="rated_distortion_pct", low=0.0, high=HIGHEST_DISTORTION_PCT)
    if rated_distortion_pct == 0:
        return 1.0
    wanted = rated_distortion_pct / 100.0
    angle = brentq(lambda t: _distortion_ratio(t) - wanted, 1e-3, math.pi / 2.0, xtol=1e-13)
    mean_square, _ = _clipped_sine(angle)
    return 0.5 / mean_square


def _clipped_sine(angle: float) -> tuple[float, float]:
    """Return mean square and fundamental amplitude of a sine clipped at 1, which it reaches at `angle`."""
    amplitude = 1.0 / math.sin(angle)
    lobe = (angle - math.sin(angle) * math.cos(angle)) / 2.0
    mean_square = 2.0 / math.pi * (amplitude**2 * lobe + math.pi / 2.0 - angle)
    fundamental = 4.0 / math.pi * (amplitude * lobe + math.cos(angle))
    return mean_square, fundamental


def _distortion_ratio(angle: float) -> float:
    mean_square, fundamental = _clipped_sine(angle)
    harmonics = max(mean_square - fundamental**2 / 2.0, 0.0)  # rounding goes below 0 where nothing is clipped
    return math.sqrt(2.0 * harmonics) / fundamental
