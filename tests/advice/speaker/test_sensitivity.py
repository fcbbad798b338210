"""What a sensitivity means: its space, the missing low end, and how high it can be. Check values are closed forms,
recomputed by hand beside them."""

import math

import numpy as np
import pytest

from service.advice.assumptions import Assumptions
from service.advice.language.localise import said
from service.advice.speaker.model import loudspeaker_model
from service.domain.errors import DomainError
from tests.advice.bodies import ask, body, codes, level_of, request
from tests.advice.show_room import free_field, speaker_of

# sensitivity, its space, and the missing low end ----------------------------------------------------------------------


def test_direct_level_of_a_data_sheet():
    # 88 dB at 2.83 V, 4 ohm: 88 - 10 lg(2.83^2 / 4) = 84.985; + 10 lg 100 - 20 lg 3.2 = 94.88; a pair 3.01 more
    posted = body(
        speaker={"sensitivity_db_1w_1m": None, "sensitivity_db_2v83_1m": 88, "nominal_impedance_ohm": 4},
        amplifier={"power_w": 100, "load_ohm": 4},
        room=None,
        listening_distance_m=3.2,
    )
    answer = ask("level", posted)
    assert answer.direct_single_db == pytest.approx(94.88, abs=0.005)
    assert answer.direct_pair_db == pytest.approx(94.88 + 3.01, abs=0.005)


@pytest.mark.parametrize(("space", "low_db"), [("free_field", 0.0), ("half_space", -6.02), ("unknown", -3.0)])
def test_bass_below_the_baffle_step(space, low_db):
    # 0.30 m wide: half of the loss at 115 / 0.30 = 383 Hz (common practice, no source)
    speaker = speaker_of(sensitivity_space=space, cabinet_width_m=0.30)
    assert speaker.baffle_gain_db(np.array([1.0, 383.33, 40_000.0])) == pytest.approx([low_db, low_db / 2, 0], abs=0.01)


def test_roll_off_is_6_db_down_at_the_low_limit_and_comes_on_top():
    speaker = speaker_of(sensitivity_space="half_space", cabinet_width_m=0.30, low_limit_hz=48)
    at_limit = np.array([48.0])
    # 10 lg(1 / 4) = -6.02, and the baffle step on top of it
    assert speaker.low_end_gain_db(at_limit) == pytest.approx(-6.0206 + speaker.baffle_gain_db(at_limit), abs=1e-3)


def test_half_space_figure_lowers_the_bass_at_the_chair():
    free, half = (level_of(speaker={"sensitivity_space": space}) for space in ("free_field", "half_space"))
    drop_db = free.bands.level_db - half.bands.level_db
    # shelf at 115 / 0.35 = 329 Hz; at 63.1 Hz x = 0.192: 10 lg[0.5 (0.5 + 0.0369) / (1 + 0.5 * 0.0369)] = -5.79 dB; the
    # octave's upper end counts more, where the speaker rolls off below 50 Hz: -5.60 dB at 88 Hz
    assert 5.60 < drop_db[0] < 5.79
    assert drop_db[-1] == pytest.approx(0.0, abs=0.02)


def test_low_limit_takes_the_bass_out_of_the_level():
    low, high = (level_of(speaker={"low_limit_hz": limit}) for limit in (20, 120))
    assert low.bands.level_db[0] - high.bands.level_db[0] > 15  # 4th order: about 24 dB an octave below 120 Hz
    assert low.peak_spl_db > high.peak_spl_db


def test_excursion_limit_is_that_of_full_space():
    # 0.053 m2, 5 mm: 95.07 dB at 40 Hz and 1 m into full space; p grows with f^2, so 40 lg(31.623 / 40) less in the
    # third of 31.5 Hz. A programme of 98 dB at 1 m with the share w in a third wants 98 + 10 lg w there; the ratios
    # add in energy. Shares of the programme noise, 31.5 to 160 Hz: -7.4 -5.2 -3.5 -2.3 -1.4 -0.9 -0.5 -0.2 re +12.56
    # dB.
    thirds_db = np.array([-7.4, -5.2, -3.5, -2.3, -1.4, -0.9, -0.5, -0.2]) - 12.56
    frequency_hz = 1000 * 10 ** (np.arange(-15, -7) / 10)
    possible_db = 95.07 + 40 * np.log10(frequency_hz / 40)
    over_db = 10 * math.log10((10 ** ((98 + thirds_db - possible_db) / 10)).sum())
    answer = free_field(speaker={"driver": {"area_m2": 0.053, "peak_excursion_m": 0.005}})
    limit = next(limit for limit in answer.limits if limit.code == "excursion")
    assert limit.peak_spl_db == pytest.approx(answer.peak_spl_db - over_db, abs=0.02)


def test_excursion_uses_the_air_of_the_room():
    # half the density, half the pressure for the same travel: 6.02 dB; at 60 kPa 20 lg(60 / 101.325) = -4.55 dB
    driver = {"driver": {"area_m2": 0.05, "peak_excursion_m": 0.003}}
    margins = []
    for pressure_kpa in (101.325, 60):
        answer = level_of(speaker=driver, room={"pressure_kpa": pressure_kpa})
        limit = next(limit for limit in answer.limits if limit.code == "excursion")
        margins.append(limit.peak_spl_db - answer.peak_spl_db)
    assert margins[1] - margins[0] == pytest.approx(-4.55, abs=0.01)


# directivity and the bound on sensitivity -----------------------------------------------------------------------------


def test_more_than_121_db_is_refused_without_a_directivity():
    # 109.15 dB of one acoustic watt into full space, plus 12 dB: 121.15
    assert level_of(speaker={"sensitivity_db_1w_1m": 121, "kind": "horn"}).direct_single_db > 115
    posted = request(
        "level",
        body(speaker={"sensitivity_db_2v83_1m": 119, "sensitivity_db_1w_1m": None, "nominal_impedance_ohm": 16}),
    )  # 119 + 3.0 = 122 dB at 1 W
    with pytest.raises(DomainError) as refused:
        loudspeaker_model(posted.speaker, Assumptions(), speed_of_sound_m_s=343.2)
    assert "121.15" in said(refused.value.detail, "en")
    assert refused.value.code == "above_physics"
    assert refused.value.pointer == "/speaker/sensitivity_db_2v83_1m"


def test_the_bound_follows_the_directivity_that_was_told():
    # DI 3: at most 112.15 dB; DI 0: 109.15
    assert level_of(speaker={"sensitivity_db_1w_1m": 112, "directivity_index_db": 3}).peak_spl_db > 100
    for sensitivity_db, index_db in ((112.3, 3), (109.3, 0)):
        with pytest.raises(DomainError, match="above_physics"):
            level_of(speaker={"sensitivity_db_1w_1m": sensitivity_db, "directivity_index_db": index_db})


def test_data_sheets_hold_at_sea_level_whatever_the_room():
    high = {"pressure_kpa": 60, "temperature_c": 45}
    assert level_of(speaker={"sensitivity_db_1w_1m": 121}, room=high).direct_single_db > 115


@pytest.mark.parametrize(("sensitivity_db", "asks"), [(105.9, False), (106.0, False), (106.1, True), (110.0, True)])
def test_above_106_db_the_directivity_is_asked_for(sensitivity_db, asks):
    answer = level_of(speaker={"sensitivity_db_1w_1m": sensitivity_db, "kind": "horn"})
    assert ("directivity_needed" in codes(answer.findings)) is asks
    told = level_of(speaker={"sensitivity_db_1w_1m": sensitivity_db, "kind": "horn", "directivity_index_db": 9})
    assert "directivity_needed" not in codes(told.findings)
