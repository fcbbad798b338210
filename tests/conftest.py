"""Loads the service before anything loads numpy: its linear algebra keeps to one thread, as when it serves."""

import service

assert service.__version__
