"""Refusals of tape readings that contradict each other or do not fit the room."""

from service.advice import policy
from service.domain.block import Block
from service.domain.errors import DomainError
from service.domain.words import words


def contradiction(block: Block, name: str, given: float, reading_m: float) -> DomainError:
    """Return the refusal of a distance, a field of a block, that other readings contradict."""
    return DomainError(
        pointer=block.pointer(name),
        code="contradiction",
        detail=words("refusals_places.contradiction", name=name, given_m=given, reading_m=reading_m),
        given=given,
        allowed=words("refusals_places.contradiction.allowed", reading_m=reading_m),
    )


def not_on_the_wall(pointer: str, given: object, behind_m: float) -> DomainError:
    """Return the refusal of ears too far from the wall, or too near to it, for a sofa on the wall."""
    low_m, high_m = policy.SOFA_ON_WALL_M
    return DomainError(
        pointer=pointer,
        code="contradiction",
        detail=words("refusals_places.not_on_the_wall", behind_m=behind_m),
        given=given,
        allowed=words("refusals_places.not_on_the_wall.allowed", low_m=low_m, high_m=high_m),
    )


def does_not_fit(block: Block, name: str, given: float, *, low_m: float, high_m: float) -> DomainError:
    """Return the refusal of a distance, a field of a block, outside the range that all else leaves."""
    return DomainError(
        pointer=block.pointer(name),
        code="does_not_fit",
        detail=words("refusals_places.does_not_fit", name=name, given_m=given, low_m=low_m, high_m=high_m),
        given=given,
        allowed=words("refusals_places.does_not_fit.allowed", low_m=low_m, high_m=high_m),
    )
