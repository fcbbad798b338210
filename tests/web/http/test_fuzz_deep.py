"""Requests made from the specification by plan: for every field each kind of good and bad value, thousands in all."""

import pytest
import schemathesis
from hypothesis import settings
from schemathesis.specs.openapi.checks import positive_data_acceptance

from service.web.http.app import create_app

SPECIFIED = schemathesis.openapi.from_wsgi("/openapi.json", create_app())


@pytest.mark.deep
@SPECIFIED.parametrize()
@settings(max_examples=12)
def test_every_kind_of_value_in_every_field_of_the_specification(case):
    """Facts that are each plausible may still not fit together, so 422 is right for some that fit the schema.

    The client within this process does not unpack answers, so it asks for plain ones.
    """
    case.call_and_validate(headers={"Accept-Encoding": "identity"}, excluded_checks=[positive_data_acceptance])
