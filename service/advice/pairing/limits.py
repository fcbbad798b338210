"""What ends the level: the amplifier, the heat of the voice coil, the travel of the driver, the bass section.

None of these but the first hangs on the amplifier: each is a level at the chair, computed once for a speaker from what
one watt does.
"""

import math
from dataclasses import dataclass

import numpy as np

from service.advice.answers.level import LimitAnswer
from service.advice.pairing.scene import Scene
from service.advice.speaker.model import LoudspeakerModel
from service.advice.speaker.travel import travel_used_db
from service.domain.equipment import Loudspeaker
from service.domain.load import BassSection, Driver, Section
from service.domain.words import words
from service.physics.bands import THIRD_OCTAVE_NOMINAL_HZ, third_octave_midbands_hz
from service.physics.chain.voice_coil import average_power_w
from service.physics.loudspeaker.sensitivity import (
    sensitivity_db_1w_1m_from_voltage,
    sensitivity_db_2v83_1m_from_power,
)
from service.physics.types import FloatArray

_LOWEST_MOVED_HZ = 31.5
_THIRDS_HZ = np.array(THIRD_OCTAVE_NOMINAL_HZ)


def clipping_limit(*, peak_db: float, power_w: float, impedance_ohm: float) -> LimitAnswer:
    """Return the limit that the amplifier sets."""
    return LimitAnswer(
        code="amplifier_clipping",
        peak_spl_db=peak_db,
        text=words("limits.amplifier_clipping", power_w=power_w, impedance_ohm=impedance_ohm),
    )


def lowest_first(limits: list[LimitAnswer]) -> list[LimitAnswer]:
    """Return limits, what gives out first in front."""
    return sorted(limits, key=lambda limit: limit.peak_spl_db)


def other_limits(
    told: Loudspeaker, speaker: LoudspeakerModel, scene: Scene, *, level_at_1m_db: float, peak_db: float
) -> list[LimitAnswer]:
    """Return everything that ends the level whatever the amplifier is, lowest first.

    Parameters
    ----------
    told : Loudspeaker
        As told: its drivers, its sections and its bass section. [-]
    speaker : LoudspeakerModel
        [-]
    scene : Scene
        [-]
    level_at_1m_db, peak_db : float
        With one watt: axial free-field level of one speaker, and the steady level at the chair. [dB SPL]
    """
    return _Limits(told, speaker, scene, level_at_1m_db, peak_db).found()


@dataclass(frozen=True)
class _Limits:
    """The limits of one speaker, from what one watt does."""

    told: Loudspeaker
    speaker: LoudspeakerModel
    scene: Scene
    level_at_1m_db: float
    peak_db: float

    def found(self) -> list[LimitAnswer]:
        programme, speaker, bass = self.scene.programme, self.speaker, self.told.bass_section
        found = []
        if speaker.long_term_power_w is not None:
            found.append(self._heat_limit("long_term_power", speaker.long_term_power_w, taken_w=self._average_w()))
        driver = self.told.driver if bass is None else bass.driver
        if driver is not None:
            thirds = programme.bass_thirds(below_hz=speaker.bass_section_below_hz)
            found.append(self._travel_limit("excursion", driver, *thirds))
        if bass is not None:
            found += self._of_bass_section(bass)
        for section in self.told.sections:
            found += self._of_section(section)
        return lowest_first(found)

    def _average_w(self) -> float:
        """Heat in the voice coil from a sine power of one watt."""
        return float(average_power_w(sine_power_w=1.0, crest_factor_db=self.scene.programme.crest_factor_db))

    def _heat_limit(self, code: str, bearable_w: float, *, taken_w: float) -> LimitAnswer:
        return LimitAnswer(
            code=code,
            peak_spl_db=self.peak_db + 10 * math.log10(bearable_w / taken_w),
            text=words(f"limits.{code}", power_w=bearable_w),
        )

    def _travel_limit(
        self, code: str, driver: Driver, frequency_hz: FloatArray, power_shares: FloatArray
    ) -> LimitAnswer:
        used_db = travel_used_db(
            driver,
            self.speaker,
            frequency_hz=frequency_hz,
            power_shares=power_shares,
            level_at_1m_db=self.level_at_1m_db,
            air_density_kg_m3=self.scene.air.density_kg_m3,
        )
        return LimitAnswer(code=code, peak_spl_db=self.peak_db - used_db, text=words(f"limits.{code}"))

    def _of_bass_section(self, bass: BassSection) -> list[LimitAnswer]:
        if bass.sensitivity_db_2v83_1m is None or bass.power_w is None:
            return []
        impedance_ohm = bass.impedance_ohm or self.speaker.impedance_ohm
        at_1w_db = float(sensitivity_db_1w_1m_from_voltage(bass.sensitivity_db_2v83_1m, impedance_ohm=impedance_ohm))
        share_db = 10 * math.log10(1 - self.scene.programme.share_above(bass.crossover_hz))
        margin_db = at_1w_db + 10 * math.log10(bass.power_w) - (self.level_at_1m_db + share_db)
        text = words("limits.bass_section_power", power_w=bass.power_w)
        return [LimitAnswer(code="bass_section_power", peak_spl_db=self.peak_db + margin_db, text=text)]

    def _of_section(self, section: Section) -> list[LimitAnswer]:
        """What ends the level in a section that the amplifier drives.

        All sections share one voltage; a section takes its share of the programme, in whole thirds, in proportion to
        the rated impedance of the speaker re its own. A section that is more sensitive than the speaker is padded down
        to it, and bears that much less. The lowest section on an amplifier of its own counts as a bass section.
        """
        thirds = self.scene.programme.thirds
        band = ((section.from_hz or 0.0) < _THIRDS_HZ) & ((section.to_hz or math.inf) >= _THIRDS_HZ)
        share = float(thirds[band].sum())
        if section.amplifier == "own" or share <= 0:
            return []
        found = []
        if section.long_term_power_w is not None:
            taken_w = self._taken_by_w(section, share)
            found.append(self._heat_limit("section_long_term_power", section.long_term_power_w, taken_w=taken_w))
        moved = band & (_THIRDS_HZ >= _LOWEST_MOVED_HZ)
        if section.driver is not None and moved.any():
            frequency_hz = third_octave_midbands_hz()[moved]
            found.append(self._travel_limit("section_excursion", section.driver, frequency_hz, thirds[moved]))
        return found

    def _taken_by_w(self, section: Section, share: float) -> float:
        """Heat in a section from one watt: its share of what the amplifier plays itself, a bass section relieves it."""
        speaker = self.speaker
        relief = 1.0
        if speaker.bass_section_below_hz is not None:
            relief = self.scene.programme.share_above(speaker.bass_section_below_hz)
        own_ohm = section.impedance_ohm or speaker.impedance_ohm
        taken_w = self._average_w() * share / relief * speaker.impedance_ohm / own_ohm
        if section.sensitivity_db_2v83_1m is None:
            return taken_w
        whole_db = float(
            sensitivity_db_2v83_1m_from_power(speaker.sensitivity_db_1w_1m, impedance_ohm=speaker.impedance_ohm)
        )
        return taken_w * 10 ** (-max(section.sensitivity_db_2v83_1m - whole_db, 0.0) / 10)
