"""Exposure of ears: the printed tables of each rule, worked examples, and what must hold for any dose."""

import math

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.hearing import daily_dose, equal_energy
from service.physics.hearing.equal_energy import WHO_ITU_ADULT_WEEK, WHO_ITU_SENSITIVE_WEEK
from tests.published import Published
from tests.published_tables import published_rows


def _niosh_record(row):
    units_s = {"hours": 3600, "minutes": 60, "seconds": 1}
    filled = {unit: int(row[unit]) for unit in units_s if row[unit]}
    printed_unit_s = min(units_s[unit] for unit in filled)
    return Published(
        printed=str(sum(units_s[unit] * number for unit, number in filled.items())),
        unit="s",
        source="NIOSH-98-126",
        where=f"Table 1-1, {row['level_dba']} dB(A)",
        inputs={"level_dba": float(row["level_dba"])},
        tolerance=printed_unit_s / 2,
        why_wider="half of the unit the time is printed in",
    )


NIOSH_TIMES = [_niosh_record(row) for row in published_rows("niosh_98_126_table_1_1")]


@pytest.mark.parametrize("row", NIOSH_TIMES, ids=lambda row: row.where)
def test_niosh_allowed_time_published(row):
    row.check(3600.0 * daily_dose.niosh_allowed_hours(**row.inputs))


def test_niosh_row_that_is_misprinted():
    # Table 1-1 prints 18 min 59 s at 99 dB(A);
    # 480 min / 2^(14/3) = 480 / 25.3984 = 18.8988 min = 18 min 53.9 s
    assert 3600.0 * daily_dose.niosh_allowed_hours(99.0) == pytest.approx(18 * 60 + 53.9, abs=0.05)


OSHA_ROUNDED = {
    ("G-16", "92"): "printed 6 for 6.06: the table is rounded, the formula is in Appendix A",
    ("G-16", "97"): "printed 3 for 3.03: the table is rounded, the formula is in Appendix A",
    ("G-16", "102"): "printed 1.5 for 1.52: the table is rounded, the formula is in Appendix A",
    ("G-16a", "83"): "printed 21.2 in one copy and 21.1 in an older one for 21.11",
}


def _osha_record(row):
    reason = OSHA_ROUNDED.get((row["table"], row["level_dba"]))
    return Published(
        printed=row["hours"],
        unit="h",
        source="OSHA-29-CFR-1910-95",
        where=f"Table {row['table']}, {row['level_dba']} dB(A)",
        inputs={"level_dba": float(row["level_dba"])},
        tolerance=0.1 if reason else None,
        why_wider=reason,
    )


OSHA_TIMES = [_osha_record(row) for row in published_rows("osha_29_cfr_1910_95_tables")]


@pytest.mark.parametrize("row", OSHA_TIMES, ids=lambda row: row.where)
def test_osha_allowed_time_published(row):
    row.check(daily_dose.osha_allowed_hours(**row.inputs))


@pytest.mark.parametrize(("level_dba", "expected_h"), [(83, 21.112), (92, 6.0629), (97, 3.0314), (102, 1.5157)])
def test_osha_rows_that_are_rounded(level_dba, expected_h):
    # 8 / 2^((L - 90) / 5) by hand: 8 * 2^1.4, 8 / 2^0.4, 8 / 2^1.4, 8 / 2^2.4
    assert daily_dose.osha_allowed_hours(level_dba) == pytest.approx(expected_h, abs=2e-4)


def test_average_published():
    niosh = Published(printed="88.01", unit="dB(A)", source="NIOSH-98-126", where="200 %", inputs={"dose_pct": 200.0})
    niosh.check(daily_dose.niosh_twa_dba(**niosh.inputs))


def test_average_at_the_limit_is_the_limit():
    assert daily_dose.niosh_twa_dba(dose_pct=100.0) == 85.0


def test_a_day_of_two_periods():
    # 94 dB(A) half an hour, 88 dB(A) two hours. NIOSH: 0.5 / 1 + 2 / 4 = 100 %. OSHA from 80 dB(A):
    # 0.5 / (8 / 2^0.8) + 2 / (8 * 2^0.4) = 10.88 + 18.95 = 29.83 %; from 90 only the first counts
    day = {"hours": [0.5, 2.0]}
    assert daily_dose.niosh_dose_pct([94.0, 88.0], **day) == pytest.approx(100.0, rel=1e-12)
    for threshold_dba, expected_pct in [
        (daily_dose.OSHA_HEARING_CONSERVATION_THRESHOLD_DBA, 29.83),
        (daily_dose.OSHA_PERMISSIBLE_EXPOSURE_THRESHOLD_DBA, 10.88),
    ]:
        dose_pct = daily_dose.osha_dose_pct([94.0, 88.0], threshold_dba=threshold_dba, **day)
        assert dose_pct == pytest.approx(expected_pct, abs=0.005)


def test_allowed_time_of_a_loud_evening():
    # 85.41 dB(A): 8 / 2^(0.41 / 3) = 8 / 1.0994 = 7.28 h
    assert daily_dose.niosh_allowed_hours(85.41) == pytest.approx(7.28, abs=0.005)


def test_a_level_at_the_threshold_counts_and_one_below_does_not():
    at = daily_dose.osha_dose_pct([90.0], hours=[8.0], threshold_dba=90.0)
    below = daily_dose.osha_dose_pct([89.999], hours=[8.0], threshold_dba=90.0)
    assert at == 100.0
    assert below == 0.0


def test_thresholds_of_the_regulation():
    # 29 CFR 1910.95: 80 for hearing conservation, 90 for the permissible exposure
    assert daily_dose.OSHA_HEARING_CONSERVATION_THRESHOLD_DBA == 80.0
    assert daily_dose.OSHA_PERMISSIBLE_EXPOSURE_THRESHOLD_DBA == 90.0


def test_values_of_the_european_directive():
    # 2003/10/EC Article 3, text seen
    values = (
        equal_energy.EU_LOWER_ACTION_VALUE_DBA,
        equal_energy.EU_UPPER_ACTION_VALUE_DBA,
        equal_energy.EU_EXPOSURE_LIMIT_VALUE_DBA,
    )
    assert values == (80.0, 85.0, 87.0)


WEEKLY_HOURS = [
    Published(
        printed=printed,
        unit="h",
        source="ITU-T-H870",
        where=f"mode 1, {level_dba} dB(A), recomputed by hand: 40 / 10^((L - 80) / 10)",
        inputs={"level_dba": level_dba},
    )
    for level_dba, printed in {
        83: "20.05",
        86: "10.05",
        89: "5.04",
        92: "2.52",
        95: "1.265",
        98: "0.634",
        101: "0.318",
        107: "0.0798",
    }.items()
]


@pytest.mark.parametrize("row", WEEKLY_HOURS, ids=lambda row: row.where)
def test_weekly_allowance(row):
    adult_hours = equal_energy.who_itu_allowed_hours(**row.inputs, weekly_limit=WHO_ITU_ADULT_WEEK)
    row.check(adult_hours)
    # 75 instead of 80 dB(A): 10^0.5 = 3.1623 times less
    sensitive_hours = equal_energy.who_itu_allowed_hours(**row.inputs, weekly_limit=WHO_ITU_SENSITIVE_WEEK)
    assert adult_hours / sensitive_hours == pytest.approx(math.sqrt(10.0), rel=1e-12)


def test_weekly_dose_by_hand():
    # mode 1: 90 dB(A) allows 4 h, 80 dB(A) 40 h: 1 / 4 + 6 / 40 = 40 %; mode 2 3.1623 times as much
    week = {"hours": [1.0, 6.0]}
    adult = equal_energy.who_itu_week_dose_pct([90.0, 80.0], weekly_limit=WHO_ITU_ADULT_WEEK, **week)
    assert adult == pytest.approx(40.0, rel=1e-12)
    sensitive = equal_energy.who_itu_week_dose_pct([90.0, 80.0], weekly_limit=WHO_ITU_SENSITIVE_WEEK, **week)
    assert sensitive == pytest.approx(126.49, abs=0.005)


@pytest.mark.parametrize(
    ("weekly_limit", "exposure_pa2h"),
    [(WHO_ITU_ADULT_WEEK, 1.600), (WHO_ITU_SENSITIVE_WEEK, 0.506)],
)
def test_weekly_allowance_as_sound_exposure(weekly_limit, exposure_pa2h):
    # H.870: 1.6 and 0.51 Pa2 h. One hour at p^2 = 1.6 Pa2 has the level 10 lg(1.6 / 4e-10)
    level_dba = 10.0 * math.log10(exposure_pa2h / 4e-10)
    dose_pct = equal_energy.who_itu_week_dose_pct([level_dba], hours=[1.0], weekly_limit=weekly_limit)
    assert dose_pct == pytest.approx(100.0, abs=0.05)


def test_welder_of_iso_9612():
    # ISO 9612 Annex D (inputs from memory): breaks 1.5 h at 70.0, welding 5 h at 80.8, cutting 1.5 h at
    # 90.1 dB(A); by hand 62.7, 78.8, 82.8 dB(A), sum 84.3
    row = Published(printed="84.3", unit="dB(A)", source="ISO-9612", where="Annex D, welder", inputs={})
    row.check(equal_energy.lex_8h_dba([70.0, 80.8, 90.1], hours=[1.5, 5.0, 1.5]))


def test_daily_exposure_by_hand():
    # 95 dB(A) for one hour: 95 - 10 lg 8 = 85.97
    assert equal_energy.lex_8h_dba([95.0], hours=[1.0]) == pytest.approx(85.97, abs=0.005)


def test_equivalent_level_by_hand():
    # 90 for 1 h and 80 for 3 h: 80 + 10 lg((10 + 3) / 4) = 85.119
    assert equal_energy.equivalent_level_dba([90.0, 80.0], hours=[1.0, 3.0]) == pytest.approx(85.119, abs=5e-4)


def test_equivalent_level_of_eight_hours_is_the_daily_exposure():
    day = {"hours": [2.5, 4.0, 1.5]}
    assert equal_energy.equivalent_level_dba([88.0, 71.0, 93.0], **day) == pytest.approx(
        equal_energy.lex_8h_dba([88.0, 71.0, 93.0], **day), rel=1e-14
    )


DOSES = [
    lambda levels_dba, hours: daily_dose.niosh_dose_pct(levels_dba, hours=hours),
    lambda levels_dba, hours: daily_dose.osha_dose_pct(levels_dba, hours=hours, threshold_dba=80.0),
    lambda levels_dba, hours: equal_energy.who_itu_week_dose_pct(
        levels_dba, hours=hours, weekly_limit=WHO_ITU_ADULT_WEEK
    ),
]
EXPOSURES = [
    *DOSES,
    lambda levels_dba, hours: equal_energy.lex_8h_dba(levels_dba, hours=hours),
    lambda levels_dba, hours: equal_energy.equivalent_level_dba(levels_dba, hours=hours),
]


@pytest.mark.parametrize("exposure", EXPOSURES)
def test_splitting_or_reordering_periods_changes_nothing(exposure):
    whole = exposure([92.0, 84.0], [3.0, 2.0])
    assert exposure([84.0, 92.0, 84.0, 92.0], [0.5, 1.0, 1.5, 2.0]) == pytest.approx(whole, rel=1e-13)
    assert exposure([92.0, 84.0, 120.0], [3.0, 2.0, 0.0]) == pytest.approx(whole, rel=1e-13)


@pytest.mark.parametrize("dose", DOSES)
def test_doses_add_and_grow_with_time(dose):
    apart = dose([97.0], [1.0]) + dose([85.0], [2.0])
    assert dose([97.0, 85.0], [1.0, 2.0]) == pytest.approx(apart, rel=1e-13)
    assert dose([97.0, 85.0], [3.0, 6.0]) == pytest.approx(3.0 * apart, rel=1e-13)


def test_the_allowed_time_is_a_full_dose():
    for level_dba in (80.0, 87.3, 101.0):
        niosh = daily_dose.niosh_dose_pct([level_dba], hours=[daily_dose.niosh_allowed_hours(level_dba)])
        osha_hours = daily_dose.osha_allowed_hours(level_dba)
        osha = daily_dose.osha_dose_pct([level_dba], hours=[osha_hours], threshold_dba=80.0)
        assert niosh == pytest.approx(100.0, rel=1e-12)
        assert osha == pytest.approx(100.0, rel=1e-12)


def test_exchange_rates():
    # halved for 3 dB, for 5 dB, and for 3.0103 dB
    assert daily_dose.niosh_allowed_hours([91.0, 94.0]) == pytest.approx([2.0, 1.0], rel=1e-12)
    assert daily_dose.osha_allowed_hours([95.0, 100.0]) == pytest.approx([4.0, 2.0], rel=1e-12)
    halved = equal_energy.who_itu_allowed_hours(80.0 + 10.0 * math.log10(2.0), weekly_limit=WHO_ITU_ADULT_WEEK)
    assert halved == pytest.approx(20.0, rel=1e-12)


def test_eight_hours_at_one_level_average_to_that_level():
    # NIOSH prints 10 for 3 / lg 2 = 9.966: 0.01 dB a few dB from the limit
    niosh = daily_dose.niosh_dose_pct([88.0], hours=[8.0])
    assert daily_dose.niosh_twa_dba(dose_pct=niosh) == pytest.approx(88.0, abs=0.011)


def test_niosh_agrees_with_equal_energy():
    # the 3 dB rule is equal energy within 0.24 % for each 3 dB: 2 against 10^0.3
    hours = [1.0, 2.0, 3.0]
    levels_dba = [82.0, 85.0, 88.0]
    by_energy_pct = 100.0 * 10.0 ** ((equal_energy.lex_8h_dba(levels_dba, hours=hours) - 85.0) / 10.0)
    assert daily_dose.niosh_dose_pct(levels_dba, hours=hours) == pytest.approx(by_energy_pct, rel=2.5e-3)


def test_no_time_is_no_dose():
    assert [dose([100.0], [0.0]) for dose in DOSES] == [0.0, 0.0, 0.0]


NOT_FINITE = [math.nan, math.inf, -math.inf, "85", None]


@pytest.mark.parametrize("value", NOT_FINITE)
def test_levels_refused(value):
    for exposure in EXPOSURES:
        with pytest.raises(OutOfRangeError, match="levels_dba"):
            exposure([85.0, value], [1.0, 1.0])
    for allowed in (daily_dose.niosh_allowed_hours, daily_dose.osha_allowed_hours):
        with pytest.raises(OutOfRangeError, match="level_dba"):
            allowed(value)
    with pytest.raises(OutOfRangeError, match="level_dba"):
        equal_energy.who_itu_allowed_hours(value, weekly_limit=WHO_ITU_ADULT_WEEK)
    with pytest.raises(OutOfRangeError, match="threshold_dba"):
        daily_dose.osha_dose_pct([95.0], hours=[1.0], threshold_dba=value)


BAD_HOURS = [[-0.1, 1.0], [math.nan, 1.0], [math.inf, 1.0], [1.0], [1.0, 1.0, 1.0], [[1.0, 1.0]], 1.0]


@pytest.mark.parametrize("hours", BAD_HOURS)
@pytest.mark.parametrize("exposure", EXPOSURES)
def test_hours_refused(exposure, hours):
    with pytest.raises(OutOfRangeError, match="hours"):
        exposure([85.0, 90.0], hours)


@pytest.mark.parametrize("function", [equal_energy.lex_8h_dba, equal_energy.equivalent_level_dba])
@pytest.mark.parametrize(("levels_dba", "hours"), [([85.0, 90.0], [0.0, 0.0]), ([], [])])
def test_an_average_over_no_time_is_refused(function, levels_dba, hours):
    with pytest.raises(OutOfRangeError, match="hours"):
        function(levels_dba, hours=hours)


@pytest.mark.parametrize("dose_pct", [0.0, -1.0, *NOT_FINITE])
def test_an_average_of_no_dose_is_refused(dose_pct):
    with pytest.raises(OutOfRangeError, match="dose_pct"):
        daily_dose.niosh_twa_dba(dose_pct=dose_pct)


def test_allowed_times_keep_the_shape():
    assert daily_dose.niosh_allowed_hours(np.full((2, 3), 85.0)).shape == (2, 3)
