"""Faults put into the code on purpose, which the tests of its room must find: `python -m tests.mutations`."""
