"""The command line as people type it: serve, advise, spec, and what each says when it cannot."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
import requests

from service.__main__ import main
from service.web.http import serve
from service.web.operations import OPERATIONS
from service.web.specification import openapi

ROOT = Path(__file__).parents[1]
SCENES = sorted((ROOT / "demo_rooms" / "advice").glob("*.json"))
TIMEOUT_S = 60


def command(*arguments):
    """Return the finished process of `python -m service` with these arguments."""
    return subprocess.run(
        [sys.executable, "-m", "service", *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=TIMEOUT_S,
        check=False,
    )


def test_serve_prints_the_address_it_listens_on():
    words = ["-m", "service", "--host", "localhost", "--port", "0"]
    process = subprocess.Popen(
        [sys.executable, *words], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        url = process.stdout.readline().strip()
        assert url.startswith("http://127.0.0.1:")
        assert requests.get(f"{url}health", timeout=TIMEOUT_S).json()["status"] == "ok"
    finally:
        process.kill()
        process.communicate(timeout=TIMEOUT_S)


@pytest.mark.parametrize(
    ("words", "host", "port"),
    [
        ([], "127.0.0.1", 8090),
        (["--port", "0"], "127.0.0.1", 0),
        (["serve", "--port", "8092"], "127.0.0.1", 8092),
        (["serve"], "127.0.0.1", 8090),
        (["--host", "localhost", "--port", "0"], "localhost", 0),
        (["--host", "localhost", "serve"], "localhost", 8090),
    ],
)
def test_it_serves_where_it_is_told(monkeypatch, words, host, port):
    served = []
    monkeypatch.setattr(serve, "serve", lambda **where: served.append(where))
    assert main(words) == 0
    assert served == [{"host": host, "port": port}]


def test_the_default_address_is_this_machine_port_8090(capsys):
    with pytest.raises(SystemExit, match="0"):
        main(["--help"])
    shown = capsys.readouterr().out
    assert "127.0.0.1" in shown
    assert "8090" in shown


HEADINGS = {
    "en": ("Headroom ", "Take care:", "Level", "By octave, Hz", "What was assumed"),
    "de": ("Reserve ", "Vorsicht:", "Pegel", "Je Oktave, Hz", "Was angenommen wurde"),
}
STEPS = {"en": "What to do next:", "de": "Was als Nächstes zu tun ist:"}


def headings(client, body, language):
    """Headings of the report of a body; steps only where there are any."""
    answer = client.post("/v1/advice", data=json.dumps(body), content_type="application/json").get_json()
    return (*HEADINGS[language], STEPS[language]) if answer["next_steps"] else HEADINGS[language]


@pytest.mark.parametrize("file", SCENES, ids=lambda file: file.stem)
def test_advise_prints_a_report_of_eighty_columns(client, file, capsys):
    assert main(["advise", str(file)]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert max(map(len, out.splitlines())) <= 80
    body = json.loads(file.read_text(encoding="utf-8"))
    for part in headings(client, body, body.get("language", "en")):
        assert f"\n{part}" in out, part
    assert not set("{}") & set(out), "a report is for people"


@pytest.mark.parametrize("file", SCENES, ids=lambda file: file.stem)
def test_advise_speaks_the_language_of_the_request(client, file, tmp_path, capsys):
    german = tmp_path / file.name
    german.write_text(json.dumps({**json.loads(file.read_text(encoding="utf-8")), "language": "de"}), encoding="utf-8")
    assert main(["advise", str(german)]) == 0
    out, _ = capsys.readouterr()
    assert max(map(len, out.splitlines())) <= 80
    for part in headings(client, json.loads(german.read_text(encoding="utf-8")), "de"):
        assert f"\n{part}" in out, part
    for part in (*HEADINGS["en"], STEPS["en"]):
        assert f"\n{part}" not in out, part
    assert main(["advise", "--json", str(german)]) == 0
    answer = client.post("/v1/advice", data=german.read_bytes(), content_type="application/json")
    assert capsys.readouterr().out == answer.data.decode() + "\n"


@pytest.mark.parametrize("file", SCENES, ids=lambda file: file.stem)
def test_advise_json_is_what_the_service_answers(client, file, capsys):
    assert main(["advise", "--json", str(file)]) == 0
    answer = client.post("/v1/advice", data=file.read_bytes(), content_type="application/json")
    assert capsys.readouterr().out == answer.data.decode() + "\n"


def test_advise_as_a_process():
    done = command("advise", SCENES[0])
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.count("\n") > 40


UNUSABLE = {
    # name of the file -> what it holds, and what the message says after its name
    "not_json.txt": (b"length_m = 6", "The body is not JSON: Expecting value at line 1, column 1."),
    "empty.json": (b"", "The body is empty; a JSON object is needed."),
    "list.json": (b"[]", "The body must be one JSON object, {...}; this is a list."),
    "latin.json": (b'{"note": "\xfc"}', "The body is not UTF-8 text: byte 11 does not fit."),
    "nan.json": (b'{"listening_distance_m": NaN}', "NaN is not JSON; only finite numbers are read."),
    "nothing_told.json": (b"{}", "/room: room is missing; it must be an object"),
    "only_a_room.json": (
        b'{"room": {"length_m": 5, "width_m": 4}, "listening_distance_m": 3}',
        "/: speaker and amplifier are both missing: leave out the one that you look for, not both.",
    ),
    "a_number_as_text.json": (
        b'{"speaker": {"sensitivity_db_1m": "98"}, "amplifier": {"power_w": 8}, "room": {"length_m": 5, "width_m": 4}}',
        '/speaker/sensitivity_db_1m: sensitivity_db_1m must be a number from 60 to 121; got "98".',
    ),
    "too_far.json": (
        b'{"speaker": {"sensitivity_db_1m": 98}, "amplifier": {"power_w": 8}, "room": {"length_m": 5, "width_m": 4}, '
        b'"listening_distance_m": 20}',
        "/listening_distance_m: ",
    ),
    "above_physics.json": (
        b'{"speaker": {"sensitivity_db_1w_1m": 118, "directivity_index_db": 4}, "amplifier": {"power_w": 8}, '
        b'"room": {"length_m": 5, "width_m": 4}, "listening_distance_m": 2.5}',
        "/speaker/sensitivity_db_1w_1m: 118.0 dB at 1 W and 1 m would be more sound than the power that makes it",
    ),
}


@pytest.mark.parametrize("name", UNUSABLE)
def test_a_file_that_will_not_do(tmp_path, capsys, name):
    held, said = UNUSABLE[name]
    file = tmp_path / name
    file.write_bytes(held)
    assert main(["advise", str(file)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert f"{file}: {said}" in err
    assert "Traceback" not in err


@pytest.mark.parametrize("folder", ["exposure", "response", "modes"])
def test_a_body_of_another_operation_is_refused(capsys, folder):
    file = next((ROOT / "demo_rooms" / folder).glob("*.json"))
    assert main(["advise", str(file)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "is not a field here" in err
    assert ("/room: room is missing" in err) is (folder == "exposure")
    assert all(line.startswith(f"{file}: /") for line in err.splitlines())


def test_a_file_that_is_not_there(tmp_path):
    """As a process, so that its exit status is seen."""
    done = command("advise", tmp_path / "nowhere.json")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == f"{tmp_path / 'nowhere.json'}: No such file or directory\n"


def test_a_directory_in_place_of_a_file(tmp_path, capsys):
    assert main(["advise", str(tmp_path)]) == 2
    assert capsys.readouterr() == ("", f"{tmp_path}: Is a directory\n")


@pytest.mark.parametrize("words", [["advise"], ["advice", "x.json"], ["--port", "many"], ["--unknown"]])
def test_words_that_it_does_not_know(capsys, words):
    with pytest.raises(SystemExit, match="2"):
        main(words)
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("usage: python -m service")


def test_spec_writes_the_specification(tmp_path, capsys):
    file = tmp_path / "openapi.json"
    assert main(["spec", "--output", str(file)]) == 0
    assert capsys.readouterr().out == f"{file}\n"
    written = file.read_text(encoding="utf-8")
    assert written == openapi.to_text(openapi.build(OPERATIONS))
    assert json.loads(written)["openapi"] == "3.1.0"


@pytest.mark.parametrize("output", ["missing_folder/openapi.json", "."])
def test_spec_into_what_cannot_be_written(tmp_path, capsys, output):
    file = tmp_path / output
    assert main(["spec", "--output", str(file)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith(f"{file}: ")
    assert err.count("\n") == 1


@pytest.mark.parametrize(("name", "begins"), [("a.pdf", b"%PDF-"), ("b.html", b"<!doctype html>"), ("C.PDF", b"%PDF-")])
def test_advise_writes_a_sheet(client, tmp_path, capsys, name, begins):
    file = tmp_path / name
    assert main(["advise", str(SCENES[0]), "--sheet", str(file)]) == 0
    out, err = capsys.readouterr()
    assert (out, err) == (f"{file}\n", "")
    posted = client.post(
        "/v1/advice",
        data=SCENES[0].read_bytes(),
        content_type="application/json",
        headers={"Accept": "application/pdf" if name.lower().endswith("pdf") else "text/html"},
    )
    assert file.read_bytes() == posted.data
    assert posted.data.startswith(begins)


@pytest.mark.parametrize("name", ["sheet.txt", "sheet", "pdf"])
def test_a_sheet_of_another_kind(tmp_path, capsys, name):
    with pytest.raises(SystemExit, match="2"):
        main(["advise", str(SCENES[0]), "--sheet", str(tmp_path / name)])
    assert "must end in .pdf or .html" in capsys.readouterr().err
    assert not (tmp_path / name).exists()


def test_a_sheet_into_what_cannot_be_written(tmp_path, capsys):
    file = tmp_path / "missing_folder" / "a.pdf"
    assert main(["advise", str(SCENES[0]), "--sheet", str(file)]) == 2
    out, err = capsys.readouterr()
    assert (out, err) == ("", f"{file}: No such file or directory\n")


def test_several_amplifiers_are_ranked_in_the_report(tmp_path, capsys):
    body = {
        "speaker": {"sensitivity_db_1w_1m": 96},
        "amplifiers": [{"name": "Small", "power_w": 2}, {"name": "Large", "power_w": 30}],
        "room": {"floor_area_m2": 22},
    }
    file = tmp_path / "two.json"
    file.write_text(json.dumps(body), encoding="utf-8")
    assert main(["advise", str(file)]) == 0
    out = capsys.readouterr().out
    # 10 lg 15 = 11.8 dB between them
    first, second = (line for line in out.splitlines() if line.startswith(("- 1. ", "- 2. ")))
    assert first.startswith("- 1. Large: ")
    assert second.startswith("- 2. Small: ")
