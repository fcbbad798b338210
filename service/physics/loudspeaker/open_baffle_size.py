"""What an open baffle takes to play low: gain of an equaliser, travel of the driver, size of the plate."""

import math

import numpy as np

from service.physics.checks import OutOfRangeError, require_finite, require_positive
from service.physics.loudspeaker.excursion import displacement_limited_level_db
from service.physics.loudspeaker.low_end import dipole_baffle_gain_db, dipole_path_length_of_rectangle_m
from service.physics.loudspeaker.open_baffle import open_baffle_gain_db, require_loss, resonance_gain_db
from service.physics.types import FloatLike, FloatOrArray


def equalisation_for_flat_db(
    frequency_hz: FloatLike,
    *,
    flat_down_to_hz: float,
    path_length_m: float,
    resonance_hz: float,
    total_q: float,
    speed_of_sound_m_s: float,
) -> FloatOrArray:
    """Return the gain that makes an open baffle flat down to a frequency.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequencies, > 0. [Hz]
    flat_down_to_hz : float
        Lowest frequency that is made flat, > 0; below it the gain is held. [Hz]
    path_length_m : float
        Path from front to back, > 0. [m]
    resonance_hz : float
        Resonance of the driver on the baffle, > 0. [Hz]
    total_q : float
        Q of all losses, > 0. [-]
    speed_of_sound_m_s : float
        Speed of sound, > 0. [m/s]

    Returns
    -------
    float or ndarray, shape of `frequency_hz`
        Gain of the equaliser; each 3.01 dB is twice the amplifier power at that frequency. [dB]

    Raises
    ------
    OutOfRangeError
        An argument is not greater than 0.

    Notes
    -----
    The negative of `open_baffle.open_baffle_gain_db` down to the frequency, and its value there below it. Flat in
    the far field and without a room: nearer than a wavelength a dipole has more bass.

    References
    ----------
    [OLSON-ACOUSTICAL-ENGINEERING] two sources of opposite phase; [SMALL-1972].
    """
    require_positive(flat_down_to_hz, name="flat_down_to_hz")
    frequency = np.asarray(require_positive(frequency_hz, name="frequency_hz"), dtype=float)
    return -open_baffle_gain_db(
        np.maximum(frequency, flat_down_to_hz),
        path_length_m=path_length_m,
        resonance_hz=resonance_hz,
        total_q=total_q,
        speed_of_sound_m_s=speed_of_sound_m_s,
    )


def open_baffle_excursion_m(
    frequency_hz: FloatLike,
    *,
    level_db: FloatLike,
    distance_m: float,
    driver_area_m2: float,
    path_length_m: float,
    air_density_kg_m3: float,
    speed_of_sound_m_s: float,
) -> FloatOrArray:
    """Return the travel that an open baffle needs for a level on its axis.

    Parameters
    ----------
    frequency_hz : float or array_like
        Frequencies, > 0. [Hz]
    level_db : float or array_like
        Sound pressure level of a sine, rms, re 20 uPa. [dB]
    distance_m : float
        Distance in free field, > 0. [m]
    driver_area_m2 : float
        Effective area of all drivers of the baffle, > 0. [m2]
    path_length_m : float
        Path from front to back, > 0. [m]
    air_density_kg_m3 : float
        Density of the air, > 0. [kg/m3]
    speed_of_sound_m_s : float
        Speed of sound, > 0. [m/s]

    Returns
    -------
    float or ndarray
        Peak excursion, one way from rest. [m]

    Raises
    ------
    OutOfRangeError
        The level is not finite, or another argument is not greater than 0.

    Notes
    -----
    x = p_rms sqrt(2) r / (2 pi rho f^2 S_d |sin(pi f D / c)|), the excursion in an endless baffle over the
    loss of the open one (`low_end.dipole_baffle_gain_db`, no loss above c / (2 D)). At low frequencies it
    rises by 18 dB per octave downwards. Whatever made the level, equaliser or resonance, the travel is the
    same.

    References
    ----------
    [SMALL-1972] displacement-limited acoustic power; [OLSON-ACOUSTICAL-ENGINEERING].
    """
    level = np.asarray(require_finite(level_db, name="level_db"))
    of_one_metre_db = displacement_limited_level_db(
        frequency_hz,
        driver_area_m2=driver_area_m2,
        peak_excursion_m=1.0,
        distance_m=distance_m,
        air_density_kg_m3=air_density_kg_m3,
        solid_angle_sr=2.0 * math.pi,
    )
    loss_db = dipole_baffle_gain_db(frequency_hz, path_length_m=path_length_m, speed_of_sound_m_s=speed_of_sound_m_s)
    return 10.0 ** ((level - of_one_metre_db - loss_db) / 20.0)


def baffle_width_for_limit_m(
    *,
    frequency_hz: float,
    loss_db: float,
    height_to_width_ratio: float,
    resonance_hz: float,
    total_q: float,
    speed_of_sound_m_s: float,
) -> float:
    """Return the width of an open baffle that is down by a loss at a wanted frequency.

    Parameters
    ----------
    frequency_hz : float
        Wanted frequency, > 0. [Hz]
    loss_db : float
        Loss there, 1 to 30. [dB]
    height_to_width_ratio : float
        Height re width, > 0; twice the height where the baffle stands on the floor. [-]
    resonance_hz : float
        Resonance of the driver on the baffle, > 0. [Hz]
    total_q : float
        Q of all losses, > 0. [-]
    speed_of_sound_m_s : float
        Speed of sound, > 0. [m/s]

    Returns
    -------
    float
        Width, with the driver in the middle. [m]

    Raises
    ------
    OutOfRangeError
        The loss is outside 1 to 30 dB, an argument is not greater than 0, or the driver alone has lost more
        than that at the frequency, whatever the baffle.

    Notes
    -----
    sin(pi f D / c) = 10^(-(loss + G) / 20), with G the gain of the driver's resonance, gives the path D, and
    the path of a rectangle of this shape grows with its width. With a Q above 1 look at the response above
    the frequency too: there the baffle may dip by more than the loss.

    References
    ----------
    [OLSON-ACOUSTICAL-ENGINEERING] two sources of opposite phase; [SMALL-1972].
    """
    require_loss(loss_db)
    require_positive(height_to_width_ratio, name="height_to_width_ratio")
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    resonance_db = float(resonance_gain_db(frequency_hz, resonance_hz=resonance_hz, total_q=total_q))
    baffle_gain = 10.0 ** (-(loss_db + resonance_db) / 20.0)
    if baffle_gain > 1.0:
        allowed = f"where the driver alone has lost at most {loss_db:g} dB; here {-resonance_db:.1f}"
        raise OutOfRangeError(name="frequency_hz", value=frequency_hz, allowed=allowed)
    path_length_m = speed_of_sound_m_s / (math.pi * frequency_hz) * math.asin(baffle_gain)
    return path_length_m / dipole_path_length_of_rectangle_m(width_m=1.0, height_m=height_to_width_ratio)
