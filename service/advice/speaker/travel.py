"""How far a driver can move air: the level at which a programme uses up its travel."""

import math

import numpy as np

from service.advice.speaker.model import LoudspeakerModel
from service.domain.load import Driver
from service.physics.loudspeaker.excursion import displacement_limited_level_db

FULL_SPACE_SR = 4 * math.pi


def travel_level_at_1m_db(driver: Driver, frequency_hz: np.ndarray, *, air_density_kg_m3: float) -> np.ndarray:
    """Return the level of a sine in free field at 1 m that uses up the travel of a driver in a closed box, shape (n,).

    Parameters
    ----------
    driver : Driver
        Area and travel. [-]
    frequency_hz : ndarray, shape (n,)
        [Hz]
    air_density_kg_m3 : float
        [kg/m3]
    """
    return np.asarray(
        displacement_limited_level_db(
            frequency_hz,
            driver_area_m2=driver.area_m2,
            peak_excursion_m=driver.peak_excursion_m,
            distance_m=1.0,
            air_density_kg_m3=air_density_kg_m3,
            solid_angle_sr=FULL_SPACE_SR,
        )
    )


def travel_used_db(
    driver: Driver,
    speaker: LoudspeakerModel,
    *,
    frequency_hz: np.ndarray,
    power_shares: np.ndarray,
    level_at_1m_db: float,
    air_density_kg_m3: float,
) -> float:
    """Return how far the travel of a driver is used up at a level, third by third; 0 where it just is. [dB]

    Parameters
    ----------
    driver : Driver
        [-]
    speaker : LoudspeakerModel
        Its low end. [-]
    frequency_hz, power_shares : ndarray, shape (n,)
        Mid-bands of the thirds that move the driver, and their shares of the programme's power. [Hz, -]
    level_at_1m_db : float
        Axial free-field level of one speaker at 1 m. [dB SPL]
    air_density_kg_m3 : float
        [kg/m3]

    Notes
    -----
    The excursions of the thirds add in energy: the sum of their ratios is the programme's.
    """
    wanted_db = level_at_1m_db + 10 * np.log10(power_shares) + speaker.low_end_gain_db(frequency_hz)
    possible_db = travel_level_at_1m_db(driver, frequency_hz, air_density_kg_m3=air_density_kg_m3)
    return 10 * math.log10((10 ** ((wanted_db - possible_db) / 10)).sum())
