"""One amplifier on one speaker at its seat: every number of a comparison, before it is ranked."""

import dataclasses
from dataclasses import dataclass

import numpy as np

from service.advice import policy
from service.advice.amplifier.gain import GainStructure, gain_structure, settled_gain_db
from service.advice.amplifier.on_speaker import (
    AmplifierOnSpeaker,
    amplifier_on_speaker,
    output_impedance_ohm,
    usual_of,
)
from service.advice.amplifier.power import AmplifierPower, amplifier_power
from service.advice.answers.level import LimitAnswer
from service.advice.answers.match import BassSectionMatch, TapMatch
from service.advice.match.bass_section import bass_section_match
from service.advice.pairing.grade import Graded, graded
from service.advice.pairing.level_basis import LevelBasis
from service.advice.pairing.limits import level_limits
from service.advice.pairing.match_places import AssumptionsAt, refusals_at
from service.advice.pairing.match_speaker import SpeakerAtSeat
from service.advice.pairing.uncertainty import Contribution
from service.advice.speaker.load import settled_cable_ohm, told_cable_ohm
from service.domain.equipment import Amplifier
from service.domain.words import Words
from service.physics.chain.noise_floor import dynamic_range_db
from service.physics.chain.voice_coil import average_power_w, temperature_rise_k, thermal_level_loss_db
from service.physics.uncertainty import chance_above, combined_standard, standard_from_half_width


@dataclass(frozen=True, kw_only=True, eq=False)
class PairMatch:
    """One amplifier on one speaker: what is computed, what is graded, and what it rests on.

    `differs_standard_db` is the uncertainty of what only this amplifier brings, by which it is told from another.
    """

    name: Words
    told: Amplifier
    seat: SpeakerAtSeat
    power: AmplifierPower
    basis: LevelBasis
    on_speaker: AmplifierOnSpeaker
    gain: GainStructure
    graded: Graded
    limits: list[LimitAnswer]
    peak_db: float
    headroom_db: float
    uncertainty_db: float
    differs_standard_db: float
    chance_pct: float
    average_power_w: float
    lowest_w: float
    peak_current_a: float
    load_loss_db: float
    load_is_too_low: bool
    cable_loss_db: float
    noise_margin_db: float | None
    dynamic_range_db: float | None
    taps: list[TapMatch]
    voice_coil_loss_db: float | None
    bass_section: BassSectionMatch | None
    bass_findings: list
    parts: list[Contribution]
    taste: str


def pair_match(seat, told, *, pointer, name, source, taste, assume):
    """Return an amplifier on a speaker, ungraded facts and grade, still without a rank.

    Parameters
    ----------
    seat : SpeakerAtSeat
        The speaker, settled. [-]
    told : Amplifier
        As told. [-]
    pointer : str
        Where it stands in the request. [-]
    name : Words
        What to call it. [-]
    source : SignalSource
        Settled. [-]
    taste : str
        Key of `policy.SWING_LIMIT_DB`. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]

    Returns
    -------
    PairMatch

    Raises
    ------
    DomainError
        The ratings contradict each other, or gain and input sensitivity do.
    """
    places = {"/amplifier": pointer, **seat.places}
    with refusals_at(places):
        return _Pair(seat, told, source=source, taste=taste, assume=AssumptionsAt(assume, places)).matched(name)


class _Pair:
    """The computation of one pair, step by step."""

    def __init__(self, seat, told, *, source, taste, assume):
        self.seat, self.told, self.source, self.taste, self.assume = seat, told, source, taste, assume
        self.load, self.usual = seat.basis.load, usual_of(told)
        self.cable = seat.cable
        self.power = amplifier_power(
            told, assume, impedance_ohm=self.load.rated_ohm, cable_ohm=told_cable_ohm(self.cable)
        )
        self.gained_db = 10 * float(np.log10(self.power.power_w))

    def matched(self, name):
        seat, power, load = self.seat, self.power, self.load
        peak_db, short_db = seat.peak_1w_db + self.gained_db, seat.short_1w_db + self.gained_db
        amplifier_headroom_db = min(peak_db, short_db) - seat.target_db
        headroom_db = amplifier_headroom_db + min(seat.other_limit_db - peak_db, 0.0)
        parts = [*seat.parts, self._power_part(), *self._impedance_part()]
        differs_db = float(combined_standard([part.standard_db for part in parts[len(seat.parts) :]]))
        uncertainty_db = float(np.hypot(seat.rest_standard_db, differs_db))
        basis = dataclasses.replace(
            seat.basis, amplifier=power, level_at_1m_db=seat.basis.level_at_1m_db + self.gained_db
        )
        limits = level_limits(seat.told, basis, peak_db=peak_db)
        on_speaker = amplifier_on_speaker(
            speaker=basis.speaker,
            amplifier=self.told,
            power=power,
            load=load,
            cable=self.cable,
            background=seat.request.background,
            octaves_re_1m_db=seat.octaves_re_1m_db,
            assume=self.assume,
        )
        full_v = float(power.voltage_v(load.rated_ohm + power.cable_ohm))
        gain = gain_structure(
            self.told,
            gain_db=settled_gain_db(self.told, self.usual, power, self.assume),
            source=self.source,
            full_v=full_v,
            target_v=full_v * 10 ** (-amplifier_headroom_db / 20),
        )
        margins_db = [each for each in (on_speaker.hum_margin_db, on_speaker.hiss_margin_db) if each is not None]
        margin_db = max(margins_db, default=None)
        load_loss_db = max(
            -20 * float(np.log10(power.voltage_v(load.lowest_ohm) / power.voltage_v(load.rated_ohm))), 0.0
        )
        too_low = self._load_is_too_low()
        average_w = float(
            average_power_w(
                sine_power_w=power.power_w * 10 ** ((seat.target_db - peak_db) / 10),
                crest_factor_db=basis.programme.crest_factor_db,
            )
        )
        bass, bass_findings = None, []
        if seat.told.bass_section is not None:
            bass, bass_findings = bass_section_match(seat, gain_db=gain.gain_db, limits=limits, assume=self.assume)
        return PairMatch(
            name=name,
            told=self.told,
            seat=seat,
            power=power,
            basis=basis,
            on_speaker=on_speaker,
            gain=gain,
            graded=graded(
                headroom_db=headroom_db,
                uncertainty_db=uncertainty_db,
                load_loss_db=load_loss_db,
                load_is_too_low=too_low,
                noise_margin_db=np.nan if margin_db is None else margin_db,
                noise_was_told=self._noise_was_told(),
                level_swing_db=np.nan if on_speaker.level_swing_db is None else on_speaker.level_swing_db,
                taste=self.taste,
                volume_below_full_db=gain.volume_below_full_db,
            ),
            limits=limits,
            peak_db=peak_db,
            headroom_db=headroom_db,
            uncertainty_db=uncertainty_db,
            differs_standard_db=differs_db,
            chance_pct=100 * float(chance_above(headroom_db, standard_uncertainty_db=uncertainty_db)),
            average_power_w=average_w,
            lowest_w=float(power.into_w(load.lowest_ohm)),
            peak_current_a=float(np.sqrt(2) * power.current_a(load.lowest_ohm)),
            load_loss_db=load_loss_db,
            load_is_too_low=too_low,
            cable_loss_db=10 * float(np.log10(power.into_w(load.rated_ohm) / power.power_w)),
            noise_margin_db=margin_db,
            dynamic_range_db=_dynamic_range_db(on_speaker, peak_db),
            taps=self._taps(),
            voice_coil_loss_db=self._voice_coil_loss_db(average_w),
            bass_section=bass,
            bass_findings=bass_findings,
            parts=parts,
            taste=self.taste,
        )

    def _power_part(self):
        power = self.power
        asked = power.told_standard_db < power.standard_db
        return Contribution(
            about="amplifier_power",
            standard_db=power.standard_db,
            told_standard_db=power.told_standard_db if asked else None,
            pointers=("/amplifier/ratings",) if asked else (),
        )

    def _impedance_part(self):
        """How much the power hangs on the lowest impedance, of which only the usual range is known."""
        load = self.load
        if load.lowest_was_told:
            return []
        low_v, high_v = (float(self.power.voltage_v(ohm)) for ohm in (load.lowest_from_ohm, load.lowest_to_ohm))
        half_db = abs(20 * float(np.log10(high_v / low_v))) / 2
        if half_db < policy.WORTH_ASKING_DB:
            return []
        return [
            Contribution(
                about="lowest_impedance",
                standard_db=float(standard_from_half_width(half_db)),
                told_standard_db=0.0,
                pointers=("/speaker/minimum_impedance_ohm",),
            )
        ]

    def _load_is_too_low(self):
        """Whether the rated impedance, or a lowest one that was told, is below what the amplifier is made for."""
        least_ohm = self.told.minimum_load_ohm
        if least_ohm is None:
            return False
        lowest_ohm = self.load.lowest_ohm if self.load.lowest_was_told else self.load.rated_ohm
        return min(lowest_ohm, self.load.rated_ohm) < least_ohm

    def _noise_was_told(self):
        told = (self.told.noise_uv, self.told.hum_mv, self.told.signal_to_noise_db)
        return any(each is not None for each in told)

    def _taps(self):
        power, rated_ohm = self.power, self.load.rated_ohm
        if power.tap_ohm is None:
            return []
        best_w = float(power.into_w(rated_ohm, tap_ohm=power.best_tap_ohm))
        cable_ohm = settled_cable_ohm(self.cable, self.assume)
        found = []
        for tap_ohm in power.models:
            into_w = float(power.into_w(rated_ohm, tap_ohm=tap_ohm))
            output_ohm = output_impedance_ohm(self.told, self.usual, power, self.assume, tap_ohm=tap_ohm)
            swing_db = None if output_ohm is None else float(self.load.level_swing_db(output_ohm + cable_ohm))
            found.append(
                TapMatch(
                    tap_ohm=tap_ohm,
                    power_into_rated_w=into_w,
                    loss_db=10 * float(np.log10(best_w / into_w)),
                    output_impedance_ohm=output_ohm,
                    level_swing_db=swing_db,
                    in_use=None if self.told.tap_in_use_ohm is None else tap_ohm == self.told.tap_in_use_ohm,
                )
            )
        return found

    def _voice_coil_loss_db(self, average_w):
        driver = self.seat.told.driver_parameters
        if driver is None or driver.thermal_resistance_k_w is None:
            return None
        rise_k = temperature_rise_k(average_power_w=average_w, thermal_resistance_k_per_w=driver.thermal_resistance_k_w)
        return float(
            thermal_level_loss_db(
                temperature_rise_k=min(float(rise_k), policy.HOTTEST_VOICE_COIL_K),
                cold_resistance_ohm=driver.dc_resistance_ohm,
                series_resistance_ohm=0.0,
            )
        )


def _dynamic_range_db(on_speaker, peak_db):
    if on_speaker.noise_at_seat_dba is None:
        return None
    noises_dba = [on_speaker.noise_at_seat_dba, on_speaker.background_dba]
    return dynamic_range_db(peak_level_db=peak_db, noise_levels_db=noises_dba)
