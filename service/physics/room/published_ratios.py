"""Proportions that the literature recommends, and the one that a room comes nearest to."""

from dataclasses import dataclass

import numpy as np

from service.physics.room.box import checked_dimensions_m


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedRatio:
    """A recommended ratio of height to width to length.

    Attributes
    ----------
    name : str
        How the literature calls it.
    width_to_height_ratio, length_to_height_ratio : float
        [-]
    source : str
        Key of the reference; who first gave a ratio is often reported differently.
    """

    name: str
    width_to_height_ratio: float
    length_to_height_ratio: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NearestRatio:
    """The published ratio nearest to a room.

    Attributes
    ----------
    ratio : PublishedRatio
    distance_pct : float
        How far the worse of the two ratios to the height is from it, in per cent of the published one. [%]
    """

    ratio: PublishedRatio
    distance_pct: float


def _ratio(name: str, width: float, length: float, source: str) -> PublishedRatio:
    return PublishedRatio(name=name, width_to_height_ratio=width, length_to_height_ratio=length, source=source)


PUBLISHED_RATIOS = (
    _ratio("Sepmeyer A", 1.14, 1.39, "SEPMEYER-1965"),
    _ratio("Sepmeyer B", 1.28, 1.54, "SEPMEYER-1965"),
    _ratio("Sepmeyer C", 1.60, 2.33, "SEPMEYER-1965"),
    _ratio("Louden 1", 1.4, 1.9, "LOUDEN-1971"),
    _ratio("Louden 2", 1.3, 1.9, "LOUDEN-1971"),
    _ratio("Louden 3", 1.5, 2.1, "LOUDEN-1971"),
    _ratio("Bolt 2 : 3 : 5", 1.5, 2.5, "BOLT-1946"),
    _ratio("Bolt 1 : cube root of 2 : cube root of 4", 2.0 ** (1.0 / 3.0), 2.0 ** (2.0 / 3.0), "BOLT-1946"),
    _ratio("Rindel A", 1.20, 1.45, "RINDEL-2021"),
    _ratio("Rindel B", 1.40, 1.89, "RINDEL-2021"),
    _ratio("Rindel C", 1.48, 2.12, "RINDEL-2021"),
)
"""Height 1 : width : length. The Sepmeyer and the second and third Louden ratios are from memory. Some fail
`proportions.range_rule`: recommendations contradict one another."""


def nearest_published_ratio(*, length_m: float, width_m: float, height_m: float) -> NearestRatio:
    """Return the published proportions that a room comes nearest to.

    Parameters
    ----------
    length_m, width_m, height_m : float
        Inside dimensions, > 0; length and width in either order. [m]

    Returns
    -------
    NearestRatio

    Raises
    ------
    OutOfRangeError
        A dimension is not finite and positive.

    Notes
    -----
    Nearest: the larger of the relative differences of width to height and of length to height is smallest
    (ours).

    References
    ----------
    [SEPMEYER-1965] [LOUDEN-1971] [BOLT-1946] [RINDEL-2021] The ratios of `PUBLISHED_RATIOS`.

    Examples
    --------
    >>> near = nearest_published_ratio(length_m=3.0, width_m=5.05, height_m=2.0)  # 1 : 1.5 : 2.525
    >>> near.ratio.name, round(near.distance_pct, 6)
    ('Bolt 2 : 3 : 5', 1.0)
    """
    length, width, height = checked_dimensions_m(length_m=length_m, width_m=width_m, height_m=height_m).tolist()
    room = np.array([min(length, width), max(length, width)]) / height
    published = np.array([(r.width_to_height_ratio, r.length_to_height_ratio) for r in PUBLISHED_RATIOS])
    distances_pct = 100.0 * np.abs(room / published - 1.0).max(axis=1)
    nearest = int(distances_pct.argmin())
    return NearestRatio(ratio=PUBLISHED_RATIOS[nearest], distance_pct=float(distances_pct[nearest]))
