"""A sentence that is still to be said: its key in the catalogue of sentences, and the values that it names.

Nothing that computes depends on a language. Who answers a person looks the key up (`service.advice.language`).
"""

import dataclasses
from collections.abc import Mapping


@dataclasses.dataclass(frozen=True, slots=True)
class Words:
    """A sentence of the catalogue with the values that it names, in no language yet."""

    key: str
    values: Mapping[str, object] = dataclasses.field(default_factory=dict, hash=False)


def words(key: str, **values: object) -> Words:
    """Return the sentence under a key, its values still to be put in."""
    return Words(key, values)
