"""The files of the page: all from here, nothing in them that its policy forbids, no word without a use."""

import gzip
import json
import re
from pathlib import Path

import pytest

from service.advice.language.localise import LANGUAGES
from service.web.http import page

FOLDER = Path(page.__file__).parents[1] / "page"
SCRIPTS = {path.name: path.read_text(encoding="utf-8") for path in FOLDER.glob("*.js")}
HTML = (FOLDER / "index.html").read_text(encoding="utf-8")
MARKUP_OR_CODE_FROM_TEXT = re.compile(
    r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|eval\(|new Function|setAttribute\(\"style"
)
BEFORE_THE_POINT = re.compile(r"\b(?:say|known|sayInPieces)\(\s*`([\w.]+)\$\{")
MADE = ("fault.", "facts.no_", "facts.basis.", "keep.", "mode.", "plan.", "chance.")
"""Beginnings of keys that the scripts put together; the sentences under them are looked at on the screen."""


def words(client, language="en"):
    return client.get(f"/page/words-{language}.json").get_json()


def test_everything_that_the_page_names_is_served_from_here(client):
    named = re.findall(r'(?:src|href)="([^"]+)"', HTML)
    assert len(named) > 10
    for reference in named:
        assert "//" not in reference
        assert client.get("/" + reference).status_code == 200
    imported = {name for text in SCRIPTS.values() for name in re.findall(r'from "\./([\w.]+)"', text)}
    assert imported | {"main.js"} == set(SCRIPTS)
    assert {f"page/{name}" for name in SCRIPTS} <= set(named), "a script that is not named in the page comes late"


def test_nothing_stands_in_the_page_that_its_policy_forbids(client):
    policy = client.get("/").headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'; script-src 'self'; style-src 'self';")
    assert "unsafe" not in policy
    assert "http" not in policy
    assert re.search(r"<script(?![^>]* src=)|<style| style=| on\w+=", HTML) is None
    for name, text in SCRIPTS.items():
        assert MARKUP_OR_CODE_FROM_TEXT.search(text) is None, name
        assert set(re.findall(r"https?://[^\s\"]+", text)) <= {"http://www.w3.org/2000/svg"}, name
    assert re.search(r"@import|url\(", (FOLDER / "page.css").read_text(encoding="utf-8")) is None


def test_kinds_and_caching_of_the_files(client):
    for path, kind in {"/": "text/html", "/page/main.js": "text/javascript", "/page/page.css": "text/css"}.items():
        first = client.get(path)
        assert (first.status_code, first.mimetype, first.headers["Cache-Control"]) == (200, kind, "no-cache")
        assert client.get(path, headers={"If-None-Match": first.headers["ETag"]}).status_code == 304


@pytest.mark.parametrize("path", ["/", "/page/main.js", "/page/words-de.json", "/v1/fields?language=de"])
def test_what_the_page_loads_is_packed_for_those_who_take_it(client, path):
    plain, packed = client.get(path), client.get(path, headers={"Accept-Encoding": "gzip"})
    assert "Content-Encoding" not in plain.headers
    assert packed.headers["Content-Encoding"] == "gzip"
    assert plain.headers["Vary"] == packed.headers["Vary"] == "Accept-Encoding"
    assert gzip.decompress(packed.data) == plain.data
    assert len(packed.data) < len(plain.data)
    assert "Content-Encoding" not in client.get(path, headers={"Accept-Encoding": "gzip;q=0"}).headers


@pytest.mark.parametrize("name", ["index.html", "nothing.js", "..%2fpage.py", "words-fr.json", "page.py"])
def test_nothing_else_is_served(client, name):
    answer = client.get(f"/page/{name}")
    assert (answer.status_code, answer.mimetype) == (404, "application/problem+json")


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_word_that_the_page_says_is_there(client, language):
    said = set(re.findall(r'data-words="([\w.]+)"', HTML))
    for text in SCRIPTS.values():
        said |= set(re.findall(r'\b(?:say|known|sayInPieces)\(\s*"([\w.]+)"', text))
        for first, second in re.findall(r'\bsay\([^"()]*\? "([\w.]+)" : "([\w.]+)"', text):
            said |= {first, second}
    assert len(said) > 50
    assert said - set(words(client, language)) == set()


def test_no_word_of_the_page_is_without_a_use(client):
    everything = HTML + "".join(SCRIPTS.values())
    own = [key for key in words(client) if not key.startswith("terms.")]
    unused = [key for key in own if f'"{key}"' not in everything and not key.startswith(MADE)]
    assert unused == []
    parts = {part for text in SCRIPTS.values() for part in BEFORE_THE_POINT.findall(text)}
    assert parts <= set(MADE)


def test_the_example_is_an_invented_scene_that_is_answered(client):
    body = client.get("/page/example.json").get_json()
    assert body["note"].startswith("Invented scene")
    assert client.post("/v1/advice", data=json.dumps(body), content_type="application/json").status_code == 200
