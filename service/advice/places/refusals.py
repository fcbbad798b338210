"""Refusals of tape readings that contradict each other or do not fit the room."""

from service.advice import policy
from service.domain.errors import DomainError


def contradiction(pointer, given, reading_m):
    """Return the refusal of a distance that other readings contradict."""
    name = pointer.rsplit("/", 1)[1]
    return DomainError(
        pointer=pointer,
        code="contradiction",
        detail=f"{name} says {given:g} m, what else was told makes it {reading_m:.2f} m.",
        given=given,
        allowed=f"{reading_m:.2f}, or leave it out",
    )


def not_on_the_wall(pointer, given, behind_m):
    """Return the refusal of ears too far from the wall, or too near to it, for a sofa on the wall."""
    low_m, high_m = policy.SOFA_ON_WALL_M
    return DomainError(
        pointer=pointer,
        code="contradiction",
        detail=f"the sofa is on the wall, but the ears are {behind_m:.2f} m from the wall behind.",
        given=given,
        allowed=f"ears {low_m:g} to {high_m:g} m from the wall behind, or leave sofa_on_wall out",
    )


def does_not_fit(pointer, given, *, low_m, high_m):
    """Return the refusal of a distance outside the range that room and other readings leave."""
    name = pointer.rsplit("/", 1)[1]
    return DomainError(
        pointer=pointer,
        code="does_not_fit",
        detail=f"{name} is {given:g} m; the room and what else was told leave more than {low_m:.2f} and less than "
        f"{high_m:.2f} m.",
        given=given,
        allowed=f"more than {low_m:.2f} and less than {high_m:.2f}",
    )
