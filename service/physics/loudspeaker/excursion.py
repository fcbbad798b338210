"""Level that the travel of a driver allows."""

import math

import numpy as np

from service.physics.checks import require_between, require_positive
from service.physics.constants import REFERENCE_PRESSURE_PA
from service.physics.types import FloatLike, FloatOrArray


def displacement_limited_level_db(
    frequency_hz: FloatLike,
    *,
    driver_area_m2: float,
    peak_excursion_m: float,
    distance_m: float,
    air_density_kg_m3: float,
    solid_angle_sr: float,
) -> FloatOrArray:
    """Return the level of a sine at which the drivers reach their greatest excursion.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequencies, > 0. [Hz]
    driver_area_m2 : float
        Effective area of all drivers of the section, > 0. [m2]
    peak_excursion_m : float
        Greatest travel one way from rest, > 0. [m]
    distance_m : float
        Distance, > 0. [m]
    air_density_kg_m3 : float
        Density of the air, > 0. [kg/m3]
    solid_angle_sr : float
        Solid angle into which the drivers radiate, > 0 and at most 4 pi. A full space (4 pi) where a
        calculated sound field adds floor and walls, a half space (2 pi) for an unobstructed floor alone.
        [sr]

    Returns
    -------
    float or ndarray, shape of `frequency_hz`
        Sound pressure level, rms, re 20 uPa; it rises by 12 dB per octave. [dB]

    Raises
    ------
    OutOfRangeError
        An argument is not greater than 0, or the solid angle is above 4 pi.

    Notes
    -----
    p = 4 pi^2 rho f^2 V_d / (sqrt(2) Omega r), V_d the area times the peak excursion: pi rho f^2 V_d /
    (sqrt(2) r) into full space, twice that into half space. A closed box, small against the wavelength. A
    port or the back of an open baffle changes it.

    References
    ----------
    [SMALL-1972] displacement-limited acoustic power.
    """
    frequency = np.asarray(require_positive(frequency_hz, name="frequency_hz"))
    require_positive(driver_area_m2, name="driver_area_m2")
    require_positive(peak_excursion_m, name="peak_excursion_m")
    require_positive(distance_m, name="distance_m")
    require_positive(air_density_kg_m3, name="air_density_kg_m3")
    require_positive(solid_angle_sr, name="solid_angle_sr")
    require_between(solid_angle_sr, name="solid_angle_sr", low=0.0, high=4.0 * math.pi)
    volume_m3 = driver_area_m2 * peak_excursion_m
    acceleration_peak_m3_s2 = (2.0 * np.pi * frequency) ** 2 * volume_m3
    pressure_pa = air_density_kg_m3 * acceleration_peak_m3_s2 / (math.sqrt(2.0) * solid_angle_sr * distance_m)
    return 20.0 * np.log10(pressure_pa / REFERENCE_PRESSURE_PA)
