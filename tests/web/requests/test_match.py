"""POST /v1/match at the edge: the shapes that callers rely on, curves as CSV, and what is refused at which pointer."""

import copy

import pytest

from tests.web.problems import assert_problem
from tests.web.real import put, small_body

BODY = small_body("/v1/match")
PROMISED = {
    "name",
    "rank",
    "grade",
    "headroom_db",
    "headroom_uncertainty_db",
    "clean_peak_chance_pct",
    "level_swing_db",
    "effective_damping_factor",
    "noise_at_1m_dba",
    "noise_at_seat_dba",
    "volume_below_full_db",
    "peak_current_a",
    "power_into_rated_w",
    "power_into_minimum_w",
    "best_tap_ohm",
    "findings",
}


def test_every_promised_field_is_there(client):
    response = client.post(
        "/v1/match",
        json={
            **BODY,
            "source": {"output_v": 2, "preamplifier_gain_db": 0},
            "cable": {"length_m": 3, "cross_section_mm2": 2.5},
            "background": {"nr": 20},
            "programme": "jazz_small_group",
        },
    )
    assert response.status_code == 200
    assert response.json["ranking"][0].keys() >= PROMISED
    assert response.json["sharpen"].keys() >= {"pointers", "text", "where", "narrows_db"}


CSV = "frequency_hz,magnitude_ohm,phase_deg\n20,12,30\n45,38,0\n200,6.4,-20\n20000,12,35\n"


def test_a_curve_as_csv_is_the_curve_as_a_list(client):
    rows = [line.split(",") for line in CSV.strip().split("\n")[1:]]
    points = [
        {"frequency_hz": float(f), "magnitude_ohm": float(ohm), "phase_deg": float(phase)} for f, ohm, phase in rows
    ]
    amplifier = {"power_w": 8, "output_impedance_ohm": 2.0}
    answers = [
        client.post("/v1/match", json={**BODY, "amplifiers": [amplifier], "speaker": {**BODY["speaker"], **curve}}).json
        for curve in (
            {"impedance": points},
            {"impedance_csv": CSV},
            {"impedance_csv": CSV.replace(",", ";").replace("\n", "\r\n")},
        )
    ]
    assert answers[0]["ranking"] == answers[1]["ranking"] == answers[2]["ranking"]
    (speaker,) = answers[0]["speakers"]
    assert (speaker["lowest_impedance_ohm"], speaker["highest_impedance_ohm"]) == (6.4, 38)
    assert (speaker["steepest_phase_deg"], speaker["steepest_phase_hz"]) == (35, 20000)


def point(hz, ohm, deg=None):
    return {"frequency_hz": hz, "magnitude_ohm": ohm, **({} if deg is None else {"phase_deg": deg})}


SECTIONS = [{"to_hz": 300}, {"from_hz": 300, "to_hz": 3000}, {"from_hz": 3000}]


@pytest.mark.parametrize(
    ("pointer", "value", "at", "code"),
    [
        ("/speaker/impedance", [point(50, 8), point(40, 8)], "/speaker/impedance/1/frequency_hz", "out_of_order"),
        ("/speaker/impedance", [point(50, 8), point(50, 8)], "/speaker/impedance/1/frequency_hz", "out_of_order"),
        ("/speaker/impedance", [point(50, 8)], "/speaker/impedance", "too_short"),
        ("/speaker/impedance", [point(50, 0), point(60, 8)], "/speaker/impedance/0/magnitude_ohm", "out_of_range"),
        ("/speaker/impedance", [point(50, -8), point(60, 8)], "/speaker/impedance/0/magnitude_ohm", "out_of_range"),
        ("/speaker/impedance", [point(50, 8, 91), point(60, 8, 0)], "/speaker/impedance/0/phase_deg", "out_of_range"),
        ("/speaker/impedance", [point(50, 8, 5), point(60, 8)], "/speaker/impedance/1/phase_deg", "contradiction"),
        ("/speaker/impedance_csv", "20,8\n30,9", "/speaker/impedance_csv", "missing"),
        ("/speaker/impedance_csv", "frequency_hz,magnitude_ohm\n20", "/speaker/impedance_csv", "not_a_row"),
        ("/speaker/impedance_csv", "frequency_hz,magnitude_ohm\n20,x", "/speaker/impedance_csv", "not_a_number"),
        ("/speaker/impedance_csv", "frequency_hz,magnitude_ohm\n20,nan", "/speaker/impedance_csv", "out_of_range"),
        ("/speaker/impedance_csv", "frequency_hz,magnitude_ohm\n20,0", "/speaker/impedance_csv", "out_of_range"),
        ("/amplifiers/0/damping_factor", 0, "/amplifiers/0/damping_factor", "out_of_range"),
        ("/amplifiers/0/taps_ohm", [4, 4], "/amplifiers/0/taps_ohm/1", "duplicate"),
        ("/amplifiers/0/minimum_load_ohm", 0, "/amplifiers/0/minimum_load_ohm", "out_of_range"),
        (
            "/amplifiers/0/signal_to_noise_reference",
            "one_watt",
            "/amplifiers/0/signal_to_noise_reference",
            "contradiction",
        ),
        ("/speaker/sections", [SECTIONS[0], {"from_hz": 400}], "/speaker/sections/1/from_hz", "gap"),
        ("/speaker/sections", [SECTIONS[0], {"from_hz": 200}], "/speaker/sections/1/from_hz", "overlap"),
        ("/speaker/sections", [SECTIONS[0], {"name": "top"}], "/speaker/sections/1/from_hz", "missing"),
        (
            "/speaker/sections",
            [*SECTIONS[:2], {**SECTIONS[2], "amplifier": "own"}],
            "/speaker/sections/2/amplifier",
            "contradiction",
        ),
        ("/speaker/sections", [{"from_hz": 300, "to_hz": 200}], "/speaker/sections/0/to_hz", "upside_down"),
        ("/cable", {"length_m": 3}, "/cable", "missing"),
        ("/cable", {"length_m": 3, "awg": 14, "cross_section_mm2": 2.5}, "/cable", "give_only_one"),
        ("/background", {"nr": 25, "level_dba": 30}, "/background", "give_only_one"),
        ("/amplifiers", [], "/amplifiers", "too_short"),
        ("/amplifier", {"power_w": 8}, "", "give_only_one"),
    ],
)
def test_refusals(client, pointer, value, at, code):
    problem = assert_problem(client.post("/v1/match", json=put(BODY, pointer, value)), 422)
    assert (at, code) in {(each["pointer"], each["code"]) for each in problem["errors"]}
    assert all(each["allowed"] for each in problem["errors"])


def test_a_trim_range_upside_down(client):
    bass = {"crossover_hz": 100, "trim_from_db": 6, "trim_to_db": -6}
    speaker = {"sensitivity_db_1w_1m": 98, "bass_section": bass}
    problem = assert_problem(client.post("/v1/match", json={**BODY, "speaker": speaker}), 422)
    assert [(each["pointer"], each["code"]) for each in problem["errors"]] == [
        ("/speaker/bass_section/trim_to_db", "upside_down")
    ]


@pytest.mark.parametrize("missing", ["speaker", "amplifiers"])
def test_speaker_and_amplifier_are_both_needed(client, missing):
    posted = copy.deepcopy(BODY)
    del posted[missing]
    problem = assert_problem(client.post("/v1/match", json=posted), 422)
    assert problem["errors"][0]["code"] == "missing"


def test_german(client):
    answer = client.post("/v1/match", json={**BODY, "language": "de"}).json
    assert answer["ranking"][0]["name"] == "Verstärker 1"
    assert answer["speakers"][0]["name"] == "Lautsprecher 1"
