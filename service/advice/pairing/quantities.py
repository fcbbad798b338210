"""The quantities of speakers with amplifiers at a chair, computed once for a request, as arrays: numbers, no judgement.

One pair is a table of one row and one column. Level, comparison, table, advice and sheet read these.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeAlias, TypeVar

import numpy as np
from numpy.typing import ArrayLike

from service.advice.amplifier.facts import AmplifierFacts
from service.advice.octaves import HISS_OCTAVES, HUM_OCTAVE
from service.advice.pairing.amplifiers_on_speakers import VOLTS, on_speakers
from service.advice.pairing.seat import SpeakerAtSeat
from service.advice.pairing.uncertainty import left_open_by_impedance_db, standard_db
from service.advice.speaker.load import usual_or_told_cable_ohm
from service.domain.load import SignalSource
from service.physics.chain.cable import effective_damping_factor
from service.physics.chain.gain_structure import drive_margin_db, sensitivity_of_gain_v, volume_below_full_db
from service.physics.chain.noise import (
    HEARING_THRESHOLD_HISS_OCTAVES_DB,
    HISS_OCTAVES_HZ,
    hiss_margin_db,
    hum_level_db,
    noise_level_dba,
    white_hiss_octaves_db,
)
from service.physics.chain.noise_floor import tone_threshold_db
from service.physics.chain.noise_rating import NOISE_RATING_OCTAVES_HZ, noise_rating_octaves_db, noise_rating_of_dba
from service.physics.chain.voice_coil import average_power_w
from service.physics.loudspeaker.sensitivity import sensitivity_db_2v83_1m_from_power
from service.physics.types import FloatArray
from service.physics.uncertainty import chance_above
from service.physics.weighting import a_weighting_db

_BACKGROUND_HUM_OCTAVE = NOISE_RATING_OCTAVES_HZ.index(125)
_BACKGROUND_HISS_OCTAVES = slice(NOISE_RATING_OCTAVES_HZ.index(HISS_OCTAVES_HZ[0]), None)
_HISS_WEIGHTS = 10 ** (a_weighting_db(np.array(HISS_OCTAVES_HZ, dtype=float)) / 10)

Number = TypeVar("Number")

_Columns: TypeAlias = dict[str, ArrayLike]
"""Some quantities by name, each of a shape that spreads over the table."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Quantities(Generic[Number]):
    """Every quantity of speakers with amplifiers, arrays (n speakers, m amplifiers), or the numbers of one pair.

    NaN where nothing is known. What needs a source is NaN where none was asked about.

    Attributes
    ----------
    power_into_speaker_w : Number
        Highest clean sine that arrives in the rated impedance behind the cable that was told. [W]
    peak_db, short_peak_db, in_phase_db : Number
        Level at the chair at clipping: steady, of a sound too short to fill the room, channels in phase. [dB SPL]
    amplifier_headroom_db, headroom_db : Number
        Above the loudest peaks, steady or short: as far as the amplifier goes, and as far as whatever ends first. [dB]
    power_standard_db, lowest_impedance_standard_db, differs_standard_db, headroom_standard_db : Number
        Standard uncertainties: of the power, of what the lowest impedance leaves open, of both, of the headroom. [dB]
    clean_peak_chance_pct : Number
        [%]
    average_power_w : Number
        That the speaker takes at the target. [W]
    power_into_rated_w, power_into_minimum_w, peak_current_a : Number
        At the terminals of the amplifier into the rated and the lowest impedance; into the lowest, peak of a sine.
        [W, A]
    load_loss_db : Number
        Voltage lost at the lowest impedance against the rated one, 0 or more. [dB]
    load_is_too_low : Number
        Whether the load is below the lowest that the amplifier is made for. [-]
    best_tap_ohm, tap_ohm : Number
        Of the output transformer: the best one, and the one that is counted. [ohm]
    output_impedance_ohm, level_swing_db, effective_damping_factor : Number
        [ohm, dB, -]
    hum_at_1m_db, hum_at_seat_db, hum_margin_db : Number
        Of one speaker in free field, at the chair, and re what hides it there. [dB]
    noise_at_1m_dba, noise_at_seat_dba, hiss_margin_db : Number
        The same of hiss; the margin is that of its loudest octave. [dB(A), dB(A), dB]
    gain_db, input_sensitivity_v, volume_below_full_db, drive_margin_db, input_overload_margin_db : Number
        From the source to the level at the chair. [dB, V, dB, dB, dB]
    """

    power_into_speaker_w: Number
    peak_db: Number
    short_peak_db: Number
    in_phase_db: Number
    amplifier_headroom_db: Number
    headroom_db: Number
    power_standard_db: Number
    lowest_impedance_standard_db: Number
    differs_standard_db: Number
    headroom_standard_db: Number
    clean_peak_chance_pct: Number
    average_power_w: Number
    power_into_rated_w: Number
    power_into_minimum_w: Number
    peak_current_a: Number
    load_loss_db: Number
    load_is_too_low: Number
    best_tap_ohm: Number
    tap_ohm: Number
    output_impedance_ohm: Number
    level_swing_db: Number
    effective_damping_factor: Number
    hum_at_1m_db: Number
    hum_at_seat_db: Number
    hum_margin_db: Number
    noise_at_1m_dba: Number
    noise_at_seat_dba: Number
    hiss_margin_db: Number
    noise_margin_db: Number
    gain_db: Number
    input_sensitivity_v: Number
    volume_below_full_db: Number
    drive_margin_db: Number
    input_overload_margin_db: Number


def of_pair(table: Quantities[FloatArray], speaker: int, amplifier: int) -> Quantities[float]:
    """Return the numbers of one pair of a table."""
    return Quantities(**{name: values[speaker, amplifier].item() for name, values in vars(table).items()})


def known(value: float) -> float | None:
    """Return a number, None where it is not known."""
    return None if np.isnan(value) else value


def quantities(
    seats: Sequence[SpeakerAtSeat],
    amplifiers: Sequence[AmplifierFacts],
    *,
    source: SignalSource | None,
    gains_db: Sequence[float | None] | None,
) -> Quantities[FloatArray]:
    """Return the quantities of speakers with amplifiers, each an array (n, m).

    Parameters
    ----------
    seats : sequence of SpeakerAtSeat
        The speakers, all at one chair. [-]
    amplifiers : sequence of AmplifierFacts
        [-]
    source : SignalSource or None
        What plays, settled; None where nothing about the volume control is asked. [-]
    gains_db : sequence of float or None
        Voltage gains of the amplifiers, with a source. [dB]
    """
    table = _Table(seats, amplifiers)
    power, sound, noise = table.power(), table.sound(), table.noise()
    gain = table.gain(source, gains_db, power["amplifier_headroom_db"])
    shape = (len(seats), len(amplifiers))
    found = {**power, **sound, **noise, **gain}
    return Quantities(**{name: _shared(np.broadcast_to(values, shape)) for name, values in found.items()})


def _shared(values: FloatArray) -> FloatArray:
    values = np.ascontiguousarray(values)
    values.setflags(write=False)
    return values


def _column(seats: Sequence[SpeakerAtSeat], value: Callable[[SpeakerAtSeat], ArrayLike]) -> FloatArray:
    """A number of each speaker, (n, 1), or an array of each, (n, 1, k)."""
    return np.array([value(seat) for seat in seats])[:, None]


class _Table:
    """Speakers down, amplifiers across."""

    def __init__(self, seats: Sequence[SpeakerAtSeat], amplifiers: Sequence[AmplifierFacts]) -> None:
        self.seats, self.amplifiers, self.scene = seats, amplifiers, seats[0].scene
        self.rated_ohm = _column(seats, lambda seat: seat.load.rated_ohm)
        self.lowest_ohm = _column(seats, lambda seat: seat.load.lowest_ohm)
        self.lowest_was_told = _column(seats, lambda seat: seat.load.lowest_was_told)
        self.target_db = _column(seats, lambda seat: seat.target_db)
        self.octaves_re_1m_db = _column(seats, lambda seat: seat.octaves_re_1m_db)
        self.at_2v83_db = sensitivity_db_2v83_1m_from_power(
            _column(seats, lambda seat: seat.speaker.sensitivity_db_1w_1m), impedance_ohm=self.rated_ohm
        )
        loads, cable_ohm = [seat.load for seat in seats], self.scene.cable_ohm
        found = [on_speakers(each, loads, cable_ohm=cable_ohm) for each in amplifiers]
        self.volts = {name: np.stack([each.volts[name] for each in found], axis=1) for name in VOLTS}
        self.best_tap_ohm = np.stack([each.best_tap_ohm for each in found], axis=1)
        self.tap_ohm = np.stack([each.tap_ohm for each in found], axis=1)
        self.output_ohm = np.stack([each.output_ohm for each in found], axis=1)
        self.power_standard_db = np.stack([each.power_standard_db for each in found], axis=1)

    def power(self) -> dict[str, FloatArray]:
        """Level, headroom and its uncertainty, powers, current and load."""
        volts, cable_ohm = self.volts, self.scene.cable_ohm
        seats, rated_ohm, lowest_ohm = self.seats, self.rated_ohm, self.lowest_ohm
        into_speaker_w = (volts["full"] / (rated_ohm + cable_ohm)) ** 2 * rated_ohm
        gained_db = 10 * np.log10(into_speaker_w)
        peak_db = _column(seats, lambda seat: seat.peak_db) + gained_db
        short_db = _column(seats, lambda seat: seat.short_peak_db) + gained_db
        amplifier_headroom_db = np.minimum(peak_db, short_db) - self.target_db
        # what ends the level before the amplifier does holds short peaks down by as much as steady ones
        other_db = _column(seats, lambda seat: seat.other_limit_db) - peak_db
        headroom_db = amplifier_headroom_db + np.minimum(other_db, 0.0)
        lowest_standard_db = left_open_by_impedance_db(
            volts["lowest_from"], volts["lowest_to"], was_told=self.lowest_was_told
        )
        differs_db = np.hypot(self.power_standard_db, lowest_standard_db)
        rest_db = _column(seats, lambda seat: standard_db(seat.parts))
        headroom_standard_db = np.hypot(rest_db, differs_db)
        at_target_w = into_speaker_w * 10 ** ((self.target_db - peak_db) / 10)
        judged_ohm = np.where(self.lowest_was_told, np.minimum(lowest_ohm, rated_ohm), rated_ohm)
        return {
            "power_into_speaker_w": into_speaker_w,
            "peak_db": peak_db,
            "short_peak_db": short_db,
            "in_phase_db": _column(seats, lambda seat: seat.in_phase_db) + gained_db,
            "amplifier_headroom_db": amplifier_headroom_db,
            "headroom_db": headroom_db,
            "power_standard_db": self.power_standard_db,
            "lowest_impedance_standard_db": lowest_standard_db,
            "differs_standard_db": differs_db,
            "headroom_standard_db": headroom_standard_db,
            "clean_peak_chance_pct": 100 * chance_above(headroom_db, standard_uncertainty_db=headroom_standard_db),
            "average_power_w": average_power_w(
                sine_power_w=at_target_w, crest_factor_db=self.scene.programme.crest_factor_db
            ),
            "power_into_rated_w": volts["rated"] ** 2 / rated_ohm,
            "power_into_minimum_w": volts["lowest"] ** 2 / lowest_ohm,
            "peak_current_a": np.sqrt(2) * volts["lowest_behind_cable"] / (lowest_ohm + cable_ohm),
            "load_loss_db": np.maximum(-20 * np.log10(volts["lowest"] / volts["rated"]), 0.0),
            "load_is_too_low": judged_ohm < np.array([each.told.minimum_load_ohm or 0.0 for each in self.amplifiers]),
            "best_tap_ohm": self.best_tap_ohm,
            "tap_ohm": self.tap_ohm,
        }

    def sound(self) -> _Columns:
        """Level swing and damping, NaN where the output impedance is not known."""
        cable_ohm = usual_or_told_cable_ohm(self.scene.request.cable)
        series_ohm = self.output_ohm + cable_ohm
        swing_db = np.full(series_ohm.shape, np.nan)
        for place, seat in enumerate(self.seats):
            given = np.isfinite(series_ohm[place])
            different_ohm, where = np.unique(series_ohm[place][given], return_inverse=True)
            if different_ohm.size:
                swing_db[place, given] = seat.load.level_swing_db(different_ohm)[where]
        damped = series_ohm > 0  # neither NaN nor nothing at all
        damping = effective_damping_factor(
            load_ohm=self.rated_ohm,
            output_impedance_ohm=np.where(damped, self.output_ohm, 1.0),
            loop_resistance_ohm=cable_ohm,
        )
        return {
            "output_impedance_ohm": self.output_ohm,
            "level_swing_db": swing_db,
            "effective_damping_factor": np.where(damped, damping, np.nan),
        }

    def noise(self) -> _Columns:
        """Hum and hiss, NaN where nothing is known of them.

        At 1 m it is the voltage through the sensitivity, of both channels as much in phase as bass is. At the chair hum
        rises or falls as the 125 Hz octave does, an average over the octave: the field of a single tone at a single
        chair can be 10 dB more or less. A bass section's crossover is not counted. Hiss is white; its octaves rise or
        fall as those of the music do.
        """
        background_dba = next((each.background_dba for each in self.amplifiers if each.background_dba), None)
        if background_dba is None:
            return dict.fromkeys(_NOISE, np.nan)
        background_db = noise_rating_octaves_db(noise_rating_of_dba(background_dba))
        hum, hiss = self._hum(background_db), self._hiss(background_db)
        return {**hum, **hiss, "noise_margin_db": np.fmax(hum["hum_margin_db"], hiss["hiss_margin_db"])}

    def _hum(self, background_db: FloatArray) -> dict[str, FloatArray]:
        hum_mv = np.array([each.hum_mv or np.nan for each in self.amplifiers])
        hum_hz = [each.hum_hz for each in self.amplifiers]
        heard = np.isfinite(hum_mv)
        at_1m_db = hum_level_db(
            sensitivity_db_2v83_1m=self.at_2v83_db, hum_voltage_v=np.where(heard, hum_mv, 1.0) / 1000, distance_m=1.0
        )
        at_seat_db = at_1m_db + self.octaves_re_1m_db[..., HUM_OCTAVE]
        threshold_db = np.array([np.nan if each is None else tone_threshold_db(each) for each in hum_hz])
        hidden_by_db = 10 * np.log10(10 ** (background_db[_BACKGROUND_HUM_OCTAVE] / 10) + 10 ** (threshold_db / 10))
        found = {"hum_at_1m_db": at_1m_db, "hum_at_seat_db": at_seat_db, "hum_margin_db": at_seat_db - hidden_by_db}
        return {name: np.where(heard, values, np.nan) for name, values in found.items()}

    def _hiss(self, background_db: FloatArray) -> dict[str, FloatArray]:
        noise_uv = np.array([each.noise_uv or np.nan for each in self.amplifiers])
        heard = np.isfinite(noise_uv)
        at_1m_dba = noise_level_dba(
            sensitivity_db_2v83_1m=self.at_2v83_db,
            noise_voltage_v=np.where(heard, noise_uv, 1.0) * 1e-6,
            distance_m=1.0,
        )
        at_1m_db = white_hiss_octaves_db(at_1m_dba)
        at_seat_db = at_1m_db + self.octaves_re_1m_db[..., HISS_OCTAVES]
        margin_db = hiss_margin_db(
            at_seat_db,
            background_octaves_db=background_db[_BACKGROUND_HISS_OCTAVES],
            threshold_octaves_db=np.array(HEARING_THRESHOLD_HISS_OCTAVES_DB),
        ).max(axis=-1)
        # 1 to 8 kHz carry nearly all of an A-weighted hiss: the whole rises or falls as their weighted sum does
        gain_db = 10 * np.log10((10 ** (at_seat_db / 10) @ _HISS_WEIGHTS) / (10 ** (at_1m_db / 10) @ _HISS_WEIGHTS))
        found = {
            "noise_at_1m_dba": at_1m_dba,
            "noise_at_seat_dba": at_1m_dba + gain_db,
            "hiss_margin_db": margin_db,
        }
        return {name: np.where(heard, values, np.nan) for name, values in found.items()}

    def gain(
        self, source: SignalSource | None, gains_db: Sequence[float | None] | None, amplifier_headroom_db: FloatArray
    ) -> _Columns:
        """How far the volume control is turned up, and how far the source drives each amplifier."""
        if source is None:
            return dict.fromkeys(_GAIN, np.nan)
        assert source.output_v is not None
        assert source.preamplifier_gain_db is not None
        full_v, gain_db = self.volts["full"], np.array(gains_db, dtype=float)
        sensitivity_v = sensitivity_of_gain_v(full_output_voltage_v=full_v, gain_db=gain_db)
        overload_v = np.array([each.told.input_overload_v or np.nan for each in self.amplifiers])
        chain = {"source_voltage_v": source.output_v, "preamplifier_gain_db": source.preamplifier_gain_db}
        return {
            "gain_db": gain_db,
            "input_sensitivity_v": sensitivity_v,
            "volume_below_full_db": volume_below_full_db(
                amplifier_gain_db=gain_db, output_voltage_v=full_v * 10 ** (-amplifier_headroom_db / 20), **chain
            ),
            "drive_margin_db": drive_margin_db(input_sensitivity_v=sensitivity_v, **chain),
            "input_overload_margin_db": np.where(
                np.isnan(overload_v),
                np.nan,
                -drive_margin_db(input_sensitivity_v=np.where(np.isnan(overload_v), 1.0, overload_v), **chain),
            ),
        }


_NOISE = (
    "hum_at_1m_db",
    "hum_at_seat_db",
    "hum_margin_db",
    "noise_at_1m_dba",
    "noise_at_seat_dba",
    "hiss_margin_db",
    "noise_margin_db",
)
_GAIN = ("gain_db", "input_sensitivity_v", "volume_below_full_db", "drive_margin_db", "input_overload_margin_db")
