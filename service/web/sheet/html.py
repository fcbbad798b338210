"""The sheet as an HTML page for screen and print: it loads nothing and runs nothing."""

import base64
import hashlib
import json
from html import escape
from pathlib import Path

from service.web.requests.sheet import PAPERS_MM
from service.web.sheet.content import Beside, Bullets, Columns, Heading, Paragraph, Pictures, Rows, Spare, Title
from service.web.sheet.svg import to_svg

_STYLE = (Path(__file__).parent / "sheet.css").read_text(encoding="utf-8")

_STYLES = {paper: f"@page {{ size: {paper}; margin: 12mm 15mm; }}\n{_STYLE}" for paper in PAPERS_MM}
"""Paper -> the whole style of its page."""


_PLAN_MM = (108.0, 118.0)
"""Room for the plan, beside the list of distances."""


def _hash(style):
    return f"'sha256-{base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()}'"


SECURITY_POLICY = (
    f"default-src 'none'; style-src {' '.join(_hash(style) for style in _STYLES.values())}; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
"""The page loads nothing, and of styles only its own hold."""

_PAGE = """<!doctype html>
<html lang="{language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>{style}</style>
</head>
<body>
<header>
<p class="sheet">{title}</p>
{shop}
</header>
<main>
{sections}
</main>
<footer>
{request}
<p>{footer}</p>
</footer>
</body>
</html>
"""


def to_html(sheet, details, *, request_title):
    """Return the sheet as the bytes of a page.

    Parameters
    ----------
    sheet : Sheet
        What stands on it. [-]
    details : SheetDetails
        Its paper. [-]
    request_title : str
        Said above the complete request. [-]
    """
    shop = [f'<p class="{"shop" if row == 0 else "contact"}">{escape(text)}</p>' for row, text in enumerate(sheet.shop)]
    if sheet.case:
        shop.append(f'<p class="case">{escape(" · ".join(sheet.case))}</p>')
    sections = [
        f"<section>\n{chr(10).join(_BLOCKS[type(block)](block) for block in page)}\n</section>"
        for page in sheet.pages
        if page
    ]
    body = escape(json.dumps(sheet.request, indent=1, ensure_ascii=False))
    request = f"<details><summary>{escape(request_title)}</summary>\n<pre>{body}</pre></details>"
    return _PAGE.format(
        language=sheet.language,
        title=escape(sheet.title),
        style=_STYLES[details.paper],
        shop="\n".join(shop),
        sections="\n".join(sections),
        request=request,
        footer=escape(sheet.footer),
    ).encode()


def _bullets(block):
    items = "\n".join(f"<li>{escape(item)}</li>" for item in block.items)
    return f"<ul>\n{items}\n</ul>"


def _rows(block):
    head = "".join(f'<th scope="col">{escape(text)}</th>' for text in block.head)
    rows = "\n".join(
        f'<tr><th scope="row">{escape(row[0])}</th>{"".join(f"<td>{escape(text)}</td>" for text in row[1:])}</tr>'
        for row in block.rows
    )
    return f"<table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}\n</tbody>\n</table>"


def _beside(block):
    drawing, remarks = block.drawn(_PLAN_MM)
    rows = "\n".join(
        f"<tr><th>{escape(mark)}</th><td>{escape(what)}</td><td>{escape(far)}</td></tr>"
        for mark, what, far in block.rows
    )
    said = "\n".join(f"<p>{escape(remark)}</p>" for remark in remarks)
    return (
        f'<div class="beside">\n<figure>{to_svg(drawing)}</figure>\n'
        f'<div>\n<table class="tape">\n{rows}\n</table>\n{said}\n</div>\n</div>'
    )


def _pictures(block):
    figures = "\n".join(f"<figure>{to_svg(drawing)}</figure>" for drawing in block.drawings)
    caption = f"\n<p>{escape(block.caption)}</p>" if block.caption else ""
    return f'<h2>{escape(block.heading)}</h2>\n<div class="pictures">\n{figures}\n</div>{caption}'


def _columns(block):
    parts = []
    for heading, texts in block.parts:
        parts.append(f"<h2>{escape(heading)}</h2>")
        parts += [f"<p>{escape(text)}</p>" for text in texts]
    return '<div class="columns">\n{}\n</div>'.format("\n".join(parts))


_BLOCKS = {
    Title: lambda block: f"<h1>{escape(block.text)}</h1>",
    Heading: lambda block: f"<h2>{escape(block.text)}</h2>",
    Paragraph: lambda block: f"<p>{escape(block.text)}</p>",
    Bullets: _bullets,
    Spare: lambda block: "",  # stands in the small print
    Rows: _rows,
    Beside: _beside,
    Pictures: _pictures,
    Columns: _columns,
}
"""Kind of block -> its HTML."""
