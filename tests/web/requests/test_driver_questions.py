"""Bad input of the questions about field coils, open baffles and run-in: each refused by name, with what is allowed."""

import pytest

from service.advice.language.localise import LANGUAGES
from tests.web.problems import assert_problem
from tests.web.real import put, small_body

BAD = [
    ("/v1/field-coil", "/cold_resistance_ohm", 0, "out_of_range"),
    ("/v1/field-coil", "/cold_resistance_ohm", "12", "not_a_number"),
    ("/v1/field-coil", "/warm_temperature_c", 400, "out_of_range"),
    ("/v1/field-coil", "/warm_temperature_c", 19, "upside_down"),
    ("/v1/field-coil", "/ambient_temperature_c", -40, "out_of_range"),
    ("/v1/field-coil", "/current_a", 1, "give_only_one"),
    ("/v1/field-coil", "/supply", "constant", "not_a_choice"),
    ("/v1/field-coil", "/thermal_resistance_k_w", 0, "out_of_range"),
    ("/v1/field-coil", "/mass_kg", 0, "out_of_range"),
    ("/v1/field-coil", "/mass", 2, "unknown_field"),
    ("/v1/open-baffle", "/width_m", 0, "out_of_range"),
    ("/v1/open-baffle", "/driver/resonance_hz", 40, "missing"),
    ("/v1/open-baffle", "/driver/total_q", 0, "out_of_range"),
    ("/v1/open-baffle", "/stands_on_floor", "yes", "not_true_or_false"),
    ("/v1/open-baffle", "/flat_down_to_hz", 5, "out_of_range"),
    ("/v1/run-in", "/share_pct", 0, "out_of_range"),
    ("/v1/run-in", "/share_pct", 101, "out_of_range"),
    ("/v1/run-in", "/speaker/nominal_impedance_ohm", -8, "out_of_range"),
    ("/v1/run-in", "/hours", 0, "out_of_range"),
]


@pytest.mark.parametrize(("path", "pointer", "value", "code"), BAD, ids=[f"{b[0]}{b[1]}={b[2]}" for b in BAD])
def test_bad_input_is_refused_by_name(client, path, pointer, value, code):
    problem = assert_problem(client.post(path, json=put(small_body(path), pointer, value)), 422)
    found = {error["code"]: error for error in problem["errors"]}
    assert code in found
    assert found[code]["allowed"] or code == "unknown_field"
    assert found[code]["pointer"] in (pointer, "", "/driver/total_q")


@pytest.mark.parametrize("path", ["/v1/field-coil", "/v1/open-baffle", "/v1/run-in"])
def test_both_languages_say_the_same_numbers(client, path):
    answers = {}
    for language in LANGUAGES:
        response = client.post(path, json={**small_body(path), "language": language})
        assert response.status_code == 200
        answers[language] = response.json
    english, german = (answers[language]["findings"] for language in LANGUAGES)
    assert [each["values"] for each in english] == [each["values"] for each in german]
    assert all(one["text"] != other["text"] for one, other in zip(english, german, strict=True))
    for findings in (english, german):
        assert all(len(each["text"]) <= 320 for each in findings)
