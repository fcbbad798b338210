"""Facts of a kind of programme: targets and how its power is shared out over frequency."""

import functools
import math
from dataclasses import dataclass

import numpy as np

from service.advice import policy
from service.advice.assumptions import Assumptions
from service.domain.requests import PairingRequest
from service.domain.words import words
from service.physics.bands import (
    THIRD_OCTAVE_NOMINAL_HZ,
    octave_power_shares,
    third_octave_midbands_hz,
    third_octave_power_ratios,
)
from service.physics.frozen import frozen_record
from service.physics.levels import average_from_peak_db, peak_target_db
from service.physics.types import FloatArray
from service.physics.uncertainty import standard_from_half_width
from service.physics.weighting import a_weighted_offset_db
from service.tables.loader import listening_levels, programmes

_HIGHEST_BASS_HZ = 160.0
_LOWEST_BASS_HZ = 31.5


@dataclass(frozen=True, kw_only=True)
class ProgrammeFacts:
    """A programme with what follows from its spectrum."""

    id: str
    average_level_db: float
    crest_factor_db: float
    peak_target_db: float
    average_at_target_dba: float
    octave_shares: FloatArray
    thirds: FloatArray
    level_was_told: bool
    how_loud_standard_db: float

    def share_above(self, frequency_hz: float) -> float:
        """Return the share of the power above a crossover. [-]

        In whole thirds: one whose mid-band is at or below the crossover belongs to the bass. Real crossovers overlap
        by more.
        """
        return float(self.thirds[np.array(THIRD_OCTAVE_NOMINAL_HZ) > frequency_hz].sum())

    def relief_db(self, *, above_hz: float) -> float:
        """Return the level gained when the amplifier plays only what lies above a crossover. [dB]"""
        return -10 * math.log10(self.share_above(above_hz))

    def bass_thirds(self, *, below_hz: float | None) -> tuple[FloatArray, FloatArray]:
        """Return mid-band frequencies and power shares of the thirds that move a driver most.

        From 31.5 Hz to 160 Hz, or to a crossover below that.
        """
        nominal_hz = np.array(THIRD_OCTAVE_NOMINAL_HZ)
        highest_hz = _HIGHEST_BASS_HZ if below_hz is None else min(max(below_hz, _LOWEST_BASS_HZ), _HIGHEST_BASS_HZ)
        bass = (nominal_hz >= _LOWEST_BASS_HZ) & (nominal_hz <= highest_hz)
        return third_octave_midbands_hz()[bass], self.thirds[bass]


@functools.lru_cache(maxsize=256)
def _facts(identifier: str, level_dba: float | None, how_loud_standard_db: float) -> ProgrammeFacts:
    row = programmes()[identifier]
    levels_db = np.array(row.spectrum.third_octave_levels_db)
    offset_db = float(a_weighted_offset_db(levels_db))
    average_db = row.average_level_db if level_dba is None else level_dba - offset_db
    target_db = float(peak_target_db(average_level_db=average_db, crest_factor_db=row.crest_factor_db))
    return frozen_record(
        ProgrammeFacts(
            id=row.id,
            average_level_db=average_db,
            crest_factor_db=row.crest_factor_db,
            peak_target_db=target_db,
            average_at_target_dba=float(
                average_from_peak_db(
                    peak_target_db=target_db,
                    crest_factor_db=row.crest_factor_db,
                    a_weighted_offset_db=offset_db,
                )
            ),
            octave_shares=octave_power_shares(levels_db),
            thirds=third_octave_power_ratios(levels_db) / third_octave_power_ratios(levels_db).sum(),
            level_was_told=level_dba is not None,
            how_loud_standard_db=how_loud_standard_db,
        )
    )


def usual_programme(identifier: str) -> ProgrammeFacts:
    """Return the facts of a programme at the level at which it is usually listened to."""
    return _facts(identifier, None, policy.HOW_LOUD_STANDARD_DB)


def programme_facts(request: PairingRequest, assume: Assumptions) -> ProgrammeFacts:
    """Return the facts of the programme of a request, or of the assumed one, at the level that was told.

    Parameters
    ----------
    request : PairingRequest
        Its programme, and how loud: in words, or as an average at the chair. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]
    """
    identifier = assume.take(request.pointer("programme"), request.programme)
    listening, level_dba = request.listening, request.listening_level_dba
    standard_db = policy.TOLD_HOW_LOUD_STANDARD_DB
    if listening is not None:
        row = listening_levels()[listening]
        level_dba = row.level_dba
        half_width_db = (row.to_dba - row.from_dba) / 2
        standard_db = math.hypot(standard_db, float(standard_from_half_width(half_width_db)))
        assume.add(
            None,
            {"listening_level_dba": row.level_dba},
            why=words("assumptions.listening", listening=listening, level_dba=row.level_dba),
            source=row.source,
            spread=(row.from_dba, row.to_dba),
        )
    elif level_dba is None:
        standard_db = policy.HOW_LOUD_STANDARD_DB
    facts = _facts(identifier, level_dba, standard_db)
    if not facts.level_was_told:
        level_dba, half_width_db = facts.average_at_target_dba, policy.HOW_LOUD_HALF_WIDTH_DB
        assume.add(
            None,
            {"listening_level_dba": level_dba},
            why=words("assumptions.how_loud", programme=identifier, level_dba=level_dba),
            source="ours",
            spread=(level_dba - half_width_db, level_dba + half_width_db),
        )
    return facts
