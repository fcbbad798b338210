"""How loud somebody listens: in words or as a reading, what it asks of the peaks, and how sure it makes the answer."""

import math

import marshmallow
import pytest

from service.web.reading.faults import flatten
from tests.advice.bodies import ask, body, codes, level_of, part_db, request
from tests.published_tables import published_rows

WORDS_DBA = {"background": 60, "everyday": 70, "attentive": 78, "loud": 85, "like_live": 92}
"""Average at the chair; our judgement, stated in the design."""
CREST_DB = {"orchestral": 18, "jazz_small_group": 17, "pop_rock": 12, "electronic": 12, "voice_chamber": 15}
CREST_OF_SINE_DB = 3.01  # 10 lg 2
PRINTED_DB = 0.02  # the printed weighting is rounded to 0.1 dB
A_WEIGHTING_DB = {row["nominal_hz"]: float(row["a_db"]) for row in published_rows("iec_61672_1_table_3")}
PROGRAMME_DB = {row["nominal_hz"]: float(row["level_db"]) for row in published_rows("iec_60268_1_table_ii")}


def spectrum_of(programme):
    """Third-octave levels by nominal frequency: the printed programme noise, changed where the tables say so. [dB]"""
    levels_db = dict(PROGRAMME_DB)
    if programme == "electronic":  # 4 dB more from 40 to 100 Hz, 2 dB more at 31.5 and 125 Hz
        for nominal in levels_db:
            more_db = 4 if 40 <= float(nominal) <= 100 else 2 if nominal in ("31.5", "125") else 0
            levels_db[nominal] += more_db
    if programme == "voice_chamber":  # 6 dB an octave more below 125 Hz: 2 dB for each third
        thirds = [nominal for nominal in levels_db if float(nominal) < 125]
        for steps, nominal in enumerate(reversed(thirds), start=1):
            levels_db[nominal] -= 2 * steps
    return levels_db


def offset_db(programme):
    """A-weighted level of a programme less its unweighted level, summed from printed tables. [dB]"""
    levels_db = spectrum_of(programme)
    weighted = sum(10 ** ((level + A_WEIGHTING_DB[nominal]) / 10) for nominal, level in levels_db.items())
    return 10 * math.log10(weighted / sum(10 ** (level / 10) for level in levels_db.values()))


# what is asked of the peaks -------------------------------------------------------------------------------------------


def test_offset_of_the_programme_noise():
    # -2.615 dB by the formula of the A weighting: its printed values, to 0.1 dB, lie 0.01 dB from that
    assert offset_db("orchestral") == pytest.approx(-2.615, abs=PRINTED_DB)


def test_target_of_attentive_orchestral_music_by_hand():
    # 78 dB(A) on the meter are 78 + 2.615 = 80.615 dB unweighted; crest 18 dB, of a sine 3.01 dB: 95.605 dB
    answer = level_of(programme="orchestral", listening="attentive")
    assert answer.peak_target_db == pytest.approx(95.605, abs=0.01)
    assert answer.average_at_target_dba == pytest.approx(78.0, abs=1e-6)


@pytest.mark.parametrize("programme", CREST_DB)
@pytest.mark.parametrize("level_dba", [62.5, 85, 99])
def test_target_is_the_average_less_its_weighting_plus_the_crest(programme, level_dba):
    answer = level_of(programme=programme, listening_level_dba=level_dba)
    expected_db = level_dba - offset_db(programme) + CREST_DB[programme] - CREST_OF_SINE_DB
    assert answer.peak_target_db == pytest.approx(expected_db, abs=PRINTED_DB)
    assert answer.average_at_target_dba == pytest.approx(level_dba, abs=1e-6)
    assert answer.steady_headroom_db == pytest.approx(answer.peak_spl_db - expected_db, abs=PRINTED_DB)


@pytest.mark.parametrize("word", WORDS_DBA)
def test_a_word_is_its_level(word):
    said, read = level_of(listening=word), level_of(listening_level_dba=WORDS_DBA[word])
    for name in ("peak_target_db", "average_at_target_dba", "headroom_db", "average_power_w", "peak_spl_db"):
        assert getattr(said, name) == pytest.approx(getattr(read, name)), name
    taken = [item for item in said.assumptions if item.value == {"listening_level_dba": WORDS_DBA[word]}]
    assert [item.spread for item in taken] == [(WORDS_DBA[word] - 3, WORDS_DBA[word] + 3)]
    assert not [item for item in read.assumptions if "listening_level_dba" in str(item.value)]


def test_a_level_of_the_programme_is_listed_with_its_spread():
    # orchestral as heard at home: 85 dB - 2.615 = 82.385 dB(A), 5 dB either way
    taken = [item for item in level_of(programme="orchestral").assumptions if "listening_level_dba" in str(item.value)]
    assert [item.value["listening_level_dba"] for item in taken] == [pytest.approx(82.385, abs=0.01)]
    assert taken[0].spread == (pytest.approx(77.385, abs=0.01), pytest.approx(87.385, abs=0.01))


def test_a_level_alone_takes_the_usual_programme():
    # the crest of orchestral music, 18 dB: 80 + 2.615 + 18 - 3.01 = 97.605 dB
    assert level_of(listening_level_dba=80).peak_target_db == pytest.approx(97.605, abs=0.01)


def test_ten_decibels_less_is_a_tenth_of_the_power_and_ten_decibels_more_headroom():
    loud, soft = level_of(listening_level_dba=85), level_of(listening_level_dba=75)
    assert soft.average_power_w == pytest.approx(loud.average_power_w / 10)
    assert soft.power_needed_w.for_average == pytest.approx(loud.power_needed_w.for_average / 10)
    assert soft.power_needed_w.for_peaks == pytest.approx(loud.power_needed_w.for_peaks / 10)
    assert soft.headroom_db == pytest.approx(loud.headroom_db + 10)
    assert soft.sensitivity_needed_db_1w_1m == pytest.approx(loud.sensitivity_needed_db_1w_1m - 10)
    assert soft.peak_spl_db == loud.peak_spl_db
    # a meter at the chair reads what the average power makes: a reading and its power agree at any level
    assert level_of(listening_level_dba=85, amplifier={"power_w": 80}).average_power_w == pytest.approx(
        loud.average_power_w
    )


def test_average_power_by_hand():
    # the amplifier's full sine power lies headroom above the target, the average crest - 3.01 dB below the target
    answer = level_of(programme="pop_rock", listening="loud")
    expected_w = 8 * 10 ** (-(answer.steady_headroom_db + 12 - CREST_OF_SINE_DB) / 10)
    assert answer.average_power_w == pytest.approx(expected_w, rel=1e-3)


# how sure -------------------------------------------------------------------------------------------------------------


def test_what_is_told_better_makes_the_headroom_surer():
    nothing, music, word, reading = (
        level_of(),
        level_of(programme="orchestral"),
        level_of(programme="orchestral", listening="loud"),
        level_of(programme="orchestral", listening_level_dba=85),
    )
    found_db = [answer.headroom_uncertainty_db for answer in (nothing, music, word, reading)]
    assert found_db == sorted(found_db, reverse=True)
    assert found_db[1] > found_db[2] + 0.5
    assert found_db[2] > found_db[3] + 0.3
    # that of the levels themselves is the same: how loud somebody listens concerns the target alone
    assert {round(answer.uncertainty_db, 9) for answer in (nothing, music, word, reading)} == {
        round(nothing.uncertainty_db, 9)
    }


@pytest.mark.parametrize(
    ("told", "standard_db"),
    [
        ({"listening_level_dba": 80}, 1.2),  # crest factors: 2 dB either way, rectangular 2 / sqrt(3) = 1.15, rounded
        ({"listening": "attentive"}, 2.107),  # and 3 dB either way for the word: 1.732; root of 1.44 + 3.0
        ({"programme": "orchestral"}, 3.0),  # 5 dB either way: 2.89, rounded
    ],
)
def test_standard_uncertainty_of_how_loud(told, standard_db):
    assert part_db(level_of(**told), "how_loud") == pytest.approx(standard_db, abs=1e-3)


def test_the_part_is_that_of_the_headroom_alone():
    answer = level_of(listening="loud")
    of_level_db = math.sqrt(answer.headroom_uncertainty_db**2 - part_db(answer, "how_loud") ** 2)
    assert answer.uncertainty_db == pytest.approx(of_level_db)


# refused, and said ----------------------------------------------------------------------------------------------------


def test_word_and_reading_together_are_refused():
    for operation in ("level", "advice"):
        with pytest.raises(marshmallow.ValidationError) as refused:
            request(operation, body(listening="loud", listening_level_dba=85))
        (fault,) = flatten(refused.value.messages)
        assert (fault["code"], list(fault["allowed"])) == ("give_only_one", ["listening", "listening_level_dba"])


@pytest.mark.parametrize(("name", "value"), [("listening", "lowd"), ("listening_level_dba", 900)])
def test_what_is_no_word_and_no_level_is_refused(name, value):
    with pytest.raises(marshmallow.ValidationError) as refused:
        request("level", body(**{name: value}))
    assert [fault["pointer"] for fault in flatten(refused.value.messages)] == [f"/{name}"]


@pytest.mark.parametrize(
    ("told", "english", "german"),
    [
        ({"listening": "loud"}, "orchestral music at your level needs about", "braucht bei Ihrer Lautstärke etwa"),
        ({}, "orchestral music needs about", "Orchestermusik braucht etwa"),
    ],
)
def test_the_verdict_says_whose_level_it_is(told, english, german):
    for language, said in (("en", english), ("de", german)):
        answer = ask("level", body(programme="orchestral", **told), language)
        assert said in answer.findings[0].text
        assert f"{answer.peak_target_db:.0f} dB" in answer.findings[0].text


def test_hearing_is_cautioned_by_the_level_that_was_told():
    # NIOSH 98-126: 88 dB(A) for 4 hours a day; below 80 dB(A) nothing is said
    told = body(listening_level_dba=88)
    assert "average of 88 dB(A) the NIOSH recommendation is 4 hours a day" in ask("level", told).cautions[0].text
    assert "hearing" not in codes(level_of(listening_level_dba=79.9).cautions)
    allowed = ask("advice", body(told, include=["exposure"])).exposure
    assert allowed.niosh_hours_a_day == pytest.approx(4.0, abs=0.01)
