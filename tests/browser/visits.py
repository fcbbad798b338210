"""A real browser in front of the service as it is started. Without a browser on the machine these tests are skipped."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import requests
from playwright.sync_api import sync_playwright

ROOT = Path(__file__).parents[2]
TIMEOUT_S = 60
LAPTOP = {"width": 1280, "height": 800}


@pytest.fixture(scope="session")
def address():
    command = [sys.executable, "-m", "service", "--port", "0"]
    process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    try:
        yield process.stdout.readline().strip()
    finally:
        process.kill()
        process.communicate(timeout=TIMEOUT_S)


@pytest.fixture(scope="session")
def browser():
    found = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    if found is None:
        pytest.skip("no Chromium on this machine: the page is not tried in a browser")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield browser
        browser.close()


class Visit:
    """One visitor's tab, and what went wrong in it."""

    def __init__(self, context, address):
        self.address, self.context = address, context
        context.set_default_timeout(15_000)
        self.page = context.new_page()
        self.errors, self.foreign, self.failed = [], [], []
        self.page.on("console", lambda message: message.type == "error" and self.errors.append(message.text))
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("request", self._note_foreign)
        self.page.on("requestfailed", self._note_failed)

    def _note_foreign(self, request):
        if not request.url.startswith((self.address, "data:", "blob:")):
            self.foreign.append(request.url)

    def _note_failed(self, request):
        if request.failure != "net::ERR_ABORTED":  # questions that a newer one made useless
            self.failed.append((request.url, request.failure))

    def open(self, fragment=""):
        """Open the page and wait for the whole answer."""
        self.page.goto(self.address + fragment)
        self.page.locator("#details pre").wait_for(state="attached")
        return self.page

    def posted(self):
        """Return the request as it stands, read from the address."""
        return self.page.evaluate("JSON.parse(decodeURIComponent(location.hash.slice(1)))")

    def answer(self, body, path="v1/advice"):
        """Ask the service itself."""
        response = requests.post(self.address + path, json=body, timeout=TIMEOUT_S)
        assert response.status_code == 200, response.text
        return response.json()


@pytest.fixture
def visiting(browser, address):
    """Return a function that opens a tab of its own; at the end nothing may have gone wrong in any."""
    visits = []

    def visit(*, viewport=None, locale="en-GB", **options):
        context = browser.new_context(viewport=viewport or LAPTOP, locale=locale, **options)
        visits.append(Visit(context, address))
        return visits[-1]

    yield visit
    for each in visits:
        each.context.close()
    for each in visits:
        assert (each.errors, each.foreign, each.failed) == ([], [], [])


@pytest.fixture
def visit(visiting):
    return visiting()
