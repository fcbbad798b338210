"""The bound on what the wave field of one request may cost."""

from service.domain.errors import DomainError
from service.domain.limits import MOST_FIELD_TERMS
from service.domain.words import words
from service.physics.room.wave_field import field_terms


def require_affordable(box, *, sources_m, axes, seats_m, pointer):
    """Refuse a wave field that would take minutes.

    Parameters
    ----------
    box, sources_m, axes, seats_m
        As for `service.physics.room.wave_field.pressure_ratio`. [m, -]
    pointer : str
        JSON pointer of what is best made less of. [-]

    Raises
    ------
    DomainError
        More terms than `MOST_FIELD_TERMS`.
    """
    terms = field_terms(box, sources_m=sources_m, axes=axes, seats_m=seats_m)
    if terms > MOST_FIELD_TERMS:
        raise DomainError(
            pointer=pointer,
            code="too_much_work",
            detail=words("refusals_room_questions.too_many_terms", terms_millions=terms / 1e6),
            given=terms,
            allowed=words("refusals_room_questions.too_many_terms.allowed", most_millions=MOST_FIELD_TERMS / 1e6),
        )
