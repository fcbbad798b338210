"""A bass section with its own amplifier beside the top: trim, reach, headroom, sum at the crossover; and sections."""

import math

import pytest

from tests.advice.bodies import body, codes
from tests.advice.compared import OPEN_AIR, entry

BASS = {"crossover_hz": 120, "sensitivity_db_2v83_1m": 90, "gain_db": 29, "power_w": 100}
TOP = {"kind": "top_with_bass_section", "sensitivity_db_2v83_1m": 100}
AMPLIFIER = {"power_w": 8, "load_ohm": 8, "gain_db": 14}


def of(bass=BASS, *, amplifier=AMPLIFIER, **changes):
    """Return the bass section of an entry, and the entry itself."""
    base = body(OPEN_AIR, speaker={**TOP, "bass_section": bass})
    found = entry(amplifier, base=base, **changes)
    return found.bass_section, found


def test_trim_from_the_line():
    # 100 + 14 - 90 - 29 = -5 dB
    section, found = of()
    assert section.trim_db == pytest.approx(-5.0)
    assert section.beyond_range_db is None
    assert "bass_section_trim" in codes(found.findings)


def test_trim_from_the_terminals_does_not_hang_on_the_amplifier():
    # 100 - 90 - 6 = 4 dB whatever the gain of the amplifier
    terminals = {**BASS, "input": "speaker_terminals", "gain_db": 6}
    trims = [of(terminals, amplifier={**AMPLIFIER, "gain_db": gain})[0].trim_db for gain in (14, 26)]
    assert trims == [pytest.approx(4.0)] * 2


def test_without_a_gain_there_is_no_trim_but_a_sum():
    section, _ = of({"crossover_hz": 120})
    assert section.trim_db is section.trim_in_room_db is section.own_amplifier_headroom_db is None
    assert section.sum_at_crossover_db == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(("room_db", "counted_db"), [(2.0, 2.0), (9.0, 3.0), (-7.0, -3.0)])
def test_the_room_counts_within_three_decibels(monkeypatch, room_db, counted_db):
    from service.advice.match import bass_section as match_bass

    monkeypatch.setattr(match_bass, "_room_gain_db", lambda seat, crossover_hz: room_db)
    section, _ = of()
    assert section.room_gain_db == room_db
    assert section.trim_in_room_db == pytest.approx(-5.0 - counted_db)


def test_a_pair_in_free_field_adds_in_phase_in_the_bass():
    # the two channels add by 6 dB in the bass and by 3 dB above: the octave of 125 Hz is nearly all in phase
    section, _ = of()
    assert 2.0 < section.room_gain_db < 3.1


@pytest.mark.parametrize(
    ("reach", "missing_db", "code"), [((-3, 3), -1, True), ((-20, 0), 0, False), ((0, 6), -1, True)]
)
def test_reach_of_the_level_control(reach, missing_db, code):
    section, found = of({**BASS, "trim_from_db": reach[0], "trim_to_db": reach[1]})
    assert math.copysign(1, section.beyond_range_db) == (missing_db or 1)
    assert (section.beyond_range_db != 0) is code
    assert ("trim_out_of_reach" in codes(found.findings)) is code
    if code:
        assert section.beyond_range_db == pytest.approx(section.trim_in_room_db - reach[0])


def test_gain_that_is_missing():
    _, found = of({**BASS, "gain_db": 0, "trim_from_db": -3, "trim_to_db": 3})
    assert "gain" in next(each.text for each in found.findings if each.code == "trim_out_of_reach")


@pytest.mark.parametrize(
    ("alignment", "order", "polarity", "sum_db"),
    [
        # in phase and inverted: orders 1 and 3 stay at 0 dB; order 2 cancels in phase and gives 3.01 dB inverted;
        # Linkwitz-Riley of order 2 is whole when inverted, of order 4 in phase. [LINKWITZ-1976]
        ("butterworth", 1, "as_top", 0.0),
        ("butterworth", 3, "reversed", 0.0),
        ("butterworth", 2, "reversed", 3.01),
        ("butterworth", 4, "as_top", 3.01),
        ("linkwitz_riley", 2, "reversed", 0.0),
        ("linkwitz_riley", 4, "as_top", 0.0),
    ],
)
def test_sum_at_the_crossover(alignment, order, polarity, sum_db):
    bass = {**BASS, "crossover_alignment": alignment, "crossover_order": order, "polarity": polarity}
    section, found = of(bass)
    assert section.sum_at_crossover_db == pytest.approx(sum_db, abs=0.005)
    assert "sections_cancel" not in codes(found.findings)


def test_the_wrong_polarity_is_told():
    section, found = of({**BASS, "crossover_alignment": "linkwitz_riley", "crossover_order": 2})
    assert section.sum_at_crossover_db < -40
    assert section.better_polarity == "reversed"
    assert section.sum_with_better_polarity_db == pytest.approx(0.0, abs=0.001)
    assert "sections_cancel" in codes(found.findings)


def test_half_a_wavelength_is_the_other_polarity():
    # 343.2 m/s / 120 Hz / 2 = 1.43 m
    section, _ = of({**BASS, "further_away_m": 1.43})
    assert section.better_polarity == "reversed"
    assert section.sum_at_crossover_db < -20


def test_its_own_amplifier_has_its_own_headroom():
    # ten times the power is 10 dB more, while the top's own headroom stays
    (small, one), (large, other) = of(), of({**BASS, "power_w": 1000})
    assert large.own_amplifier_headroom_db - small.own_amplifier_headroom_db == pytest.approx(10.0)
    assert one.headroom_db == pytest.approx(other.headroom_db)


# sections ------------------------------------------------------------------------------------------------------------


def section_limit(sections, code, **speaker):
    found = entry(AMPLIFIER, speaker={"sections": sections, **speaker})
    return next(limit.peak_spl_db for limit in found.limits if limit.code == code), found


def test_a_section_bears_its_share():
    # twice the power it bears is 3.01 dB; a section padded down by 4 dB bears 4 dB more
    def tweeter(**facts):
        return section_limit(
            [{"to_hz": 2000}, {"from_hz": 2000, "long_term_power_w": 5, **facts}], "section_long_term_power"
        )[0]

    assert tweeter(long_term_power_w=10) - tweeter() == pytest.approx(3.01, abs=0.005)
    assert tweeter(sensitivity_db_2v83_1m=102) - tweeter(sensitivity_db_2v83_1m=98) == pytest.approx(4.0)
    # half the impedance takes twice the power of one voltage
    assert tweeter(impedance_ohm=8) - tweeter(impedance_ohm=4) == pytest.approx(3.01, abs=0.005)


def test_one_section_over_everything_is_the_speaker():
    limit_db, found = section_limit([{"long_term_power_w": 30}], "section_long_term_power", long_term_power_w=30)
    whole_db = next(limit.peak_spl_db for limit in found.limits if limit.code == "long_term_power")
    assert limit_db == pytest.approx(whole_db, abs=0.02)  # the thirds below 20 Hz and above 20 kHz are left out


def test_a_lowest_section_on_its_own_amplifier_is_a_bass_section():
    sections = [
        {"to_hz": 120, "amplifier": "own", "power_w": 100, "sensitivity_db_2v83_1m": 90},
        {"from_hz": 120, "name": "top"},
    ]
    as_section = entry(AMPLIFIER, speaker={"sections": sections, "kind": "top_with_bass_section", "low_limit_hz": None})
    as_bass = entry(
        AMPLIFIER,
        speaker={
            "kind": "top_with_bass_section",
            "low_limit_hz": None,
            "bass_section": {"crossover_hz": 120, "power_w": 100, "sensitivity_db_2v83_1m": 90},
        },
    )
    assert as_section.headroom_db == pytest.approx(as_bass.headroom_db)
    assert as_section.bass_section.own_amplifier_headroom_db == pytest.approx(
        as_bass.bass_section.own_amplifier_headroom_db
    )


def test_travel_of_the_driver_of_a_section():
    # twice the travel is 6.02 dB
    def woofer(travel_m):
        driver = {"area_m2": 0.02, "peak_excursion_m": travel_m}
        return section_limit([{"to_hz": 300, "driver": driver}, {"from_hz": 300}], "section_excursion")[0]

    assert woofer(0.004) - woofer(0.002) == pytest.approx(6.02, abs=0.01)
