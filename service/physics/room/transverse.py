"""Modes across one pair of parallel walls whose surfaces have a real admittance each.

Between walls at 0 and L the shape is psi(y) = cos(q y - phi0), with tan(phi0) = j k beta0 / q from the wall at 0. The
wall at L asks for the same with phi1, so that q L = n pi + phi0 + phi1. The number n of half-waves stands in that
equation: every n has a root of its own, none is found twice and none is lost, however absorbing the walls are.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from service.physics.types import ComplexArray, FloatArray

_RIGID_FLOOR = 1e-12
"""Smallest k beta L that is used, so that the mode n = 0 of a rigid pair needs no case of its own."""

_MOST_STEPS = 12
_RESIDUAL = 1e-10


@dataclass(frozen=True, kw_only=True)
class TransverseModes:
    """Modes across one wall pair; arrays of shape (n_frequencies, n_modes).

    Attributes
    ----------
    wavenumber_per_m : ndarray of complex
        Transverse wavenumber q of each mode. [1/m]
    phase_rad : ndarray of complex
        phi0, the phase that the wall at 0 gives. [rad]
    norm_m : ndarray of complex
        Integral of psi squared (not of its magnitude squared) from wall to wall. [m]
    """

    wavenumber_per_m: np.ndarray
    phase_rad: np.ndarray
    norm_m: np.ndarray

    def shape(self, position_m: ArrayLike) -> ComplexArray:
        """Return psi at positions (n,) between the walls, shape (n, n_frequencies, n_modes)."""
        return np.cos(self._argument(position_m))

    def slope_per_m(self, position_m: ArrayLike) -> ComplexArray:
        """Return the derivative of psi at positions (n,), shape (n, n_frequencies, n_modes). [1/m]"""
        return -self.wavenumber_per_m * np.sin(self._argument(position_m))

    def _argument(self, position_m: ArrayLike) -> ComplexArray:
        return self.wavenumber_per_m * np.asarray(position_m)[:, None, None] - self.phase_rad


def transverse_modes(
    *,
    wavenumber_per_m: FloatArray | ComplexArray,
    admittance_ratio_low: FloatArray,
    admittance_ratio_high: FloatArray,
    length_m: float,
    mode_count: int,
) -> TransverseModes:
    """Return the first modes across a pair of walls, at each frequency.

    Parameters
    ----------
    wavenumber_per_m : ndarray, shape (f,)
        k of the air, real or complex. [1/m]
    admittance_ratio_low, admittance_ratio_high : ndarray of float, shape (f,)
        Specific normal admittance beta of the wall at 0 and of the wall at `length_m`, real, >= 0. [-]
    length_m : float
        Distance of the walls, > 0. [m]
    mode_count : int
        Number of modes, n = 0 .. mode_count - 1. [-]

    Returns
    -------
    TransverseModes

    Raises
    ------
    ArithmeticError
        Newton's iteration did not converge: not seen for any real admittance from 0 to 300 / (k L).

    Notes
    -----
    With Q = q L and B = k beta L, root n solves G(Q) = Q - n pi - j artanh(B0/Q) - j artanh(B1/Q) = 0, by Newton's
    method from Q^2 = (n pi)^2 + 2j (B0 + B1), half the second term for n = 0. Since Im Q > 0, the principal branch of
    artanh is never crossed. The norm comes for free: the integral of psi squared is L/2 times G'(Q). Own derivation
    from the boundary conditions psi' = j k beta psi at 0 and psi' = -j k beta psi at L, time factor exp(+j w t); the
    problem itself is the textbook one.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] the rectangular room with locally reacting walls.
    [MORSE-INGARD] normal modes of a room with wall admittance.
    """
    order = np.arange(mode_count)
    b0 = np.maximum(admittance_ratio_low, 0.0) * wavenumber_per_m * length_m + _RIGID_FLOOR
    b1 = np.maximum(admittance_ratio_high, 0.0) * wavenumber_per_m * length_m + _RIGID_FLOOR
    b0, b1 = b0[:, None], b1[:, None]
    root = np.sqrt((order * np.pi) ** 2 + 1j * (b0 + b1) * np.where(order == 0, 1, 2))
    for _ in range(_MOST_STEPS):
        phase0 = _half_turn_phase(b0 / root)
        residual = root - order * np.pi - phase0 - _half_turn_phase(b1 / root)
        slope = 1 + 1j * b0 / (root**2 - b0**2) + 1j * b1 / (root**2 - b1**2)
        if np.abs(residual).max() < _RESIDUAL:
            break
        root = root - residual / slope
    else:
        raise ArithmeticError("transverse wavenumbers did not converge")
    return TransverseModes(wavenumber_per_m=root / length_m, phase_rad=phase0, norm_m=0.5 * length_m * slope)


def _half_turn_phase(ratio: FloatArray | ComplexArray) -> ComplexArray:
    """arctan(j ratio) = j artanh(ratio)."""
    return 0.5j * np.log((1 + ratio) / (1 - ratio))
