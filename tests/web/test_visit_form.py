"""GET /v1/visit-form: a whole page in each language that loads nothing, runs nothing and escapes what it says."""

import base64
import hashlib
import re
from html.parser import HTMLParser

import pytest

from service.advice.language import localise as words_module
from service.advice.language.localise import LANGUAGES, catalogue
from service.web import visit_form
from service.web.http.app import SECURITY_HEADERS

VOID = {"meta", "path", "rect"}
"""Elements of the page that have no end, or end themselves."""


class Page(HTMLParser):
    """Reads a page: its elements with their attributes, the text in each kind, and whether all are closed in order."""

    def __init__(self, text):
        super().__init__()
        self.open, self.found, self.text = [], [], {}
        self.feed(text)
        assert self.open == []

    def handle_starttag(self, tag, attributes):
        self.found.append((tag, dict(attributes)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        self.found.append((tag, dict(attributes)))

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        for tag in self.open:
            self.text[tag] = self.text.get(tag, "") + data

    def all(self, tag):
        return [attributes for name, attributes in self.found if name == tag]


def response_in(client, language):
    response = client.get(f"/v1/visit-form?language={language}")
    assert response.status_code == 200
    return response


@pytest.mark.parametrize("language", LANGUAGES)
def test_it_is_a_whole_page_in_its_language(client, language):
    response = response_in(client, language)
    assert response.content_type == "text/html; charset=utf-8"
    page = Page(response.text)
    assert page.all("html") == [{"lang": language}]
    assert page.text["title"] == page.text["h1"] == catalogue(language)["visit_form.title"]
    assert response.text.startswith("<!doctype html>")
    (drawing,) = page.all("svg")
    assert drawing["role"] == "img"
    assert drawing["aria-label"]


@pytest.mark.parametrize("language", LANGUAGES)
def test_ten_numbered_lines_each_with_a_space_and_a_place_to_look(client, language):
    text = response_in(client, language).text
    rows = re.findall(r'<tr><th scope="row">(\d+)</th><td>(.*?)</td><td>(.*?)</td><td>(.*?)</td></tr>', text)
    assert [int(number) for number, *_ in rows] == list(range(1, 11))
    for _, what, answer, where in rows:
        assert what
        assert where
        assert 'class="blank' in answer
    assert Page(text).all("th")[:4] == [{"scope": "col"}] * 4


def test_it_names_the_facts_and_the_danger(client):
    english, german = (response_in(client, language).text for language in ("en", "de"))
    for fact in ("data sheet", "Back panel", "Laser", "Clap", "ohm", "dB(A)", "lethal voltage", "qualified technician"):
        assert fact in english
    for fact in ("Datenblatt", "Rückseite", "Laser", "Klatschen", "Ohm", "dB(A)", "lebensgefährlich", "Fachkraft"):
        assert fact in german


@pytest.mark.parametrize("language", LANGUAGES)
def test_it_loads_nothing_and_runs_nothing(client, language):
    page = Page(response_in(client, language).text)
    assert not {"script", "link", "img", "iframe", "form", "a", "object"} & {tag for tag, _ in page.found}
    assert not any(name in attributes for _, attributes in page.found for name in ("src", "href", "style", "onload"))
    assert "url(" not in page.text["style"]
    assert "@import" not in page.text["style"]


def test_its_policy_lets_its_own_style_hold_and_nothing_else(client):
    response = response_in(client, "de")
    digest = base64.b64encode(hashlib.sha256(Page(response.text).text["style"].encode()).digest()).decode()
    policy = response.headers["Content-Security-Policy"].split("; ")
    assert f"style-src 'sha256-{digest}'" in policy
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    for name in SECURITY_HEADERS.keys() - {"Content-Security-Policy"}:
        assert response.headers[name] == SECURITY_HEADERS[name]


def test_what_it_says_is_escaped(monkeypatch):
    monkeypatch.setattr(words_module, "catalogue", lambda language: {f"visit_form.{key}": "<b>&\"'" for key in KEYS})
    words_module._parts.cache_clear()
    try:
        text = visit_form.to_html(visit_form.visit_form(), "en").decode()
    finally:
        words_module._parts.cache_clear()
    assert "<b>" not in text
    assert text.count("&lt;b&gt;&amp;&quot;&#x27;") == len(KEYS) + 2  # the title stands twice, the sketch's name too


KEYS = [key.removeprefix("visit_form.") for key in catalogue("en") if key.startswith("visit_form.")]
