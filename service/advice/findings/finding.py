"""A finding: its code, its grade, its numbers, and its sentence in the catalogue."""

from service.advice.answers.common import Finding
from service.domain.words import Words, words


def finding(code: str, *, grade: str | None = None, variant: str | None = None, **values: object) -> Finding:
    """Return a finding; its sentence stands in the catalogue under its code, or under one of its variants."""
    key = f"findings.{code}" if variant is None else f"findings.{code}.{variant}"
    shown = {name: value for name, value in values.items() if not isinstance(value, Words)}
    return Finding(code=code, grade=grade, text=words(key, **values), values=shown)
