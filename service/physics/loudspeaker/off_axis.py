"""Level off the axis of a loudspeaker of which only the directivity index is known."""

import numpy as np

from service.physics.checks import require_between, require_not_negative
from service.physics.types import FloatLike, FloatOrArray


def off_axis_gain_db(
    angle_deg: FloatLike, *, directivity_index_db: FloatLike, to_both_sides: bool, lowest_db: float
) -> FloatOrArray:
    """Return the far-field level off the axis, re on the axis, of the smoothest pattern with a directivity index.

    Parameters
    ----------
    angle_deg : float or array_like
        Angle from the axis, 0 to 180, broadcast against the index. [deg]
    directivity_index_db : float or array_like
        At least 0; at least 4.77 for a pattern to both sides that is to be a dipole's. [dB]
    to_both_sides : bool
        Whether the back is as loud as the front, as that of an open baffle is. [-]
    lowest_db : float
        Level below which no direction falls, negative: cabinets diffract. [dB]

    Returns
    -------
    float or ndarray
        0 on the axis, negative elsewhere. [dB]

    Raises
    ------
    OutOfRangeError
        An angle or an index is outside its range.

    Notes
    -----
    With the directivity factor Q = 10^(DI/10), the energy pattern is ((1 + cos theta)/2)^(Q - 1), or |cos theta|^(Q -
    1) to both sides. The mean of either over all directions is 1/Q for any Q, by the substitution u = (1 + cos
    theta)/2 and u = cos theta. Q = 3 gives the cardioid and the dipole. Lobes of pistons and horns are left out.

    References
    ----------
    [BERANEK-ACOUSTICS] directivity factor and index; the family of patterns is ours.

    Examples
    --------
    A cardioid, 10 lg 3 = 4.77 dB, is 6.02 dB down to the side and a dipole of the same index falls to the lowest:

    >>> index_db = 10 * np.log10(3.0)
    >>> round(float(off_axis_gain_db(90.0, directivity_index_db=index_db, to_both_sides=False, lowest_db=-25.0)), 2)
    -6.02
    >>> float(off_axis_gain_db(90.0, directivity_index_db=index_db, to_both_sides=True, lowest_db=-25.0))
    -25.0
    """
    angle_rad = np.radians(require_between(angle_deg, name="angle_deg", low=0.0, high=180.0))
    index_db = np.asarray(require_not_negative(directivity_index_db, name="directivity_index_db"), dtype=float)
    cosine = np.cos(angle_rad)
    base = np.abs(cosine) if to_both_sides else (1.0 + cosine) / 2.0
    exponent = 10.0 ** (index_db / 10.0) - 1.0
    base_db = 10.0 * np.log10(np.maximum(base, 1e-30))
    return np.maximum(exponent * base_db, lowest_db)
