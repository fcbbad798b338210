"""A PDF with a book face embedded, on which texts are set line by line and drawings are put."""

import functools
import logging
import re

import font_source_sans_pro
from fontTools.ttLib import TTFont
from fpdf import FPDF

from service.web.sheet.shapes import MM_PER_PT, SMALLEST_PT, Area, Disc, Label, Line

_FONT = "sheet"
FONT_FILES = {
    "": font_source_sans_pro.font_files_ttf["SourceSansPro"],
    "B": font_source_sans_pro.font_files_ttf["SourceSansProSemibold"],
}
"""The faces that are embedded, by the style that names them: as TrueType, of which any reader shows the text."""

MARGIN_MM = 15.0
LEADING = 1.2

_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:%|dB|cm|ft|in|m|m²|mm|Hz|s|W|Ω|kPa|°C)(?:\W|$))")
"""The space between a number and its unit, where no line ends."""

logging.getLogger("fontTools").setLevel(logging.ERROR)


@functools.cache
def _known_characters():
    with TTFont(FONT_FILES[""]) as regular, TTFont(FONT_FILES["B"]) as bold:
        return frozenset(map(chr, regular.getBestCmap().keys() & bold.getBestCmap().keys()))


def printable(text):
    """The text on one line, a question mark in place of each character that the font lacks."""
    known = _known_characters()
    return "".join(character if character in known else "?" for character in " ".join(text.split()))


class Canvas(FPDF):
    """A document of one face; places are in millimetres from the upper left corner of the page."""

    def __init__(self, *, paper_mm):
        super().__init__(unit="mm", format=paper_mm)
        self.width_mm = paper_mm[0] - 2 * MARGIN_MM
        self._wraps = {}
        self.alias_nb_pages(None)  # a text that looks like the sign for the number of pages is only text
        for style, path in FONT_FILES.items():
            self.add_font(_FONT, style=style, fname=path)

    def use(self, size_pt, style=""):
        """Choose the size and the style of what is set next."""
        self.set_font(_FONT, style, size_pt)

    def lines(self, text, size_pt, *, style="", width_mm=None, indent_mm=0.0, line_mm=None):
        """Set a text line by line from here down."""
        line_mm = line_mm or size_pt * MM_PER_PT * LEADING
        width_mm = width_mm or self.width_mm - indent_mm
        for line in self.wrapped(text, size_pt, style, width_mm):
            self.use(size_pt, style)  # a new page may have begun
            self.set_x(MARGIN_MM + indent_mm)
            self.cell(width_mm, line_mm, line, new_x="LMARGIN", new_y="NEXT")

    def wrapped(self, text, size_pt, style, width_mm):
        """The lines of a text; a word longer than a line is broken anywhere."""
        key = text, size_pt, style, width_mm
        if key not in self._wraps:
            self.use(size_pt, style)
            kept = _BEFORE_UNIT.sub("\u00a0", printable(text))
            lines = self._wrap(kept, width_mm - 2 * self.c_margin)
            self._wraps[key] = [line.replace("\u00a0", " ") for line in lines]
        return self._wraps[key]

    def _wrap(self, text, width_mm):
        lines, line, used_mm, space_mm = [], [], 0.0, self.get_string_width(" ")
        for word in text.split(" "):
            for piece in self._pieces(word, width_mm):
                piece_mm = self.get_string_width(piece)
                if line and used_mm + space_mm + piece_mm > width_mm:
                    lines.append(" ".join(line))
                    line, used_mm = [], 0.0
                used_mm += piece_mm + (space_mm if line else 0.0)
                line.append(piece)
        return [*lines, " ".join(line)]

    def _pieces(self, word, width_mm):
        while len(word) > 1 and self.get_string_width(word) > width_mm:
            fits = next(n for n in range(len(word) - 1, 0, -1) if n == 1 or self.get_string_width(word[:n]) <= width_mm)
            yield word[:fits]
            word = word[fits:]
        yield word

    def text_height_mm(self, text, size_pt, *, style="", indent_mm=0.0):
        """How high `lines` will set a text. [mm]"""
        return size_pt * MM_PER_PT * LEADING * len(self.wrapped(text, size_pt, style, self.width_mm - indent_mm))

    def draw(self, drawing, left, top):
        """Put a drawing on the page, its upper left corner at a place."""
        for shape in drawing.shapes:
            _DRAWERS[type(shape)](self, shape, left, top)
        self.set_draw_color(0)
        self.set_text_color(0)

    def _grey(self, ratio):
        self.set_fill_color(round(255 * ratio))

    def _dashed(self, shape):
        self.set_line_width(shape.width_mm)
        if shape.dash_mm:
            self.set_dash_pattern(dash=shape.dash_mm[0], gap=shape.dash_mm[1])
        else:
            self.set_dash_pattern()

    def draw_line(self, shape, left, top):
        self._dashed(shape)
        self.polyline([(left + x, top + y) for x, y in shape.points])
        self.set_dash_pattern()

    def draw_area(self, shape, left, top):
        style = ("D" if shape.width_mm else "") + ("" if shape.grey_ratio is None else "F")
        if shape.grey_ratio is not None:
            self._grey(shape.grey_ratio)
        if shape.width_mm:
            self._dashed(shape)
        self.polygon([(left + x, top + y) for x, y in shape.points], style=style)
        self.set_dash_pattern()

    def draw_disc(self, shape, left, top):
        x, y = left + shape.x_mm, top + shape.y_mm
        if shape.grey_ratio is None:
            self.set_line_width(0.3)
            self.circle(x, y, shape.radius_mm, style="D")
        else:
            self._grey(shape.grey_ratio)
            self.circle(x, y, shape.radius_mm, style="F")

    def draw_label(self, shape, left, top):
        self.use(SMALLEST_PT, "B" if shape.bold else "")
        text = printable(shape.text)
        width_mm = self.get_string_width(text)
        back_mm = {"start": 0.0, "middle": width_mm / 2, "end": width_mm}[shape.anchor]
        x, y = left + shape.x_mm, top + shape.y_mm
        with self.rotation(90 if shape.turned else 0, x, y):
            if shape.on_white:
                self._grey(1.0)
                self.rect(x - back_mm - 0.4, y - 2.5, width_mm + 0.8, 3.1, style="F")
            self.text(x - back_mm, y, text)


_DRAWERS = {Line: Canvas.draw_line, Area: Canvas.draw_area, Disc: Canvas.draw_disc, Label: Canvas.draw_label}
