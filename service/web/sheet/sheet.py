"""POST /v1/advice as a sheet to hand over: the same answer and the same drawings as HTML or as PDF."""

from service.advice.language.localise import LANGUAGES, localised, text_of
from service.domain.words import words
from service.web.operation import OtherForm
from service.web.requests.sheet import SheetSchema
from service.web.sheet import html, pdf
from service.web.sheet.content import content


def to_html(answer, posted):
    """Return the advice sheet as the bytes of an HTML page.

    Parameters
    ----------
    answer : AdviceAnswer
        Of `posted`; spoken or not. [-]
    posted : dict
        The request as it was posted, accepted before. [-]
    """
    answer, details, language = _of(answer, posted)
    sheet = content(answer, details, posted=posted, language=language)
    return html.to_html(sheet, details, request_title=text_of(words("sheet.request"), language))


def to_pdf(answer, posted):
    """Return the advice sheet as the bytes of a PDF of one or two pages.

    Parameters
    ----------
    answer : AdviceAnswer
        Of `posted`; spoken or not. [-]
    posted : dict
        The request as it was posted, accepted before. [-]
    """
    answer, details, language = _of(answer, posted)
    return pdf.to_pdf(content(answer, details, posted=posted, language=language), details)


def _of(answer, posted):
    language = posted.get("language", LANGUAGES[0])
    return localised(answer, language), SheetSchema().load(posted.get("sheet", {})), language


ADVICE_SHEETS = (
    OtherForm(
        media_type="text/html",
        write=to_html,
        file_name="advice.html",
        description="the advice sheet as a page to print",
        security_policy=html.SECURITY_POLICY,
    ),
    OtherForm(
        media_type="application/pdf",
        write=to_pdf,
        file_name="advice.pdf",
        description="the advice sheet as a PDF of one or two pages",
    ),
)
"""The forms of the advice beside JSON."""
