"""The `sheet` block of a request: whose sheet it is, for whom, of which day, on which paper."""

import datetime
from dataclasses import dataclass

from service.advice.assumptions import DEFAULTS
from service.domain.errors import DomainError
from service.domain.words import words
from service.web.reading.fields import Choice, Text
from service.web.reading.schema_base import StrictSchema
from service.web.reading.shown_defaults import shown_default

PAPERS_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height of each paper."""

UNITS = ("metric", "imperial")


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetDetails:
    """What stands on the sheet beside the advice; None is left out."""

    shop: str | None = None
    contact: str | None = None
    customer_reference: str | None = None
    adviser: str | None = None
    date: datetime.date | None = None
    paper: str = DEFAULTS["sheet/paper"].value
    units: str = DEFAULTS["sheet/units"].value


class SheetSchema(StrictSchema):
    """What the advice sheet says beside the advice; the answer as JSON does not depend on it."""

    shop = Text(max_length=80, description="name of the shop, at the head of the sheet")
    contact = Text(max_length=120, description="how to reach the shop: telephone, address or web page")
    customer_reference = Text(max_length=80, description="what the customer or the case is filed under")
    adviser = Text(max_length=80, description="who advised")
    date = Text(
        max_length=10, min_length=10, description="of the advice, as 2026-11-25; without one the sheet has no date"
    )
    paper = Choice(tuple(PAPERS_MM), **shown_default("sheet/paper"), description="paper of the sheet")
    units = Choice(UNITS, **shown_default("sheet/units"), description="of the tape-measure distances on the sheet")

    makes = SheetDetails

    def make(self, data):
        if "date" in data:
            data["date"] = _date(data["date"], pointer=self.pointer("date"))
        return super().make(data)


def _date(text, *, pointer):
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise DomainError(
            pointer=pointer,
            code="not_a_date",
            detail=words("refusals_requests.date"),
            given=text,
            allowed=words("refusals_requests.date.allowed"),
        ) from None
