"""The page against the rules of axe-core, and the texts that stand for its drawings."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.browser.test_page import PHONE


def violations(page):
    return [
        (found["id"], [node["html"][:200] for node in found["nodes"]])
        for found in Axe().run(page).response["violations"]
    ]


@pytest.mark.parametrize("locale", ["en-GB", "de-DE"])
@pytest.mark.parametrize("viewport", [PHONE, None], ids=["phone", "laptop"])
def test_axe_finds_nothing(visiting, viewport, locale):
    page = visiting(viewport=viewport, locale=locale).open()
    for node in page.locator("details > summary").all():
        node.click() if node.is_visible() else None
    assert violations(page) == []


def test_axe_finds_nothing_while_a_fault_is_shown_and_a_question_open(visit):
    page = visit.open()
    page.locator("#assumptions button").nth(2).click()
    box = page.locator("[data-fact=length] input")
    box.fill("900")
    box.press("Enter")
    expect(page.locator("[data-fact=length] .fault")).not_to_be_empty()
    visit.errors.clear()  # the browser logs the refused request
    assert violations(page) == []


def test_axe_would_find_something(visit):
    page = visit.open()
    page.evaluate("document.querySelector('#language').parentNode.replaceWith(document.querySelector('#language'))")
    assert "select-name" in [name for name, _ in violations(page)]


def test_every_drawing_has_a_text_with_its_numbers(visit):
    page = visit.open()
    drawings = page.locator("figure > svg")
    assert drawings.count() == 5  # plan, curve, three resonances
    for drawing in drawings.all():
        text = drawing.locator("> title").text_content()
        assert any(letter.isdigit() for letter in text), text
        assert drawing.get_attribute("aria-labelledby") == drawing.locator("> title").get_attribute("id")
    speaker = page.locator("[data-handle=speaker-0]")
    text = " ".join(speaker.get_attribute("aria-valuetext").split())
    assert "60 cm from the wall behind the speakers" in text


def test_reduced_motion_is_heeded(visiting):
    page = visiting(reduced_motion="reduce").open()
    assert page.evaluate("getComputedStyle(document.documentElement).scrollBehavior") == "auto"
