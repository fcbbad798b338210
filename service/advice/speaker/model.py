"""A loudspeaker as the level budget needs it: sensitivity, low end, directivity and how sure each is."""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from service.advice import policy
from service.advice.assumptions import DEFAULTS, Default
from service.advice.octaves import by_octave, over_octaves
from service.domain.equipment import HIGHEST_MINIMUM_IMPEDANCE_RATIO
from service.domain.errors import DomainError
from service.domain.limits import LIMITS
from service.domain.reference_data import SpeakerKind
from service.domain.words import words
from service.physics.air import characteristic_impedance_pa_s_m
from service.physics.bands import OCTAVE_NOMINAL_HZ
from service.physics.frozen import frozen
from service.physics.level_budget import GRID_HZ
from service.physics.loudspeaker import low_end
from service.physics.loudspeaker.sensitivity import (
    highest_possible_sensitivity_db,
    sensitivity_db_1w_1m_from_voltage,
)
from service.tables.loader import speaker_kinds

_HALF_SPACE_LOSS_DB = -6.02
_HIGHEST_WITHOUT_DIRECTIVITY_DB = float(
    highest_possible_sensitivity_db(
        directivity_index_db=0.0,
        characteristic_impedance_pa_s_m=characteristic_impedance_pa_s_m(
            temperature_c=DEFAULTS["temperature_c"].value, pressure_kpa=DEFAULTS["pressure_kpa"].value
        ),
    )
)


@dataclass(frozen=True, kw_only=True)
class LoudspeakerModel:
    """One loudspeaker with every fact settled.

    `bass_gain_db` is the free-field gain far below the baffle step; `basis_spread_db` what the sensitivity would gain
    if its unstated basis were the other one. `usual` is what is usual for the kind, which `kind_was_told` or not;
    `kind_directivity_standard_db` the uncertainty of a directivity that follows from a kind that was told.
    """

    sensitivity_db_1w_1m: float
    basis_spread_db: float
    impedance_ohm: float
    minimum_impedance_ohm: float
    maximum_impedance_ohm: float
    long_term_power_w: float
    kind: str
    kind_was_told: bool
    usual: SpeakerKind
    radiation: str
    low_limit_hz: float
    low_order: int
    bass_gain_db: float
    bass_gain_standard_db: float
    baffle_width_m: float
    path_length_m: float | None
    speed_of_sound_m_s: float
    directivity_index_db: np.ndarray
    directivity_standard_db: np.ndarray
    kind_directivity_standard_db: np.ndarray
    directivity_was_told: bool
    asks_for_directivity: bool
    bass_section_below_hz: float | None

    @cached_property
    def grid_low_end_gain_db(self):
        """The same on the frequencies of the level budget. [dB]"""
        return frozen(self.low_end_gain_db(GRID_HZ))

    @cached_property
    def baffle_gain_by_octave_db(self):
        """Gain of the baffle alone at the eight octaves. [dB]"""
        return frozen(self.baffle_gain_db(np.array(OCTAVE_NOMINAL_HZ, dtype=float)))

    def low_end_gain_db(self, frequency_hz):
        """Return the free-field gain re the sensitivity, baffle and roll-off together. [dB]"""
        roll_off = low_end.roll_off_gain_db(frequency_hz, low_limit_hz=self.low_limit_hz, order=self.low_order)
        return roll_off + self.baffle_gain_db(frequency_hz)

    def baffle_gain_db(self, frequency_hz):
        """Return the gain that the baffle alone gives re the sensitivity. [dB]"""
        if self.path_length_m is not None:
            return low_end.dipole_baffle_gain_db(
                frequency_hz, path_length_m=self.path_length_m, speed_of_sound_m_s=self.speed_of_sound_m_s
            )
        return low_end.baffle_step_gain_db(
            frequency_hz, baffle_width_m=self.baffle_width_m, low_frequency_gain_db=self.bass_gain_db
        )


def loudspeaker_model(speaker, assume, *, speed_of_sound_m_s):
    """Settle every fact of a loudspeaker.

    Parameters
    ----------
    speaker : Loudspeaker
        As told. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]
    speed_of_sound_m_s : float
        For the path of an open baffle. [m/s]

    Raises
    ------
    DomainError
        The sensitivity is above what physics allows.
    """
    kind = settled_kind(speaker, assume)
    kind_was_told = speaker.kind is not None or speaker.bass_section is not None
    usual = speaker_kinds()[kind]
    impedance_ohm = _rated_impedance_ohm(speaker, assume)
    sensitivity_db, basis_spread_db = _sensitivity(speaker, impedance_ohm, assume)
    directivity_db = directivity_index_db(speaker, kind, assume)
    told_directivity = speaker.directivity_index_db is not None or speaker.directivity_index_by_octave_db is not None
    _refuse_impossible(speaker, sensitivity_db, directivity_db, told_directivity)
    bass_gain_db, bass_standard_db = _bass_gain(speaker, usual, assume)
    low_limit_hz = settled_low_limit_hz(speaker, kind, assume)
    low_order = assume.take(
        speaker.pointer("low_order"),
        speaker.low_order,
        default=_usual(usual, "low_order", spread=(usual.low_order_from, usual.low_order_to)),
    )
    width_m = assume.take(speaker.pointer("cabinet_width_m"), speaker.cabinet_width_m)
    path_m = None
    if usual.radiation == "dipole":
        height_m = assume.take(speaker.pointer("cabinet_height_m"), speaker.cabinet_height_m)
        # standing on the floor doubles the height of the plate by its mirror image
        path_m = float(low_end.dipole_path_length_of_rectangle_m(width_m=width_m, height_m=2 * height_m))
    kind_standard_db = np.array(
        [usual.directivity_standard_to_2_khz_db] * 6 + [usual.directivity_standard_above_db] * 2
    )
    return LoudspeakerModel(
        sensitivity_db_1w_1m=sensitivity_db,
        basis_spread_db=basis_spread_db,
        impedance_ohm=impedance_ohm,
        minimum_impedance_ohm=_minimum_impedance_ohm(speaker, usual, impedance_ohm, assume),
        maximum_impedance_ohm=usual.maximum_impedance_ratio * impedance_ohm,
        long_term_power_w=assume.take(
            speaker.pointer("long_term_power_w"),
            speaker.long_term_power_w,
            default=_usual(
                usual, "long_term_power_w", spread=(usual.long_term_power_from_w, usual.long_term_power_to_w)
            ),
        ),
        kind=kind,
        kind_was_told=kind_was_told,
        usual=usual,
        radiation=usual.radiation,
        low_limit_hz=low_limit_hz,
        low_order=low_order,
        bass_gain_db=bass_gain_db,
        bass_gain_standard_db=bass_standard_db,
        baffle_width_m=width_m,
        path_length_m=path_m,
        speed_of_sound_m_s=speed_of_sound_m_s,
        directivity_index_db=directivity_db,
        directivity_standard_db=_directivity_standard_db(
            kind_standard_db, told=told_directivity, kind_was_told=kind_was_told
        ),
        kind_directivity_standard_db=kind_standard_db,
        directivity_was_told=told_directivity,
        asks_for_directivity=not told_directivity and sensitivity_db > policy.ASK_FOR_DIRECTIVITY_ABOVE_DB,
        bass_section_below_hz=speaker.bass_section.crossover_hz if speaker.bass_section else None,
    )


def _usual(usual, name, *, spread, value=None):
    """What is usual for a kind of speaker as a default; its sentence stands in the catalogue under the name."""
    return Default(
        value=getattr(usual, name) if value is None else value,
        why=words(f"assumptions.speaker_kind.{name}", kind=usual.id),
        source=usual.source,
        spread=spread,
    )


def _rated_impedance_ohm(speaker, assume):
    """Rated impedance; one that was not told is never below what the lowest impedance allows. [ohm]"""
    low_ohm = speaker.lowest_told_impedance_ohm
    usual = DEFAULTS["nominal_impedance_ohm"]
    if low_ohm is not None and low_ohm > usual.value * HIGHEST_MINIMUM_IMPEDANCE_RATIO:
        usual = Default(value=low_ohm, why=words("assumptions.nominal_impedance_from_lowest"), source="ours")
    return assume.take(speaker.pointer("nominal_impedance_ohm"), speaker.nominal_impedance_ohm, default=usual)


def _minimum_impedance_ohm(speaker, usual, impedance_ohm, assume):
    """Lowest impedance, as told or usual for the kind; no lower than one that can be told. [ohm]"""

    def allowed(ratio):
        return max(round(ratio * impedance_ohm, 4), LIMITS["impedance_ohm"].minimum)

    spread = (allowed(usual.minimum_impedance_from_ratio), allowed(usual.minimum_impedance_to_ratio))
    default = _usual(usual, "minimum_impedance_ohm", spread=spread, value=allowed(usual.minimum_impedance_ratio))
    return assume.take(speaker.pointer("minimum_impedance_ohm"), speaker.lowest_told_impedance_ohm, default=default)


def settled_kind(speaker, assume):
    """Return the kind of a speaker, as told, as its bass section shows, or the usual one."""
    return assume.take(
        speaker.pointer("kind"), speaker.kind or ("top_with_bass_section" if speaker.bass_section else None)
    )


def settled_low_limit_hz(speaker, kind, assume):
    """Return the low limit of a speaker, that of its bass section where it has one. [Hz]"""
    row = speaker_kinds()[kind]
    usual = _usual(row, "low_limit_hz", spread=(row.low_limit_from_hz, row.low_limit_to_hz))
    if speaker.bass_section is None:
        return assume.take(speaker.pointer("low_limit_hz"), speaker.low_limit_hz, default=usual)
    return assume.take(speaker.bass_section.pointer("low_limit_hz"), speaker.bass_section.low_limit_hz, default=usual)


def radiation_of(kind):
    """Return how a speaker of a kind radiates in the bass: monopole or dipole."""
    return speaker_kinds()[kind].radiation


def _sensitivity(speaker, impedance_ohm, assume):
    if speaker.sensitivity_db_1w_1m is not None:
        return speaker.sensitivity_db_1w_1m, 0.0
    ohm = {"impedance_ohm": impedance_ohm}
    if speaker.sensitivity_db_2v83_1m is not None:
        return float(sensitivity_db_1w_1m_from_voltage(speaker.sensitivity_db_2v83_1m, **ohm)), 0.0
    at_voltage_db = float(sensitivity_db_1w_1m_from_voltage(speaker.sensitivity_db_1m, **ohm))
    lower_db, higher_db = sorted((speaker.sensitivity_db_1m, at_voltage_db))
    assume.add(
        None,
        {"sensitivity_db_1w_1m": lower_db},
        why=words("assumptions.sensitivity_basis"),
        source="ours",
        spread=(lower_db, higher_db),
    )
    return lower_db, higher_db - lower_db


def directivity_index_db(speaker, kind, assume):
    """Return the directivity index by octave, as told or usual for the kind, shape (8,). [dB]"""
    if speaker.directivity_index_db is not None:
        return np.full(8, speaker.directivity_index_db)
    if speaker.directivity_index_by_octave_db is not None:
        return over_octaves(speaker.directivity_index_by_octave_db)
    usual = speaker_kinds()[kind]
    to_2_khz_db, above_db = (
        math.sqrt(3) * standard_db
        for standard_db in (usual.directivity_standard_to_2_khz_db, usual.directivity_standard_above_db)
    )
    half_widths_db = (to_2_khz_db,) * 6 + (above_db,) * 2
    least_db = LIMITS["directivity_index_db"].minimum
    pairs = list(zip(usual.directivity_index_db, half_widths_db, strict=True))
    lowest = by_octave([max(round(value - half, 1), least_db) for value, half in pairs])
    highest = by_octave([round(value + half, 1) for value, half in pairs])
    assume.add(
        speaker.pointer("directivity_index_by_octave_db"),
        by_octave(usual.directivity_index_db),
        why=words("assumptions.speaker_kind.directivity_index_by_octave_db", kind=kind),
        source=usual.source,
        spread={octave: (lowest[octave], highest[octave]) for octave in lowest},
    )
    return np.array(usual.directivity_index_db)


def _directivity_standard_db(of_kind_db, *, told, kind_was_told):
    """Standard uncertainty of the directivity index by octave, shape (8,). [dB]"""
    if told:
        return np.full(8, policy.TOLD_DIRECTIVITY_STANDARD_DB)
    return of_kind_db if kind_was_told else np.full(8, policy.UNTOLD_KIND_DIRECTIVITY_STANDARD_DB)


def _refuse_impossible(speaker, sensitivity_db, directivity_db, told_directivity):
    """A claim above 100 % efficiency is refused, at the directivity told, or at a generous one when none was told.

    Data sheets are written at 20 degrees and sea level, whatever the air of the room that is asked about.
    """
    index_db = float(directivity_db.max()) if told_directivity else policy.MOST_PLAUSIBLE_DIRECTIVITY_INDEX_DB
    bound_db = _HIGHEST_WITHOUT_DIRECTIVITY_DB + index_db
    if sensitivity_db > bound_db:
        raise DomainError(
            pointer=speaker.pointer(speaker.sensitivity_field),
            code="above_physics",
            detail=words(
                "refusals_speaker.above_physics", sensitivity_db=sensitivity_db, index_db=index_db, bound_db=bound_db
            ),
            given=speaker.told_sensitivity_db,
            allowed=words("refusals_speaker.above_physics.allowed", bound_db=bound_db),
        )


def _bass_gain(speaker, usual, assume):
    """Gain far below the baffle step and its standard uncertainty."""
    if usual.radiation == "dipole":
        return 0.0, 0.0
    default = None
    if usual.sensitivity_space != DEFAULTS["sensitivity_space"].value:
        default = _usual(usual, "sensitivity_space", spread=None)
    space = assume.take(speaker.pointer("sensitivity_space"), speaker.sensitivity_space, default=default)
    if space == "free_field":
        return 0.0, 0.0
    if space == "half_space":
        return _HALF_SPACE_LOSS_DB, 0.0
    return policy.UNKNOWN_SPACE_GAIN_DB, policy.UNKNOWN_SPACE_STANDARD_DB
