"""Impedance curve of a loudspeaker as the load of an amplifier: its extremes, and what resistance does to the level."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError, require_between, require_not_negative, require_positive
from service.physics.types import ComplexArray, ComplexLike, ComplexOrArray, FloatArray, FloatLike, FloatOrArray

POINTS_PER_OCTAVE = 48
"""Points between those of the curve at which the level is looked at. [ours]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ImpedanceCurve:
    """Impedance over frequency, checked by `impedance_curve`.

    Attributes
    ----------
    frequency_hz : ndarray
        Rising frequencies. [Hz]
    magnitude_ohm : ndarray
        Magnitude at each. [ohm]
    phase_deg : ndarray or None
        Phase at each, positive where inductive, or None where only the magnitude is known. [deg]
    """

    frequency_hz: np.ndarray
    magnitude_ohm: np.ndarray
    phase_deg: np.ndarray | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LoadExtremes:
    """What an amplifier meets in a band: lowest and highest impedance, the steepest phase, and the whole of it.

    Attributes
    ----------
    lowest_ohm, lowest_hz, highest_ohm, highest_hz : float
        Lowest and highest magnitude, and where. [ohm, Hz]
    steepest_phase_deg, steepest_phase_hz : float or None
        Phase furthest from 0, with its sign, and where; None where no phase is known. [deg, Hz]
    frequency_hz : ndarray, shape (n,)
        Points of the curve in the band, its ends, and 48 per octave between. [Hz]
    impedance_ohm : ndarray of complex, shape (n,)
        Impedance there. [ohm]
    """

    lowest_ohm: float
    lowest_hz: float
    highest_ohm: float
    highest_hz: float
    steepest_phase_deg: float | None
    steepest_phase_hz: float | None
    frequency_hz: np.ndarray
    impedance_ohm: np.ndarray


def impedance_curve(
    *, frequency_hz: ArrayLike, magnitude_ohm: ArrayLike, phase_deg: ArrayLike | None
) -> ImpedanceCurve:
    """Return a checked impedance curve.

    Parameters
    ----------
    frequency_hz : array_like, shape (n,)
        Frequencies, > 0 and rising, at least two. [Hz]
    magnitude_ohm : array_like, shape (n,)
        Magnitude of the impedance, > 0. [ohm]
    phase_deg : array_like, shape (n,), or None
        Phase, -90 to 90 (a passive load), or None where it is not known. [deg]

    Returns
    -------
    ImpedanceCurve

    Raises
    ------
    OutOfRangeError
        Fewer than two frequencies, not rising, a value outside its range, or lengths that differ.
    """
    frequency = np.array(require_positive(frequency_hz, name="frequency_hz"), dtype=float)
    magnitude = np.array(require_positive(magnitude_ohm, name="magnitude_ohm"), dtype=float)
    if frequency.ndim != 1 or frequency.size < 2 or not (np.diff(frequency) > 0).all():
        raise OutOfRangeError(name="frequency_hz", value=frequency.tolist(), allowed="two or more, rising")
    columns = [("magnitude_ohm", magnitude)]
    phase = None
    if phase_deg is not None:
        phase = np.array(require_between(phase_deg, name="phase_deg", low=-90.0, high=90.0), dtype=float)
        columns.append(("phase_deg", phase))
    for name, column in columns:
        if column.shape != frequency.shape:
            allowed = f"one for each of {frequency.size} frequencies"
            raise OutOfRangeError(name=name, value=column.tolist(), allowed=allowed)
    return ImpedanceCurve(frequency_hz=frequency, magnitude_ohm=magnitude, phase_deg=phase)


def impedance_ohm(curve: ImpedanceCurve, *, frequency_hz: FloatLike) -> ComplexOrArray:
    """Return the complex impedance at any frequencies within a curve.

    Parameters
    ----------
    curve : ImpedanceCurve
        From `impedance_curve`. [-]
    frequency_hz : float or array_like
        Frequencies, from the lowest to the highest of the curve. [Hz]

    Returns
    -------
    complex or ndarray of complex, shape of `frequency_hz`
        Impedance; real where the phase is not known. [ohm]

    Raises
    ------
    OutOfRangeError
        A frequency lies outside the curve: nothing is guessed beyond its ends.

    Notes
    -----
    lg |Z| and the phase go straight over lg f between the points. On those axes a resistor, an inductor and
    a capacitor are straight lines, so that these, and the slopes beside a resonance, are met with few points;
    a resonance that falls between two points is missed by any rule.
    """
    lowest_hz, highest_hz = curve.frequency_hz[[0, -1]]
    frequency = np.asarray(require_between(frequency_hz, name="frequency_hz", low=lowest_hz, high=highest_hz))
    x, given = np.log(frequency), np.log(curve.frequency_hz)
    magnitude = np.exp(np.interp(x, given, np.log(curve.magnitude_ohm)))
    phase_deg = 0.0 if curve.phase_deg is None else np.interp(x, given, curve.phase_deg)
    return magnitude * np.exp(1j * np.radians(phase_deg))


def load_extremes(curve: ImpedanceCurve, *, low_hz: float, high_hz: float) -> LoadExtremes:
    """Return the lowest and the highest impedance of a band, and its steepest phase.

    Parameters
    ----------
    curve : ImpedanceCurve
        From `impedance_curve`. [-]
    low_hz, high_hz : float
        Ends of the band, within the curve, the second above the first. [Hz]

    Returns
    -------
    LoadExtremes
        Exact for the interpolated curve, whose extremes lie at its points or at the ends of the band.

    Raises
    ------
    OutOfRangeError
        The band leaves the curve or has no width.

    Notes
    -----
    A phase of 45 degrees or more at a low impedance heats the output stage more than a resistor of that
    size does; how much depends on the amplifier and is not worked out here.
    """
    frequency_hz, impedance = _band(curve, low_hz, high_hz)
    magnitude, phase_deg = np.abs(impedance), np.degrees(np.angle(impedance))
    lowest, highest, steepest = magnitude.argmin(), magnitude.argmax(), np.abs(phase_deg).argmax()
    known = curve.phase_deg is not None
    return LoadExtremes(
        lowest_ohm=float(magnitude[lowest]),
        lowest_hz=float(frequency_hz[lowest]),
        highest_ohm=float(magnitude[highest]),
        highest_hz=float(frequency_hz[highest]),
        steepest_phase_deg=float(phase_deg[steepest]) if known else None,
        steepest_phase_hz=float(frequency_hz[steepest]) if known else None,
        frequency_hz=frequency_hz,
        impedance_ohm=impedance,
    )


def level_change_db(
    impedance_ohm: ComplexLike, *, series_resistance_ohm: float, rated_impedance_ohm: float
) -> FloatOrArray:
    """Return what a series resistance does to the level at an impedance, against the rated impedance.

    Parameters
    ----------
    impedance_ohm : complex or array_like of complex
        Impedance of the loudspeaker, not 0. [ohm]
    series_resistance_ohm : float
        Output impedance of the amplifier and resistance of the cable, at least 0. [ohm]
    rated_impedance_ohm : float
        Resistance at which the change is 0 by definition, > 0. [ohm]

    Returns
    -------
    float or ndarray, shape of `impedance_ohm`
        Change, above 0 where the impedance is high. [dB]

    Raises
    ------
    OutOfRangeError
        An impedance is 0, the series resistance is below 0, or the rated impedance not greater than 0.

    Notes
    -----
    20 lg |Z / (Z + R)| less the same at the rated impedance: pressure follows the voltage at the terminals,
    for the response of a loudspeaker is measured at constant voltage. Without a phase (a real impedance) the
    loss is the greatest that this magnitude can have.

    Examples
    --------
    16 ohm where 8 is rated, behind 4 ohm: 20 lg (0.8 / 0.66667)

    >>> round(float(level_change_db(16.0, series_resistance_ohm=4.0, rated_impedance_ohm=8.0)), 3)
    1.584
    """
    impedance = np.asarray(impedance_ohm)
    require_positive(np.abs(impedance), name="impedance_ohm")
    require_not_negative(series_resistance_ohm, name="series_resistance_ohm")
    require_positive(rated_impedance_ohm, name="rated_impedance_ohm")
    at_rated = rated_impedance_ohm / (rated_impedance_ohm + series_resistance_ohm)
    return 20.0 * np.log10(np.abs(impedance / (impedance + series_resistance_ohm)) / at_rated)


def _band(curve: ImpedanceCurve, low_hz: float, high_hz: float) -> tuple[FloatArray, ComplexArray]:
    """Return frequencies of a band, those of the curve among them, and the impedance there."""
    require_positive(low_hz, name="low_hz")
    require_positive(high_hz, name="high_hz")
    if high_hz <= low_hz:
        raise OutOfRangeError(name="high_hz", value=high_hz, allowed=f"above low_hz ({low_hz:g})")
    count = math.ceil(POINTS_PER_OCTAVE * math.log2(high_hz / low_hz)) + 2
    between = np.clip(np.geomspace(low_hz, high_hz, count), low_hz, high_hz)  # geomspace rounds at its ends
    given = curve.frequency_hz[(curve.frequency_hz > low_hz) & (curve.frequency_hz < high_hz)]
    frequency_hz = np.union1d(between, given)
    return frequency_hz, np.asarray(impedance_ohm(curve, frequency_hz=frequency_hz))
