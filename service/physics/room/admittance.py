"""Absorption of a wall at any frequency, and the real admittance that stands for it in the wave field."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError, require_between, require_not_negative, require_positive
from service.physics.frozen import frozen
from service.physics.types import BoolArray, FloatArray, FloatLike, FloatOrArray

LARGEST_ADMITTANCE_RATIO = 100.0
"""Above it the absorption is below 0.03 again and the formula loses digits: refused. Ours."""

PEAK_ADMITTANCE_RATIO = 0.6381929768917638
"""Where the angle-averaged absorption is greatest: root of its derivative. [KUTTRUFF-ROOM-ACOUSTICS]"""


def _log_term(admittance_ratio: FloatArray) -> FloatArray:
    """b ln(1 + 1/b), which is 0 at b = 0."""
    positive = np.where(admittance_ratio > 0, admittance_ratio, 1.0)
    return admittance_ratio * (np.log1p(admittance_ratio) - np.log(positive))


def _absorption(admittance_ratio: Any) -> FloatArray:
    b = admittance_ratio
    return 8.0 * b * (1.0 + b / (1.0 + b) - 2.0 * _log_term(b))


def _slope(admittance_ratio: FloatArray) -> FloatArray:
    b = admittance_ratio
    share = b / (1.0 + b)
    return 8.0 * (1.0 + share * (3.0 + 1.0 / (1.0 + b)) - 4.0 * _log_term(b))


PEAK_ABSORPTION_COEFFICIENT = float(_absorption(np.float64(PEAK_ADMITTANCE_RATIO)))
"""The greatest absorption that a locally reacting wall of real admittance has, about 0.95122."""

# Start values of the inversion: admittance against sqrt(peak - absorption), which is smooth where the
# absorption itself turns over.
_TABLE_ADMITTANCE = frozen(PEAK_ADMITTANCE_RATIO * 0.5 * (1.0 + np.cos(np.linspace(0.0, np.pi, 129))))
_TABLE_DEPTH = frozen(np.sqrt(np.maximum(PEAK_ABSORPTION_COEFFICIENT - _absorption(_TABLE_ADMITTANCE), 0.0)))


def absorption_from_admittance(admittance_ratio: ArrayLike) -> FloatOrArray:
    """Return the absorption coefficient, averaged over diffuse incidence, of a wall of real admittance.

    Parameters
    ----------
    admittance_ratio : array_like of float
        Specific normal admittance of the wall, real, 0 to 100. [-]

    Returns
    -------
    ndarray or float
        Absorption coefficient, 0 to 0.95122. [-]

    Raises
    ------
    OutOfRangeError
        An admittance is negative, above 100 or not finite.

    Notes
    -----
    alpha = 8 b [1 + b/(1 + b) - 2 b ln(1 + 1/b)], the mean of 1 - |R|^2 with R = (cos t - b)/(cos t + b) over
    sin(2 t) dt, t from 0 to 90 degrees. Locally reacting wall, real admittance, diffuse field. About 8 b for
    small b, greatest at b = 0.6382 (0.95122), falling again above.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Paris's formula for random incidence with a locally reacting wall.

    Examples
    --------
    >>> round(float(absorption_from_admittance(1.0)), 4)  # 8 (1.5 - 2 ln 2)
    0.9096
    """
    require_between(admittance_ratio, name="admittance_ratio", low=0.0, high=LARGEST_ADMITTANCE_RATIO)
    return _absorption(np.asarray(admittance_ratio, dtype=float))


def absorption_slope(admittance_ratio: ArrayLike) -> FloatOrArray:
    """Return how fast the absorption of `absorption_from_admittance` grows with the admittance.

    Parameters
    ----------
    admittance_ratio : array_like of float
        0 to 100. [-]

    Returns
    -------
    ndarray or float
        d alpha / d b: 8 at 0, 0 at the peak, negative above. [-]

    Raises
    ------
    OutOfRangeError
        An admittance is negative, above 100 or not finite.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Derivative of the formula there, by hand.
    """
    require_between(admittance_ratio, name="admittance_ratio", low=0.0, high=LARGEST_ADMITTANCE_RATIO)
    return _slope(np.asarray(admittance_ratio, dtype=float))


def absorption_is_capped(absorption_coefficient: ArrayLike) -> BoolArray:
    """Return whether an absorption is above what any real admittance gives.

    Parameters
    ----------
    absorption_coefficient : array_like of float
        0 to 1. [-]

    Returns
    -------
    ndarray of bool or bool
        True from 0.95122 upwards: `admittance_from_absorption` answers with the peak's admittance there.

    Raises
    ------
    OutOfRangeError
        A coefficient is outside 0 to 1 or not finite.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] The peak of the formula of `absorption_from_admittance`.

    Examples
    --------
    >>> bool(absorption_is_capped(0.95)), bool(absorption_is_capped(1.0))
    (False, True)
    """
    require_between(absorption_coefficient, name="absorption_coefficient", low=0.0, high=1.0)
    return np.asarray(absorption_coefficient) >= PEAK_ABSORPTION_COEFFICIENT


def admittance_from_absorption(absorption_coefficient: ArrayLike) -> FloatOrArray:
    """Return the real admittance of a wall whose absorption, averaged over diffuse incidence, is given.

    Parameters
    ----------
    absorption_coefficient : array_like of float
        0 to 1. Coefficients above 1 from a reverberation room are to be cut to 1 before. [-]

    Returns
    -------
    ndarray or float
        Specific normal admittance, 0 to 0.6382. [-]

    Raises
    ------
    OutOfRangeError
        A coefficient is outside 0 to 1 or not finite.

    Notes
    -----
    Inverse of `absorption_from_admittance` on its lower branch; the absorption comes back within 1e-10. Two
    admittances give the same absorption near the peak: the lower is the harder wall, and the one that a wall
    of usual make has. From 0.95122 upwards no real admittance gives the absorption, and the peak's 0.6382 is
    returned (`absorption_is_capped` tells). An open window (1.0) is not an absorber of this kind at low
    frequencies.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] The formula that is inverted; the choice of branch and the cap are ours.

    Examples
    --------
    >>> round(float(admittance_from_absorption(2.4 - np.log(5.0))), 9)  # alpha(1/4) = 2 (1 + 1/5 - ln(5)/2)
    0.25
    """
    alpha = np.asarray(
        require_between(absorption_coefficient, name="absorption_coefficient", low=0.0, high=1.0), dtype=float
    )
    depth = np.sqrt(np.maximum(PEAK_ABSORPTION_COEFFICIENT - alpha, 0.0))
    b = np.interp(depth, _TABLE_DEPTH, _TABLE_ADMITTANCE)
    # Newton on the square root, which is nearly straight up to the peak. On the peak itself slope and depth
    # are both 0: there the table already has the answer within the rounding of the absorption.
    away = depth > 1e-6
    for _ in range(2):
        start_depth = np.sqrt(np.maximum(PEAK_ABSORPTION_COEFFICIENT - _absorption(b), 0.0))
        slope = np.where(away, _slope(b), 1.0)
        b = np.maximum(b + np.where(away, 2.0 * start_depth * (start_depth - depth) / slope, 0.0), 0.0)
    return b


def interpolated_absorption(
    frequency_hz: FloatLike,
    *,
    octave_midbands_hz: ArrayLike,
    absorption_coefficients: ArrayLike,
    slope_below: FloatLike,
) -> FloatArray:
    """Return absorption coefficients at single frequencies from those of octave bands.

    Parameters
    ----------
    frequency_hz : float or array_like of float
        > 0. [Hz]
    octave_midbands_hz : array_like of float, shape (n_bands,)
        Mid-band frequencies, rising. [Hz]
    absorption_coefficients : array_like of float, shape (..., n_bands)
        0 to 1, bands last. [-]
    slope_below : float or array_like of float, shape (...)
        Power of the frequency with which the absorption falls below the first band, at least 0; 0 holds it.
        [-]

    Returns
    -------
    ndarray, shape (..., shape of frequency_hz)
        Absorption coefficients. [-]

    Raises
    ------
    OutOfRangeError
        A value is outside its range, the bands do not rise, or there are not as many coefficients as bands.

    Notes
    -----
    Linear in lg f between mid-bands, held above the last. Below the first, alpha (f / f_1)^s: hard walls,
    panels and glass hold (s = 0), porous layers fall (`porous_slope`). The rule is ours: tables of materials
    begin at 125 Hz.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Porous layers absorb less the thinner they are against the wavelength.

    Examples
    --------
    >>> float(interpolated_absorption(50.0, octave_midbands_hz=[100, 200], absorption_coefficients=[0.4, 0.8],
    ...                               slope_below=1.0))  # half the frequency, half the absorption
    0.2
    """
    frequency = np.asarray(require_positive(frequency_hz, name="frequency_hz"), dtype=float)
    midbands = np.asarray(require_positive(octave_midbands_hz, name="octave_midbands_hz"), dtype=float)
    alpha = np.asarray(
        require_between(absorption_coefficients, name="absorption_coefficients", low=0.0, high=1.0), dtype=float
    )
    slope = np.asarray(require_not_negative(slope_below, name="slope_below"), dtype=float)
    if midbands.ndim != 1 or midbands.size == 0 or (np.diff(midbands) <= 0).any():
        raise OutOfRangeError(name="octave_midbands_hz", value=octave_midbands_hz, allowed="a rising list")
    if alpha.ndim == 0 or alpha.shape[-1] != midbands.size:
        raise OutOfRangeError(
            name="absorption_coefficients", value=absorption_coefficients, allowed="one value for each band"
        )
    position = np.interp(np.log(frequency), np.log(midbands), np.arange(midbands.size))
    below = np.minimum(position.astype(int), max(midbands.size - 2, 0))
    above = np.minimum(below + 1, midbands.size - 1)
    share = position - below
    between = (1.0 - share) * alpha[..., below] + share * alpha[..., above]
    slope = slope.reshape(slope.shape + (1,) * frequency.ndim)
    return between * np.minimum(frequency / midbands[0], 1.0) ** slope


def porous_slope(*, absorption_250: FloatLike, absorption_125: FloatLike) -> FloatOrArray:
    """Return the power of the frequency with which a porous layer's absorption falls below its 125 Hz band.

    Parameters
    ----------
    absorption_250, absorption_125 : float or array_like of float
        Absorption coefficients of the 250 and 125 Hz octaves, above 0 and up to 1. [-]

    Returns
    -------
    ndarray or float
        The slope, 0 to 2, for `interpolated_absorption`. [-]

    Raises
    ------
    OutOfRangeError
        A coefficient is 0, negative, above 1 or not finite.

    Notes
    -----
    s = log2(alpha_250 / alpha_125), cut to 0 to 2: a layer thin against the wavelength cannot fall faster
    than with the square of the frequency, and one whose absorption does not rise is held. The rule is ours.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] A thin porous layer on a rigid wall, whose absorption grows as the frequency
    squared.

    Examples
    --------
    >>> float(porous_slope(absorption_250=0.54, absorption_125=0.27))  # twice the absorption in one octave
    1.0
    """
    for name, value in (("absorption_250", absorption_250), ("absorption_125", absorption_125)):
        require_positive(value, name=name)
        require_between(value, name=name, low=0.0, high=1.0)
    return np.clip(np.log2(np.divide(absorption_250, absorption_125)), 0.0, 2.0)
