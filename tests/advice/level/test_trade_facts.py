"""Facts that everybody in the trade knows. Common practice, no source."""

import pytest

from service.advice.reference_tables import demo_room_bodies
from service.domain.limits import LIMITS
from tests.advice.bodies import ask, body, codes, level_of


@pytest.mark.parametrize("kind", ["horn", "single_driver", "two_way"])
@pytest.mark.parametrize(
    "room",
    [
        {"length_m": 4.5, "width_m": 3.6, "height_m": 2.4},
        {"length_m": 5.6, "width_m": 4.2, "height_m": 2.5},
        {"length_m": 7.5, "width_m": 5.2, "height_m": 2.8},
    ],
)
def test_one_watt_and_103_db_pass_95_db_at_three_metres(kind, room):
    """Common practice, no source: a pair of 103 dB on one watt a channel, 3 m away in an ordinary furnished room."""
    answer = level_of(
        speaker={"sensitivity_db_1w_1m": 103, "kind": kind}, amplifier={"power_w": 1}, room=room, listening_distance_m=3
    )
    assert answer.short_peak_db > 95
    assert answer.peak_spl_db > 95


def test_bass_sections_of_the_invented_scenes_hand_over_between_80_and_150_hz():
    """Common practice, no source."""
    sections = [
        posted["speaker"]["bass_section"]
        for _, _, posted in demo_room_bodies()
        if "bass_section" in posted.get("speaker", {})
    ]
    assert sections
    assert all(80 <= section["crossover_hz"] <= 150 for section in sections)
    limit = LIMITS["crossover_hz"]
    assert limit.minimum < 80
    assert limit.maximum > 150


@pytest.mark.parametrize(("crossover_hz", "said"), [(79, True), (80, False), (120, False), (150, False), (151, True)])
def test_an_unusual_crossover_is_spoken_of(crossover_hz, said):
    """Common practice, no source: 80 to 150 Hz."""
    answer = level_of(speaker={"bass_section": {"crossover_hz": crossover_hz}})
    assert ("unusual_crossover" in codes(answer.findings)) is said


def test_the_magnet_of_a_field_coil_runs_at_about_40_degrees():
    """Common practice, no source."""
    for language, said in (("en", "about 40 degrees Celsius"), ("de", "etwa 40 Grad warm")):
        answer = ask("level", body(speaker={"field_coil": True}), language)
        text = next(caution.text for caution in answer.cautions if caution.code == "field_coil")
        assert said in text


def test_more_efficiency_is_worth_more_than_a_bigger_amplifier():
    """Common practice, no source: 103 dB on 1 W is as loud as 88 dB on 32 W."""
    horn = level_of(speaker={"sensitivity_db_1w_1m": 103}, amplifier={"power_w": 1})
    box = level_of(speaker={"sensitivity_db_1w_1m": 88}, amplifier={"power_w": 31.6})
    assert horn.peak_spl_db == pytest.approx(box.peak_spl_db, abs=0.01)


def test_the_counter_question_of_the_invented_scenes():
    posted = next(
        posted for operation, name, posted in demo_room_bodies() if (operation, name) == ("level", "counter_question")
    )
    assert ask("level", posted).short_peak_db > 95
