"""Facts that do not fit together are refused with where, what and what is allowed; extreme but valid ones are
answered."""

import itertools

import marshmallow
import pytest

from service.advice.language.localise import said, text_of
from service.domain.errors import DomainError
from service.domain.words import words
from service.web.reading.faults import flatten
from tests.advice.bodies import FEW_FACTS, all_walls, ask, body, codes, level_of, numbers_that_are_not_finite

SEAT = {"x_m": 3.4, "y_m": 2.05, "z_m": 1.05}
PAIR = [{"x_m": 0.9, "y_m": y, "z_m": 0.9} for y in (0.9, 3.2)]


def places(speakers=PAIR, seats=(SEAT,)):
    return {"positions": {"speakers": list(speakers), "seats": list(seats)}, "listening_distance_m": None}


def room(**changes):
    return {"room": changes}


WALL = {"absorption_coefficient": 0.1}

REFUSED = {
    "speaker outside": (
        body(**places([PAIR[0], {**PAIR[1], "y_m": 4.2}])),
        "/positions/speakers/1/y_m",
        "outside_the_room",
        4.2,
    ),
    "speaker in a wall": (
        body(**places([{**PAIR[0], "x_m": 0}, PAIR[1]])),
        "/positions/speakers/0/x_m",
        "outside_the_room",
        0,
    ),
    "seat in a wall": (body(**places(seats=[{**SEAT, "x_m": 5.4}])), "/positions/seats/0/x_m", "outside_the_room", 5.4),
    "seat in the ceiling": (
        body(**places(seats=[{**SEAT, "z_m": 2.6}])),
        "/positions/seats/0/z_m",
        "outside_the_room",
        2.6,
    ),
    "seat at a speaker": (
        body(**places(seats=[{**PAIR[0], "x_m": 0.94}])),
        "/positions/seats/0",
        "too_close",
        [0.94, 0.9, 0.9],
    ),
    "places and count": (body(**places(PAIR[:1]), speaker_count=2), "/positions/speakers", "contradiction", 1),
    # the places are 2.757 m apart: sqrt(2.5^2 + 1.15^2 + 0.15^2)
    "places and distance": (
        body(**{**places(), "listening_distance_m": 2.9}),
        "/listening_distance_m",
        "contradiction",
        2.9,
    ),
    "distance too long": (body(listening_distance_m=7), "/listening_distance_m", "does_not_fit", 7),
    "more than physics": (
        body(speaker={"sensitivity_db_1w_1m": None, "sensitivity_db_2v83_1m": 121, "nominal_impedance_ohm": 16}),
        "/speaker/sensitivity_db_2v83_1m",
        "above_physics",
        121,
    ),
    "parts too large": (
        body(**room(surfaces={"floor": {"parts": [WALL, {**WALL, "area_m2": 23.0}]}})),  # floor 22.14 m2
        "/room/surfaces/floor/parts",
        "parts_too_large",
        23.0,
    ),
    "area missing": (
        body(**room(surfaces={"floor": {"parts": [{**WALL, "area_m2": 12.0}, {**WALL, "area_m2": 10.0}]}})),
        "/room/surfaces/floor/parts",
        "area_missing",
        22.0,
    ),
    "unknown material": (
        body(**room(surfaces={"floor": {"material": "carpet_heavy_underlaid"}})),
        "/room/surfaces/floor",
        "unknown_material",
        "carpet_heavy_underlaid",
    ),
    "unknown furniture": (
        body(**room(furniture=[{"material": "chair_wood", "count": 1}, {"material": "chair_wod", "count": 2}])),
        "/room/furniture/1/material",
        "unknown_material",
        "chair_wod",
    ),
    "a chair as a wall": (
        body(**room(surfaces={"floor": {"material": "chair_wood"}})),
        "/room/surfaces/floor",
        "not_a_surface",
        "chair_wood",
    ),
    "chairs by area": (
        body(**room(furniture=[{"material": "chair_wood", "area_m2": 2}])),
        "/room/furniture/0",
        "wrong_measure",
        "area_m2",
    ),
    "carpet by count": (
        body(**room(furniture=[{"material": "seating_upholstered", "count": 2}])),
        "/room/furniture/0",
        "wrong_measure",
        "count",
    ),
    # 0.161 * 1440 / (864 * 0.05) = 5.4: an absorption of 0.995, where walls reach 0.951
    "time too short for the surfaces": (
        body(**room(length_m=20, width_m=12, height_m=6, reverberation_time_s=0.05, surfaces=all_walls(WALL))),
        "/room/reverberation_time_s",
        "time_out_of_reach",
        0.05,
    ),
    "time too long for the air": (
        body(**room(reverberation_time_by_octave_s={"500": 0.5, "8000": 8})),
        "/room/reverberation_time_by_octave_s",
        "time_out_of_reach",
        {500: 0.5, 8000: 8},
    ),
    "a time without absorption": (
        body(**room(reverberation_time_s=0.5, surfaces=all_walls({"absorption_coefficient": 0}))),
        "/room/surfaces",
        "no_reverberation",
        None,
    ),
    "nothing comes back": (
        body(**room(surfaces=all_walls({"absorption_coefficient": 1}))),
        "/room/surfaces",
        "no_reverberation",
        None,
    ),
    # 10 W into 8 ohm are 8.9 V, 100 W into 4 ohm 20 V: the voltage would rise as the load falls
    "ratings against physics": (
        body(amplifier={"power_w": None, "ratings": [{"load_ohm": 8, "power_w": 10}, {"load_ohm": 4, "power_w": 100}]}),
        "/amplifier/ratings",
        "contradiction",
        [10, 100],
    ),
    # 1000 W into 8 ohm need 11.2 A
    "power against current": (
        body(amplifier={"power_w": 1000, "maximum_current_a": 1}),
        "/amplifier/maximum_current_a",
        "contradiction",
        1,
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused_with_place_reason_and_what_is_allowed(name):
    posted, pointer, code, given = REFUSED[name]
    with pytest.raises(DomainError) as refused:
        ask("level", posted)
    error = refused.value
    assert (error.pointer, error.code) == (pointer, code)
    assert error.given == given
    assert error.allowed
    assert said(error.detail, "en").endswith((".", "?"))


@pytest.mark.parametrize(
    ("name", "allowed"),
    [
        ("time too short for the surfaces", "longer: these surfaces cannot absorb so much"),
        ("time too long for the air", "shorter than air and objects alone give"),
    ],
)
def test_a_time_out_of_reach_says_on_which_side(name, allowed):
    with pytest.raises(DomainError) as refused:
        ask("level", REFUSED[name][0])
    assert said(refused.value.allowed, "en") == allowed
    assert said(refused.value.detail, "en").endswith(f"it must be {allowed}.")


def test_the_nearest_name_is_offered():
    with pytest.raises(DomainError) as refused:
        ask("level", REFUSED["unknown material"][0])
    assert refused.value.did_you_mean == "carpet_heavy_underlay"
    assert "carpet_heavy_underlay" in refused.value.allowed


def test_positions_and_distance_may_differ_by_five_centimetres():
    # 2.757 m apart
    for told_m, fits in ((2.71, True), (2.80, True), (2.70, False), (2.81, False)):
        posted = body(**{**places(), "listening_distance_m": told_m})
        if fits:
            assert ask("level", posted).listening_distance_m == told_m
        else:
            with pytest.raises(DomainError, match=r"distance_of_positions.*2\.75"):
                ask("level", posted)


@pytest.mark.parametrize(
    ("dimensions_m", "count", "longest_m"),
    [
        # 4.8 m of depth and a base of 3.5 m at most: sqrt(4.8^2 + 1.75^2 + 0.15^2)
        ((5.4, 4.1, 2.5), 2, 5.11),
        # wide enough for 60 degrees: 2.4 / cos 30 = 2.771, and 0.15 m of height: 2.775
        ((3.0, 8.0, 2.5), 2, 2.77),
        ((5.4, 4.1, 2.5), 1, 4.80),
    ],
)
def test_the_longest_distance_that_is_named_does_fit(dimensions_m, count, longest_m):
    told = dict(zip(("length_m", "width_m", "height_m"), dimensions_m, strict=True))
    with pytest.raises(DomainError) as refused:
        level_of(room=told, listening_distance_m=20, speaker_count=count)
    assert said(refused.value.allowed, "en") == f"at most {longest_m:.2f}"
    assert level_of(room=told, listening_distance_m=longest_m, speaker_count=count).listening_distance_m == longest_m
    with pytest.raises(DomainError, match="chair_does_not_fit"):
        level_of(room=told, listening_distance_m=longest_m + 0.02, speaker_count=count)


IN_BLOCKS = {
    "two ratings of one load": (
        body(amplifier={"power_w": None, "ratings": [{"load_ohm": 8, "power_w": 10}, {"load_ohm": 8, "power_w": 12}]}),
        "/amplifier/ratings/1/load_ohm",
    ),
    "too much furniture": (body(**room(furniture=[{"material": "seating_leather", "area_m2": 23}])), "/room/furniture"),
    "a crowd": (body(**room(people=111)), "/room/people"),  # 22.14 m2, 0.2 m2 each: 110
    "88 dB claimed as 125": (body(speaker={"sensitivity_db_1w_1m": 125}), "/speaker/sensitivity_db_1w_1m"),
    "places without a room": (body(**places(), room=None), "/room"),
}


@pytest.mark.parametrize("name", IN_BLOCKS)
def test_refused_while_reading(name):
    posted, pointer = IN_BLOCKS[name]
    with pytest.raises(marshmallow.ValidationError) as refused:
        ask("level", posted)
    found = flatten(refused.value.messages)
    assert [fault["pointer"] for fault in found] == [pointer]
    assert found[0]["allowed"]


# extreme and valid ----------------------------------------------------------------------------------------------------

ROOMS = {
    "cupboard": {"length_m": 1.5, "width_m": 1.5, "height_m": 1.8},
    "hall": {"length_m": 30, "width_m": 20, "height_m": 5},
    "corridor": {"length_m": 30, "width_m": 1.5, "height_m": 1.8},
    "tower": {"length_m": 15, "width_m": 15, "height_m": 12},
    "living room": FEW_FACTS["room"],
}
STATES = {
    "as it is": {},
    "very dead": {"reverberation_time_s": 0.05},
    "very live": {"reverberation_time_s": 20},
    "hard": {"surfaces": all_walls({"absorption_coefficient": 0})},
    "rigid": {"surfaces": all_walls({"admittance_ratio": 0})},
    "soft": {"surfaces": all_walls({"admittance_ratio": 1})},
    "soft and measured": {"surfaces": all_walls({"admittance_ratio": 1}), "reverberation_time_s": 0.5},
    "nearly all absorbed": {"surfaces": all_walls({"absorption_coefficient": 0.999})},
    "one open side": {"surfaces": {"back_wall": {"absorption_coefficient": 1}}},
    "one soft side, measured long": {"surfaces": {"floor": {"absorption_coefficient": 0.9}}, "reverberation_time_s": 3},
    "two octaves measured": {"reverberation_time_by_octave_s": {"63": 0.05, "125": 3}},
    "cold and thin air": {"temperature_c": -10, "relative_humidity_pct": 1, "pressure_kpa": 60},
    "hot and wet air": {"temperature_c": 45, "relative_humidity_pct": 100, "pressure_kpa": 110},
    "people": {"people": 11},
}
SPEAKERS = {
    "usual": {},
    "all ends": {
        "sensitivity_db_1w_1m": 60,
        "kind": "open_baffle",
        "cabinet_width_m": 0.05,
        "cabinet_height_m": 3,
        "low_limit_hz": 1000,
        "low_order": 8,
        "long_term_power_w": 0.001,
    },
    "bass section": {
        "sensitivity_db_1w_1m": 121,
        "bass_section": {
            "crossover_hz": 30,
            "low_limit_hz": 5,
            "sensitivity_db_2v83_1m": 60,
            "power_w": 0.001,
            "driver": {"area_m2": 1e-4, "peak_excursion_m": 1e-5},
        },
    },
}


@pytest.mark.parametrize(("size", "state"), list(itertools.product(ROOMS, STATES)))
def test_extreme_rooms_are_answered_with_numbers(size, state):
    told = {**ROOMS[size], **STATES[state]}
    for speaker in SPEAKERS.values():
        answer = level_of(speaker=speaker, room=told, listening_distance_m=0.6)
        assert list(numbers_that_are_not_finite(answer)) == []
    for operation, more in (
        ("modes", {"to_hz": 60}),
        ("reverberation", {}),
        (
            "response",
            {
                "sources": [
                    {"x_m": 0.5, "y_m": 0.4, "z_m": 0.9},
                    {"x_m": 0.5, "y_m": 0.6, "z_m": 0.9, "radiation": "dipole"},
                ],
                "seats": [{"x_m": 1.0, "y_m": 0.8, "z_m": 1.1}],
                "frequency_hz": [1, 17.16, 100, 300],
            },
        ),
    ):
        answer = ask(operation, {"room": told, **more})
        # the formulas of reverberation are null where they do not hold, as documented
        assert [path for path in numbers_that_are_not_finite(answer) if not path.startswith("/times_s")] == []


@pytest.mark.parametrize("size", ROOMS)
@pytest.mark.parametrize("state", ["as it is", "very dead", "very live", "hard", "soft"])
def test_the_whole_job_in_extreme_rooms(size, state):
    distance_m = 0.6 if size == "cupboard" else 3.0
    answer = ask("advice", body(room={**ROOMS[size], **STATES[state]}, listening_distance_m=distance_m))
    allowed = ("/room/times_s",)
    assert [path for path in numbers_that_are_not_finite(answer) if not path.startswith(allowed)] == []


@pytest.mark.parametrize(
    "amplifier",
    [
        {"power_w": 0.001, "load_ohm": 0.5, "kind": "headphone_amplifier"},
        {"power_w": 5000, "load_ohm": 1000, "kind": "single_ended_triode"},
        {"power_w": 5000, "load_ohm": 0.5, "kind": "class_d", "maximum_current_a": 200},
    ],
)
@pytest.mark.parametrize("impedance_ohm", [0.5, 1000])
def test_extreme_amplifiers(amplifier, impedance_ohm):
    answer = level_of(speaker={"nominal_impedance_ohm": impedance_ohm}, amplifier=amplifier)
    assert list(numbers_that_are_not_finite(answer)) == []


def test_a_single_time_bends_only_where_nobody_measured():
    """Six surfaces and one time of 2 s: at 8 kHz the air alone ends the sound in 0.161 / (4 * 0.0242) = 1.66 s. Nobody
    measured there: the octave gives way, and nothing is refused."""
    answer = ask(
        "reverberation", {"room": {**FEW_FACTS["room"], "surfaces": all_walls(WALL), "reverberation_time_s": 2}}
    )
    assert answer.used_s[:6] == pytest.approx([2.0] * 6)
    assert 1.4 < answer.used_s[7] < 1.66
    limited = text_of(words("assumptions.one_time_for_all_octaves.limited"), "en")
    assert limited in [item.why for item in answer.assumptions]


def test_told_surfaces_give_way_to_a_measured_time():
    """Five soft surfaces, and a measured 1 s that they alone would not allow: all admittances are scaled down."""
    soft = {
        name: {"absorption_coefficient": 0.3}
        for name in ("front_wall", "back_wall", "left_wall", "right_wall", "floor")
    }
    told = {**FEW_FACTS["room"], "surfaces": soft, "reverberation_time_s": 1.0}
    answer = ask("reverberation", {"room": told})
    assert answer.used_s[:5] == pytest.approx([1.0] * 5)
    louder = level_of(room=told).peak_spl_db
    assert louder > level_of(room={"surfaces": soft}).peak_spl_db


def test_seat_and_speakers_may_be_anywhere_inside():
    near = places(
        [{"x_m": 0.01, "y_m": 0.01, "z_m": 0.01}, {"x_m": 5.39, "y_m": 4.09, "z_m": 2.49}],
        [{"x_m": 0.07, "y_m": 0.01, "z_m": 0.01}],
    )
    answer = ask("level", body(**near))
    assert list(numbers_that_are_not_finite(answer)) == []
    assert codes(answer.limits) == ["amplifier_clipping", "long_term_power"]
