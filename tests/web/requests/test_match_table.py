"""The table of POST /v1/match: its shape as JSON, and how many may be compared."""

import copy

from service.domain.requests import MOST_COMPARED
from tests.web.problems import assert_problem
from tests.web.real import AMPLIFIER, ROOM, SPEAKER, demo_files, strict_loads

PLACE = {"room": ROOM, "listening_distance_m": 2.6}


def ask(client, **posted):
    return client.post("/v1/match", json=copy.deepcopy({**PLACE, **posted}))


def test_every_list_of_a_row_has_a_place_for_each_amplifier(client):
    response = ask(
        client, speakers=[SPEAKER] * 2, amplifiers=[AMPLIFIER, {"power_w": 20, "damping_factor": 10}, AMPLIFIER]
    )
    table = strict_loads(response.data)["table"]
    assert len(table["amplifiers"]) == 3
    assert len(table["rows"]) == 2
    for row in table["rows"]:
        lists = {name: value for name, value in row.items() if isinstance(value, list)}
        assert len(lists) == len(row) - 1
        assert {len(value) for value in lists.values()} == {3}
        assert sorted(row["best_first"]) == [0, 1, 2]
        # nothing is known of the noise and, of two of three, of the output impedance
        assert row["noise_at_1m_dba"] == [None] * 3
        assert [value is None for value in row["level_swing_db"]] == [True, False, True]


def test_one_amplifier_too_many_is_refused(client):
    amplifiers = [AMPLIFIER] * (MOST_COMPARED + 1)
    problem = assert_problem(ask(client, speakers=[SPEAKER] * 2, amplifiers=amplifiers), 422)
    (error,) = problem["errors"]
    assert (error["pointer"], error["code"]) == ("/amplifiers", "too_long")
    assert str(MOST_COMPARED) in error["allowed"]
    assert ask(client, speakers=[SPEAKER] * 2, amplifiers=amplifiers[:-1]).status_code == 200


def test_the_invented_shop_has_a_table(client):
    (file,) = [param.values[1] for param in demo_files() if param.id == "match/shop_wall"]
    answer = client.post("/v1/match", data=file.read_bytes(), content_type="application/json").json
    assert answer["table"]["rows"][0]["speaker"] == "Tower with a single driver"
    assert answer["ranking"][0]["amplifier"] in answer["table"]["amplifiers"]
    german = client.post(
        "/v1/match", json={**PLACE, "speakers": [SPEAKER] * 2, "amplifiers": [AMPLIFIER] * 2, "language": "de"}
    )
    assert german.json["table"]["amplifiers"] == ["Verstärker 1", "Verstärker 2"]
