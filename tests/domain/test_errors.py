"""The refusal that domain and advice raise."""

import pytest

from service.domain.errors import DomainError


def test_a_domain_error_is_a_value_error_that_says_everything():
    with pytest.raises(ValueError, match="the seat is outside") as caught:
        raise DomainError(
            pointer="/seat/x_m",
            code="outside_room",
            detail="the seat is outside",
            given=9.0,
            allowed="below 5",
        )
    error = caught.value
    assert (error.pointer, error.code, error.given, error.allowed) == (
        "/seat/x_m",
        "outside_room",
        9.0,
        "below 5",
    )
    assert error.did_you_mean is None
