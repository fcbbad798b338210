"""What the current of a field coil does to the driver: level and electrical Q follow the flux."""

import numpy as np

from service.physics.checks import require_positive
from service.physics.types import FloatLike, FloatOrArray


def flux_change_bound_db(*, current_a: FloatLike, reference_current_a: FloatLike) -> FloatOrArray:
    """Return the largest change of level that a change of the field current can make.

    Parameters
    ----------
    current_a : float or array_like
        Field current, > 0. [A]
    reference_current_a : float or array_like
        Field current that the sensitivity holds for, > 0. [A]

    Returns
    -------
    float or ndarray
        Change of the level at constant voltage in the pass band. [dB]

    Raises
    ------
    OutOfRangeError
        A current is not greater than 0.

    Notes
    -----
    20 lg(I / I_0): force and so pressure go with the flux, and the flux at most with the current. The iron of
    a good field magnet is near saturation, where it changes far less.

    Examples
    --------
    >>> round(float(flux_change_bound_db(current_a=0.5, reference_current_a=1.0)), 2)
    -6.02
    """
    current = np.asarray(require_positive(current_a, name="current_a"))
    return 20.0 * np.log10(current / require_positive(reference_current_a, name="reference_current_a"))


def electrical_q_at_flux(*, electrical_q: FloatLike, flux_ratio: FloatLike) -> FloatOrArray:
    """Return the electrical Q of a driver at another flux.

    Parameters
    ----------
    electrical_q : float or array_like
        Electrical Q at the reference flux, > 0. [-]
    flux_ratio : float or array_like
        Flux re the reference, > 0. [-]

    Returns
    -------
    float or ndarray
        Electrical Q, higher with less flux. [-]

    Raises
    ------
    OutOfRangeError
        An argument is not greater than 0.

    Notes
    -----
    Q_es is proportional to 1 / (B l)^2.

    References
    ----------
    [SMALL-1972].
    """
    require_positive(electrical_q, name="electrical_q")
    return electrical_q / np.asarray(require_positive(flux_ratio, name="flux_ratio")) ** 2
