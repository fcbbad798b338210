"""A speaker at the chair with an amplifier of one watt, to which every amplifier adds its decibels."""

import dataclasses
import functools
import math
from dataclasses import dataclass

import numpy as np

from service.advice import policy
from service.advice.answers.level import LimitAnswer
from service.advice.assumptions import Assumptions
from service.advice.pairing.limits import other_limits
from service.advice.pairing.scene import Scene
from service.advice.pairing.uncertainty import Contribution, contributions
from service.advice.places.sources import source_axes
from service.advice.room.cached import cached_room_model
from service.advice.speaker.load import Load, load_of
from service.advice.speaker.model import LoudspeakerModel
from service.domain.equipment import Loudspeaker
from service.domain.position import Positions
from service.domain.room import Room
from service.domain.words import Words, words
from service.physics import level_budget
from service.physics.frozen import frozen
from service.physics.room.wave_field import pressure_ratio

_CACHED = 256
_ENERGETIC, _SHORT, _IN_PHASE = range(3)


@dataclass(frozen=True, kw_only=True, eq=False)
class SpeakerAtSeat:
    """One speaker, or a pair of it, at the chair, driven with one watt into the rated impedance.

    Attributes
    ----------
    name : Words
        What to call it. [-]
    told : Loudspeaker
        As told. [-]
    scene : Scene
        [-]
    speaker : LoudspeakerModel
        [-]
    load : Load
        [-]
    level_at_1m_db : float
        Axial free-field level of one speaker, what a bass section relieves it of counted in. [dB SPL]
    octaves : OctaveLevels
        At the chair. [-]
    peak_db, short_peak_db, in_phase_db : float
        Level of the programme at the chair: steady, of a sound too short to fill the room, and with both channels in
        phase. [dB SPL]
    limits : list of LimitAnswer
        What ends the level whatever the amplifier is, lowest first. [-]
    parts : list of Contribution
        To the uncertainty, without that of the amplifier. [-]
    """

    name: Words
    told: Loudspeaker
    scene: Scene
    speaker: LoudspeakerModel
    load: Load
    level_at_1m_db: float
    octaves: level_budget.OctaveLevels
    peak_db: float
    short_peak_db: float
    in_phase_db: float
    limits: list[LimitAnswer]
    parts: list[Contribution]

    @property
    def octaves_re_1m_db(self) -> np.ndarray:
        """Level of all speakers at the chair re the axial free-field level of one of them at 1 m, shape (8,). [dB]"""
        return self.octaves.level_db - self.level_at_1m_db

    @property
    def target_db(self) -> float:
        """What the loudest peaks need. [dB SPL]"""
        return self.scene.programme.peak_target_db

    @property
    def amplifier_headroom_db(self) -> float:
        """What one watt leaves above the loudest peaks, steady or short, as far as the amplifier goes. [dB]"""
        return min(self.peak_db, self.short_peak_db) - self.target_db

    @property
    def other_limit_db(self) -> float:
        """Lowest level that anything but the amplifier ends, infinite where nothing does. [dB SPL]"""
        return min((limit.peak_spl_db for limit in self.limits), default=math.inf)


def speaker_at_seat(
    told: Loudspeaker, speaker: LoudspeakerModel, scene: Scene, assume: Assumptions, *, name: Words
) -> SpeakerAtSeat:
    """Return a speaker at the chair.

    Parameters
    ----------
    told : Loudspeaker
        As told. [-]
    speaker : LoudspeakerModel
        The same with every fact. [-]
    scene : Scene
        [-]
    assume : Assumptions
        Receives what the method takes for granted. [-]
    name : Words
        What to call it. [-]
    """
    programme = scene.programme
    relief_db = 0.0
    if speaker.bass_section_below_hz is not None:
        relief_db = programme.relief_db(above_hz=speaker.bass_section_below_hz)
    _state_method(assume, scene, relief_db=relief_db)
    level_at_1m_db = speaker.sensitivity_db_1w_1m + relief_db
    octaves = _octaves(speaker, scene, level_at_1m_db)
    at_seat_db = np.asarray(
        level_budget.programme_sum_db(
            np.stack([octaves.level_db, octaves.short_db, octaves.coherent_db]), power_shares=programme.octave_shares
        )
    ).tolist()
    limits = other_limits(told, speaker, scene, level_at_1m_db=level_at_1m_db, peak_db=at_seat_db[_ENERGETIC])
    return SpeakerAtSeat(
        name=name,
        told=told,
        scene=scene,
        speaker=speaker,
        load=load_of(told, speaker),
        level_at_1m_db=level_at_1m_db,
        octaves=octaves,
        peak_db=at_seat_db[_ENERGETIC],
        short_peak_db=at_seat_db[_SHORT],
        in_phase_db=at_seat_db[_IN_PHASE],
        limits=limits,
        parts=contributions(told, speaker, scene, octaves),
    )


def moved_to(seat: SpeakerAtSeat, positions: Positions) -> SpeakerAtSeat:
    """Return the same speaker in the same room with speakers and chair at other places.

    Parameters
    ----------
    seat : SpeakerAtSeat
        In a room of known length and width. [-]
    positions : Positions
        Where speakers and chair go; every speaker with its direction. [-]
    """
    assert seat.scene.places is not None
    distance_m = positions.listening_distance_m
    places = dataclasses.replace(
        seat.scene.places, positions=positions, listening_distance_m=distance_m, distance_standard_m=0.0, found=True
    )
    return _in_scene(seat, dataclasses.replace(seat.scene, places=places, distance_m=distance_m))


def moved_nearer(seat: SpeakerAtSeat, distance_m: float) -> SpeakerAtSeat:
    """Return the same speaker with the chair at another distance, where no places are known. [m]"""
    return _in_scene(seat, dataclasses.replace(seat.scene, distance_m=distance_m))


def _in_scene(seat: SpeakerAtSeat, scene: Scene) -> SpeakerAtSeat:
    return speaker_at_seat(seat.told, seat.speaker, scene, Assumptions(), name=seat.name)


def _octaves(speaker: LoudspeakerModel, scene: Scene, level_at_1m_db: float) -> level_budget.OctaveLevels:
    room, field = scene.room, None
    if scene.places is not None:
        field = _cached_wave_field(
            scene.request.room, scene.places.positions, radiation=speaker.radiation, join_hz=scene.join_hz
        )
    return level_budget.octave_levels(
        level_at_1m_db=level_at_1m_db,
        low_end_gain_db=speaker.grid_low_end_gain_db,
        distance_m=scene.distance_m,
        air_absorption_db_per_m=scene.air.absorption_db_per_m,
        speaker_count=scene.speaker_count,
        room_constant_m2=None if room is None else room.room_constant_m2,
        directivity_index_db=speaker.directivity_index_db,
        reverberation_time_s=None if room is None else room.time_s,
        short_window_s=policy.SHORT_PEAK_WINDOW_S,
        wave_field=field,
        join_hz=None if field is None else scene.join_hz,
    )


@functools.lru_cache(maxsize=_CACHED)
def _cached_wave_field(room: Room, positions: Positions, *, radiation: str, join_hz: float) -> np.ndarray:
    """Return the field of each speaker at the first seat on the grid of the level budget, shape (speakers, n)."""
    model = cached_room_model(room, Assumptions())
    field = pressure_ratio(
        model.box(level_budget.joined_grid_hz(join_hz=join_hz)),
        sources_m=np.array([speaker.xyz_m for speaker in positions.speakers]),
        axes=source_axes(positions.speakers, radiation=radiation),
        seats_m=np.array([positions.seats[0].xyz_m]),
    )[0]
    return frozen(field)


def clear_wave_fields() -> None:
    """Empty the cache: for measurements of a first request."""
    _cached_wave_field.cache_clear()


def _state_method(assume: Assumptions, scene: Scene, *, relief_db: float) -> None:
    """List what the method itself takes for granted."""
    if scene.speaker_count == 2:
        assume.add(
            None,
            {"in_phase_below_hz": 120, "unrelated_above_hz": 240},
            why=words("assumptions.pair_of_channels"),
            source="ITU-R-BS-775",
        )
    if relief_db:
        assume.add(None, {"power_relief_db": relief_db}, why=words("assumptions.power_relief"), source="ours")
    if scene.room is not None:
        assume.add(None, {"angle_off_axis_deg": 0}, why=words("assumptions.on_axis"), source="ours")
