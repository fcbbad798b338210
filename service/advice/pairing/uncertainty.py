"""How sure a headroom is: what each fact that is not known exactly adds to its standard uncertainty."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from service.advice import policy
from service.advice.answers.level import UncertaintyPart
from service.advice.assumptions import DEFAULTS
from service.advice.pairing.scene import Scene
from service.advice.room.kinds import time_relative_standard_ratio
from service.advice.room.model import RoomAcoustics
from service.advice.speaker.model import LoudspeakerModel
from service.domain.equipment import Amplifier, Loudspeaker
from service.domain.room import Room
from service.physics import level_budget
from service.physics.level_budget import OctaveLevels
from service.physics.types import FloatArray
from service.physics.uncertainty import (
    amplitude_uncertainty_db,
    combined_standard,
    power_uncertainty_db,
    standard_from_half_width,
)


@dataclass(frozen=True, kw_only=True)
class Contribution:
    """What one fact adds, now and once `pointers` of the request are told; none where nobody can tell them.

    `variant` is the form of the question that asks for them.
    """

    about: str
    standard_db: float
    told_standard_db: float | None = None
    pointers: tuple[str, ...] = ()
    variant: str | None = None

    @property
    def question(self) -> str:
        """Key of the question in the catalogue."""
        return self.about if self.variant is None else f"{self.about}.{self.variant}"


def standard_db(parts: Iterable[Contribution]) -> float:
    """Return the combined standard uncertainty of some contributions. [dB]"""
    return float(combined_standard([part.standard_db for part in parts]))


def uncertainty_parts(parts: Iterable[Contribution]) -> list[UncertaintyPart]:
    """Return the contributions as an answer shows them."""
    return [UncertaintyPart(about=part.about, standard_db=part.standard_db) for part in parts]


def contributions(
    told: Loudspeaker, speaker: LoudspeakerModel, scene: Scene, octaves: OctaveLevels
) -> list[Contribution]:
    """Return the contributions to the standard uncertainty of a headroom, without that of the amplifier.

    Parameters
    ----------
    told : Loudspeaker
        As told: tells which facts were told. [-]
    speaker : LoudspeakerModel
        [-]
    scene : Scene
        Room, places and programme. [-]
    octaves : OctaveLevels
        Of the speaker at the chair. [-]

    Returns
    -------
    list of Contribution

    Notes
    -----
    Tolerances are rectangular distributions. Sensitivity and power count in full, reverberation time and directivity by
    the share of the reverberant sound in the energy, the distance by that of the direct sound. The model itself is
    never certain in a room, whatever was measured.

    References
    ----------
    [ISO-IEC-GUIDE-98-3] law of propagation.
    """
    request, programme, room = scene.request, scene.programme, scene.room
    energy = 10 ** (octaves.level_db / 10) * programme.octave_shares
    energy = energy / energy.sum()
    share = _low_share_ratio(scene, octaves)
    wave = float((energy * share).sum())
    found = [
        Contribution(
            about="sensitivity", standard_db=float(standard_from_half_width(policy.SENSITIVITY_HALF_WIDTH_DB))
        ),
    ]
    if speaker.basis_spread_db:
        found.append(
            Contribution(
                about="sensitivity_basis",
                standard_db=float(standard_from_half_width(speaker.basis_spread_db)),
                told_standard_db=0.0,
                pointers=(told.pointer("sensitivity_db_1w_1m"),),
            )
        )
    if speaker.bass_gain_standard_db:
        low = speaker.baffle_gain_by_octave_db < policy.NOTICEABLE_BAFFLE_LOSS_DB
        found.append(
            Contribution(
                about="bass_level",
                standard_db=speaker.bass_gain_standard_db * float(energy[low].sum()),
                told_standard_db=0.0,
                pointers=(told.pointer("sensitivity_space"),),
            )
        )
    reverberant = 0.0
    if request.room is not None and room is not None:
        statistical = energy * (1 - share)
        by_octave = statistical / (1 + 10 ** ((octaves.direct_db - octaves.reverberant_db) / 10))
        reverberant = float(by_octave.sum())
        found += _of_room(request.room, room, reverberant=reverberant, wave=wave)
        found.append(_of_directivity(told, speaker, by_octave))
    relative = scene.distance_standard_m / scene.distance_m
    if relative:
        of_distance_db = float(amplitude_uncertainty_db(relative_uncertainty_ratio=relative))
        direct = 1 - reverberant - wave
        told_m = float(standard_from_half_width(policy.DISTANCE_HALF_WIDTH_M))
        told_db = float(amplitude_uncertainty_db(relative_uncertainty_ratio=told_m / scene.distance_m)) * direct
        asked = request.listening_distance_m is None and of_distance_db * direct > told_db
        found.append(
            Contribution(
                about="distance",
                standard_db=of_distance_db * direct,
                told_standard_db=told_db if asked else None,
                pointers=(request.pointer("listening_distance_m"),) if asked else (),
            )
        )
    asks_level = request.listening_level_dba is None
    by_meter = "meter" if request.listening is not None else None
    found.append(
        Contribution(
            about="how_loud",
            standard_db=programme.how_loud_standard_db,
            told_standard_db=policy.TOLD_HOW_LOUD_STANDARD_DB if asks_level else None,
            pointers=(request.pointer("listening_level_dba"),) if asks_level else (),
            variant=by_meter,
        )
    )
    return found


def _low_share_ratio(scene: Scene, octaves: OctaveLevels) -> FloatArray:
    """Share of each octave that the wave field decides, whether it could be computed or not, shape (8,). [-]"""
    if scene.join_hz is None or scene.room is None or scene.room.sides_are_known:
        return octaves.wave_field_share_ratio
    return level_budget.wave_field_share_by_octave(join_hz=scene.join_hz)


def _of_room(told: Room, room: RoomAcoustics, *, reverberant: float, wave: float) -> list[Contribution]:
    """Reverberation time, size, and the model itself."""
    found = [_of_time(told, room, reverberant)]
    size_relative = 0.0
    pointers: tuple[str, ...] = ()
    if told.height_m is None:
        size_relative, pointers = policy.UNTOLD_HEIGHT_RELATIVE, (told.pointer("height_m"),)
    if not room.sides_are_known:
        size_relative = math.hypot(size_relative, policy.FLOOR_AREA_RELATIVE)
        pointers = (told.pointer("length_m"), told.pointer("width_m"), *pointers)
    if pointers:
        of_size_db = float(power_uncertainty_db(relative_uncertainty_ratio=size_relative)) * reverberant
        found.append(
            Contribution(
                about="room_size",
                standard_db=of_size_db,
                told_standard_db=0.0,
                pointers=pointers,
                variant=None if room.sides_are_known else "sides",
            )
        )
    found.append(Contribution(about="statistical_model", standard_db=policy.STATISTICAL_MODEL_DB))
    if room.sides_are_known:
        found.append(Contribution(about="wave_field", standard_db=policy.WAVE_FIELD_OCTAVE_DB * wave))
    else:
        found.append(
            Contribution(
                about="bass_at_the_chair",
                standard_db=policy.UNKNOWN_PLACE_OCTAVE_DB * wave,
                told_standard_db=policy.WAVE_FIELD_OCTAVE_DB * wave,
                pointers=(told.pointer("length_m"), told.pointer("width_m")),
            )
        )
    return found


def _of_time(told: Room, room: RoomAcoustics, reverberant: float) -> Contribution:
    """Reverberation time: first ask what the room is like, then for a hand clap."""

    def decibels(relative: float) -> float:
        return float(power_uncertainty_db(relative_uncertainty_ratio=relative)) * reverberant

    now = room.time_relative_standard_ratio
    by_kind = replace(
        told,
        construction=told.construction or DEFAULTS["construction"].value,
        furnishing=told.furnishing or DEFAULTS["furnishing"].value,
    )
    kinds = {"construction": told.construction, "furnishing": told.furnishing}
    wanted = tuple(told.pointer(name) for name, value in kinds.items() if value is None)
    known = time_relative_standard_ratio(by_kind)
    told_db: float | None
    pointers: tuple[str, ...]
    variant: str | None
    told_db, pointers, variant = decibels(policy.MEASURED_TIME_RELATIVE), (told.pointer("reverberation_time_s"),), None
    if room.time_is == "measured":
        told_db, pointers = None, ()
    elif room.time_is == "usual for its kind" and wanted and known < now:
        told_db, pointers, variant = decibels(known), wanted, "construction"
    return Contribution(
        about="reverberation_time",
        standard_db=decibels(now),
        told_standard_db=told_db,
        pointers=pointers,
        variant=variant,
    )


def _of_directivity(told: Loudspeaker, speaker: LoudspeakerModel, by_octave: FloatArray) -> Contribution:
    """Directivity by octave; what is asked for is the kind of speaker, from which the usual one follows."""
    now_db = float(speaker.directivity_standard_db @ by_octave)
    asked = told.kind is None and told.bass_section is None and not speaker.directivity_was_told
    return Contribution(
        about="directivity",
        standard_db=now_db,
        told_standard_db=float(speaker.kind_directivity_standard_db @ by_octave) if asked else None,
        pointers=(told.pointer("kind"),) if asked else (),
    )


def amplifier_contributions(
    told: Loudspeaker,
    amplifier: Amplifier,
    *,
    power_standard_db: float,
    told_power_standard_db: float,
    lowest_impedance_standard_db: float,
) -> list[Contribution]:
    """Return what an amplifier adds to the standard uncertainty of its headroom on a speaker.

    Parameters
    ----------
    told : Loudspeaker
        As told. [-]
    amplifier : Amplifier
        As told. [-]
    power_standard_db, told_power_standard_db : float
        Standard uncertainty of its power, and what would be left of it were its power into this speaker told. [dB]
    lowest_impedance_standard_db : float
        What the lowest impedance leaves open, of which only the usual range is known; 0 where that is nothing. [dB]
    """
    asked = told_power_standard_db < power_standard_db
    found = [
        Contribution(
            about="amplifier_power",
            standard_db=power_standard_db,
            told_standard_db=told_power_standard_db if asked else None,
            pointers=(amplifier.pointer("ratings"),) if asked else (),
        )
    ]
    if lowest_impedance_standard_db > 0:
        found.append(
            Contribution(
                about="lowest_impedance",
                standard_db=lowest_impedance_standard_db,
                told_standard_db=0.0,
                pointers=(told.pointer("minimum_impedance_ohm"),),
            )
        )
    return found


def left_open_by_impedance_db(from_v: ArrayLike, to_v: ArrayLike, *, was_told: ArrayLike) -> np.ndarray:
    """Return what the voltage of an amplifier at the ends of the usual lowest impedances adds: 0 below notice. [dB]

    Parameters
    ----------
    from_v, to_v : array_like
        Highest clean voltage into the lowest and the highest of them. [V]
    was_told : array_like of bool
        Whether the lowest impedance was told. [-]
    """
    half_db = np.abs(20 * np.log10(np.asarray(to_v) / from_v)) / 2
    counts = ~np.asarray(was_told) & (half_db >= policy.WORTH_ASKING_DB)
    return np.where(counts, standard_from_half_width(half_db), 0.0)
