"""GET /v1/visit-form: one blank page to print and take to a customer's home, where the facts are written down."""

import base64
import hashlib
import re
from dataclasses import dataclass
from html import escape
from pathlib import Path

from service.advice.language.localise import text_of
from service.domain.words import Words

_STYLE = (Path(__file__).parent / "visit_form.css").read_text(encoding="utf-8")
_STYLE_HASH = base64.b64encode(hashlib.sha256(_STYLE.encode()).digest()).decode()

SECURITY_POLICY = (
    f"default-src 'none'; style-src 'sha256-{_STYLE_HASH}'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
"""The page loads nothing, and of styles only its own holds."""

LINES = (
    "sensitivity",
    "impedance",
    "power",
    "amplifier",
    "room",
    "building",
    "speakers",
    "chair",
    "music",
    "sound",
)
"""What is written down, in the order of a visit: the labels, then a tape, then the ears."""

_BLANK = re.compile(r"(___)(___)?( \S+)?")
"""A space to write in, perhaps a long one, with the unit behind it, which stays on the same line."""

_SKETCH_MM = (184, 72)
_SQUARE_MM = 4
"""One square of the sketch stands for 25 cm, as its legend says: room for 11.5 m by 4.5 m."""

_PAGE = """<!doctype html>
<html lang="{language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>{style}</style>
</head>
<body>
<main>
<h1>{title}</h1>
<p>{purpose}</p>
<p>{head}</p>
<table>
<thead><tr><th scope="col">{number}</th><th scope="col">{what}</th><th scope="col">{answer}</th>\
<th scope="col">{where}</th></tr></thead>
<tbody>
{rows}
</tbody>
</table>
<h2>{sketch}</h2>
<p>{legend}</p>
{grid}
<p class="safety">{safety}</p>
</main>
</body>
</html>
"""


@dataclass(frozen=True, kw_only=True)
class VisitLine:
    """One line of the form; three underscores stand for a short space to write in, six for a long one."""

    what: Words
    answer: Words
    where: Words


def visit_form():
    """Return the lines of the form."""
    return [
        VisitLine(**{part: Words(f"visit_form.{line}.{part}") for part in ("what", "answer", "where")})
        for line in LINES
    ]


def to_html(lines, language):
    """Return the form in a language as the bytes of a page."""

    def said(sentence):
        return _BLANK.sub(_space, escape(text_of(sentence, language)))

    def part(name):
        return said(Words(f"visit_form.{name}"))

    rows = [
        f'<tr><th scope="row">{number}</th><td>{said(line.what)}</td><td>{said(line.answer)}</td>'
        f"<td>{said(line.where)}</td></tr>"
        for number, line in enumerate(lines, start=1)
    ]
    parts = ("title", "purpose", "head", "number", "what", "answer", "where", "sketch", "legend", "safety")
    return _PAGE.format(
        language=language,
        style=_STYLE,
        rows="\n".join(rows),
        grid=_grid(part("sketch")),
        **{name: part(name) for name in parts},
    ).encode()


def _space(found):
    """The space to write in that stands for underscores."""
    kind = "blank long" if found[2] else "blank"
    return f'<span class="kept"><span class="{kind}">&nbsp;</span>{found[3] or ""}</span>'


def _grid(name):
    """The empty area to draw in: light squares, which print without the browser's background graphics."""
    width, height = _SKETCH_MM
    lines = [f"M{x} 0V{height}" for x in range(_SQUARE_MM, width, _SQUARE_MM)]
    lines += [f"M0 {y}H{width}" for y in range(_SQUARE_MM, height, _SQUARE_MM)]
    return (
        f'<svg viewBox="0 0 {width} {height}" role="img" aria-label="{name}">'
        f'<path d="{"".join(lines)}" fill="none" stroke="#bbb" stroke-width="0.15"/>'
        f'<rect x="0.2" y="0.2" width="{width - 0.4}" height="{height - 0.4}" fill="none" stroke="#000" '
        'stroke-width="0.4"/></svg>'
    )
