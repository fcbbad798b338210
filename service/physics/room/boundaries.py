"""What walls near a source do to the power that it radiates, and the notch of a single reflection."""

from itertools import combinations

import numpy as np

from service.physics.checks import OutOfRangeError, require_not_negative, require_positive


def boundary_power_gain_db(frequency_hz, *, distances_m, speed_of_sound_m_s):
    """Return the radiated power of a source near walls, relative to the same source in free field.

    Parameters
    ----------
    frequency_hz : float or array_like of float
        > 0. [Hz]
    distances_m : array_like of float, up to 3 values
        Distance to one, two or three walls at right angles to each other, >= 0; none is free field. [m]
    speed_of_sound_m_s : float
        > 0. [m/s]

    Returns
    -------
    ndarray or float
        Gain in power: 3.01, 6.02 or 9.03 dB in the limit of low frequency. [dB]

    Raises
    ------
    OutOfRangeError
        A value is outside its range, or there are more than three walls.

    Notes
    -----
    W / W_0 = sum over the source and all its images of sin(k d) / (k d), with d = 2 sqrt(sum of the squared
    distances to the walls it is mirrored in) (0 for the source itself). Small source of constant volume
    velocity, rigid walls without end. The minimum near one wall lies at 0.358 wavelengths, not at the quarter
    of the pressure notch.

    References
    ----------
    [WATERHOUSE-1958] Power output near reflecting planes. [ALLISON-1974] The same for loudspeakers in rooms.

    Examples
    --------
    >>> gain = boundary_power_gain_db(100.0, distances_m=[0.0, 0.0], speed_of_sound_m_s=343.2)
    >>> round(float(gain), 2)  # four times the power
    6.02
    """
    require_positive(frequency_hz, name="frequency_hz")
    require_not_negative(distances_m, name="distances_m")
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    distances = np.asarray(distances_m, dtype=float)
    if distances.ndim != 1 or distances.size > 3:
        raise OutOfRangeError(name="distances_m", value=distances_m, allowed="a list of up to 3 distances")
    mirrored = [chosen for count in range(distances.size + 1) for chosen in combinations(distances, count)]
    image_distances = np.array([2.0 * np.sqrt(np.sum(np.square(chosen))) for chosen in mirrored])
    waves_per_m = np.asarray(frequency_hz, dtype=float)[..., np.newaxis] / speed_of_sound_m_s
    # k d / pi is twice the distance in waves, and np.sinc(x) is sin(pi x) / (pi x)
    return 10.0 * np.log10(np.sinc(2.0 * waves_per_m * image_distances).sum(axis=-1))


def first_pressure_cancellation_hz(*, distance_m, speed_of_sound_m_s):
    """Return the lowest frequency at which the wall behind a source cancels its direct sound.

    Parameters
    ----------
    distance_m : float or array_like of float
        From the source to the wall, > 0. [m]
    speed_of_sound_m_s : float
        > 0. [m/s]

    Returns
    -------
    ndarray or float
        Frequency. [Hz]

    Raises
    ------
    OutOfRangeError
        A value is not finite and positive.

    Notes
    -----
    c / (4 d), where the reflection is half a wavelength late: far in front of the source and the wall, on the
    line through both. The power that the source radiates has its minimum higher, at 0.358 c / d.

    References
    ----------
    [KUTTRUFF-ROOM-ACOUSTICS] Image source.

    Examples
    --------
    >>> float(first_pressure_cancellation_hz(distance_m=0.6, speed_of_sound_m_s=343.2))  # 343.2 / 2.4
    143.0
    """
    require_positive(distance_m, name="distance_m")
    require_positive(speed_of_sound_m_s, name="speed_of_sound_m_s")
    return speed_of_sound_m_s / np.multiply(4.0, distance_m)
