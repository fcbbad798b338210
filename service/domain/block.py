"""Parts of a request that know where in the request they stand."""

import functools
from collections.abc import Callable
from dataclasses import dataclass, fields


def _names_of_fields(kind: type) -> frozenset[str]:
    return frozenset(field.name for field in fields(kind))


_field_names: Callable[[type], frozenset[str]] = functools.cache(_names_of_fields)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A part of a request: an object of its JSON, read.

    Attributes
    ----------
    at : str
        JSON pointer (RFC 6901) of the block, empty for the request itself; a kind of block has the place where it
        usually stands. Two blocks that say the same at different places are two: what is assumed or refused about one
        is named under its own place. [-]
    """

    at: str = ""

    def pointer(self, name: str, *below: str | int) -> str:
        """Return the JSON pointer of a field of this block, or of something below that field.

        Parameters
        ----------
        name : str
            A field that the block declares. [-]
        *below : str or int
            Names and indices from there on. [-]

        Raises
        ------
        AttributeError
            The block declares no such field.
        """
        return self.at + self.own(name, *below)

    def own(self, name: str, *below: str | int) -> str:
        """Return the same pointer counted from this block, as a constructor needs it: `at` stands in front later.

        Parameters
        ----------
        name : str
            A field that the block declares. [-]
        *below : str or int
            Names and indices from there on. [-]

        Raises
        ------
        AttributeError
            The block declares no such field.
        """
        if name not in _field_names(type(self)):
            raise AttributeError(f"{type(self).__name__} declares no field {name}")
        return "/".join(("", name, *map(str, below)))


def names_told(**values: object) -> list[str]:
    """Return the names of those values that were told: that are not None."""
    return [name for name, value in values.items() if value is not None]
