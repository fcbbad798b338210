"""Wave field of many placements at once: a pair across the room's axis, moved along the length, heard from many seats.

Source and seat separate along the length, the closed-form axis of the sum: each product of transverse modes is one factor of the source's x times
one of the seat's x. So the sum over heights is done once for all spacings, and the sum over widths is a matrix product.
"""

import numpy as np

from service.physics.room.wave_field import AxisSum, largest_transverse_wavenumber

class GridField:
    """Field of pairs at every combination of distance to the front wall, spacing and seat.

    Parameters
    ----------
    box : Box
        The room. [-]
    source_x_m : ndarray, shape (i,)
        Distances of the pair from the front wall. [m]
    source_y_m : ndarray, shape (j, n)
        Distances of the pair's n speakers from the left wall, for each spacing. [m]
    source_z_m : float
        Height of the speakers. [m]
    least_separation_m : float
        Smallest distance along the length between a pair and a seat that will be read; sets the number of modes. [m]
    dipole : bool
        Whether the speakers are dipoles, both turned inwards by the same angle. [-]
    """

    def __init__(self, box, *, source_x_m, source_y_m, source_z_m, least_separation_m, dipole):
        self.wavenumber_per_m = box.wavenumber_per_m
        self.dipole = dipole
        self.middle_m = float(np.max(source_x_m))
        highest = largest_transverse_wavenumber(box, separation_m=least_separation_m, dipole=dipole)
        self.sum = total = AxisSum(
            box.dimensions_m, box.admittance_ratio, box.wavenumber_per_m, axis=0, highest_per_m=highest
        )
        self.counts = tuple(mode.wavenumber_per_m.shape[1] for mode in total.modes)
        x = np.asarray(source_x_m)[:, None, None]
        outgoing = np.exp(-total.decay_per_m * (self.middle_m - x))
        returning = total.reflection_low * np.exp(-total.decay_per_m * (self.middle_m + x))
        height = total.modes[1].shape([source_z_m])[0][:, total.second]
        self.from_source = (outgoing + returning) * total.weight * height
        across = np.asarray(source_y_m)
        self.source_shape = _over_speakers(total.modes[0].shape, across)
        if dipole:
            self.along_source = (outgoing - returning) * total.decay_per_m * total.weight * height
            inwards = np.where(np.arange(across.shape[1]) == 0, 1.0, -1.0)  # left speaker turns towards +y
            self.source_slope = _over_speakers(total.modes[0].slope_per_m, across, inwards)

    def pressure(self, *, seat_x_m, seat_y_m, seat_z_m, toe_in_rad=None):
        """Return the coherent sum of the pair re one speaker in free field at 1 m.

        Parameters
        ----------
        seat_x_m : ndarray, shape (k,)
            Distances of the seat from the front wall. [m]
        seat_y_m, seat_z_m : float
            Its distance from the left wall and its height. [m]
        toe_in_rad : ndarray, shape (j, i, k)
            Angle by which dipoles turn inwards; not used for monopoles. [rad]

        Returns
        -------
        ndarray of complex, shape (f, j, i, k)
            Meaningful where the seat is farther from the front wall than the pair by `least_separation_m`. [-]
        """
        total = self.sum
        x = np.asarray(seat_x_m)[:, None, None]
        u, length_m = total.decay_per_m, total.length_m
        at_seat = np.exp(-u * (x - self.middle_m))
        at_seat = at_seat + total.reflection_high * np.exp(-u * (2 * length_m - x - self.middle_m))
        shape_z = total.modes[1].shape([seat_z_m])[0][:, total.second]
        shape_y = total.modes[0].shape([seat_y_m])[0][:, None, :]
        to_seat = self._dense(at_seat * shape_z)
        plain = self._over_heights(self.from_source, to_seat)
        if not self.dipole:
            return _over_widths(self.source_shape * shape_y, plain)
        along = self._over_heights(self.along_source, to_seat)
        straight = _over_widths(self.source_shape * shape_y, along)
        sideways = _over_widths(self.source_slope * shape_y, plain)
        turned = np.cos(toe_in_rad) * straight + np.sin(toe_in_rad) * sideways
        return turned / (1j * self.wavenumber_per_m)[:, None, None, None]

    def _dense(self, values):
        """Spread products (n, f, p) over a full table of both modes, shape (f, a, n, b)."""
        n, f, _ = values.shape
        table = np.zeros((f, *self.counts, n), dtype=complex)
        table[:, self.sum.first, self.sum.second] = np.moveaxis(values, 0, -1)
        return table.transpose(0, 1, 3, 2)

    def _over_heights(self, from_source, to_seat):
        """Sum over the modes of height: (f, a, i, b) by (f, a, k, b) to (f, a, i, k)."""
        return self._dense(from_source) @ to_seat.swapaxes(2, 3)


def _over_speakers(function, across_m, signs=None):
    """Sum a mode's shape or slope over the speakers of each pair: (j, n) places to (f, j, a)."""
    values = function(across_m.ravel())
    values = values.reshape(*across_m.shape, *values.shape[1:])
    if signs is not None:
        values = values * signs[:, None, None]
    return values.sum(axis=1).swapaxes(0, 1)


def _over_widths(source_shape, field):
    """Sum over the modes of width: (f, j, a) by (f, a, i, k) to (f, j, i, k)."""
    f, a, i, k = field.shape
    return (source_shape @ field.reshape(f, a, i * k)).reshape(f, -1, i, k)
