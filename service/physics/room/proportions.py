"""Rules about the proportions of a rectangular room, whose longer side in plan counts as its length."""

from dataclasses import dataclass

import numpy as np

from service.physics.checks import OutOfRangeError
from service.physics.room.box import checked_dimensions_m
from service.physics.room.modes import SAME_FREQUENCY_RATIO, coincident_groups, mode_frequencies_hz, mode_orders

_ROUNDING = 1e-9  # ratios are compared with this relative tolerance, so that 8.1 / 2.7 is 3
_LAST_BAND = 23  # third octaves are counted up to 10^(23/10) Hz, nominally 200 Hz
_FEWEST_FOR_COINCIDENCE = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeRule:
    """Outcome of `range_rule`, with the numbers behind it.

    Attributes
    ----------
    passes : bool
        All of the conditions hold.
    length_to_height_ratio, width_to_height_ratio : float
        [-]
    lowest_ratio, highest_ratio : float
        Between which the ratio of length to height is to lie; none does where the lowest is the greater. [-]
    length_below_three_heights, width_below_three_heights : bool
    """

    passes: bool
    length_to_height_ratio: float
    width_to_height_ratio: float
    lowest_ratio: float
    highest_ratio: float
    length_below_three_heights: bool
    width_below_three_heights: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class IntegerRatio:
    """One ratio of two dimensions and the whole number nearest to it.

    Attributes
    ----------
    name : str
        "length_to_height", "width_to_height" or "length_to_width".
    ratio : float
        [-]
    nearest_integer : int
        The whole number, at least 1, of the smallest relative distance.
    distance_pct : float
        Distance from it, in per cent of it. [%]
    clear : bool
        Outside the forbidden band, whose edge belongs to it.
    """

    name: str
    ratio: float
    nearest_integer: int
    distance_pct: float
    clear: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class IntegerRule:
    """Outcome of `integer_rule`.

    Attributes
    ----------
    passes : bool
        All ratios are clear of whole numbers.
    ratios : tuple of IntegerRatio
        The three ratios.
    """

    passes: bool
    ratios: tuple[IntegerRatio, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ThirdOctaveRule:
    """Outcome of `third_octave_rule`.

    Attributes
    ----------
    passes : bool
        Both criteria hold.
    counts_never_fall : bool
        First criterion: no band has fewer modes than the one below it.
    coincidences_are_masked : bool
        Second criterion: coincident modes only in bands of five or more.
    midbands_hz : ndarray of float, shape (n_bands,)
        Exact mid-band frequencies, from the band of the lowest mode to 200 Hz. [Hz]
    counts : ndarray of int, shape (n_bands,)
        Modes in each band.
    """

    passes: bool
    counts_never_fall: bool
    coincidences_are_masked: bool
    midbands_hz: np.ndarray
    counts: np.ndarray


def _ratios(length_m: float, width_m: float, height_m: float) -> tuple[float, float]:
    """Length and width over height, the longer one first."""
    dimensions_m = checked_dimensions_m(length_m=length_m, width_m=width_m, height_m=height_m)
    length, width, height = dimensions_m.tolist()
    return max(length, width) / height, min(length, width) / height


def range_rule(*, length_m: float, width_m: float, height_m: float) -> RangeRule:
    """Return whether the proportions lie in the range that studio recommendations give.

    Parameters
    ----------
    length_m, width_m, height_m : float
        Inside dimensions, > 0; length and width in either order. [m]

    Returns
    -------
    RangeRule

    Raises
    ------
    OutOfRangeError
        A dimension is not finite and positive.

    Notes
    -----
    1.1 w/h <= l/h <= 4.5 w/h - 4, l/h < 3 and w/h < 3, with h the height even where it is not the smallest.
    Several ratios that the literature praises fail it (1 : 1.14 : 1.39, 1 : 1.3 : 1.9).

    References
    ----------
    [WALKER-1993] [EBU-TECH-3276] [ITU-R-BS-1116] The formula as quoted by a secondary text.

    Examples
    --------
    >>> rule = range_rule(length_m=2.0, width_m=4.0, height_m=2.0)
    >>> rule.passes, rule.length_to_height_ratio, rule.lowest_ratio, rule.highest_ratio  # 1.1 and 4.5 - 4
    (False, 2.0, 1.1, 0.5)
    """
    length_ratio, width_ratio = _ratios(length_m, width_m, height_m)
    lowest, highest = 1.1 * width_ratio, 4.5 * width_ratio - 4.0
    length_below = length_ratio < 3.0 * (1.0 - _ROUNDING)
    width_below = width_ratio < 3.0 * (1.0 - _ROUNDING)
    in_range = lowest * (1.0 - _ROUNDING) <= length_ratio <= highest + length_ratio * _ROUNDING
    return RangeRule(
        passes=in_range and length_below and width_below,
        length_to_height_ratio=length_ratio,
        width_to_height_ratio=width_ratio,
        lowest_ratio=lowest,
        highest_ratio=highest,
        length_below_three_heights=length_below,
        width_below_three_heights=width_below,
    )


def _integer_ratio(name: str, ratio: float) -> IntegerRatio:
    below = max(int(ratio), 1)
    nearest = min((below, below + 1), key=lambda integer: abs(ratio / integer - 1.0))
    distance_pct = 100.0 * abs(ratio / nearest - 1.0)
    return IntegerRatio(
        name=name,
        ratio=ratio,
        nearest_integer=nearest,
        distance_pct=distance_pct,
        clear=distance_pct > 5.0 * (1.0 + _ROUNDING),
    )


def integer_rule(*, length_m: float, width_m: float, height_m: float) -> IntegerRule:
    """Return whether the three ratios of the dimensions keep clear of whole numbers by more than 5 per cent.

    Parameters
    ----------
    length_m, width_m, height_m : float
        Inside dimensions, > 0; length and width in either order. [m]

    Returns
    -------
    IntegerRule

    Raises
    ------
    OutOfRangeError
        A dimension is not finite and positive.

    Notes
    -----
    Length to height, width to height, length to width, each against 1, 2, 3, ...; the edge of 5 per cent
    counts as too near, within rounding (1e-9). Above 9.5 every ratio is too near.

    References
    ----------
    [ITU-R-BS-1116] [EBU-TECH-3276] The rule as quoted by a secondary text.

    Examples
    --------
    >>> rule = integer_rule(length_m=3.9, width_m=2.6, height_m=2.0)  # 1.95 is 2.5 % below 2
    >>> rule.passes, [(r.nearest_integer, r.clear) for r in rule.ratios]
    (False, [(2, False), (1, True), (2, True)])
    """
    length_ratio, width_ratio = _ratios(length_m, width_m, height_m)
    ratios = (
        _integer_ratio("length_to_height", length_ratio),
        _integer_ratio("width_to_height", width_ratio),
        _integer_ratio("length_to_width", length_ratio / width_ratio),
    )
    return IntegerRule(passes=all(ratio.clear for ratio in ratios), ratios=ratios)


def third_octave_rule(
    *, length_m: float, width_m: float, height_m: float, speed_of_sound_m_s: float
) -> ThirdOctaveRule:
    """Return whether the modes become denser from third octave to third octave.

    Parameters
    ----------
    length_m, width_m, height_m : float
        Inside dimensions, > 0. [m]
    speed_of_sound_m_s : float
        > 0. [m/s]

    Returns
    -------
    ThirdOctaveRule

    Raises
    ------
    OutOfRangeError
        A value is not finite and positive, or the room is so small that it has no mode up to the 200 Hz band.

    Notes
    -----
    First criterion: no third octave has fewer modes than the one below it. Second: modes of one frequency
    (within rounding) only where the band has five or more. Exact base-10 bands, whose lower edge belongs to
    them; coincident modes are counted one by one. Counts turn on small changes of a dimension: a fact about
    the room, not a verdict.

    References
    ----------
    [BONELLO-1981] The two criteria. [BALLOU-HANDBOOK] pp. 132-133, where a worked room meets both.

    Examples
    --------
    >>> rule = third_octave_rule(length_m=4.0, width_m=4.0, height_m=4.0, speed_of_sound_m_s=343.2)
    >>> rule.passes, rule.counts[:3].tolist()  # three axial modes of 42.9 Hz, none in the next band
    (False, [3, 0, 3])
    """
    dimensions = {"length_m": length_m, "width_m": width_m, "height_m": height_m}
    to_hz = 10.0 ** ((_LAST_BAND + 0.5) / 10.0)
    orders = mode_orders(**dimensions, to_hz=to_hz, speed_of_sound_m_s=speed_of_sound_m_s)
    if not len(orders):
        raise OutOfRangeError(name="length_m", value=length_m, allowed="large enough for a mode below 224 Hz")
    frequencies = mode_frequencies_hz(orders, **dimensions, speed_of_sound_m_s=speed_of_sound_m_s)
    bands = np.floor(10.0 * np.log10(frequencies * (1.0 + SAME_FREQUENCY_RATIO)) + 0.5).astype(int)
    bands = bands[bands <= _LAST_BAND]  # a mode on the last edge belongs to the next band
    first = bands[0]
    counts = np.bincount(bands - first, minlength=_LAST_BAND + 1 - first)
    coincident = [group[0] for group in coincident_groups(frequencies[: bands.size], within_ratio=0.0)]
    never_fall = bool((np.diff(counts) >= 0).all())
    masked = bool((counts[bands[coincident] - first] >= _FEWEST_FOR_COINCIDENCE).all())
    return ThirdOctaveRule(
        passes=never_fall and masked,
        counts_never_fall=never_fall,
        coincidences_are_masked=masked,
        midbands_hz=10.0 ** (np.arange(first, _LAST_BAND + 1) / 10.0),
        counts=counts,
    )
