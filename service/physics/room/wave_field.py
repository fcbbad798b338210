"""Sound pressure in a rectangular room at low frequency, exact for walls of given admittance.

Modes across two axes and the closed form along the third. The result is the ratio of the complex pressure to the
magnitude of the same source's pressure in free field at 1 m, with the time factor exp(+j w t): free field is exp(-j k
r) / r.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from service.physics.room.near_field import NEAR_FIELD_M, imaginary_wavenumber_images, imaginary_wavenumber_weights
from service.physics.room.transverse import transverse_modes
from service.physics.types import ComplexArray, FloatArray, FloatLike

SEPARATIONS_M = (NEAR_FIELD_M, 0.35, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.0)
"""Steps to which the separation is rounded down, so that pairs with like separations share their modes."""

_MARGIN_MONOPOLE = 7.0
_MARGIN_DIPOLE = 10.0
"""Evanescent decay, in nepers over the separation, of the first transverse product that is left out."""

_CHUNK_ELEMENTS = 400_000
"""Most complex values of one intermediate array; bounds the memory."""


@dataclass(frozen=True, kw_only=True)
class Box:
    """A rectangular room as the wave field sees it.

    Attributes
    ----------
    dimensions_m : tuple of float, length 3
        Inside length, width and height. [m]
    admittance_ratio : ndarray of float, shape (6, f)
        Specific normal admittance of the walls at x = 0, x = L, y = 0, y = W, z = 0, z = H, per frequency. [-]
    wavenumber_per_m : ndarray of float, shape (f,)
        k = 2 pi f / c. [1/m]
    loss_per_m : float
        Decay that all waves share, taken off k as -j loss: 0 where the walls do the damping. [1/m]
    """

    dimensions_m: tuple
    admittance_ratio: np.ndarray
    wavenumber_per_m: np.ndarray
    loss_per_m: float = 0.0


def uniform_loss_per_m(*, reverberation_time_s: FloatLike, speed_of_sound_m_s: float) -> float:
    """Return the loss that lets every wave decay by 60 dB in the reverberation time. [1/m]

    Notes
    -----
    ln(1000) / (T c) = 6.91 / (T c): the amplitude falls to 1/1000 in T.
    """
    return np.log(1000.0) / (reverberation_time_s * speed_of_sound_m_s)


def box_wavenumbers(frequency_hz: FloatLike, *, speed_of_sound_m_s: float) -> FloatArray:
    """Return k = 2 pi f / c as an array. [1/m]"""
    return 2 * np.pi * np.asarray(frequency_hz, dtype=float) / speed_of_sound_m_s


def largest_transverse_wavenumber(box: Box, *, separation_m: float, dipole: bool) -> float:
    """Return the transverse wavenumber up to which products are kept. [1/m]

    Parameters
    ----------
    box : Box
        The room; its highest wavenumber counts. [-]
    separation_m : float
        Of source and seat along the closed-form axis, > 0. [m]
    dipole : bool
        Whether the field is differentiated, which asks for more products. [-]
    """
    margin = _MARGIN_DIPOLE if dipole else _MARGIN_MONOPOLE
    return np.hypot(box.wavenumber_per_m.max(), margin / separation_m)


def pressure_ratio(box: Box, *, sources_m: FloatArray, axes: FloatArray, seats_m: FloatArray) -> ComplexArray:
    """Return the complex pressure of each source at each seat, re that source's free-field magnitude at 1 m.

    Parameters
    ----------
    box : Box
        The room and the wavenumbers.
    sources_m : ndarray of float, shape (s, 3)
        Positions of the sources, inside the room. [m]
    axes : ndarray of float, shape (s, 3)
        Unit vector of a dipole's axis; zeros for a monopole. [-]
    seats_m : ndarray of float, shape (n, 3)
        Positions of the receivers, inside the room, none at a source's place. [m]

    Returns
    -------
    ndarray of complex, shape (n, s, f)

    Notes
    -----
    p = 4 pi sum_ab psi_a(s) psi_a(r) psi_b(s) psi_b(r) / (N_a N_b) g_ab, with g the closed form along the axis of the
    largest separation d. Transverse products are kept up to sqrt(k_max^2 + (7/d)^2), the last evanescent by 7 nepers.
    Closer than NEAR_FIELD_M the singular part is taken out, see `near_field`. A dipole is the derivative along its
    axis with respect to the source point, over j k: 0 dB is its far-field level on axis at 1 m.
    """
    sources_m, axes, seats_m = (np.asarray(a, dtype=float) for a in (sources_m, axes, seats_m))
    result = np.empty((len(seats_m), len(sources_m), len(box.wavenumber_per_m)), dtype=complex)
    if not result.size:  # no frequency lies where the wave field is asked for
        return result
    for (axis, separation_m, dipole), pairs in _grouped_pairs(sources_m, axes, seats_m).items():
        seat, source = np.array(pairs).T
        field = _pair_field(
            box,
            axis=axis,
            separation_m=separation_m,
            sources_m=sources_m[source],
            axes=axes[source] if dipole else None,
            seats_m=seats_m[seat],
        )
        result[seat, source] = field / (1j * box.wavenumber_per_m) if dipole else field
    return result


def field_terms(box: Box, *, sources_m: FloatArray, axes: FloatArray, seats_m: FloatArray) -> int:
    """Return how many terms `pressure_ratio` adds up for the same arguments: the measure of the time it takes. [-]

    Parameters
    ----------
    box, sources_m, axes, seats_m
        As for `pressure_ratio`. [m, -]

    Notes
    -----
    Transverse products times frequencies, for every pair of source and seat, and once more for the sum that pairs of
    like separation share.
    """
    terms = 0
    places = (np.asarray(a, dtype=float) for a in (sources_m, axes, seats_m))
    for (axis, separation_m, dipole), pairs in _grouped_pairs(*places).items():
        highest = largest_transverse_wavenumber(box, separation_m=max(separation_m, NEAR_FIELD_M), dipole=dipole)
        products = len(transverse_orders(box.dimensions_m, axis=axis, highest_per_m=highest).first)
        terms += products * (len(pairs) + 1)
    return terms * len(box.wavenumber_per_m)


def _grouped_pairs(sources_m: FloatArray, axes: FloatArray, seats_m: FloatArray) -> Any:
    """Group (seat, source) pairs by closed-form axis, rounded separation and kind of source."""
    separation_m = np.abs(seats_m[:, None] - sources_m)
    longest = separation_m.argmax(axis=2)
    step = np.searchsorted(SEPARATIONS_M, separation_m.max(axis=2), side="right") - 1
    dipole = np.any(axes, axis=1)
    groups: dict[tuple[int, float, bool], list[tuple[int, ...]]] = {}
    for seat, source in np.ndindex(longest.shape):
        rounded_m = 0.0 if step[seat, source] < 0 else SEPARATIONS_M[step[seat, source]]
        groups.setdefault((int(longest[seat, source]), rounded_m, bool(dipole[source])), []).append((seat, source))
    return groups


def _pair_field(
    box: Box, *, axis: int, separation_m: float, sources_m: FloatArray, axes: FloatArray | None, seats_m: FloatArray
) -> ComplexArray:
    """Field of source i at seat i, shape (pairs, f); the derivative along `axes` where they are given."""
    highest = largest_transverse_wavenumber(box, separation_m=max(separation_m, NEAR_FIELD_M), dipole=axes is not None)
    places: dict[str, Any] = {"sources_m": sources_m, "axes": axes, "seats_m": seats_m}
    wavenumber = box.wavenumber_per_m - 1j * box.loss_per_m if box.loss_per_m else box.wavenumber_per_m
    products = len(transverse_orders(box.dimensions_m, axis=axis, highest_per_m=highest).first)
    step = max(1, _CHUNK_ELEMENTS // products)
    parts = [slice(start, start + step) for start in range(0, len(wavenumber), step)]
    sums = (
        AxisSum(box.dimensions_m, box.admittance_ratio[:, p], wavenumber[p], axis=axis, highest_per_m=highest)
        for p in parts
    )
    field = np.concatenate([axis_sum.field(**places) for axis_sum in sums], axis=1)
    if separation_m > 0:
        return field
    imaginary, weights = imaginary_wavenumber_weights(wavenumber)
    rigid = np.zeros((6, len(imaginary)))
    reference = AxisSum(box.dimensions_m, rigid, imaginary, axis=axis, highest_per_m=highest)
    images = imaginary_wavenumber_images(imaginary.imag, dimensions_m=box.dimensions_m, **places)
    return field + (images - reference.field(**places)) @ weights


@dataclass(frozen=True, kw_only=True)
class TransverseOrders:
    """Orders of the products of modes across two axes that are kept.

    Attributes
    ----------
    counts : tuple of int, length 2
        Modes along each of the two axes. [-]
    first, second : ndarray of int, shape (products,)
        Order along the first and the second of them. [-]
    """

    counts: tuple
    first: np.ndarray
    second: np.ndarray


def transverse_orders(dimensions_m: tuple[float, float, float], *, axis: int, highest_per_m: float) -> Any:
    """Return the orders of the transverse products up to a wavenumber, counted as between rigid walls.

    Parameters
    ----------
    dimensions_m : tuple of float, length 3
        Inside length, width and height. [m]
    axis : int
        Axis of the closed form: 0, 1 or 2; the products are of the other two.
    highest_per_m : float
        Transverse wavenumber up to which products are kept. [1/m]
    """
    lengths = [dimensions_m[other] for other in range(3) if other != axis]
    counts = tuple(int(highest_per_m * length / np.pi) + 1 for length in lengths)
    grids = [(np.arange(count) * np.pi / length) ** 2 for count, length in zip(counts, lengths, strict=True)]
    first, second = np.nonzero(grids[0][:, None] + grids[1] <= highest_per_m**2)
    return TransverseOrders(counts=counts, first=first, second=second)


class AxisSum:
    """The transverse products of a box with the closed form along one axis, ready for any source and seat.

    Parameters
    ----------
    dimensions_m, admittance_ratio
        As in `Box`.
    wavenumber_per_m : ndarray, shape (f,)
        k, losses included. [1/m]
    axis : int
        Axis of the closed form: 0, 1 or 2.
    highest_per_m : float
        Transverse products up to this wavenumber are kept. [1/m]
    """

    def __init__(
        self,
        dimensions_m: tuple[float, float, float],
        admittance_ratio: FloatArray,
        wavenumber_per_m: FloatArray | ComplexArray,
        *,
        axis: int,
        highest_per_m: float,
    ) -> None:
        self.axis = axis
        self.across = tuple(other for other in range(3) if other != axis)
        self.length_m = dimensions_m[axis]
        orders = transverse_orders(dimensions_m, axis=axis, highest_per_m=highest_per_m)
        self.modes = [
            transverse_modes(
                wavenumber_per_m=wavenumber_per_m,
                admittance_ratio_low=admittance_ratio[2 * other],
                admittance_ratio_high=admittance_ratio[2 * other + 1],
                length_m=dimensions_m[other],
                mode_count=count,
            )
            for other, count in zip(self.across, orders.counts, strict=True)
        ]
        self.first, self.second = orders.first, orders.second
        squares = [mode.wavenumber_per_m**2 for mode in self.modes]
        k = wavenumber_per_m[:, None]
        self.decay_per_m = u = np.sqrt(squares[0][:, self.first] + squares[1][:, self.second] - k**2)
        wall = [1j * k * admittance_ratio[2 * axis + side][:, None] for side in (0, 1)]
        self.reflection_low, self.reflection_high = ((u - w) / (u + w) for w in wall)
        norms = self.modes[0].norm_m[:, self.first] * self.modes[1].norm_m[:, self.second]
        around = self.reflection_low * self.reflection_high * np.exp(-2 * u * self.length_m)
        self.weight = 4 * np.pi / (norms * 2 * u * (1 - around))

    def across_shapes(self, points_m: FloatArray) -> ComplexArray:
        """Return psi_a psi_b of each product at points (n, 3), shape (n, f, products)."""
        a, b = (mode.shape(points_m[:, other]) for mode, other in zip(self.modes, self.across, strict=True))
        return a[:, :, self.first] * b[:, :, self.second]

    def across_slopes(self, points_m: FloatArray, directions: FloatArray) -> ComplexArray:
        """Return the derivative of psi_a psi_b along `directions` (n, 3), shape (n, f, products)."""
        (mode_a, mode_b), (axis_a, axis_b) = self.modes, self.across
        a, b = mode_a.shape(points_m[:, axis_a]), mode_b.shape(points_m[:, axis_b])
        slope_a = mode_a.slope_per_m(points_m[:, axis_a]) * directions[:, axis_a, None, None]
        slope_b = mode_b.slope_per_m(points_m[:, axis_b]) * directions[:, axis_b, None, None]
        return slope_a[:, :, self.first] * b[:, :, self.second] + a[:, :, self.first] * slope_b[:, :, self.second]

    def field(self, *, sources_m: FloatArray, axes: FloatArray, seats_m: FloatArray) -> ComplexArray:
        """Return the field of source i at seat i, shape (pairs, f), or its derivative along axes i (pairs, 3)."""
        step = max(1, _CHUNK_ELEMENTS // self.weight.size)
        parts = [slice(start, start + step) for start in range(0, len(sources_m), step)]
        return np.concatenate([self._field(sources_m[p], None if axes is None else axes[p], seats_m[p]) for p in parts])

    def _field(self, sources_m: FloatArray, axes: FloatArray, seats_m: FloatArray) -> ComplexArray:
        source_x, seat_x = sources_m[:, self.axis], seats_m[:, self.axis]
        low, high = (pick(source_x, seat_x)[:, None, None] for pick in (np.minimum, np.maximum))
        u = self.decay_per_m
        from_low = self.reflection_low * np.exp(-2 * u * low)
        from_high = self.reflection_high * np.exp(-2 * u * (self.length_m - high))
        common = np.exp(-u * (high - low)) * self.weight * self.across_shapes(seats_m)
        along = (1 + from_low) * (1 + from_high)
        if axes is None:
            return np.einsum("mfp,mfp,mfp->mf", common, along, self.across_shapes(sources_m))
        source_is_low = (source_x <= seat_x)[:, None, None]
        slope = u * np.where(source_is_low, (1 - from_low) * (1 + from_high), -(1 + from_low) * (1 - from_high))
        derivative = slope * axes[:, self.axis, None, None] * self.across_shapes(sources_m)
        derivative += along * self.across_slopes(sources_m, axes)
        return np.einsum("mfp,mfp->mf", common, derivative)
