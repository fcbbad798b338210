"""What an amplifier meets at its terminals: the impedance of the speaker over frequency, behind its cable."""

import functools
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from service.advice import policy
from service.advice.assumptions import Assumptions
from service.advice.speaker.model import LoudspeakerModel
from service.domain.equipment import Loudspeaker
from service.domain.load import Cable, DriverParameters
from service.domain.words import words
from service.physics.chain.cable import (
    awg_resistance_ohm_per_km,
    loop_resistance_ohm,
    resistance_ohm_per_km,
)
from service.physics.chain.load_impedance import (
    POINTS_PER_OCTAVE,
    ImpedanceCurve,
    impedance_curve,
    impedance_ohm,
    level_change_db,
)
from service.physics.chain.voice_coil import resistance_ratio
from service.physics.frozen import frozen_record
from service.physics.loudspeaker.driver_impedance import (
    Resonance,
    closed_box_resonance,
    driver_impedance_ohm,
    electrical_q_of_total,
    vented_box_impedance_ohm,
)
from service.physics.types import ComplexArray, FloatArray

_CURVE_IS = ("told", "of the driver", "usual for its kind")
_VENTED_LEAKAGE_Q = 7.0
_LITRE_M3 = 1e-3
_USUAL_CABLE = Cable(length_m=policy.CABLE_LENGTH_M, cross_section_mm2=policy.CABLE_CROSS_SECTION_MM2)


@dataclass(frozen=True, kw_only=True, eq=False)
class Load:
    """A loudspeaker as a load, in the band that the amplifier plays.

    `curve_ohm` are impedances over the band, complex where the phase is known, and `curve_hz` their frequencies; where
    no curve is known these are the lowest and the highest impedance that are usual, at no frequency in particular.
    """

    rated_ohm: float
    lowest_ohm: float
    lowest_hz: float | None
    lowest_from_ohm: float
    lowest_to_ohm: float
    lowest_was_told: bool
    highest_ohm: float
    highest_hz: float | None
    steepest_phase_deg: float | None
    steepest_phase_hz: float | None
    curve_ohm: np.ndarray
    curve_is: str
    curve_hz: np.ndarray | None

    def level_swing_db(self, series_ohm: ArrayLike) -> FloatArray:
        """Return how far a series resistance, or each of several, bends the response: loudest less softest. [dB]"""
        series = np.asarray(series_ohm, dtype=float)
        change_db = [
            level_change_db(self.curve_ohm, series_resistance_ohm=float(each), rated_impedance_ohm=self.rated_ohm)
            for each in np.atleast_1d(series)
        ]
        return np.ptp(np.array(change_db), axis=1).reshape(series.shape)

    def swing_peaks_at_hz(self, series_ohm: float) -> float | None:
        """Return the frequency where the level rises most, None where no curve is known. [Hz]"""
        if self.curve_hz is None:
            return None
        change_db = level_change_db(
            self.curve_ohm, series_resistance_ohm=series_ohm, rated_impedance_ohm=self.rated_ohm
        )
        return float(self.curve_hz[change_db.argmax()])


def load_of(told: Loudspeaker, speaker: LoudspeakerModel) -> Load:
    """Return a loudspeaker as a load.

    Parameters
    ----------
    told : Loudspeaker
        As told: its impedance curve or its driver, where known. [-]
    speaker : LoudspeakerModel
        The same with every fact settled. [-]

    Returns
    -------
    Load

    Notes
    -----
    A curve counts within its own ends: nothing is guessed beyond them. Below the crossover of a bass section with its
    own amplifier the customer's amplifier plays nothing.
    """
    curve = _curve(told)
    if curve is None:
        return _usual_load(told, speaker)
    low_hz, high_hz = policy.LOAD_BAND_HZ
    low_hz = max(low_hz, speaker.bass_section_below_hz or 0.0, float(curve.frequency_hz[0]))
    high_hz = min(high_hz, float(curve.frequency_hz[-1]))
    if high_hz <= low_hz:  # the curve lies where this amplifier does not play
        return _usual_load(told, speaker)
    given = curve.frequency_hz[(curve.frequency_hz > low_hz) & (curve.frequency_hz < high_hz)]
    count = int(np.ceil(POINTS_PER_OCTAVE * np.log2(high_hz / low_hz))) + 2
    grid_hz = np.clip(np.geomspace(low_hz, high_hz, count), low_hz, high_hz)
    frequency_hz = np.union1d(grid_hz, given)
    impedance = np.asarray(impedance_ohm(curve, frequency_hz=frequency_hz))
    magnitude, phase_deg = np.abs(impedance), np.degrees(np.angle(impedance))
    lowest, highest, steepest = magnitude.argmin(), magnitude.argmax(), np.abs(phase_deg).argmax()
    lowest_ohm = float(magnitude[lowest])
    has_phase = curve.phase_deg is not None
    return Load(
        rated_ohm=speaker.impedance_ohm,
        lowest_ohm=lowest_ohm,
        lowest_hz=float(frequency_hz[lowest]),
        lowest_from_ohm=lowest_ohm,
        lowest_to_ohm=lowest_ohm,
        lowest_was_told=True,
        highest_ohm=float(magnitude[highest]),
        highest_hz=float(frequency_hz[highest]),
        steepest_phase_deg=float(phase_deg[steepest]) if has_phase else None,
        steepest_phase_hz=float(frequency_hz[steepest]) if has_phase else None,
        curve_ohm=impedance,
        curve_is=_CURVE_IS[0] if told.impedance else _CURVE_IS[1],
        curve_hz=frequency_hz,
    )


def _usual_load(told: Loudspeaker, speaker: LoudspeakerModel) -> Load:
    lowest_ohm, usual = speaker.minimum_impedance_ohm, speaker.usual
    from_ohm = to_ohm = lowest_ohm
    if told.lowest_told_impedance_ohm is None:
        from_ohm = usual.minimum_impedance_from_ratio * speaker.impedance_ohm
        to_ohm = usual.minimum_impedance_to_ratio * speaker.impedance_ohm
    return Load(
        rated_ohm=speaker.impedance_ohm,
        lowest_ohm=lowest_ohm,
        lowest_hz=None,
        lowest_from_ohm=from_ohm,
        lowest_to_ohm=to_ohm,
        lowest_was_told=told.lowest_told_impedance_ohm is not None,
        highest_ohm=max(speaker.maximum_impedance_ohm, lowest_ohm),
        highest_hz=None,
        steepest_phase_deg=None,
        steepest_phase_hz=None,
        curve_ohm=np.array([lowest_ohm, max(speaker.maximum_impedance_ohm, lowest_ohm)]),
        curve_is=_CURVE_IS[2],
        curve_hz=None,
    )


@functools.lru_cache(maxsize=256)
def _curve(told: Loudspeaker) -> ImpedanceCurve | None:
    """The curve that was told, or that follows from the driver; None where neither is known."""
    if told.impedance:
        phases = [point.phase_deg for point in told.impedance if point.phase_deg is not None]  # of all points or none
        return frozen_record(
            impedance_curve(
                frequency_hz=[point.frequency_hz for point in told.impedance],
                magnitude_ohm=[point.magnitude_ohm for point in told.impedance],
                phase_deg=phases or None,
            )
        )
    if told.driver_parameters is None:
        return None
    low_hz, high_hz = policy.LOAD_BAND_HZ
    frequency_hz = np.geomspace(low_hz, high_hz, policy.DRIVER_CURVE_POINTS)
    impedance = _driver_impedance_ohm(told.driver_parameters, frequency_hz)
    return frozen_record(
        impedance_curve(
            frequency_hz=frequency_hz, magnitude_ohm=np.abs(impedance), phase_deg=np.degrees(np.angle(impedance))
        )
    )


def _driver_impedance_ohm(driver: DriverParameters, frequency_hz: FloatArray) -> ComplexArray:
    electrical_q = driver.electrical_q
    if electrical_q is None:
        assert driver.total_q is not None
        electrical_q = electrical_q_of_total(total_q=driver.total_q, mechanical_q=driver.mechanical_q)
    free_air = Resonance(resonance_hz=driver.resonance_hz, mechanical_q=driver.mechanical_q, electrical_q=electrical_q)
    coil = {"dc_resistance_ohm": driver.dc_resistance_ohm, "inductance_h": driver.inductance_mh * 1e-3}
    if driver.box == "open":
        return np.asarray(driver_impedance_ohm(frequency_hz, resonance=free_air, **coil))
    assert driver.compliance_volume_l is not None
    assert driver.box_volume_l is not None
    volumes = {
        "compliance_volume_m3": driver.compliance_volume_l * _LITRE_M3,
        "box_volume_m3": driver.box_volume_l * _LITRE_M3,
    }
    if driver.box == "closed":
        in_box = closed_box_resonance(free_air=free_air, **volumes)
        return np.asarray(driver_impedance_ohm(frequency_hz, resonance=in_box, **coil))
    assert driver.tuning_hz is not None
    return np.asarray(
        vented_box_impedance_ohm(
            frequency_hz,
            free_air=free_air,
            tuning_hz=driver.tuning_hz,
            leakage_q=_VENTED_LEAKAGE_Q,
            **volumes,
            **coil,
        )
    )


def told_cable_ohm(cable: Cable | None) -> float:
    """Return the resistance of a cable there and back, 0 where none was told. [ohm]

    What a usual cable costs is a few hundredths of a decibel: no level counts it unless it was told.
    """
    if cable is None:
        return 0.0
    if cable.awg is None:
        assert cable.cross_section_mm2 is not None
        per_km = resistance_ohm_per_km(cross_section_mm2=cable.cross_section_mm2, conductor="flexible")
    else:
        per_km = awg_resistance_ohm_per_km(cable.awg)
    cold_ohm = float(loop_resistance_ohm(length_m=cable.length_m, conductor_resistance_ohm_per_km=per_km))
    if cable.temperature_c is None:
        return cold_ohm
    return cold_ohm * float(resistance_ratio(temperature_rise_k=cable.temperature_c - 20.0))


def usual_or_told_cable_ohm(cable: Cable | None) -> float:
    """Return the resistance of the cable there and back, that of a usual one where none was told. [ohm]"""
    return told_cable_ohm(cable or _USUAL_CABLE)


def settled_cable_ohm(cable: Cable | None, assume: Assumptions) -> float:
    """Return the same, and list the usual cable where it is the one. [ohm]"""
    if cable is None:
        value = {
            "cable_length_m": _USUAL_CABLE.length_m,
            "cable_cross_section_mm2": _USUAL_CABLE.cross_section_mm2,
        }
        assume.add(None, value, why=words("assumptions.cable"), source="practice")
    return usual_or_told_cable_ohm(cable)
