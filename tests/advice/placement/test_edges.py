"""One speaker, extreme rooms, bounded work, and the sentences of a search."""

import re

import numpy as np
import pytest

from service.advice.placement import policy
from service.advice.policy import LEAVE_IT_BELOW_DB
from service.domain.errors import DomainError
from service.domain.room import Room
from tests.advice.placement.asked import ask, codes, positions, random_room, speaker, text_of

# one speaker ----------------------------------------------------------------------------------------------------------


def test_one_speaker_stands_on_the_axis():
    answer = ask(positions=positions((0.6, 1.5, 0.9)))
    assert len(answer.as_found.speakers) == 1
    assert answer.as_found.base_angle_deg == 0
    for placed in answer.placements:
        (only,) = placed.speakers
        assert only.y_m == pytest.approx(2.05)
        assert only.facing_deg == pytest.approx(0)
        assert only.toe_in_deg == pytest.approx(0)
        assert placed.tolerance_cm.spacing is None
        assert placed.tolerance_cm.seat > 0
    assert "them" not in text_of(answer, codes(answer)[0]).replace("behind them", "them")


@pytest.mark.parametrize("stays", ["seat", "speakers"])
def test_one_speaker_or_its_seat_may_have_to_stay(stays):
    answer = ask(positions=positions((0.9, 1.5, 0.9), seats=((3.8, 2.3, 1.05),)), search={"must_stay": (stays,)})
    assert answer.placements
    for placed in answer.placements:
        assert len(placed.speakers) == 1


def test_advice_for_one_speaker_places_one(client):
    body = {
        "speaker": {"sensitivity_db_1w_1m": 98},
        "amplifier": {"power_w": 8},
        "room": {"length_m": 5.4, "width_m": 4.1},
        "listening_distance_m": 2.9,
        "speaker_count": 1,
    }
    answer = client.post("/v1/advice", json=body)
    assert answer.status_code == 200, answer.text
    assert [len(placed["speakers"]) for placed in answer.json["placement"]["placements"]] == [1, 1, 1]


# extreme rooms --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("room", "fits"),
    [
        (Room(length_m=6.0, width_m=1.5, height_m=2.4), True),
        (Room(length_m=1.5, width_m=6.0, height_m=2.4), False),
        (Room(length_m=30.0, width_m=20.0, height_m=5.0), True),
        (Room(length_m=30.0, width_m=20.0, height_m=5.0, reverberation_time_s=3.0), True),
        (Room(length_m=5.4, width_m=4.1, height_m=2.5, reverberation_time_s=3.0), True),
        (Room(length_m=5.4, width_m=4.1, height_m=2.5, reverberation_time_s=0.1), True),
        (Room(length_m=3.0, width_m=2.4, height_m=1.8), True),
    ],
)
@pytest.mark.parametrize("kind", ["single_driver", "open_baffle"])
def test_extreme_rooms_give_finite_numbers(room, fits, kind):
    answer = ask(room, speaker=speaker(kind=kind))
    assert bool(answer.placements) is fits
    for placed in answer.placements:
        values = [getattr(placed.parts, name) for name in placed.parts.__dataclass_fields__]
        values += [placed.merit, *placed.curve.gain_db, placed.tolerance_cm.seat, placed.tolerance_cm.spacing]
        assert np.isfinite(values).all()


def test_the_widest_search_is_bounded():
    """Ranges over a whole hall, and as many seats as a request may name, take larger steps, not more work."""
    hall = Room(length_m=29.0, width_m=28.0, height_m=3.0)
    wide = ask(hall, search={"front_wall_distance_m": (0.5, 28.0), "spacing_m": (0.6, 27.0)})
    most = policy.EFFORTS["quick"].candidates
    assert wide.candidates_judged <= most
    many = positions((1.0, 4, 1), (1.0, 7, 1), seats=tuple((6 + 0.02 * n, 5 + 0.05 * n, 1.1) for n in range(32)))
    few = ask(Room(length_m=12.0, width_m=11.0, height_m=3.0), positions=many)
    assert few.placements
    assert few.candidates_judged * policy.MOST_SEATS_JUDGED <= most
    assert few.candidates_judged > most / 64, "the steps are those of four seats, not of 32"
    assert all(len(placed.seats) == 32 for placed in few.placements)
    judged = [note.value for note in few.assumptions if isinstance(note.value, dict) and "seats_judged" in note.value]
    assert judged == [{"seats_judged": [1, 11, 22, 32]}]  # 31 / 3 = 10.3 apart


def test_a_seat_at_a_speaker_in_a_hall_is_too_much_work():
    """6 cm apart in 3000 m3 the sum over modes takes minutes; in a living room it is answered."""
    close = {"positions": positions((5.0, 3.94, 1.1), (5.2, 5.0, 0.9), seats=((5.0, 4.0, 1.1),) * 4)}
    hall = Room(length_m=20.0, width_m=12.5, height_m=12.0, reverberation_time_s=5.0)
    with pytest.raises(DomainError) as refused:
        ask(hall, speaker=speaker(kind="open_baffle", low_limit_hz=15.0), **close)
    assert refused.value.code == "too_much_work"
    assert refused.value.pointer == "/positions/seats"
    home = positions((0.8, 1.0, 1.0), (0.8, 3.0, 1.0), seats=((0.84, 1.05, 1.0), (3.0, 2.0, 1.0)))
    assert ask(positions=home, speaker=speaker(kind="open_baffle")).as_found is not None


# sentences ------------------------------------------------------------------------------------------------------------


def test_place_here_says_where_and_how_even():
    answer = ask(speaker=speaker(low_limit_hz=52.0))
    winner, text = answer.placements[0], text_of(answer, "place_here")
    assert f"{100 * winner.speakers[0].x_m:.0f} cm from the wall behind them" in text
    assert f"{100 * (5.4 - winner.seats[0].x_m):.0f} cm from the wall behind you" in text
    assert "from 52 Hz" in text
    assert "strays about" in text, "a standard deviation is no bound: nothing is 'even within' it"


def test_move_says_what_is_gained_and_leave_it_that_nothing_is():
    at_the_walls = positions((0.5, 0.95, 0.9), (0.5, 3.15, 0.9), seats=((5.1, 2.05, 1.05),))
    answer = ask(positions=at_the_walls)
    text, today = text_of(answer, "move"), answer.as_found.parts
    assert answer.gain_of_moving_db == pytest.approx(answer.as_found.merit - answer.placements[0].merit)
    assert answer.gain_of_moving_db > LEAVE_IT_BELOW_DB
    assert f"today {-today.deepest_hole_db:.0f} dB at {today.deepest_hole_hz:.0f} Hz" in text
    assert f"gains {answer.gain_of_moving_db:.1f} dB" in text
    assert "leave_it" not in codes(answer)


def test_move_names_the_part_that_gains_most():
    """Speakers in the corners, chair in the middle of a short room: what gains most is found by hand from the parts."""
    found = positions((0.45, 0.3, 0.9), (0.45, 3.8, 0.9), seats=((3.4, 2.05, 1.05),))
    answer = ask(positions=found, search={"must_stay": ("seat",)})
    today, then, weights = answer.as_found.parts, answer.placements[0].parts, answer.weights
    plain = ("bass_unevenness_db", "dips_db", "seat_spread_db", "geometry_db")
    gains_db = {name: weights[name] * (getattr(today, name) - getattr(then, name)) for name in plain}
    gains_db["strongest_reflection_db"] = 0.5 * (today.strongest_reflection_db - then.strongest_reflection_db)
    finding = next(finding for finding in answer.findings if finding.code == "move")
    assert finding.values["most_gained"] == max(gains_db, key=gains_db.get)
    assert sum(gains_db.values()) == pytest.approx(answer.gain_of_moving_db, abs=0.5)  # the rest is balance


def test_a_chair_in_mid_room_is_said_and_can_be_ruled_out():
    answer = ask()
    ratio = answer.placements[0].seats[0].x_m / 5.4
    assert 0.42 <= ratio <= 0.58, "the case is meant to end in mid-room"
    assert "chair_in_mid_room" in codes(answer)
    other = ask(search={"seat_not_mid_room": True})
    assert "chair_in_mid_room" not in codes(other)
    assert not 0.42 <= other.placements[0].seats[0].x_m / 5.4 <= 0.58


@pytest.mark.parametrize("seed", range(12))
def test_sentences_are_short_and_whole(seed):
    rng = np.random.default_rng(seed)
    room = random_room(rng)
    told = {}
    if seed % 2:
        count = 1 + seed % 3 % 2
        speakers_m = rng.uniform((0.4, 0.4, 0.5), (1.0, room.width_m - 0.4, 1.2), size=(count, 3))
        told["positions"] = positions(*speakers_m, seats=((room.length_m - 0.6, room.width_m / 2, 1.1),))
    for finding in ask(room, speaker=speaker(low_limit_hz=float(rng.uniform(25, 90))), **told).findings:
        assert 20 < len(finding.text) <= 320
        assert "{" not in finding.text
        assert "None" not in finding.text
        assert not re.search(r"\bnan\b", finding.text)
        assert finding.text.endswith(".")
