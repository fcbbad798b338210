"""Everything that a level is computed from, settled: speaker, amplifier, room, places, programme, octave levels."""

import math
from dataclasses import dataclass

import numpy as np

from service.advice import policy
from service.advice.amplifier.power import AmplifierPower, amplifier_power
from service.advice.pairing.settled import settled_room, settled_speaker, wave_field
from service.advice.places.settle import StandingPlaces, settled_positions
from service.advice.programme import ProgrammeFacts, programme_facts
from service.advice.room.model import Air, RoomAcoustics, air_of
from service.advice.speaker.load import Load, load_of, told_cable_ohm
from service.advice.speaker.model import LoudspeakerModel
from service.domain.words import words
from service.physics import level_budget


@dataclass(frozen=True, kw_only=True)
class LevelBasis:
    """Everything a level is computed from, settled.

    `standing` is None in free field, and where only the floor area of the room is known.
    """

    speaker: LoudspeakerModel
    load: Load
    amplifier: AmplifierPower
    air: Air
    room: RoomAcoustics | None
    standing: StandingPlaces | None
    distance_m: float
    speaker_count: int
    programme: ProgrammeFacts
    level_at_1m_db: float
    octaves: level_budget.OctaveLevels

    @property
    def positions(self):
        """Where speakers and seats are, None where that is not known."""
        return None if self.standing is None else self.standing.positions

    def at_seat_db(self):
        """Return the programme's steady, short and in-phase level at the seat when the amplifier clips, shape (3,).

        [dB SPL]
        """
        octaves = self.octaves
        summed = np.stack([octaves.level_db, octaves.short_db, octaves.coherent_db])
        return level_budget.programme_sum_db(summed, power_shares=self.programme.octave_shares)

    def amplifier_headroom_db(self):
        """Return what the amplifier alone leaves above the loudest peaks, steady or short. [dB]"""
        return float(self.at_seat_db()[:2].min()) - self.programme.peak_target_db


def level_basis(request, assume):
    """Settle speaker, amplifier, room and places, and compute the octave levels.

    Parameters
    ----------
    request : LevelRequest
        With a speaker and an amplifier. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]
    """
    room = None if request.room is None else settled_room(request.room, assume)
    air = air_of(None, assume) if room is None else room.air
    speaker = settled_speaker(request.speaker, assume, speed_of_sound_m_s=air.speed_of_sound_m_s)
    amplifier = amplifier_power(
        request.amplifier, assume, impedance_ohm=speaker.impedance_ohm, cable_ohm=told_cable_ohm(request.cable)
    )
    programme = programme_facts(
        request.programme,
        assume,
        listening=request.listening,
        listening_level_dba=request.listening_level_dba,
    )
    speaker_count = assume.take("/speaker_count", _told_count(request))
    standing, field, join_hz = None, None, None
    if room is None or not room.sides_are_known:
        distance_m = assume.take("/listening_distance_m", request.listening_distance_m)
    else:
        standing = settled_positions(request, assume, dimensions_m=room.dimensions_m, speaker_count=speaker_count)
        distance_m = standing.listening_distance_m
        join_hz = min(room.transition_hz, policy.HIGHEST_JOIN_HZ)
        field = wave_field(request.room, standing.positions, radiation=speaker.radiation, join_hz=join_hz)
    relief_db = 0.0
    if speaker.bass_section_below_hz is not None:
        relief_db = programme.relief_db(above_hz=speaker.bass_section_below_hz)
    _state_method(assume, in_a_room=room is not None, speaker_count=speaker_count, relief_db=relief_db)
    level_at_1m_db = speaker.sensitivity_db_1w_1m + 10 * math.log10(amplifier.power_w) + relief_db
    octaves = level_budget.octave_levels(
        level_at_1m_db=level_at_1m_db,
        low_end_gain_db=speaker.grid_low_end_gain_db,
        distance_m=distance_m,
        air_absorption_db_per_m=air.absorption_db_per_m,
        speaker_count=speaker_count,
        room_constant_m2=None if room is None else room.room_constant_m2,
        directivity_index_db=speaker.directivity_index_db,
        reverberation_time_s=None if room is None else room.time_s,
        short_window_s=policy.SHORT_PEAK_WINDOW_S,
        wave_field=field,
        join_hz=join_hz,
    )
    return LevelBasis(
        speaker=speaker,
        load=load_of(request.speaker, speaker),
        amplifier=amplifier,
        air=air,
        room=room,
        standing=standing,
        distance_m=distance_m,
        speaker_count=speaker_count,
        programme=programme,
        level_at_1m_db=level_at_1m_db,
        octaves=octaves,
    )


def _told_count(request):
    """Number of speakers as told, by itself or by their places."""
    if request.speaker_count is None and request.positions is not None:
        return len(request.positions.speakers)
    return request.speaker_count


def _state_method(assume, *, in_a_room, speaker_count, relief_db):
    """List what the method itself takes for granted."""
    if speaker_count == 2:
        assume.add(
            None,
            {"in_phase_below_hz": 120, "unrelated_above_hz": 240},
            why=words("assumptions.pair_of_channels"),
            source="ITU-R-BS-775",
        )
    if relief_db:
        assume.add(None, {"power_relief_db": relief_db}, why=words("assumptions.power_relief"), source="ours")
    if in_a_room:
        assume.add(None, {"angle_off_axis_deg": 0}, why=words("assumptions.on_axis"), source="ours")
