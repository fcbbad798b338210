"""Judges single placements of one search quickly: what rooms and separations share is worked out once and kept."""

from collections import OrderedDict
from dataclasses import dataclass
from typing import Any

import numpy as np

from service.physics.frozen import frozen
from service.physics.placement import merit
from service.physics.placement.search import HEAD_M, Judgement, Setting, heads_in_room_m, judge_energies, source_weights
from service.physics.room.wave_field import (
    SEPARATIONS_M,
    AxisSum,
    largest_transverse_wavenumber,
    pressure_ratio,
)
from service.physics.types import ComplexArray, FloatArray

_SEPARATIONS_M = frozen(np.array(SEPARATIONS_M))
"""Steps to which a separation is rounded down, so that a placement that moves a little keeps its sum. [m]"""

_HEAD_SIZE_M = frozen(np.array(HEAD_M).max(axis=0))
_MOST_KEPT = 8
"""Sums that are kept: those of the axes and separations that were asked for last."""


@dataclass(frozen=True, kw_only=True)
class _Kept:
    """One sum over modes and, by shift of an ear along its axis, e^(-u shift)."""

    total: AxisSum
    shifted: dict


class PlacementJudge:
    """Judges placements of one setting one after the other.

    Parameters
    ----------
    setting : Setting
        [-]

    Notes
    -----
    Within 0.01 dB of `wave_field.pressure_ratio` at every point, in a few milliseconds: speakers are summed before
    the seat comes in, and the seven points of a head share their modes. Not for several threads at once.
    """

    def __init__(self, setting: Setting) -> None:
        self.setting = setting
        self._kept: OrderedDict[tuple[int, float, bool], _Kept] = OrderedDict()

    def judge(self, *, speakers_m: FloatArray, axes: FloatArray, lead_m: FloatArray) -> Judgement:
        """Judge one placement.

        Parameters
        ----------
        speakers_m, axes : ndarray, shape (n, 3)
            Places of the speakers, and axes of dipoles or zeros. [m, -]
        lead_m : ndarray, shape (3,)
            The leading ear place. [m]

        Returns
        -------
        Judgement
            With arrays of shape (1,).
        """
        setting = self.setting
        speakers_m, axes, lead_m = (np.asarray(each, dtype=float) for each in (speakers_m, axes, lead_m))
        seats_m = heads_in_room_m(lead_m + setting.seat_offsets_m, setting.box)
        weights = source_weights(setting, len(speakers_m))
        field = np.stack([self._head(speakers_m, axes, weights, middle_m) for middle_m in seats_m])
        energy = np.moveaxis(field.real**2 + field.imag**2, 2, 0)
        energies = np.moveaxis(merit.band_means(energy, bands=setting.bands), 0, -1)[:, :, None]
        return judge_energies(setting, energies, speakers_m=speakers_m[None], lead_m=lead_m[None])

    def _head(
        self, speakers_m: FloatArray, axes: FloatArray, weights: ComplexArray, middle_m: FloatArray
    ) -> ComplexArray:
        """Pressure of all speakers together at the points of one head, shape (points, f)."""
        apart_m = np.abs(speakers_m - middle_m) - _HEAD_SIZE_M
        longest, dipole = apart_m.argmax(axis=1), np.any(axes, axis=1)
        groups: dict[tuple[int, int, bool, float], list[int]] = {}
        for n, axis in enumerate(longest):
            step = int(np.searchsorted(_SEPARATIONS_M, apart_m[n, axis], side="right")) - 1
            along_m = float(speakers_m[n, axis])
            groups.setdefault((int(axis), step, bool(dipole[n]), along_m), []).append(n)
        total: Any = 0.0
        for (axis, step, is_dipole, _), which in groups.items():
            places: dict[str, Any] = {"sources_m": speakers_m[which], "axes": axes[which]}
            if step < 0:
                ears_m = middle_m + np.array(HEAD_M)
                field = pressure_ratio(self.setting.box, seats_m=ears_m, **places)
                total = total + np.einsum("enf,nf->ef", field, weights[which])
                continue
            kept = self._sum(axis, float(_SEPARATIONS_M[step]), dipole=is_dipole)
            field = _head_field(kept, **places, weights=weights[which], middle_m=middle_m, dipole=is_dipole)
            total = total + (field / (1j * self.setting.box.wavenumber_per_m) if is_dipole else field)
        return total

    def _sum(self, axis: int, step_m: float, *, dipole: bool) -> _Kept:
        """The sum over modes for a closed-form axis and a separation, kept from the last time."""
        key = (axis, step_m, dipole)
        if key in self._kept:
            self._kept.move_to_end(key)
            return self._kept[key]
        box = self.setting.box
        total = AxisSum(
            box.dimensions_m,
            box.admittance_ratio,
            box.wavenumber_per_m - 1j * box.loss_per_m if box.loss_per_m else box.wavenumber_per_m,
            axis=axis,
            highest_per_m=largest_transverse_wavenumber(box, separation_m=step_m, dipole=dipole),
        )
        shifts_m = {point[axis] for point in HEAD_M}
        kept = _Kept(total=total, shifted={shift_m: np.exp(-total.decay_per_m * shift_m) for shift_m in shifts_m})
        self._kept[key] = kept
        if len(self._kept) > _MOST_KEPT:
            self._kept.popitem(last=False)
        return kept


def _head_field(
    kept: _Kept, *, sources_m: FloatArray, axes: FloatArray, weights: ComplexArray, middle_m: FloatArray, dipole: bool
) -> ComplexArray:
    """Field, or its derivative along the axes, of sources with one coordinate along the axis, shape (points, f)."""
    total = kept.total
    u, axis, length_m = total.decay_per_m, total.axis, total.length_m
    source_m, seat_m = sources_m[0, axis], middle_m[axis]
    is_low = source_m <= seat_m
    behind, beyond = total.reflection_low, total.reflection_high
    if not is_low:
        behind, beyond, source_m, seat_m = beyond, behind, length_m - source_m, length_m - seat_m
    returned = behind * np.exp(-2 * u * source_m)
    driven = (1 + returned) * _summed(total.across_shapes(sources_m), weights)
    if dipole:
        slope = u * (1 - returned) if is_low else -u * (1 - returned)
        ahead = _summed(total.across_shapes(sources_m), weights * axes[:, axis, None])
        driven = slope * ahead + (1 + returned) * _summed(total.across_slopes(sources_m, axes), weights)
    direct = driven * total.weight * np.exp(-u * (seat_m - source_m))
    reflected = direct * beyond * np.exp(-2 * u * (length_m - seat_m))
    points_m = np.array(HEAD_M)
    others_m = [np.unique(points_m[:, other]) for other in total.across]
    first, second = (
        mode.shape(middle_m[other] + offsets_m)
        for mode, other, offsets_m in zip(total.modes, total.across, others_m, strict=True)
    )
    first, second = first.swapaxes(0, 1), np.moveaxis(second, 0, 2)
    table = np.zeros((len(u), first.shape[2], second.shape[1]), dtype=complex)
    fields: dict[float, Any] = {}
    for shift_m in kept.shifted:
        away_m = shift_m if is_low else -shift_m
        table[:, total.first, total.second] = direct * kept.shifted[away_m] + reflected * kept.shifted[-away_m]
        fields[shift_m] = first @ (table @ second)
    return np.array(
        [
            fields[point[axis]][:, *(np.searchsorted(o, point[c]) for o, c in zip(others_m, total.across, strict=True))]
            for point in HEAD_M
        ]
    )


def _summed(shapes: ComplexArray, weights: ComplexArray) -> ComplexArray:
    """Sum over sources of shapes (n, f, p) times weights (n, f)."""
    return np.einsum("nfp,nf->fp", shapes, weights)
