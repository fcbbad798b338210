"""Modes of a rectangular room: frequencies, kinds, decay, which coincide, and from where they overlap."""

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError, require_not_negative, require_positive
from service.physics.room.box import checked_dimensions_m, checked_orders
from service.physics.types import FloatArray, IntArray

KINDS = ("axial", "tangential", "oblique")
"""Kind of a mode with one, two or three orders above 0."""

SAME_FREQUENCY_RATIO = 1e-9
"""Relative difference below which two frequencies are one: rounding of the arithmetic. Ours."""


def mode_orders(
    *, length_m: float, width_m: float, height_m: float, to_hz: float, speed_of_sound_m_s: float
) -> IntArray:
    """Return the orders of all modes up to a frequency, lowest first.

    Parameters
    ----------
    length_m, width_m, height_m : float
        Inside dimensions, > 0. [m]
    to_hz : float
        Highest frequency, included, > 0. [Hz]
    speed_of_sound_m_s : float
        > 0. [m/s]

    Returns
    -------
    ndarray of int, shape (n, 3)
        Half-waves along length, width and height, by rising frequency; at equal frequency by rising order
        along the length, then the width. The uniform pressure (0, 0, 0) is left out. [-]

    Raises
    ------
    OutOfRangeError
        A value is not finite and positive.

    Notes
    -----
    About 4.2 V (to_hz / c)^3 rows for a large room: the caller limits room and frequency.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Normal modes of a rectangular room.

    Examples
    --------
    >>> mode_orders(length_m=5.0, width_m=4.0, height_m=2.5, to_hz=55.0, speed_of_sound_m_s=343.0).tolist()
    [[1, 0, 0], [0, 1, 0], [1, 1, 0]]
    """
    dimensions = checked_dimensions_m(length_m=length_m, width_m=width_m, height_m=height_m)
    require_positive(to_hz, name="to_hz")
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    half_waves = 2.0 * to_hz * dimensions / speed_of_sound_m_s
    highest = np.floor(half_waves * (1.0 + SAME_FREQUENCY_RATIO)).astype(int)
    orders = np.indices(highest + 1).reshape(3, -1).T[1:]
    if not len(orders):
        return orders
    frequencies = _frequencies_hz(orders, dimensions, speed_of_sound_m_s)
    kept = frequencies <= to_hz * (1.0 + SAME_FREQUENCY_RATIO)
    orders, frequencies = orders[kept], frequencies[kept]
    # Rounded to 12 digits, so that equal frequencies that differ by rounding stand in order of their orders.
    digits = np.round(frequencies / to_hz, 12)
    return orders[np.argsort(digits, kind="stable")]


def _frequencies_hz(orders: IntArray, dimensions_m: FloatArray, speed_of_sound_m_s: float) -> FloatArray:
    return speed_of_sound_m_s / 2.0 * np.sqrt(((orders / dimensions_m) ** 2).sum(axis=1))


def mode_frequencies_hz(
    orders: ArrayLike, *, length_m: float, width_m: float, height_m: float, speed_of_sound_m_s: float
) -> FloatArray:
    """Return the natural frequency of each mode of a rigid rectangular room.

    Parameters
    ----------
    orders : array_like of int, shape (n, 3)
        Half-waves along length, width and height, each at least 0, not all 0. [-]
    length_m, width_m, height_m : float
        Inside dimensions, > 0. [m]
    speed_of_sound_m_s : float
        > 0. [m/s]

    Returns
    -------
    ndarray of float, shape (n,)
        Frequencies in the order given. [Hz]

    Raises
    ------
    OutOfRangeError
        A dimension or the speed is not finite and positive, or an order is invalid.

    Notes
    -----
    f = (c / 2) sqrt((nx/L)^2 + (ny/W)^2 + (nz/H)^2). Rigid plane walls, still and uniform air. Panels and
    windows shift the lowest modes by a few per cent.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Normal modes of a rectangular room.

    Examples
    --------
    >>> f = mode_frequencies_hz([(1, 0, 0), (1, 1, 0)], length_m=5.0, width_m=4.0, height_m=2.5,
    ...                         speed_of_sound_m_s=343.0)
    >>> [round(float(x), 2) for x in f]  # 343/10; 171.5 sqrt(1/25 + 1/16)
    [34.3, 54.91]
    """
    dimensions = checked_dimensions_m(length_m=length_m, width_m=width_m, height_m=height_m)
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    return _frequencies_hz(checked_orders(orders), dimensions, speed_of_sound_m_s)


def mode_kind(orders: ArrayLike) -> list[str]:
    """Return whether each mode is axial, tangential or oblique.

    Parameters
    ----------
    orders : array_like of int, shape (n, 3)
        Each at least 0, not all 0. [-]

    Returns
    -------
    list of str
        One of `KINDS` for each mode.

    Raises
    ------
    OutOfRangeError
        An order is invalid.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Axial, tangential and oblique modes.

    Examples
    --------
    >>> mode_kind([(0, 2, 0), (1, 0, 3), (1, 1, 1)])
    ['axial', 'tangential', 'oblique']
    """
    return [KINDS[count - 1] for count in np.count_nonzero(checked_orders(orders), axis=1)]


def mode_decay_times_s(
    orders: ArrayLike,
    *,
    pair_admittance_sums: ArrayLike,
    length_m: float,
    width_m: float,
    height_m: float,
    speed_of_sound_m_s: float,
) -> FloatArray:
    """Return the time in which each mode decays by 60 dB.

    Parameters
    ----------
    orders : array_like of int, shape (n, 3)
        Each at least 0, not all 0. [-]
    pair_admittance_sums : array_like of float, shape (3,) or (n, 3)
        Sum of the real admittances of front and back, left and right, floor and ceiling, >= 0; a row for each
        mode where they depend on the frequency. [-]
    length_m, width_m, height_m : float
        Inside dimensions, > 0. [m]
    speed_of_sound_m_s : float
        > 0. [m/s]

    Returns
    -------
    ndarray of float, shape (n,)
        Decay times; NaN where no wall absorbs. [s]

    Raises
    ------
    OutOfRangeError
        A value is outside its range or has the wrong shape.

    Notes
    -----
    T = 3 ln 10 / delta, delta = (c / 2) sum(e_i (b_i1 + b_i2) / L_i), e = 1 for an axis of order 0 and 2
    otherwise. A mode touches all six walls: those that it does not vary across with half the weight, for its
    mean square there is half of its largest. First order in the admittance; the air is left out.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Damping of normal modes by walls of small real admittance.

    Examples
    --------
    One wall pair of b = 0.01 + 0.01 across 5 m: delta = 170 * 2 * 0.02 / 5 = 1.36 for (1, 0, 0), half for (0,
    1, 0).

    >>> t = mode_decay_times_s([(1, 0, 0), (0, 1, 0)], pair_admittance_sums=[0.02, 0.0, 0.0], length_m=5.0,
    ...                        width_m=4.0, height_m=2.5, speed_of_sound_m_s=340.0)
    >>> [round(float(x), 3) for x in t]  # 6.907755 / 1.36, / 0.68
    [5.079, 10.158]
    """
    dimensions = checked_dimensions_m(length_m=length_m, width_m=width_m, height_m=height_m)
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    require_not_negative(pair_admittance_sums, name="pair_admittance_sums")
    array = checked_orders(orders)
    sums = np.asarray(pair_admittance_sums, dtype=float)
    if sums.shape not in ((3,), array.shape):
        raise OutOfRangeError(
            name="pair_admittance_sums", value=pair_admittance_sums, allowed="of shape (3,) or (n, 3)"
        )
    weights = np.where(array > 0, 2.0, 1.0)
    damping_per_s = speed_of_sound_m_s / 2.0 * (weights * sums / dimensions).sum(axis=1)
    return 3.0 * np.log(10.0) / np.where(damping_per_s > 0, damping_per_s, np.nan)


def coincident_groups(frequencies_hz: ArrayLike, *, within_ratio: float) -> list[list[int]]:
    """Return the groups of modes that lie close together.

    Parameters
    ----------
    frequencies_hz : array_like of float, shape (n,)
        In any order, > 0. [Hz]
    within_ratio : float
        Greatest relative difference between the highest and the lowest of a group, >= 0; 0 finds equal ones.
        [-]

    Returns
    -------
    list of list of int
        Indices of each group, by rising frequency; groups of two or more, each as large as it can be. A mode
        may be in two groups that overlap.

    Raises
    ------
    OutOfRangeError
        A value is outside its range.

    Notes
    -----
    A group is a run of frequencies of which the highest is at most (1 + within_ratio) times the lowest,
    rounding (1e-9) allowed. It does not chain: far members of a dense run are not said to coincide.

    References
    ----------
    [BONELLO-1981] Coincident modes; the rule for a group is ours.

    Examples
    --------
    >>> coincident_groups([50.0, 40.0, 40.2, 40.5], within_ratio=0.01)
    [[1, 2], [2, 3]]
    """
    require_positive(frequencies_hz, name="frequencies_hz")
    require_not_negative(within_ratio, name="within_ratio")
    frequencies = np.asarray(frequencies_hz, dtype=float)
    order = np.argsort(frequencies, kind="stable")
    rising = frequencies[order]
    ends = np.searchsorted(rising, rising * (1.0 + within_ratio + SAME_FREQUENCY_RATIO), side="right")
    longest_before = np.concatenate([[0], ends[:-1]]) if ends.size else ends
    starts = np.flatnonzero((ends - np.arange(ends.size) > 1) & (ends > longest_before))
    return [order[start : ends[start]].tolist() for start in starts]


def schroeder_frequency_hz(*, reverberation_time_s: float, volume_m3: float) -> float:
    """Return the frequency from which modes overlap threefold: the transition frequency.

    Parameters
    ----------
    reverberation_time_s : float
        Time of the octave bands in which the answer lies, 125 and 250 Hz in homes, > 0. [s]
    volume_m3 : float
        > 0. [m3]

    Returns
    -------
    float
        Transition frequency. [Hz]

    Raises
    ------
    OutOfRangeError
        A value is not finite and positive.

    Notes
    -----
    2000 sqrt(T / V) in SI units; from the volume term of the modal density alone. Not a sharp border.
    Threefold overlap at c = 343.2 m/s has 2094 in place of the rounded 2000; an older 4000 is superseded.

    References
    ----------
    [SCHROEDER-1962] The constant 2000.

    Examples
    --------
    >>> round(float(schroeder_frequency_hz(reverberation_time_s=0.25, volume_m3=100.0)), 9)  # 2000 / 20
    100.0
    """
    require_positive(reverberation_time_s, name="reverberation_time_s")
    require_positive(volume_m3, name="volume_m3")
    return 2000.0 * np.sqrt(reverberation_time_s / volume_m3)
