"""Several amplifiers on several speakers at once: every number of a comparison as an array, speakers by amplifiers.

Speakers and rooms are settled once, amplifiers once; what is between them is array arithmetic, with the same formulas
as of one pair (`match_entry`).
"""

import numpy as np

from service.advice import policy
from service.advice.answers.match import MatchTable, MatchTableRow
from service.advice.pairing.grade import graded, ranks
from service.advice.pairing.match_table_facts import TableAmplifiers, TableSpeakers
from service.advice.speaker.load import settled_cable_ohm
from service.physics.chain.cable import effective_damping_factor
from service.physics.chain.gain_structure import volume_below_full_db
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
from service.physics.uncertainty import chance_above, standard_from_half_width
from service.physics.weighting import a_weighting_db

_HUM_OCTAVE = 1
_HISS_OCTAVES = slice(4, 8)
_BACKGROUND_HUM_OCTAVE = NOISE_RATING_OCTAVES_HZ.index(125)
_BACKGROUND_HISS_OCTAVES = slice(NOISE_RATING_OCTAVES_HZ.index(HISS_OCTAVES_HZ[0]), None)
_HISS_WEIGHTS = 10 ** (a_weighting_db(np.array(HISS_OCTAVES_HZ, dtype=float)) / 10)


def match_table(seats, amplifiers, *, names, source, taste, assume):
    """Return the comparison of several amplifiers on several speakers.

    Parameters
    ----------
    seats : list of SpeakerAtSeat
        The speakers, settled, all at one seat of one room. [-]
    amplifiers : sequence of (str, Amplifier)
        Each with the pointer where it stands. [-]
    names : list of Words
        What to call the amplifiers. [-]
    source : SignalSource
        Settled. [-]
    taste : str
        Key of `policy.SWING_LIMIT_DB`. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]

    Returns
    -------
    MatchTable

    Raises
    ------
    DomainError
        The ratings of an amplifier contradict each other, or its gain and input sensitivity do.
    """
    speakers = TableSpeakers.of(seats)
    brought = TableAmplifiers(seats, amplifiers, speakers, assume)
    cable_ohm = settled_cable_ohm(seats[0].cable, assume)
    numbers = {
        **_power_numbers(speakers, brought),
        **_sound_numbers(speakers, brought, cable_ohm),
        **_noise_numbers(speakers, brought),
    }
    numbers["volume_below_full_db"] = volume_below_full_db(
        source_voltage_v=source.output_v,
        preamplifier_gain_db=source.preamplifier_gain_db,
        amplifier_gain_db=brought.gain_db,
        output_voltage_v=brought.full_v * 10 ** (-numbers["amplifier_headroom_db"] / 20),
    )
    lowest_ohm = np.where(speakers.lowest_was_told, speakers.lowest_ohm, speakers.rated_ohm)
    grades = graded(
        headroom_db=numbers["headroom_db"],
        uncertainty_db=numbers["headroom_uncertainty_db"],
        load_loss_db=numbers["load_loss_db"],
        load_is_too_low=np.minimum(lowest_ohm, speakers.rated_ohm) < brought.least_load_ohm,
        noise_margin_db=numbers["noise_margin_db"],
        noise_was_told=brought.noise_was_told,
        level_swing_db=numbers["level_swing_db"],
        taste=taste,
        volume_below_full_db=numbers["volume_below_full_db"],
    ).overall
    return MatchTable(
        amplifiers=names,
        rows=[_row(seat, place, grades, numbers) for place, seat in enumerate(seats)],
    )


def _power_numbers(speakers, brought):
    """Headroom with its uncertainty, powers and current, each (n, m)."""
    into_speaker_w = (brought.full_v / (speakers.rated_ohm + brought.cable_ohm)) ** 2 * speakers.rated_ohm
    gained_db = 10 * np.log10(into_speaker_w)
    peak_db, short_db = speakers.peak_1w_db + gained_db, speakers.short_1w_db + gained_db
    amplifier_headroom_db = np.minimum(peak_db, short_db) - speakers.target_db
    headroom_db = amplifier_headroom_db + np.minimum(speakers.other_limit_db - peak_db, 0.0)
    half_db = np.abs(20 * np.log10(brought.lowest_to_v / brought.lowest_from_v)) / 2
    counts = ~speakers.lowest_was_told & (half_db >= policy.WORTH_ASKING_DB)
    differs_db = np.hypot(brought.power_standard_db, np.where(counts, standard_from_half_width(half_db), 0.0))
    uncertainty_db = np.hypot(speakers.rest_standard_db, differs_db)
    # the average of a sine power of 1 W, for each programme
    average_of_sine = average_power_w(sine_power_w=1.0, crest_factor_db=speakers.crest_factor_db)
    lowest_behind_ohm = speakers.lowest_ohm + brought.cable_ohm
    return {
        "amplifier_headroom_db": amplifier_headroom_db,
        "headroom_db": headroom_db,
        "headroom_uncertainty_db": uncertainty_db,
        "differs_standard_db": differs_db,
        "clean_peak_chance_pct": 100 * chance_above(headroom_db, standard_uncertainty_db=uncertainty_db),
        "average_power_w": into_speaker_w * 10 ** ((speakers.target_db - peak_db) / 10) * average_of_sine,
        "power_into_rated_w": brought.rated_v**2 / speakers.rated_ohm,
        "power_into_minimum_w": brought.lowest_v**2 / speakers.lowest_ohm,
        "peak_current_a": np.sqrt(2) * brought.lowest_behind_cable_v / lowest_behind_ohm,
        "load_loss_db": np.maximum(-20 * np.log10(brought.lowest_v / brought.rated_v), 0.0),
        "best_tap_ohm": brought.best_tap_ohm,
    }


def _sound_numbers(speakers, brought, cable_ohm):
    """Level swing and damping, each (n, m), NaN where the output impedance is not known."""
    series_ohm = brought.output_ohm + cable_ohm
    swing_db = np.full(series_ohm.shape, np.nan)
    for place, seat in enumerate(speakers.seats):
        known = np.isfinite(series_ohm[place])
        different_ohm, where = np.unique(series_ohm[place][known], return_inverse=True)
        if different_ohm.size:
            swing_db[place, known] = seat.basis.load.level_swing_db(different_ohm)[where]
    damped = series_ohm > 0  # neither NaN nor nothing at all
    damping = effective_damping_factor(
        load_ohm=speakers.rated_ohm,
        output_impedance_ohm=np.where(damped, brought.output_ohm, 1.0),
        loop_resistance_ohm=cable_ohm,
    )
    return {"level_swing_db": swing_db, "effective_damping_factor": np.where(damped, damping, np.nan)}


def _noise_numbers(speakers, brought):
    """Hiss and hum, each (n, m), NaN where nothing is known of them."""
    shape = (len(speakers.seats), len(brought.told))
    names = ("noise_at_1m_dba", "noise_at_seat_dba", "noise_margin_db")
    if brought.background_dba is None:
        return {name: np.full(shape, np.nan) for name in names}
    background_db = noise_rating_octaves_db(noise_rating_of_dba(brought.background_dba))
    with_hiss, with_hum = np.isfinite(brought.noise_uv), np.isfinite(brought.hum_mv)
    at_1m_dba = noise_level_dba(
        sensitivity_db_2v83_1m=speakers.at_2v83_db,
        noise_voltage_v=np.where(with_hiss, brought.noise_uv, 1.0) * 1e-6,
        distance_m=1.0,
    )
    at_1m_db = white_hiss_octaves_db(at_1m_dba)
    at_seat_db = at_1m_db + speakers.octaves_re_1m_db[..., _HISS_OCTAVES]
    hiss_db = hiss_margin_db(
        at_seat_db,
        background_octaves_db=background_db[_BACKGROUND_HISS_OCTAVES],
        threshold_octaves_db=np.array(HEARING_THRESHOLD_HISS_OCTAVES_DB),
    ).max(axis=-1)
    gain_db = 10 * np.log10((10 ** (at_seat_db / 10) @ _HISS_WEIGHTS) / (10 ** (at_1m_db / 10) @ _HISS_WEIGHTS))
    hum_at_1m_db = hum_level_db(
        sensitivity_db_2v83_1m=speakers.at_2v83_db,
        hum_voltage_v=np.where(with_hum, brought.hum_mv, 1.0) / 1000,
        distance_m=1.0,
    )
    threshold_db = np.array([tone_threshold_db(each) if np.isfinite(each) else np.nan for each in brought.hum_hz])
    hidden_by_db = 10 * np.log10(10 ** (background_db[_BACKGROUND_HUM_OCTAVE] / 10) + 10 ** (threshold_db / 10))
    hum_db = hum_at_1m_db + speakers.octaves_re_1m_db[..., _HUM_OCTAVE] - hidden_by_db
    return {
        "noise_at_1m_dba": np.where(with_hiss, at_1m_dba, np.nan),
        "noise_at_seat_dba": np.where(with_hiss, at_1m_dba + gain_db, np.nan),
        "noise_margin_db": np.fmax(np.where(with_hiss, hiss_db, np.nan), np.where(with_hum, hum_db, np.nan)),
    }


_SHOWN = (
    "headroom_db",
    "headroom_uncertainty_db",
    "clean_peak_chance_pct",
    "average_power_w",
    "power_into_rated_w",
    "power_into_minimum_w",
    "peak_current_a",
    "load_loss_db",
    "level_swing_db",
    "effective_damping_factor",
    "noise_at_1m_dba",
    "noise_at_seat_dba",
    "noise_margin_db",
    "volume_below_full_db",
    "best_tap_ohm",
)


def _row(seat, place, grades, numbers):
    """One speaker with all amplifiers, in the order in which they were told."""
    order, found = ranks(
        grades[place].tolist(),
        numbers["headroom_db"][place].tolist(),
        numbers["differs_standard_db"][place].tolist(),
    )
    by_amplifier = dict(zip(order, found, strict=True))
    return MatchTableRow(
        speaker=seat.name,
        best_first=order,
        rank=[by_amplifier[index] for index in range(len(order))],
        grade=[policy.GRADES[index] for index in grades[place].tolist()],
        **{name: numbers[name][place] for name in _SHOWN},
    )
