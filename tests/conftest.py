"""What all tests share: the service loaded before numpy, one application, one browser, and two sizes of run.

The service is loaded first so that linear algebra keeps to one thread, as when it serves. Every process of a run has
one application; the browser is one for the whole run, its tests stay in one process.

The ordinary run leaves out what is marked `deep`. `python -m pytest -m deep` runs that alone: modules named
`*_deep.py`, which the ordinary run does not even load, and every test of random requests again with many more of them.
"""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, is_hypothesis_test, settings

import service
from service.web.http.app import create_app
from tests.browser.visits import address, browser, visit, visiting

__all__ = ["address", "browser", "visit", "visiting"]

assert service.__version__

ROOT = Path(__file__).parents[1]
LONGEST_FIRST = ("tests/browser", "tests/web/http", "tests/advice/placement", "tests/advice/pairing")
"""Where the longest tests stand: they begin first, so that no process is left alone with one of them."""

REPEATABLE = settings(deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
"""The same requests in every run, however long each takes."""

settings.register_profile("ordinary", REPEATABLE, max_examples=50)
settings.register_profile("deep", REPEATABLE, max_examples=500)


def is_deep(config):
    """Return whether this run was asked for the deep checks."""
    return config.option.markexpr == "deep"


def pytest_configure(config):
    settings.load_profile("deep" if is_deep(config) else "ordinary")


def pytest_ignore_collect(collection_path, config):
    return True if collection_path.name.endswith("_deep.py") and config.option.markexpr == "not deep" else None


def group(item):
    """Return the name of the tests that one process runs one after the other: what looks at the page, else a module."""
    return "browser" if "visiting" in item.fixturenames else item.nodeid.split("::")[0]


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config, items):
    for item in items:
        if is_deep(config) and is_hypothesis_test(getattr(item, "obj", None)):
            item.add_marker(pytest.mark.deep)
        if config.pluginmanager.hasplugin("xdist"):
            item.add_marker(pytest.mark.xdist_group(group(item)))
    items.sort(key=lambda item: not item.nodeid.startswith(LONGEST_FIRST))


@pytest.fixture(scope="session")
def app():
    """The application, one for a whole process; what it has answered it may keep."""
    return create_app()


@pytest.fixture(scope="session")
def client(app):
    return app.test_client()
