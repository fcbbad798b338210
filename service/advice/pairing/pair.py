"""One speaker with one amplifier out of a pairing: its numbers, its grade, and what only a single pair is asked for."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from service.advice import policy
from service.advice.amplifier.facts import AmplifierFacts
from service.advice.amplifier.power import AmplifierPower, amplifier_power
from service.advice.answers.level import AmplifierOnSpeaker, LimitAnswer, PowerNeededAnswer
from service.advice.answers.match import TapMatch
from service.advice.assumptions import Assumptions
from service.advice.pairing.grade import gain_lowers, swing_lowers
from service.advice.pairing.limits import clipping_limit, lowest_first
from service.advice.pairing.quantities import Quantities, known, of_pair, quantities
from service.advice.pairing.seat import SpeakerAtSeat
from service.advice.pairing.uncertainty import Contribution, amplifier_contributions
from service.advice.speaker.load import Load, usual_or_told_cable_ohm
from service.advice.speaker.model import LoudspeakerModel
from service.physics.chain.noise_floor import dynamic_range_db
from service.physics.chain.voice_coil import temperature_rise_k, thermal_level_loss_db
from service.physics.levels import CREST_OF_SINE_DB


@dataclass(frozen=True, kw_only=True, eq=False)
class Pair:
    """One speaker with one amplifier.

    Attributes
    ----------
    seat : SpeakerAtSeat
        [-]
    amplifier : AmplifierFacts
        [-]
    numbers : Quantities
        Of this pair. [-]
    power_grade, load_grade, noise_grade, grade : int
        Places in `policy.GRADES`, 0 the best: of the parts, and of all together. [-]
    taste : str
        [-]
    """

    seat: SpeakerAtSeat
    amplifier: AmplifierFacts
    numbers: Quantities[float]
    power_grade: int
    load_grade: int
    noise_grade: int
    grade: int
    taste: str

    @property
    def speaker(self) -> LoudspeakerModel:
        """The model of the speaker."""
        return self.seat.speaker

    @property
    def load(self) -> Load:
        """The speaker as the amplifier meets it."""
        return self.seat.load

    @cached_property
    def power(self) -> AmplifierPower:
        """What the amplifier delivers into this speaker, on its own best tap where nobody named one."""
        return amplifier_power(self.amplifier.told, Assumptions(), impedance_ohm=self.load.rated_ohm)

    @cached_property
    def limits(self) -> list[LimitAnswer]:
        """What ends the level, lowest first."""
        clipping = clipping_limit(
            peak_db=self.numbers.peak_db,
            power_w=self.numbers.power_into_speaker_w,
            impedance_ohm=self.speaker.impedance_ohm,
        )
        return lowest_first([clipping, *self.seat.limits])

    @cached_property
    def parts(self) -> list[Contribution]:
        """Contributions to the standard uncertainty of the headroom: those of the speaker, that of the power second."""
        own = amplifier_contributions(
            self.seat.told,
            self.amplifier.told,
            power_standard_db=self.numbers.power_standard_db,
            told_power_standard_db=self.power.told_standard_db,
            lowest_impedance_standard_db=self.numbers.lowest_impedance_standard_db,
        )
        (sensitivity, *others), (of_power, *of_load) = self.seat.parts, own
        return [sensitivity, of_power, *others, *of_load]

    def numbers_at(self, seat: SpeakerAtSeat) -> Quantities[float]:
        """Return the numbers of the same amplifier on the same speaker at another chair."""
        return of_pair(quantities([seat], [self.amplifier], source=None, gains_db=None), 0, 0)

    @property
    def peak_pressure_db(self) -> float:
        """Crest of the pressure with both channels in phase, for hearing limits only. [dB SPL]"""
        return self.numbers.in_phase_db + CREST_OF_SINE_DB

    @property
    def power_needed(self) -> PowerNeededAnswer:
        """Watts that this speaker needs, whatever this amplifier has."""
        needed_w = self.numbers.power_into_speaker_w * 10 ** (-self.numbers.amplifier_headroom_db / 10)
        return PowerNeededAnswer(
            for_average=self.numbers.average_power_w,
            for_peaks=needed_w,
            comfortable=needed_w * 10 ** (policy.COMFORTABLE_HEADROOM_DB / 10),
        )

    @property
    def sensitivity_needed_db(self) -> float:
        """Sensitivity with which this amplifier's loudest peaks just stay clean. [dB]"""
        return self.speaker.sensitivity_db_1w_1m - self.numbers.amplifier_headroom_db

    @property
    def lowered_by(self) -> list[str]:
        """What lowers the grade by a step: level_swing, gain_fit."""
        swing = bool(swing_lowers(self.numbers.level_swing_db, taste=self.taste))
        gain = bool(gain_lowers(self.numbers.volume_below_full_db))
        return ["level_swing"] * swing + ["gain_fit"] * gain

    @cached_property
    def on_speaker(self) -> AmplifierOnSpeaker:
        """What the amplifier does to the speaker beside its power."""
        numbers, amplifier = self.numbers, self.amplifier
        output_ohm = known(numbers.output_impedance_ohm)
        better_ohm, better_db = None, None
        if output_ohm is not None:
            better_ohm = output_ohm / policy.BETTER_OUTPUT_IMPEDANCE_DIVISOR
            better_db = float(self.load.level_swing_db(better_ohm + self._cable_ohm))
        return AmplifierOnSpeaker(
            output_impedance_ohm=output_ohm,
            level_swing_db=known(numbers.level_swing_db),
            effective_damping_factor=known(numbers.effective_damping_factor),
            better_output_impedance_ohm=better_ohm,
            better_swing_db=better_db,
            hum_mv=amplifier.hum_mv,
            hum_hz=amplifier.hum_hz,
            hum_at_1m_db=known(numbers.hum_at_1m_db),
            hum_at_seat_db=known(numbers.hum_at_seat_db),
            hum_margin_db=known(numbers.hum_margin_db),
            noise_uv=amplifier.noise_uv,
            noise_at_1m_dba=known(numbers.noise_at_1m_dba),
            noise_at_seat_dba=known(numbers.noise_at_seat_dba),
            hiss_margin_db=known(numbers.hiss_margin_db),
            background_dba=amplifier.background_dba,
        )

    @property
    def _cable_ohm(self) -> float:
        return usual_or_told_cable_ohm(self.seat.scene.request.cable)

    @property
    def cable_loss_db(self) -> float:
        """Level that the cable costs that was told. [dB]"""
        return 10 * float(np.log10(self.numbers.power_into_rated_w / self.numbers.power_into_speaker_w))

    @property
    def dynamic_range_db(self) -> float | None:
        """From the amplifier's noise and the background together up to the highest clean level. [dB]"""
        noise_dba, background_dba = known(self.numbers.noise_at_seat_dba), self.amplifier.background_dba
        if noise_dba is None or background_dba is None:
            return None
        return dynamic_range_db(peak_level_db=self.numbers.peak_db, noise_levels_db=[noise_dba, background_dba])

    @property
    def voice_coil_loss_db(self) -> float | None:
        """Level that the warm voice coil costs at the target; None without its thermal resistance. [dB]"""
        driver = self.seat.told.driver_parameters
        if driver is None or driver.thermal_resistance_k_w is None:
            return None
        rise_k = temperature_rise_k(
            average_power_w=self.numbers.average_power_w, thermal_resistance_k_per_w=driver.thermal_resistance_k_w
        )
        return float(
            thermal_level_loss_db(
                temperature_rise_k=min(float(rise_k), policy.HOTTEST_VOICE_COIL_K),
                cold_resistance_ohm=driver.dc_resistance_ohm,
                series_resistance_ohm=0.0,
            )
        )

    @cached_property
    def taps(self) -> list[TapMatch]:
        """Each tap of the output transformer on this speaker."""
        power, rated_ohm, in_use_ohm = self.power, self.load.rated_ohm, self.amplifier.told.tap_in_use_ohm
        if power.best_tap_ohm is None:
            return []
        best_w = float(power.into_w(rated_ohm, tap_ohm=power.best_tap_ohm))
        found = []
        for tap_ohm, output_ohm in zip(power.models, self.amplifier.output_impedance_ohm, strict=True):
            assert tap_ohm is not None
            into_w = float(power.into_w(rated_ohm, tap_ohm=tap_ohm))
            swing_db = None if output_ohm is None else float(self.load.level_swing_db(output_ohm + self._cable_ohm))
            found.append(
                TapMatch(
                    tap_ohm=tap_ohm,
                    power_into_rated_w=into_w,
                    loss_db=10 * float(np.log10(best_w / into_w)),
                    output_impedance_ohm=output_ohm,
                    level_swing_db=swing_db,
                    in_use=None if in_use_ohm is None else tap_ohm == in_use_ohm,
                )
            )
        return found
