"""Every source is used, every source that is used is known, and nothing from memory is called verified."""

import re
from pathlib import Path

from service.tables import loader

ROOT = Path(__file__).parents[1]
KEY = re.compile(r"\b([A-Z][A-Z0-9]+(?:-[A-Z0-9]+)+)\b")


def texts():
    for folder, pattern in (("service", "*.py"), ("service", "*.csv"), ("tests", "*.py"), ("tests", "*.csv")):
        for path in sorted((ROOT / folder).rglob(pattern)):
            yield path, path.read_text(encoding="utf-8")


def test_every_reference_is_used():
    everything = "\n".join(text for path, text in texts() if path.name != "references.json")
    unused = [key for key in loader.references() if key not in everything]
    assert not unused


def test_bracketed_keys_are_known():
    unknown = {}
    for path, text in texts():
        for key in re.findall(r"\[([A-Z][A-Z0-9]+(?:-[A-Z0-9]+)+)\]", text):
            if key not in loader.references():
                unknown.setdefault(key, path.name)
    assert not unknown


def test_references_say_how_far_their_text_was_seen():
    for reference in loader.references().values():
        assert reference.seen, reference.key
        assert reference.title, reference.key


def test_rows_of_tables_name_known_sources():
    keys = set(loader.references())
    for material in loader.materials().values():
        assert set(material.sources) <= keys, material.id
        assert material.status in ("seen in a secondary transcription", "from memory"), material.id
    for programme in loader.programmes().values():
        assert {programme.source, programme.spectrum.source} <= keys
        assert programme.why, programme.id
