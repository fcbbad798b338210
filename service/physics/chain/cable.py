"""Resistance of loudspeaker cables, and what the resistance before a loudspeaker does."""

import numpy as np

from service.physics.checks import OutOfRangeError, require_between, require_not_negative, require_positive
from service.physics.types import FloatLike, FloatOrArray

CONDUCTORS = ("solid_or_stranded", "flexible")
"""Solid or stranded conductors (classes 1 and 2) and flexible ones (class 5). [IEC-60228]"""

STANDARD_CROSS_SECTIONS_MM2 = (0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0)
"""Nominal cross-sections of the table. [IEC-60228]"""

HIGHEST_RESISTANCE_OHM_PER_KM = {
    "solid_or_stranded": (36.0, 24.5, 18.1, 12.1, 7.41, 4.61, 3.08, 1.83),
    "flexible": (39.0, 26.0, 19.5, 13.3, 7.98, 4.95, 3.30, 1.91),
}
"""Highest allowed resistance of plain copper at 20 degrees Celsius, one conductor. [IEC-60228]"""

COPPER_RESISTIVITY_OHM_M = 1.7241e-8
"""Annealed copper at 20 degrees Celsius. [NBS-HANDBOOK-100], from memory."""


def resistance_ohm_per_km(*, cross_section_mm2: FloatLike, conductor: str) -> FloatOrArray:
    """Return the resistance of one copper conductor of a metric cable.

    Parameters
    ----------
    cross_section_mm2 : float or array_like
        Nominal cross-section, > 0. [mm2]
    conductor : str
        One of `CONDUCTORS`; loudspeaker cable is `flexible`.

    Returns
    -------
    float or ndarray
        Resistance of one conductor, the highest that the standard allows. [ohm/km]

    Raises
    ------
    OutOfRangeError
        The cross-section is not greater than 0, or the conductor is unknown.

    Notes
    -----
    The table of the standard, linear in 1 / area between its rows and proportional to 1 / area beyond them.
    Plain copper at 20 degrees Celsius; 0.4 % more for each kelvin above. A good cable has a few percent less.

    References
    ----------
    [IEC-60228] classes 1, 2 and 5.
    """
    area = np.asarray(require_positive(cross_section_mm2, name="cross_section_mm2"))
    if conductor not in CONDUCTORS:
        raise OutOfRangeError(name="conductor", value=conductor, allowed=f"one of {', '.join(CONDUCTORS)}")
    areas = np.array(STANDARD_CROSS_SECTIONS_MM2)
    resistances = np.array(HIGHEST_RESISTANCE_OHM_PER_KM[conductor])
    held = np.clip(area, areas[0], areas[-1])  # beyond the table: as its last row, in proportion to 1 / area
    return np.interp(1.0 / held, 1.0 / areas[::-1], resistances[::-1]) * held / area


def awg_cross_section_mm2(gauge: FloatLike) -> FloatOrArray:
    """Return the cross-section of a solid wire of an American wire gauge number.

    Parameters
    ----------
    gauge : float or array_like
        AWG number, -3 (4/0) to 40. [-]

    Returns
    -------
    float or ndarray
        Cross-section. [mm2]

    Raises
    ------
    OutOfRangeError
        The gauge is outside -3 to 40.

    Notes
    -----
    d = 0.127 mm 92^((36 - n) / 39), area = pi d^2 / 4.

    References
    ----------
    [ASTM-B258], from memory.

    Examples
    --------
    >>> round(float(awg_cross_section_mm2(36)), 6)   # pi/4 x 0.127^2
    0.012668
    """
    number = np.asarray(require_between(gauge, name="gauge", low=-3, high=40))
    diameter_mm = 0.127 * 92.0 ** ((36.0 - number) / 39.0)
    return np.pi / 4.0 * diameter_mm**2


def awg_resistance_ohm_per_km(gauge: FloatLike) -> FloatOrArray:
    """Return the resistance of one solid copper wire of an American wire gauge number.

    Parameters
    ----------
    gauge : float or array_like
        AWG number, -3 (4/0) to 40. [-]

    Returns
    -------
    float or ndarray
        Resistance of one conductor at 20 degrees Celsius. [ohm/km]

    Raises
    ------
    OutOfRangeError
        The gauge is outside -3 to 40.

    Notes
    -----
    Resistivity / area, solid wire. Stranded wire of the same gauge has a few percent more.

    References
    ----------
    [ASTM-B258], [NBS-HANDBOOK-100], both from memory.
    """
    return 1e9 * COPPER_RESISTIVITY_OHM_M / awg_cross_section_mm2(gauge)  # 1 km / 1 mm2 is 1e9 per metre


def loop_resistance_ohm(*, length_m: FloatLike, conductor_resistance_ohm_per_km: FloatLike) -> FloatOrArray:
    """Return the resistance of a two-core cable there and back.

    Parameters
    ----------
    length_m : float or array_like
        Length of the cable, at least 0. [m]
    conductor_resistance_ohm_per_km : float or array_like
        Resistance of one conductor, > 0; see `resistance_ohm_per_km`. [ohm/km]

    Returns
    -------
    float or ndarray
        Resistance in series with the loudspeaker. [ohm]

    Raises
    ------
    OutOfRangeError
        The length is below 0, or the resistance is not greater than 0.

    Notes
    -----
    Twice the length. Contacts are left out.

    Examples
    --------
    10 m of conductor at 20 ohm/km:

    >>> round(float(loop_resistance_ohm(length_m=5.0, conductor_resistance_ohm_per_km=20.0)), 6)
    0.2
    """
    require_not_negative(length_m, name="length_m")
    require_positive(conductor_resistance_ohm_per_km, name="conductor_resistance_ohm_per_km")
    return 2.0 * np.asarray(length_m) * np.asarray(conductor_resistance_ohm_per_km) / 1000.0


def effective_damping_factor(
    *, load_ohm: FloatLike, output_impedance_ohm: FloatLike, loop_resistance_ohm: FloatLike
) -> FloatOrArray:
    """Return the damping factor at the terminals of the loudspeaker.

    Parameters
    ----------
    load_ohm : float or array_like
        Rated impedance, > 0. [ohm]
    output_impedance_ohm : float or array_like
        Output impedance of the amplifier, at least 0. [ohm]
    loop_resistance_ohm : float or array_like
        Resistance of the cable there and back, at least 0. [ohm]

    Returns
    -------
    float or ndarray
        Load re everything before it. [-]

    Raises
    ------
    OutOfRangeError
        The load is not greater than 0, a resistance is below 0, or both resistances are 0.

    Notes
    -----
    Z / (R_out + R_loop).
    """
    require_positive(load_ohm, name="load_ohm")
    output = np.asarray(require_not_negative(output_impedance_ohm, name="output_impedance_ohm"))
    loop = np.asarray(require_not_negative(loop_resistance_ohm, name="loop_resistance_ohm"))
    if (output + loop == 0).any():
        allowed = "greater than 0 where the output impedance is 0"
        raise OutOfRangeError(name="loop_resistance_ohm", value=loop_resistance_ohm, allowed=allowed)
    return np.asarray(load_ohm) / (output + loop)
