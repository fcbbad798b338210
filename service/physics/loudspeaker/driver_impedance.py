"""Impedance of a moving-coil driver from its small-signal parameters: free, in a closed box, in a vented box."""

from dataclasses import dataclass

import numpy as np

from service.physics.checks import OutOfRangeError, require_not_negative, require_positive
from service.physics.types import ComplexArray, ComplexOrArray, FloatArray, FloatLike


@dataclass(frozen=True, slots=True, kw_only=True)
class Resonance:
    """Fundamental resonance of a driver, in free air (also on an open baffle) or in a closed box.

    Attributes
    ----------
    resonance_hz : float
        Frequency of the resonance. [Hz]
    mechanical_q : float
        Q of the mechanical losses alone. [-]
    electrical_q : float
        Q of the electrical damping alone, on a source without resistance. [-]
    """

    resonance_hz: float
    mechanical_q: float
    electrical_q: float

    @property
    def total_q(self) -> float:
        """Q of both together, on a source without resistance. [-]"""
        return self.mechanical_q * self.electrical_q / (self.mechanical_q + self.electrical_q)


def electrical_q_of_total(*, total_q: float, mechanical_q: float) -> float:
    """Return the electrical Q behind a total one.

    Parameters
    ----------
    total_q : float
        Q of all losses, > 0. [-]
    mechanical_q : float
        Q of the mechanical losses alone, above the total one. [-]

    Returns
    -------
    float
        Electrical Q. [-]

    Raises
    ------
    OutOfRangeError
        The total Q is not greater than 0, or the mechanical one not above it.

    Notes
    -----
    1 / Q_t = 1 / Q_m + 1 / Q_e.

    References
    ----------
    [SMALL-1972].

    Examples
    --------
    >>> round(electrical_q_of_total(total_q=0.8, mechanical_q=4.0), 6)   # 1.25 - 0.25 = 1
    1.0
    """
    require_positive(total_q, name="total_q")
    require_positive(mechanical_q, name="mechanical_q")
    if mechanical_q <= total_q:
        raise OutOfRangeError(name="mechanical_q", value=mechanical_q, allowed=f"above total_q ({total_q:g})")
    return total_q * mechanical_q / (mechanical_q - total_q)


def closed_box_resonance(*, free_air: Resonance, compliance_volume_m3: float, box_volume_m3: float) -> Resonance:
    """Return the resonance of a driver in a closed box.

    Parameters
    ----------
    free_air : Resonance
        The driver in free air. [-]
    compliance_volume_m3 : float
        Volume of air as compliant as the suspension, > 0. [m3]
    box_volume_m3 : float
        Net volume of the box, > 0; up to a fifth more when well filled (common practice). [m3]

    Returns
    -------
    Resonance
        Frequency and both Q raised by sqrt(1 + V_as / V_b).

    Raises
    ------
    OutOfRangeError
        A volume is not greater than 0.

    Notes
    -----
    Losses of the box and the change of the air load are left out: mechanical Q of a real box is lower.

    References
    ----------
    [SMALL-1972].
    """
    require_positive(compliance_volume_m3, name="compliance_volume_m3")
    require_positive(box_volume_m3, name="box_volume_m3")
    factor = (1.0 + compliance_volume_m3 / box_volume_m3) ** 0.5
    return Resonance(
        resonance_hz=free_air.resonance_hz * factor,
        mechanical_q=free_air.mechanical_q * factor,
        electrical_q=free_air.electrical_q * factor,
    )


def driver_impedance_ohm(
    frequency_hz: FloatLike, *, resonance: Resonance, dc_resistance_ohm: float, inductance_h: float
) -> ComplexOrArray:
    """Return the complex impedance of a driver with one resonance: free air, open baffle, closed box.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequencies, > 0. [Hz]
    resonance : Resonance
        In free air, or in its closed box. [-]
    dc_resistance_ohm : float
        Resistance of the voice coil, > 0. [ohm]
    inductance_h : float
        Inductance of the voice coil, at least 0. [H]

    Returns
    -------
    complex or ndarray of complex, shape of `frequency_hz`
        Impedance, time dependence e^(+j w t). [ohm]

    Raises
    ------
    OutOfRangeError
        A frequency, the resistance or a parameter of the resonance is not greater than 0, or the inductance
        is below 0.

    Notes
    -----
    R_e + j w L_e + R_e (Q_m / Q_e) / (1 + j Q_m (f / f_s - f_s / f)): R_e (1 + Q_m / Q_e) at the resonance.
    A plain inductance overstates the impedance of real coils above about 2 kHz, where eddy currents take part.

    References
    ----------
    [THIELE-1971], [SMALL-1972].
    """
    frequency = np.asarray(require_positive(frequency_hz, name="frequency_hz"), dtype=float)
    _require_driver(resonance, dc_resistance_ohm, inductance_h)
    x = frequency / resonance.resonance_hz
    mobility = _mobility(x, resonance, box=0.0)
    return _impedance(frequency, mobility, dc_resistance_ohm, inductance_h, resonance)


def vented_box_impedance_ohm(
    frequency_hz: FloatLike,
    *,
    free_air: Resonance,
    dc_resistance_ohm: float,
    inductance_h: float,
    compliance_volume_m3: float,
    box_volume_m3: float,
    tuning_hz: float,
    leakage_q: float,
) -> ComplexOrArray:
    """Return the complex impedance of a driver in a vented box.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequencies, > 0. [Hz]
    free_air : Resonance
        The driver in free air. [-]
    dc_resistance_ohm : float
        Resistance of the voice coil, > 0. [ohm]
    inductance_h : float
        Inductance of the voice coil, at least 0. [H]
    compliance_volume_m3 : float
        Volume of air as compliant as the suspension, > 0. [m3]
    box_volume_m3 : float
        Net volume of the box, > 0. [m3]
    tuning_hz : float
        Resonance of the box with its port, > 0. [Hz]
    leakage_q : float
        Q of the leaks of the box at its tuning, > 0; 5 to 20, often 7 (common practice, no source). [-]

    Returns
    -------
    complex or ndarray of complex, shape of `frequency_hz`
        Impedance, time dependence e^(+j w t). [ohm]

    Raises
    ------
    OutOfRangeError
        An argument is not greater than 0, or the inductance is below 0.

    Notes
    -----
    The box loads the cone, per moving mass and angular resonance, with a / (j x + h^2 / (j x) + h / Q_l): a =
    V_as / V_b, h = f_b / f_s, x = f / f_s. Without losses there are two peaks with f_L f_H = f_s f_b and f_L^2 +
    f_H^2 = f_s^2 (1 + a) + f_b^2, and between them the bare voice coil at f_b. Losses of absorption and of the
    port are left out beside those of leakage.

    References
    ----------
    [SMALL-1973].
    """
    frequency = np.asarray(require_positive(frequency_hz, name="frequency_hz"), dtype=float)
    _require_driver(free_air, dc_resistance_ohm, inductance_h)
    require_positive(compliance_volume_m3, name="compliance_volume_m3")
    require_positive(box_volume_m3, name="box_volume_m3")
    require_positive(tuning_hz, name="tuning_hz")
    require_positive(leakage_q, name="leakage_q")
    x = frequency / free_air.resonance_hz
    h = tuning_hz / free_air.resonance_hz
    box = compliance_volume_m3 / box_volume_m3 / (1j * (x - h**2 / x) + h / leakage_q)
    mobility = _mobility(x, free_air, box=box)
    return _impedance(frequency, mobility, dc_resistance_ohm, inductance_h, free_air)


def _require_driver(resonance: Resonance, dc_resistance_ohm: float, inductance_h: float) -> None:
    require_positive(resonance.resonance_hz, name="resonance_hz")
    require_positive(resonance.mechanical_q, name="mechanical_q")
    require_positive(resonance.electrical_q, name="electrical_q")
    require_positive(dc_resistance_ohm, name="dc_resistance_ohm")
    require_not_negative(inductance_h, name="inductance_h")


def _mobility(x: FloatArray, resonance: Resonance, *, box: complex | ComplexArray) -> ComplexArray:
    """Return velocity per force, in units of the moving mass times the angular resonance. [-]"""
    return 1.0 / (1j * (x - 1.0 / x) + 1.0 / resonance.mechanical_q + box)


def _impedance(
    frequency: FloatArray, mobility: ComplexArray, dc_resistance_ohm: float, inductance_h: float, resonance: Resonance
) -> ComplexOrArray:
    motional_ohm = dc_resistance_ohm / resonance.electrical_q * mobility
    return dc_resistance_ohm + 2j * np.pi * frequency * inductance_h + motional_ohm
