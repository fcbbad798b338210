"""Loads the service before anything loads numpy: its linear algebra keeps to one thread, as when it serves.

The browser is one for all tests that look at the page, wherever they stand.
"""

import service
from tests.browser.visits import address, browser, visit, visiting

__all__ = ["address", "browser", "visit", "visiting"]

assert service.__version__
