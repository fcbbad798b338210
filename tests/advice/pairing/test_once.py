"""Every number is computed once and read everywhere: what is settled how often, and that all parts say the same."""

import ast
import html
import re
from collections import Counter
from pathlib import Path

import pytest

import service
from service.advice.language.localise import text_of
from service.advice.match import match
from service.advice.pairing import pair, pairing, seat
from service.advice.pairing.caches import clear_caches
from service.advice.room import cached as cached_room
from service.advice.speaker import cached as cached_speaker
from service.advice.whole_job import advice
from service.domain.words import words
from service.web.http.app import create_app
from tests.advice.bodies import ask, body

COUNTED = (
    (cached_room, "room_acoustics"),
    (cached_speaker, "loudspeaker_model"),
    (advice, "paired"),
    (match, "paired"),
    (pairing, "quantities"),
    (pair, "quantities"),
    (pairing, "speaker_at_seat"),
    (seat, "speaker_at_seat"),
)
MODULES = {
    path.relative_to(Path(service.__file__).parent).as_posix(): path
    for path in Path(service.__file__).parent.rglob("*.py")
}


@pytest.fixture
def calls(monkeypatch):
    """How often each function is called under the name that a module knows it by."""
    found = Counter()

    def counting(name, function):
        def counted(*args, **kwargs):
            found[name] += 1
            return function(*args, **kwargs)

        return counted

    for module, name in COUNTED:
        monkeypatch.setattr(module, name, counting(name, getattr(module, name)))
    clear_caches()
    return found


@pytest.mark.parametrize(
    ("posted", "chairs"),
    [
        (body(), 2),  # as it stands, and at the recommended place
        (body(amplifier={"power_w": 0.2}, listening="like_live"), 3),  # and on a chair further in front, where it helps
        (body(include=["verdict", "level", "headroom", "match"]), 1),
    ],
)
def test_one_advice_settles_room_speaker_and_level_once(calls, posted, chairs):
    answered = create_app().test_client().post("/v1/advice", json=posted)
    assert answered.status_code == 200
    assert calls["room_acoustics"] == 1
    assert calls["loudspeaker_model"] == 1
    assert calls["paired"] == 1
    assert calls["speaker_at_seat"] == chairs
    # the table of the request, and the numbers of the leading pair at the recommended place; the nearer chair is asked
    # for the headroom of its one watt alone
    assert calls["quantities"] == min(chairs, 2)


def test_all_parts_of_an_advice_read_the_same_numbers():
    answer = ask("advice", body())
    level, headroom, exposure = answer.level, answer.headroom, answer.exposure
    (matched,) = answer.match.ranking
    verdict = answer.findings[0]
    assert level.headroom_db == headroom.headroom_db == matched.headroom_db == verdict.values["headroom_db"]
    assert level.headroom_uncertainty_db == headroom.uncertainty_db == matched.headroom_uncertainty_db
    assert headroom.uncertainty_db == verdict.values["uncertainty_db"]
    assert level.clean_peak_chance_pct == headroom.clean_peak_chance_pct == matched.clean_peak_chance_pct
    assert level.average_power_w == level.power_needed_w.for_average == matched.average_power_w
    assert exposure.average_level_dba == level.average_at_target_dba
    assert verdict.grade == answer.verdict.grade


def test_the_sheet_prints_the_same_headroom(client):
    posted = body()
    headroom = ask("advice", posted).headroom
    page = client.post("/v1/advice", json=posted, headers={"Accept": "text/html"}).get_data(as_text=True)
    printed = " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())
    line = words("sheet.headroom", headroom_db=headroom.headroom_db, uncertainty_db=headroom.uncertainty_db)
    assert text_of(line, "en") in printed


# graded in one place --------------------------------------------------------------------------------------------------

THRESHOLDS = ("GRADE_FROM_STANDARD_UNCERTAINTIES", "NOISE_BORDERLINE_FROM_DB", "NOISE_LOUD_FROM_DB", "SWING_LIMIT_DB")


def named_in(name):
    """Modules that read a name of the policy."""
    return {
        where
        for where, path in MODULES.items()
        if any(isinstance(node, ast.Attribute) and node.attr == name for node in ast.walk(ast.parse(path.read_text())))
    }


@pytest.mark.parametrize("name", THRESHOLDS)
def test_only_the_grade_reads_the_thresholds_of_grades(name):
    assert named_in(name) == {"advice/pairing/grade.py"}


def test_the_loss_in_a_load_is_graded_once_and_only_named_beside():
    # the finding asks whether the first threshold was passed at all
    assert named_in("LOAD_LOSS_FROM_DB") == {"advice/pairing/grade.py", "advice/pairing/pair_findings.py"}


def test_only_the_pairing_makes_watts_or_volts_of_a_headroom():
    found = set()
    for where, path in MODULES.items():
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Pow) and "headroom" in ast.unparse(node.right):
                found.add(where)
    assert "advice/pairing/pair.py" in found
    assert all(where.startswith("advice/pairing/") for where in found)
