"""Reader of the printed tables in tests/published/: CSV whose opening comment lines name the source."""

import csv
from pathlib import Path

FOLDER = Path(__file__).parent / "published"


def published_rows(name):
    """Return the rows of a table as dictionaries of text, digits as printed."""
    with open(FOLDER / f"{name}.csv", encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))
