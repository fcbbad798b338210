"""Level match of a bass section that has its own amplifier."""

import numpy as np

from service.physics.checks import OutOfRangeError, require_finite
from service.physics.types import FloatLike


def bass_section_trim_db(
    *,
    top_sensitivity_db_2v83_1m: FloatLike,
    top_gain_db: FloatLike,
    bass_sensitivity_db_2v83_1m: FloatLike,
    bass_gain_db: FloatLike,
) -> FloatLike:
    """Return the gain change that matches a bass section fed from the same line as the top's amplifier.

    Parameters
    ----------
    top_sensitivity_db_2v83_1m, bass_sensitivity_db_2v83_1m : float or ndarray
        On-axis free-field level at 1 m for 2.83 V of the top, above its baffle step, and of the bass
        section in its pass band. [dB]
    top_gain_db, bass_gain_db : float or ndarray
        Voltage gain from the common line to the terminals of the top, and to the drivers of the bass
        section. [dB]

    Returns
    -------
    float or ndarray
        Change of the bass section's gain that makes both equally loud; negative turns it down. [dB]

    Raises
    ------
    OutOfRangeError
        A sensitivity or a gain is not finite.

    Notes
    -----
    (S_top + G_top) - (S_bass + G_bass): levels at equal line voltage. The free-field match; what the room
    adds to either is a separate step.

    Examples
    --------
    116 dB against 114 dB at equal line voltage:

    >>> bass_section_trim_db(top_sensitivity_db_2v83_1m=96.0, top_gain_db=20.0,
    ...                      bass_sensitivity_db_2v83_1m=88.0, bass_gain_db=26.0)
    2.0
    """
    return (
        require_finite(top_sensitivity_db_2v83_1m, name="top_sensitivity_db_2v83_1m")
        + require_finite(top_gain_db, name="top_gain_db")
        - require_finite(bass_sensitivity_db_2v83_1m, name="bass_sensitivity_db_2v83_1m")
        - require_finite(bass_gain_db, name="bass_gain_db")
    )


def bass_section_trim_from_terminals_db(
    *,
    top_sensitivity_db_2v83_1m: FloatLike,
    bass_sensitivity_db_2v83_1m: FloatLike,
    terminals_to_driver_gain_db: FloatLike,
) -> FloatLike:
    """Return the gain change that matches a bass section fed from the loudspeaker terminals of the top.

    Parameters
    ----------
    top_sensitivity_db_2v83_1m, bass_sensitivity_db_2v83_1m : float or ndarray
        On-axis free-field level at 1 m for 2.83 V of the top, above its baffle step, and of the bass
        section in its pass band. [dB]
    terminals_to_driver_gain_db : float or ndarray
        Voltage gain from the terminals of the top to the drivers of the bass section. [dB]

    Returns
    -------
    float or ndarray
        Change of the bass section's gain that makes both equally loud; negative turns it down. [dB]

    Raises
    ------
    OutOfRangeError
        A sensitivity or the gain is not finite.

    Notes
    -----
    S_top - S_bass - G: the gain of the top's amplifier acts on both and drops out.

    Examples
    --------
    96 dB against 93 dB at equal voltage on the terminals:

    >>> bass_section_trim_from_terminals_db(top_sensitivity_db_2v83_1m=96.0,
    ...                                     bass_sensitivity_db_2v83_1m=88.0,
    ...                                     terminals_to_driver_gain_db=5.0)
    3.0
    """
    return (
        require_finite(top_sensitivity_db_2v83_1m, name="top_sensitivity_db_2v83_1m")
        - require_finite(bass_sensitivity_db_2v83_1m, name="bass_sensitivity_db_2v83_1m")
        - require_finite(terminals_to_driver_gain_db, name="terminals_to_driver_gain_db")
    )


def trim_beyond_range_db(trim_db: FloatLike, *, lowest_trim_db: float, highest_trim_db: float) -> FloatLike:
    """Return how much of a wanted trim a bass amplifier's level control cannot give.

    Parameters
    ----------
    trim_db : float or array_like
        Wanted change of gain. [dB]
    lowest_trim_db, highest_trim_db : float
        Range of the control on the same scale, the second at least the first. [dB]

    Returns
    -------
    float or ndarray
        0 within the range; above 0 gain is missing, below 0 attenuation. [dB]

    Raises
    ------
    OutOfRangeError
        A value is not finite, or the range is turned round.

    Notes
    -----
    Wanted less the nearest that the control reaches. What is missing can be had before the control: by a
    resistive divider where attenuation is missing, by another input where gain is.

    Examples
    --------
    >>> float(trim_beyond_range_db(-9.0, lowest_trim_db=-6.0, highest_trim_db=6.0))
    -3.0
    """
    wanted = np.asarray(require_finite(trim_db, name="trim_db"))
    require_finite(lowest_trim_db, name="lowest_trim_db")
    require_finite(highest_trim_db, name="highest_trim_db")
    if highest_trim_db < lowest_trim_db:
        allowed = f"at least lowest_trim_db ({lowest_trim_db:g})"
        raise OutOfRangeError(name="highest_trim_db", value=highest_trim_db, allowed=allowed)
    return wanted - np.clip(wanted, lowest_trim_db, highest_trim_db)
