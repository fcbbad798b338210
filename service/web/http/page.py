"""The page for people at `/`: static files of our own, the words of each language, and an example to begin with."""

import functools
import gzip
from pathlib import Path

import orjson
from flask import Response, abort, request

from service.advice.language.localise import LANGUAGES, catalogue
from service.advice.reference_tables import demo_room_bodies

_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)

_FOLDER = Path(__file__).parents[1] / "page"

_TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
}

_EXAMPLE = ("advice", "first_look")
"""Operation and name of the invented scene that the page opens with."""


_PACKED = {"home", "page_file", "page_words", "fields"}
"""Endpoints whose answers are packed for those who take that: what the page loads, and the same for everybody."""


def register(app):
    """Add the page, its files, its words and its example to `app`."""
    app.add_url_rule("/", endpoint="home", view_func=lambda: _file("index.html"))
    app.add_url_rule("/page/<name>", endpoint="page_file", view_func=_part)
    app.add_url_rule("/page/words-<language>.json", endpoint="page_words", view_func=_words_view)
    app.add_url_rule("/page/example.json", endpoint="page_example", view_func=lambda: _json(_example()))
    app.after_request(_packed)


@functools.cache
def _files():
    """The files of the page by name: those of the folder and no others."""
    return {path.name: path for path in _FOLDER.iterdir() if path.suffix in _TYPES}


def _part(name):
    if name not in _files() or name == "index.html":
        abort(404)
    return _file(name)


def _file(name):
    path = _files()[name]
    return _answer(path.read_bytes(), _TYPES[path.suffix])


def _words_view(language):
    if language not in LANGUAGES:
        abort(404)
    return _json(_words(language))


@functools.cache
def _words(language):
    """The sentences of the page, and the terms of the service under `terms.`, as JSON."""
    sentences = catalogue(language)
    own = {key.removeprefix("page."): text for key, text in sentences.items() if key.startswith("page.")}
    terms = {key: text for key, text in sentences.items() if key.startswith("terms.")}
    return orjson.dumps({**own, **terms})


@functools.cache
def _example():
    """The body that the page opens with, as JSON."""
    return orjson.dumps(next(body for *scene, body in demo_room_bodies() if tuple(scene) == _EXAMPLE))


def _json(body):
    return _answer(body, "application/json")


def _answer(body, content_type):
    response = Response(body, content_type=content_type)
    response.headers["Content-Security-Policy"] = _POLICY
    response.headers["Cache-Control"] = "no-cache"
    response.add_etag(weak=True)  # the same whether it is packed or not
    return response.make_conditional(request)


def _packed(response):
    """Pack what the page loads: on a phone in a shop the way is long."""
    if request.endpoint in _PACKED and response.status_code == 200:
        response.vary.add("Accept-Encoding")
        if request.accept_encodings["gzip"] > 0:
            response.set_data(_gzip(response.get_data()))
            response.headers["Content-Encoding"] = "gzip"
    return response


@functools.lru_cache(maxsize=64)
def _gzip(body):
    return gzip.compress(body, mtime=0)
