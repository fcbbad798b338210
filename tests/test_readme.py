"""Every command and body of the README is run, and its answers are the real ones."""

import json
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
import requests

from service.__main__ import main
from service.web.operations import OPERATIONS

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"(?:<!-- ([\w-]+) -->\n)?```(\w+)\n(.*?)```", README, re.S)


def shell_commands():
    """Every command of the shell blocks, continuation lines joined."""
    for mark, language, text in BLOCKS:
        if language == "sh" and not mark:
            yield from ([text] if text.startswith("curl") else text.strip().splitlines())


def subset(shown, real, path=""):
    """Assert that everything shown is in the real answer."""
    if isinstance(shown, dict):
        for key, value in shown.items():
            assert key in real, f"{path}/{key}"
            subset(value, real[key], f"{path}/{key}")
    elif isinstance(shown, list):
        assert len(shown) <= len(real), path
        for index, value in enumerate(shown):
            subset(value, real[index], f"{path}/{index}")
    elif isinstance(shown, float):
        assert real == pytest.approx(shown, rel=1e-4), path  # the last digits are the processor's
    else:
        assert shown == real, path


def curl_parts(command):
    words = shlex.split(command)
    url = next(word for word in words if word.startswith("http"))
    return url.removeprefix("http://127.0.0.1:8090"), words[words.index("-d") + 1]


def test_the_question_gets_the_answer_that_is_shown(client):
    path, body = curl_parts(next(command for command in shell_commands() if command.startswith("curl")))
    answer = client.post(path, data=body, content_type="application/json")
    assert answer.status_code == 200
    shown = next(json.loads(text) for _, language, text in BLOCKS if language == "json")
    assert shown, "the README shows an answer"
    subset(shown, answer.json)


@pytest.mark.parametrize("command", [c for c in shell_commands() if "-m service" in c and "--port" not in c])
def test_commands_run(command, tmp_path, monkeypatch, capsys):
    words = shlex.split(command)
    assert words[:3] == [".venv/bin/python", "-m", "service"]
    if words[3:] == ["spec"]:
        words += ["--output", str(tmp_path / "openapi.json")]
    if "--sheet" in words:
        words[-1] = str(tmp_path / words[-1])
    monkeypatch.chdir(ROOT)
    assert main(words[3:]) == 0
    out, err = capsys.readouterr()
    assert out
    assert err == ""


def test_the_serving_command_brings_the_service_up():
    command = next(command for command in shell_commands() if "--port" in command)
    words = [sys.executable, *shlex.split(command)[1:]]
    words[words.index("--port") + 1] = "0"  # any free port, so that nothing that runs here is in the way
    server = subprocess.Popen(words, cwd=ROOT, stdout=subprocess.PIPE, text=True)
    try:
        address = server.stdout.readline().strip()
        assert requests.get(f"{address}health", timeout=30).json()["status"] == "ok"
    finally:
        server.terminate()
        server.wait(timeout=30)
        server.stdout.close()


def test_set_up_commands_are_the_ones_that_ci_runs():
    marked = {mark: text.strip() for mark, language, text in BLOCKS if mark}
    set_up = "python3 -m venv .venv && .venv/bin/pip install -q -r"
    assert marked == {
        "start-command": f"{set_up} service/requirements.txt && .venv/bin/python -m service",
        "test-command": f"{set_up} requirements.txt && .venv/bin/python -m pytest",
    }
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert all(f"command_of {mark}" in script for mark in marked)


def test_the_table_of_the_readme_has_the_operations_of_the_register_and_no_others():
    rows = [row for row in README.splitlines() if row.startswith(("| `POST /", "| `GET /"))]
    told = {path for row in rows for path in re.findall(r"`(?:POST |GET )?(/v1/[\w-]+)`", row.split(" | ")[0])}
    assert told == {operation.path for operation in OPERATIONS}
