"""Air in a room: speed of sound, density, characteristic impedance, and what it absorbs on the way."""

import numpy as np

from service.physics.checks import (
    OutOfRangeError,
    require_between,
    require_finite,
    require_not_negative,
    require_positive,
)
from service.physics.constants import CELSIUS_ZERO_K, REFERENCE_AIR_PRESSURE_KPA, REFERENCE_TEMPERATURE_K
from service.physics.types import FloatLike, FloatOrArray

REFERENCE_SPEED_OF_SOUND_M_S = 343.2
"""Speed of sound in dry air at 20 degrees Celsius. [ISO-9613-1]"""

MOLAR_GAS_CONSTANT_J_PER_MOL_K = 8.314462618
"""Exact since the SI of 2019, ten digits given. [CODATA-2018]"""

MOLAR_MASS_OF_DRY_AIR_KG_PER_MOL = 0.0289644
"""[US-STANDARD-ATMOSPHERE-1976]"""

TRIPLE_POINT_OF_WATER_K = 273.16
"""As the saturation pressure of [ISO-9613-1] uses it."""

DB_PER_NEPER_OF_ENERGY = 10.0 * np.log10(np.e)
"""4.3429 dB: the level falls by this much where the energy falls to 1/e."""


def _temperature_k(temperature_c: FloatLike) -> FloatOrArray:
    """Return the absolute temperature, refused at and below absolute zero."""
    temperature_k = np.asarray(require_finite(temperature_c, name="temperature_c")) + CELSIUS_ZERO_K
    if not np.all(temperature_k > 0.0):
        allowed = f"greater than {-CELSIUS_ZERO_K}"
        raise OutOfRangeError(name="temperature_c", value=temperature_c, allowed=allowed)
    return temperature_k


def speed_of_sound_m_s(*, temperature_c: FloatLike) -> FloatOrArray:
    """Return the speed of sound in dry air.

    Parameters
    ----------
    temperature_c : float or array_like
        Air temperature, > -273.15. [degrees Celsius]

    Returns
    -------
    float or ndarray
        Speed of sound. [m/s]

    Raises
    ------
    OutOfRangeError
        The temperature is not finite or not above absolute zero.

    Notes
    -----
    c = 343.2 sqrt(T / 293.15), T in kelvin. Humidity raises the speed by about 0.2 % (0.65 m/s at 20 degrees
    and 50 %) and is left out. Pressure does not matter.

    References
    ----------
    [ISO-9613-1].

    Examples
    --------
    >>> float(speed_of_sound_m_s(temperature_c=20.0))   # the reference temperature itself
    343.2
    """
    return REFERENCE_SPEED_OF_SOUND_M_S * np.sqrt(_temperature_k(temperature_c) / REFERENCE_TEMPERATURE_K)


def density_kg_m3(*, temperature_c: FloatLike, pressure_kpa: FloatLike) -> FloatOrArray:
    """Return the density of dry air.

    Parameters
    ----------
    temperature_c : float or array_like
        Air temperature, > -273.15. [degrees Celsius]
    pressure_kpa : float or array_like
        Static pressure, > 0. [kPa]

    Returns
    -------
    float or ndarray
        Density. [kg/m3]

    Raises
    ------
    OutOfRangeError
        The temperature is not above absolute zero, or the pressure is not finite and positive.

    Notes
    -----
    rho = p M / (R T), the ideal gas. Humid air is lighter (0.4 % at 20 degrees and 50 %), which is left out.

    References
    ----------
    Ideal gas law with the constants of [CODATA-2018] and [US-STANDARD-ATMOSPHERE-1976].
    """
    pressure_pa = 1000.0 * np.asarray(require_positive(pressure_kpa, name="pressure_kpa"))
    specific_gas_constant = MOLAR_GAS_CONSTANT_J_PER_MOL_K / MOLAR_MASS_OF_DRY_AIR_KG_PER_MOL
    return pressure_pa / (specific_gas_constant * _temperature_k(temperature_c))


def characteristic_impedance_pa_s_m(*, temperature_c: FloatLike, pressure_kpa: FloatLike) -> FloatOrArray:
    """Return the characteristic impedance of dry air, density times speed of sound.

    Parameters
    ----------
    temperature_c : float or array_like
        Air temperature, > -273.15. [degrees Celsius]
    pressure_kpa : float or array_like
        Static pressure, > 0. [kPa]

    Returns
    -------
    float or ndarray
        Characteristic impedance. [Pa s/m]

    Raises
    ------
    OutOfRangeError
        The temperature is not above absolute zero, or the pressure is not finite and positive.

    Notes
    -----
    Z = rho c; it falls with the square root of the absolute temperature.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS].
    """
    density = density_kg_m3(temperature_c=temperature_c, pressure_kpa=pressure_kpa)
    return density * speed_of_sound_m_s(temperature_c=temperature_c)


def absorption_db_per_m(
    frequency_hz: FloatLike, *, temperature_c: float, relative_humidity_pct: float, pressure_kpa: float
) -> FloatOrArray:
    """Return the level that a pure tone loses to the air on each metre of its path.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequency of the tone, > 0. A band is stood for by its exact mid-band frequency. [Hz]
    temperature_c : float
        Air temperature, -20 to 50. [degrees Celsius]
    relative_humidity_pct : float
        Relative humidity, 0 to 100. [%]
    pressure_kpa : float
        Static pressure, > 0. [kPa]

    Returns
    -------
    float or ndarray, shape of `frequency_hz`
        Attenuation coefficient. [dB/m]

    Raises
    ------
    OutOfRangeError
        An argument lies outside the ranges above.

    Notes
    -----
    The relaxation of oxygen and of nitrogen, and classical losses, by equations 3 to 5 of the standard, with
    the saturation pressure of its annex B. Claimed accuracy 10 % from -20 to 50 degrees (that range from
    memory; outside it the fits are not used here). Over a wide band and a long path the loss is smaller than
    that of the mid-band tone; in rooms the difference does not matter.

    References
    ----------
    [ISO-9613-1] equations 3 to 5, B.2, B.3, from a secondary transcription.
    """
    require_between(temperature_c, name="temperature_c", low=-20.0, high=50.0)
    require_between(relative_humidity_pct, name="relative_humidity_pct", low=0.0, high=100.0)
    require_positive(pressure_kpa, name="pressure_kpa")
    frequency_hz = np.asarray(require_positive(frequency_hz, name="frequency_hz"), dtype=float)
    squared_frequency = np.square(frequency_hz)

    temperature_k = temperature_c + CELSIUS_ZERO_K
    relative_temperature = temperature_k / REFERENCE_TEMPERATURE_K
    relative_pressure = pressure_kpa / REFERENCE_AIR_PRESSURE_KPA

    # molar concentration of water vapour in percent, h of the standard
    saturation = 10.0 ** (-6.8346 * (TRIPLE_POINT_OF_WATER_K / temperature_k) ** 1.261 + 4.6151)
    vapour_pct = relative_humidity_pct * saturation / relative_pressure

    oxygen_hz = relative_pressure * (24.0 + 4.04e4 * vapour_pct * (0.02 + vapour_pct) / (0.391 + vapour_pct))
    nitrogen_hz = (
        relative_pressure
        * relative_temperature**-0.5
        * (9.0 + 280.0 * vapour_pct * np.exp(-4.170 * (relative_temperature ** (-1.0 / 3.0) - 1.0)))
    )
    classical = 1.84e-11 / relative_pressure * relative_temperature**0.5
    oxygen = 0.01275 * np.exp(-2239.1 / temperature_k) / (oxygen_hz + squared_frequency / oxygen_hz)
    nitrogen = 0.1068 * np.exp(-3352.0 / temperature_k) / (nitrogen_hz + squared_frequency / nitrogen_hz)
    return 8.686 * squared_frequency * (classical + relative_temperature**-2.5 * (oxygen + nitrogen))


def energy_attenuation_per_m(absorption_db_per_m: FloatLike) -> FloatOrArray:
    """Return the share of its energy that sound loses to the air per metre, as an exponent.

    Parameters
    ----------
    absorption_db_per_m : float or array_like
        Attenuation coefficient, >= 0; see `absorption_db_per_m`. [dB/m]

    Returns
    -------
    float or ndarray, shape of `absorption_db_per_m`
        m, where the energy falls as exp(-m x). [1/m]

    Raises
    ------
    OutOfRangeError
        A coefficient is negative or not finite.

    Notes
    -----
    m = alpha / (10 lg e). The reverberation formulas take 4 m V as the absorption area of
    the air.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS].
    """
    return np.asarray(require_not_negative(absorption_db_per_m, name="absorption_db_per_m")) / DB_PER_NEPER_OF_ENERGY
