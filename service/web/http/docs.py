"""The reader of the specification: one page of our own around the assets of Swagger UI, all local."""

from html import escape
from importlib.resources import files
from pathlib import Path

from flask import Response, abort, request

from service.advice.language.localise import LANGUAGES, text_of
from service.web.problems import KINDS

_POLICY = (
    "default-src 'self'; img-src 'self' data:; style-src 'self' 'unsafe-inline'; "
    "object-src 'none'; base-uri 'none'; frame-ancestors 'none'"
)

_ASSETS = {
    "swagger-ui-bundle.js": "text/javascript",
    "swagger-ui.css": "text/css",
    "favicon-32x32.png": "image/png",
}

_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Specification of the service</title>
<link rel="icon" href="docs/assets/favicon-32x32.png">
<link rel="stylesheet" href="docs/assets/swagger-ui.css">
<script src="docs/assets/swagger-ui-bundle.js" defer></script>
<script src="docs/init.js" defer></script>
</head>
<body>
<div id="specification"></div>
<noscript><p>This page needs JavaScript; the <a href="openapi.json">specification</a> does not.</p></noscript>
<section class="swagger-ui"><div class="wrapper"><h2>Problems</h2><dl>
{problems}
</dl></div></section>
</body>
</html>
"""


def register(app):
    """Add the page and its assets to `app`."""
    app.add_url_rule("/docs", endpoint="docs", view_func=_page)
    app.add_url_rule("/docs/init.js", endpoint="docs_init", view_func=_init)
    app.add_url_rule("/docs/assets/<name>", endpoint="docs_asset", view_func=_asset)


def _page():
    problems = "\n".join(
        f'<dt id="{kind.slug}"><b>{status} {escape(_text(kind.title))}</b></dt><dd>{escape(_text(kind.meaning))}</dd>'
        for status, kind in KINDS.items()
    )
    return _answer(_PAGE.format(problems=problems).encode(), "text/html; charset=utf-8")


def _text(sentence):
    return text_of(sentence, LANGUAGES[0])


def _init():
    return _answer((Path(__file__).parent / "static" / "init.js").read_bytes(), "text/javascript; charset=utf-8")


def _asset(name):
    if name not in _ASSETS:
        abort(404)
    return _answer((files("flask_swagger_ui") / "dist" / name).read_bytes(), _ASSETS[name])


def _answer(body, content_type):
    response = Response(body, content_type=content_type)
    response.headers["Content-Security-Policy"] = _POLICY
    response.headers["Cache-Control"] = "no-cache"
    response.add_etag()
    return response.make_conditional(request)
