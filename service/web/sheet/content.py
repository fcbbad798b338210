"""What stands on the sheet, once for both renderings: blocks of text, tables and drawings on two pages.

The first page is for the customer; the second has the reasons, the assumptions and what is needed to do it again.
"""

from collections.abc import Callable
from dataclasses import dataclass

import service
from service.advice.language.localise import number, text_of, watts
from service.domain.words import words
from service.web.requests.sheet import PAPERS_MM
from service.web.sheet import facts
from service.web.sheet.figures import Figures
from service.web.sheet.shapes import Drawing

_CURVE_HEIGHT_MM = 42.0

_SAID_ALREADY = ("power_enough", "equal_within_uncertainty")
"""Findings that the headroom and the rank of an amplifier say as well."""

_RANKED = 3
"""Amplifiers on the sheet at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Title:
    """The verdict in one line."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """Head of a section."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Paragraph:
    """Running text."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Bullets:
    """Short texts, one below the other."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spare:
    """A part of the small print that stands on the first page where this has room for all of it."""

    heading: str
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """A table; the first column is text, the others are numbers."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """A drawing, with a list of distances and remarks beside it.

    `drawn` takes a width and a height that are free and returns the largest drawing that fits, with its remarks.
    `notes` are parts of the small print that may stand below the list, where it leaves room.
    """

    drawn: Callable[[tuple[float, float]], tuple[Drawing, tuple[str, ...]]]
    rows: tuple[tuple[str, str, str], ...]
    notes_heading: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pictures:
    """Drawings side by side under a heading; `when_room`: left out where the small print would suffer."""

    heading: str
    drawings: tuple[Drawing, ...]
    caption: str = ""
    when_room: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """Small print in two columns: headings with their texts.

    Where the page is too short, the longest part ends early with the line `more`, the reasons after all others.
    `noted` is the heading of the part that may stand on the first page as notes.
    """

    parts: tuple[tuple[str, tuple[str, ...]], ...]
    more: str
    noted: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """The sheet, ready to be set."""

    language: str
    title: str
    shop: tuple[str, ...]
    case: tuple[str, ...]
    pages: tuple[tuple, ...]
    footer: str
    request: dict


def content(answer, details, *, posted, language):
    """Return what stands on the sheet.

    Parameters
    ----------
    answer : AdviceAnswer
        Spoken in the language; parts that are null are left out of the sheet. [-]
    details : SheetDetails
        Shop, customer, date, paper. [-]
    posted : dict
        The request as it was posted; stands for `inputs` where the answer has none. [-]
    language : str
        One of `words.LANGUAGES`. [-]
    """
    return _Writer(answer, details, answer.inputs or posted, language).sheet()


class _Writer:
    """Puts the parts of an answer into blocks."""

    def __init__(self, answer, details, request, language):
        self.answer, self.details, self.request, self.language = answer, details, request, language
        paper_width_mm = PAPERS_MM[details.paper][0]
        self.figures = Figures(answer, details, language, width_mm=paper_width_mm - 30.0)

    def say(self, key, **values):
        return text_of(words(key, **values), self.language)

    def sheet(self):
        details, title = self.details, self.say("sheet.title")
        case = []
        if details.customer_reference:
            case.append(self.say("sheet.reference", reference=details.customer_reference))
        if details.adviser:
            case.append(self.say("sheet.adviser", adviser=details.adviser))
        if details.date:
            case.append(self._date())
        return Sheet(
            language=self.language,
            title=title,
            shop=tuple(filter(None, (details.shop, details.contact))),
            case=tuple(case),
            pages=(tuple(self._first_page()), tuple(self._second_page())),
            footer=self.say("sheet.made", version=service.__version__),
            request=self.request,
        )

    def _date(self):
        date = self.details.date
        month = self.say(f"sheet.month.{date.month}")
        return self.say("sheet.date", day=date.day, month=month, year=date.year)

    def _first_page(self):
        answer = self.answer
        yield from self._verdict()
        if answer.findings:
            yield Paragraph(text=answer.findings[0].text)
        standing = self.figures.standing
        if standing is not None:
            yield Heading(text=self.say("sheet.where"))
            yield Beside(
                drawn=self.figures.plan_with_remarks,
                rows=self.figures.tape_rows(),
                notes_heading=self.say("sheet.reasons"),
                notes=self._reasons(),
            )
        yield from self._titled("report.next_steps", [self._step(step) for step in answer.next_steps or ()])
        yield from self._ranking()
        yield from self._titled("report.cautions", [caution.text for caution in answer.cautions])
        if standing is None and self._reasons():
            yield Spare(heading=self.say("sheet.reasons"), items=self._reasons())
        if self._questions():
            yield Spare(heading=self.say("report.ask_next"), items=self._questions())

    def _verdict(self):
        verdict, headroom = self.answer.verdict, self.answer.headroom
        lines = []
        if verdict is not None:
            yield Title(text=f"{verdict.headline}.")
            key = "certainty" if verdict.grade is None else "grade"
            lines.append(self.say(f"report.{key}", grade=verdict.grade, confidence=verdict.confidence))
        if headroom is not None:
            lines.append(
                self.say("sheet.headroom", headroom_db=headroom.headroom_db, uncertainty_db=headroom.uncertainty_db)
            )
            if headroom.at_recommended_place is not None:
                there_db = headroom.at_recommended_place.headroom_db
                lines.append(self.say("report.at_recommended_place", headroom_db=there_db))
        if lines:
            yield Paragraph(text=" ".join(lines))

    def _step(self, step):
        return facts.as_sentence(f"{self.say('report.cost', cost=step.cost)}: {step.text}")

    def _titled(self, key, items):
        if items:
            yield Heading(text=self.say(key))
            yield Bullets(items=tuple(items))

    def _ranking(self):
        """The first amplifiers of the comparison, each with its grade and one reason."""
        ranked = self.answer.match.ranking if self.answer.match is not None else ()
        if len(ranked) < 2:  # one alone has been judged above
            return
        items = []
        for entry in ranked[:_RANKED]:
            said = self.say(
                "sheet.ranked",
                rank=entry.rank,
                name=entry.name,
                grade=entry.grade,
                headroom_db=entry.headroom_db,
                uncertainty_db=entry.headroom_uncertainty_db,
            )
            items.append(" ".join((said, *_reason(entry))))
        yield from self._titled("sheet.ranking", items)

    def _second_page(self):
        answer = self.answer
        curve = self.figures.curve(height_mm=_CURVE_HEIGHT_MM)
        if curve is not None:
            caption = self.figures.curve_caption()
            yield Pictures(heading=self.say("sheet.bass"), drawings=(curve,), caption=caption)
        modes = self.figures.mode_plans()
        if modes:
            yield Pictures(heading=self.say("sheet.resonances"), drawings=modes, when_room=True)
        if answer.level is not None:
            yield Heading(text=self.say("report.levels"))
            yield self._bands()
        yield Columns(
            parts=tuple(self._small_print()),
            more=self.say("sheet.more"),
            noted=self.say("sheet.reasons"),
        )

    def _reasons(self):
        return tuple(finding.text for finding in self.answer.findings[1:])

    def _questions(self):
        return tuple(f"{asked.text} {asked.where}" for asked in self.answer.ask_next or ())

    def _bands(self):
        bands = self.answer.level.bands
        columns = [("bands.direct", bands.direct_db), ("bands.reverberant", bands.reverberant_db)]
        rows = [
            (self.say(f"report.{key}"), *(number(value, 0, self.language) for value in column))
            for key, column in (*columns, ("bands.level", bands.level_db))
            if column is not None
        ]
        if self.answer.room is not None:
            used = (number(value, 2, self.language) for value in self.answer.room.used_s)
            rows.append((self.say("report.bands.time"), *used))
        head = (self.say("report.bands"), *(str(octave) for octave in bands.octaves_hz))
        return Rows(head=head, rows=tuple(rows))

    def _small_print(self):
        answer, language = self.answer, self.language
        if self._reasons():
            yield self.say("sheet.reasons"), self._reasons()
        if self._questions():
            yield self.say("report.ask_next"), self._questions()
        if answer.level is not None:
            yield self.say("sheet.numbers"), tuple(self._numbers())
        yield self.say("report.assumed"), tuple(facts.assumed(answer.assumptions, language))
        yield self.say("sheet.told"), tuple(facts.told(self.request, answer.assumptions, language))
        yield self.say("sheet.limits"), (self.say("sheet.not_modelled"), self.say("sheet.sources"))

    def _numbers(self):
        level = self.answer.level
        for key, level_db in (
            ("report.direct", level.direct_single_db),
            ("report.steady_peak", level.peak_spl_db),
            ("report.short_peak", level.short_peak_db),
        ):
            yield f"{self.say(key)}: {self.say('report.db', level_db=level_db)}"
        needed = self.say("report.needed", programme=level.programme)
        yield f"{needed}: {self.say('report.db', level_db=level.peak_target_db)}"
        yield f"{self.say('report.average_power')}: {watts(level.average_power_w, self.language)}"


def _reason(entry):
    """The one finding that says most of an amplifier beside its headroom: what its grade comes from, if told."""
    others = [finding for finding in entry.findings if finding.code not in _SAID_ALREADY]
    decisive = [finding for finding in others if finding.grade == entry.grade] or others or entry.findings
    return [finding.text for finding in decisive[:1]]
