"""How sure a level is: what each fact that is not known exactly adds to its standard uncertainty."""

from service.advice import policy
from service.advice.answers.level import UncertaintyPart
from service.physics.uncertainty import amplitude_uncertainty_db, power_uncertainty_db, standard_from_half_width


def uncertainty_parts(request, basis):
    """Return the contributions to the standard uncertainty of a level.

    Parameters
    ----------
    request : LevelRequest
        Tells which facts were told. [-]
    basis : LevelBasis
        What the level is computed from. [-]

    Returns
    -------
    list of UncertaintyPart

    Notes
    -----
    Tolerances are rectangular distributions. Sensitivity and power count in full, reverberation time and directivity by
    the share of the reverberant sound in the energy, the distance by that of the direct sound. The model itself is
    never certain in a room, whatever was measured.

    References
    ----------
    [ISO-IEC-GUIDE-98-3] law of propagation.
    """
    speaker, octaves = basis.speaker, basis.octaves
    energy = 10 ** (octaves.level_db / 10) * basis.programme.octave_shares
    energy = energy / energy.sum()
    wave = float((energy * octaves.wave_field_share_ratio).sum())
    parts = {
        "sensitivity": float(standard_from_half_width(policy.SENSITIVITY_HALF_WIDTH_DB)),
        "power of the amplifier": basis.amplifier.standard_db,
    }
    if speaker.basis_spread_db:
        parts["basis of the sensitivity"] = float(standard_from_half_width(speaker.basis_spread_db))
    if speaker.bass_gain_standard_db:
        low = speaker.baffle_gain_by_octave_db < policy.NOTICEABLE_BAFFLE_LOSS_DB
        parts["level of the bass"] = speaker.bass_gain_standard_db * float(energy[low].sum())
    reverberant = 0.0
    if basis.room is not None:
        statistical = energy * (1 - octaves.wave_field_share_ratio)
        by_octave = statistical / (1 + 10 ** ((octaves.direct_db - octaves.reverberant_db) / 10))
        reverberant = float(by_octave.sum())
        measured = basis.room.time_is == "measured"
        relative = policy.MEASURED_TIME_RELATIVE if measured else policy.REVERBERATION_TIME_RELATIVE
        of_time_db = float(power_uncertainty_db(relative_uncertainty_ratio=relative))
        parts["reverberation time"] = of_time_db * reverberant
        parts["directivity"] = float(speaker.directivity_standard_db @ by_octave)
        parts["statistical model"] = policy.STATISTICAL_MODEL_DB
        parts["wave field"] = policy.WAVE_FIELD_OCTAVE_DB * wave
    if request.positions is None:
        told = request.listening_distance_m is not None
        half_width_m = policy.DISTANCE_HALF_WIDTH_M if told else policy.UNTOLD_DISTANCE_HALF_WIDTH_M
        relative = float(standard_from_half_width(half_width_m)) / basis.distance_m
        of_distance_db = float(amplitude_uncertainty_db(relative_uncertainty_ratio=relative))
        parts["distance"] = of_distance_db * (1 - reverberant - wave)
    return [UncertaintyPart(about=about, standard_db=abs(value)) for about, value in parts.items()]
