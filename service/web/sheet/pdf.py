"""The sheet as PDF: text that can be selected, its font embedded, the same bytes for the same sheet."""

import datetime
import json

from service.web.requests.sheet import PAPERS_MM
from service.web.sheet.content import Beside, Bullets, Columns, Heading, Paragraph, Pictures, Rows, Spare, Title
from service.web.sheet.pdf_canvas import LEADING, MARGIN_MM, Canvas, printable
from service.web.sheet.shapes import MM_PER_PT, SMALLEST_PT

_TOP_MM = 12.0
_FOOT_MM = 9.0
_BODY_PT, _HEADING_PT, _TITLE_PT = 10.0, 11.0, 16.0
_SMALL_LINE_MM = SMALLEST_PT * MM_PER_PT * 1.16
_PLAN_WIDTH_MM = 108.0
_SHORTEST_PLAN_MM = 45.0
_TABLE_LINE_MM = 4.2
_GAP_MM = 6.0
"""Between two columns."""

_NO_DATE = datetime.datetime(1970, 1, 1, tzinfo=datetime.UTC)
"""Day of a file whose sheet has none: a file has no clock of its own."""


def to_pdf(sheet, details):
    """Return the sheet as the bytes of a PDF of one or two pages.

    Parameters
    ----------
    sheet : Sheet
        What stands on it. [-]
    details : SheetDetails
        Its paper and its date. [-]
    """
    pdf = _Document(sheet, details)
    pdf.write()
    return bytes(pdf.output())


class _Document(Canvas):
    """Sets the blocks of a sheet one below the other."""

    def __init__(self, sheet, details):
        super().__init__(paper_mm=PAPERS_MM[details.paper])
        self.sheet = sheet
        self.plan_height_mm, self.notes_set, self.spares_set = _SHORTEST_PLAN_MM, 0, set()
        self.set_margins(MARGIN_MM, _TOP_MM)
        self.set_auto_page_break(True, margin=_FOOT_MM + 4)
        self.set_title(printable(": ".join((sheet.title, *sheet.case))))
        self.set_lang(sheet.language)
        self.set_creator(printable(sheet.footer))
        self.set_producer("fpdf2")
        day = details.date
        self.set_creation_date(
            datetime.datetime(day.year, day.month, day.day, tzinfo=datetime.UTC) if day else _NO_DATE
        )
        self.embed_file(
            bytes=json.dumps(sheet.request, indent=1, ensure_ascii=False).encode(),
            basename="request.json",
            creation_date=self.creation_date,
            modification_date=self.creation_date,
            mime_type="application/json",
            compress=True,
        )

    def write(self):
        """Set the first page with a plan as large as the rest leaves room for, then the second."""
        first, second = self.sheet.pages
        self.add_page()
        others_mm = sum(self._height(block) for block in first if not isinstance(block, Beside | Spare))
        self.plan_height_mm = max(self.page_break_trigger - self.y - others_mm - 1, _SHORTEST_PLAN_MM)
        for block in first:
            _SETTERS[type(block)](self, block)
        if self.page_no() == 1:
            self.add_page()
        for block in second:
            if isinstance(block, Pictures) and block.when_room and not self._has_room(second):
                continue
            _SETTERS[type(block)](self, block)

    def _has_room(self, page):
        """Whether the blocks of a page from here on fit, small print uncut; those before were set already."""
        needed_mm = sum(self._height(block) for block in page if isinstance(block, Heading | Rows | Columns))
        needed_mm += sum(self._height(block) for block in page if isinstance(block, Pictures) and block.when_room)
        return self.y + needed_mm < self.page_break_trigger

    def _height(self, block):
        """How high a block will be, a little above rather than below. [mm]"""
        kind = type(block)
        if kind is Title:
            return self.text_height_mm(block.text, _TITLE_PT, style="B") + 1
        if kind is Heading:
            return self.text_height_mm(block.text, _HEADING_PT, style="B") + 2.8
        if kind is Paragraph:
            return self.text_height_mm(block.text, _BODY_PT) + 0.8
        if kind is Bullets:
            return sum(self.text_height_mm(item, _BODY_PT, indent_mm=4) + 0.4 for item in block.items)
        if kind is Rows:
            return _TABLE_LINE_MM * (1 + len(block.rows))
        if kind is Pictures:
            return max(drawing.height_mm for drawing in block.drawings) + self._height(Heading(text=block.heading)) + 1
        return (
            sum(line[2] + _SMALL_LINE_MM for line in self._small_lines(self._still_to_set(block))) / 2
            + 3 * _SMALL_LINE_MM
        )

    def header(self):
        """Shop at the left, case at the right, a line below; on later pages the title in place of the contact."""
        left = self.sheet.shop if self.page_no() == 1 else self.sheet.shop[:1]
        top = self.y
        self.use(_HEADING_PT, "B")
        self.cell(0, 5, printable(self.sheet.title), align="R")
        self.set_y(top if left else top + 5)
        for row, text in enumerate(left):
            size_pt, style = (_HEADING_PT, "B") if row == 0 else (SMALLEST_PT, "")
            self.lines(text, size_pt, style=style, width_mm=self.width_mm * 0.72, line_mm=5)
        if self.sheet.case:
            self.use(SMALLEST_PT)
            self.lines("  ·  ".join(self.sheet.case), SMALLEST_PT)
        self.set_line_width(0.3)
        self.line(MARGIN_MM, self.y + 1, MARGIN_MM + self.width_mm, self.y + 1)
        self.set_y(self.y + 3)

    def footer(self):
        """Version at the left, page at the right."""
        self.set_y(-_FOOT_MM)
        self.use(SMALLEST_PT)
        self.cell(0, 4, printable(self.sheet.footer))
        self.set_x(MARGIN_MM)
        self.cell(0, 4, str(self.page_no()), align="R")

    def set_headline(self, block):
        self.lines(block.text, _TITLE_PT, style="B")
        self.set_y(self.y + 1)

    def set_heading(self, block):
        self.set_y(self.y + 2.2)
        self.lines(block.text, _HEADING_PT, style="B")
        self.set_y(self.y + 0.6)

    def set_paragraph(self, block):
        self.lines(block.text, _BODY_PT)
        self.set_y(self.y + 0.8)

    def set_bullets(self, block):
        for item in block.items:
            self.use(_BODY_PT)
            self.set_x(MARGIN_MM)
            self.cell(4, _BODY_PT * MM_PER_PT * LEADING, "•")
            self.lines(item, _BODY_PT, indent_mm=4)
            self.set_y(self.y + 0.4)

    def set_spare(self, block):
        heading, bullets = Heading(text=block.heading), Bullets(items=block.items)
        if self.page_no() == 1 and self.y + self._height(heading) + self._height(bullets) < self.page_break_trigger:
            self.set_heading(heading)
            self.set_bullets(bullets)
            self.spares_set.add(block.heading)

    def set_rows(self, block):
        first_mm = self.width_mm * 0.3
        each_mm = (self.width_mm - first_mm) / max(len(block.head) - 1, 1)
        for row, style in ((block.head, "B"), *((row, "") for row in block.rows)):
            self.use(SMALLEST_PT, style)
            self.set_x(MARGIN_MM)
            self.cell(first_mm, _TABLE_LINE_MM, printable(row[0]))
            for text in row[1:]:
                self.cell(each_mm, _TABLE_LINE_MM, printable(text), align="R")
            self.set_y(self.y + _TABLE_LINE_MM)

    def set_beside(self, block):
        top = self.y
        list_mm = len(block.rows) * (_SMALL_LINE_MM + 0.6)
        drawing, remarks = block.drawn((_PLAN_WIDTH_MM, max(self.plan_height_mm, list_mm)))
        self.draw(drawing, MARGIN_MM, top)
        left = drawing.width_mm + _GAP_MM
        width_mm = self.width_mm - left
        self.set_y(top + 1)
        self._set_tape_list(block.rows, left, width_mm)
        bottom = max(top + drawing.height_mm, self.y)
        for remark in remarks:
            self.lines(remark, SMALLEST_PT, width_mm=width_mm, indent_mm=left, line_mm=_SMALL_LINE_MM)
        self._set_notes(block, left, width_mm, bottom)
        self.set_y(max(self.y, bottom))

    def _set_tape_list(self, rows, left, width_mm):
        number_mm = 5.5
        self.use(SMALLEST_PT, "B")
        far_mm = max(self.get_string_width(printable(far)) for _, _, far in rows) + 2 * self.c_margin
        what_mm = width_mm - number_mm - far_mm
        for number, what, far in rows:
            self.use(SMALLEST_PT, "B")
            self.set_x(MARGIN_MM + left)
            self.cell(number_mm, _SMALL_LINE_MM, number)
            self.set_x(MARGIN_MM + left + number_mm + what_mm)
            self.cell(far_mm, _SMALL_LINE_MM, printable(far), align="R")
            self.lines(what, SMALLEST_PT, width_mm=what_mm, indent_mm=left + number_mm, line_mm=_SMALL_LINE_MM)
            self.set_y(self.y + 0.6)
        self.set_y(self.y + 1)

    def _set_notes(self, block, left, width_mm, bottom):
        """As many of the notes as have room below the list; the others are small print of the next page."""
        heading_mm = 2 + _SMALL_LINE_MM
        for note in block.notes:
            lines = self.wrapped(note, SMALLEST_PT, "", width_mm)
            before_mm = 0.4 if self.notes_set else heading_mm
            if self.y + before_mm + len(lines) * _SMALL_LINE_MM > bottom:
                return
            if not self.notes_set:
                self.set_y(self.y + 2)
                self.lines(
                    block.notes_heading,
                    SMALLEST_PT,
                    style="B",
                    width_mm=width_mm,
                    indent_mm=left,
                    line_mm=_SMALL_LINE_MM,
                )
            self.lines(note, SMALLEST_PT, width_mm=width_mm, indent_mm=left, line_mm=_SMALL_LINE_MM)
            self.set_y(self.y + 0.4)
            self.notes_set += 1

    def set_pictures(self, block):
        self.set_heading(Heading(text=block.heading))
        top = self.y + 0.5
        left = MARGIN_MM
        for drawing in block.drawings:
            self.draw(drawing, left, top)
            left += drawing.width_mm + 2
        self.set_y(top + max(drawing.height_mm for drawing in block.drawings) + 0.5)
        if block.caption:
            self.lines(block.caption, SMALLEST_PT)

    def set_columns(self, block):
        """Small print in two columns of about the same height, cut where the page ends."""
        self.set_y(self.y + 2)
        free_mm = 2 * (self.page_break_trigger - self.y) - 4 * _SMALL_LINE_MM
        parts = {heading: texts for heading, texts in self._still_to_set(block)}
        cut = set()
        while True:
            shown = [(name, (*texts, block.more) if name in cut else texts) for name, texts in parts.items()]
            lines = self._small_lines(shown)
            # the reasons last: the others stand in the request that goes with the sheet
            longest = max(parts, key=lambda name: (name != block.noted and len(parts[name]) > 1, len(parts[name])))
            fits = sum(before_mm + _SMALL_LINE_MM for _, _, before_mm in lines) <= free_mm
            if fits or len(parts[longest]) <= 1:
                break
            parts[longest] = parts[longest][:-1]
            cut.add(longest)
        self._set_lines_in_two_columns(lines)

    def _still_to_set(self, block):
        """The parts of small print without the notes that the first page has."""
        for heading, texts in block.parts:
            rest = texts[self.notes_set :] if heading == block.noted else texts
            if rest and heading not in self.spares_set:
                yield heading, rest

    def _column_mm(self):
        return (self.width_mm - _GAP_MM) / 2

    def _small_lines(self, parts):
        """The lines of small print as tuples of text, style and the gap before it."""
        found = []
        for heading, texts in parts:
            for text, style, before_mm in ((heading, "B", 1.8), *((text, "", 0.4) for text in texts)):
                lines = self.wrapped(text, SMALLEST_PT, style, self._column_mm())
                found += [(line, style, before_mm if row == 0 else 0.0) for row, line in enumerate(lines)]
        return found

    def _set_lines_in_two_columns(self, lines):
        half_mm = sum(_SMALL_LINE_MM + before_mm for _, _, before_mm in lines) / 2
        top, x, y, used_mm, turned = self.y, MARGIN_MM, self.y, 0.0, False
        lowest = top
        for line, style, before_mm in lines:
            heading_last = style == "B" and used_mm + 3 * _SMALL_LINE_MM > half_mm
            if not turned and (used_mm >= half_mm or heading_last):
                turned, x, y = True, MARGIN_MM + self._column_mm() + _GAP_MM, top
            if y > top:
                y += before_mm
            self.use(SMALLEST_PT, style)
            self.set_xy(x, y)
            self.cell(self._column_mm(), _SMALL_LINE_MM, line)
            y += _SMALL_LINE_MM
            used_mm += _SMALL_LINE_MM + before_mm
            lowest = max(lowest, y)
        self.set_y(lowest)


_SETTERS = {
    Title: _Document.set_headline,
    Heading: _Document.set_heading,
    Paragraph: _Document.set_paragraph,
    Bullets: _Document.set_bullets,
    Spare: _Document.set_spare,
    Rows: _Document.set_rows,
    Beside: _Document.set_beside,
    Pictures: _Document.set_pictures,
    Columns: _Document.set_columns,
}
"""Kind of block -> the method that sets it."""
