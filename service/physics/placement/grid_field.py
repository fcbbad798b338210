"""Wave field of many placements at once: speakers moved along the length and across it, heard from many seats.

Source and seat separate along the length, the closed-form axis of the sum: each product of transverse modes is one
factor of the source's x times one of the seat's x. So the sum over heights is done once for all spacings, and both
sums are matrix products.
"""

from dataclasses import dataclass

import numpy as np

from service.physics.room.wave_field import AxisSum, largest_transverse_wavenumber


@dataclass(frozen=True, kw_only=True)
class Arrivals:
    """Each product of modes at seats: from the speakers, and from the back wall; arrays (k, f, p)."""

    from_front: np.ndarray
    from_back: np.ndarray


class GridField:
    """Field of speakers at every combination of distance to the front wall, place across the room, and seat.

    Parameters
    ----------
    box : Box
        The room. [-]
    source_x_m : ndarray, shape (i,)
        Distances of the speakers from the front wall. [m]
    source_y_m : ndarray, shape (j, n)
        Distances of the n speakers from the left wall. [m]
    source_z_m : float
        Height of the speakers. [m]
    least_separation_m : float
        Smallest distance along the length between a speaker and a place that will be read: it sets the number of
        modes. [m]
    dipole : bool
        Whether the speakers are dipoles: the first turned by an angle, the others by as much the other way. [-]
    source_weights : ndarray of complex, shape (n, f), or None
        What each speaker radiates; None where all radiate alike. [-]
    """

    def __init__(self, box, *, source_x_m, source_y_m, source_z_m, least_separation_m, dipole, source_weights=None):
        self.wavenumber_per_m = box.wavenumber_per_m
        self.dipole = dipole
        self.sum = total = AxisSum(
            box.dimensions_m,
            box.admittance_ratio,
            box.wavenumber_per_m,
            axis=0,
            highest_per_m=largest_transverse_wavenumber(box, separation_m=least_separation_m, dipole=dipole),
        )
        self.counts = tuple(mode.wavenumber_per_m.shape[1] for mode in total.modes)
        self.furthest_m = float(np.max(source_x_m))
        u, source_x = total.decay_per_m, np.asarray(source_x_m)[:, None, None]
        outgoing = np.exp(-u * (self.furthest_m - source_x))
        returning = total.reflection_low * np.exp(-u * (self.furthest_m + source_x))
        common = total.weight * self._height_shape(source_z_m)
        self.from_source = self._dense((outgoing + returning) * common)
        weights = np.ones((np.shape(source_y_m)[1], 1)) if source_weights is None else source_weights
        self.source_shape = _over_speakers(total.modes[0].shape, source_y_m, weights)
        if dipole:
            self.along_source = self._dense((outgoing - returning) * u * common)
            turns = np.where(np.arange(np.shape(source_y_m)[1]) == 0, 1.0, -1.0)
            self.source_slope = _over_speakers(total.modes[0].slope_per_m, source_y_m, weights * turns[:, None])

    def arrivals(self, seat_x_m):
        """Return what reaches seats at distances (k,) from the front wall, for `pressure`. [m]"""
        u, seat_x = self.sum.decay_per_m, np.asarray(seat_x_m)[:, None, None]
        from_back = np.exp(-u * (2 * self.sum.length_m - seat_x - self.furthest_m))
        return Arrivals(
            from_front=np.exp(-u * (seat_x - self.furthest_m)), from_back=self.sum.reflection_high * from_back
        )

    def pressure(self, arrivals, *, behind_m, seat_y_m, seat_z_m, chosen, turned_rad):
        """Return the coherent sum of the speakers re one of them in free field at 1 m.

        Parameters
        ----------
        arrivals : Arrivals
            At the seats (k,). [-]
        behind_m : float
            How far behind the seat's x the ear is, all seats alike. [m]
        seat_y_m : ndarray, shape (m,)
            Distances of the ear from the left wall. [m]
        seat_z_m : float
            Its height. [m]
        chosen : ndarray of bool, shape (j, i, k)
            Combinations of place across the room, distance to the front wall and seat that are read: those in which
            the ear is farther from the front wall than the speakers by `least_separation_m`. [-]
        turned_rad : ndarray, shape (c,)
            Direction of the first dipole of each chosen combination from +x towards +y; the others turn the other
            way. Monopoles do not ask. [rad]

        Returns
        -------
        ndarray of complex, shape (f, m, c)
            In the order of `chosen`. [-]
        """
        u = self.sum.decay_per_m
        at_seat = arrivals.from_front * np.exp(-u * behind_m) + arrivals.from_back * np.exp(u * behind_m)
        to_seat = self._dense(at_seat * self._height_shape(seat_z_m)).swapaxes(2, 3)
        width_shape = self.sum.modes[0].shape(seat_y_m).swapaxes(0, 1)[:, :, None]
        plain = self.from_source @ to_seat
        read = np.flatnonzero(chosen)
        if not self.dipole:
            return _over_widths(width_shape * self.source_shape, plain)[..., read]
        straight = _over_widths(width_shape * self.source_shape, self.along_source @ to_seat)[..., read]
        sideways = _over_widths(width_shape * self.source_slope, plain)[..., read]
        turned = np.cos(turned_rad) * straight + np.sin(turned_rad) * sideways
        return turned / (1j * self.wavenumber_per_m)[:, None, None]

    def _height_shape(self, z_m):
        return self.sum.modes[1].shape([z_m])[0][:, self.sum.second]

    def _dense(self, values):
        """Spread products (n, f, p) over a full table of both modes, shape (f, a, n, b)."""
        n, f, _ = values.shape
        table = np.zeros((f, *self.counts, n), dtype=complex)
        table[:, self.sum.first, self.sum.second] = np.moveaxis(values, 0, -1)
        return table.transpose(0, 1, 3, 2)


def _over_speakers(function, across_m, weights):
    """Sum a mode's shape or slope, times weights (n, f), over the speakers: (j, n) places to (f, 1, j, a)."""
    across_m = np.asarray(across_m)
    values = function(across_m.ravel())
    values = values.reshape(*across_m.shape, *values.shape[1:])
    return (values * weights[..., None]).sum(axis=1).swapaxes(0, 1)[:, None]


def _over_widths(shapes, field):
    """Sum over the modes of width: (f, m, j, a) by (f, a, i, k) to (f, m, j * i * k)."""
    f, m, j, a = shapes.shape
    return (shapes.reshape(f, m * j, a) @ field.reshape(f, a, -1)).reshape(f, m, -1)
