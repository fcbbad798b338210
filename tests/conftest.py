"""Loads the service before anything loads numpy, so that its linear algebra keeps to one thread here as when it serves."""

import service

assert service.__version__
