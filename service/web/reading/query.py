"""Parameters of a query, read as strictly as a body: each one known, given once, and one of what is allowed.

A fault of the query is one fault among others; its pointer is the name of the parameter behind a question mark.
"""

from dataclasses import replace
from urllib.parse import quote

import marshmallow
from flask import request

from service.domain.words import words
from service.web.reading.faults import MOST_FAULTS_PER_LIST, Fault, as_text, nearest

_LONGEST_POINTED_NAME = 200


def read_query(schema):
    """Return the parameters of the present request's query by name.

    Parameters
    ----------
    schema : marshmallow.Schema or None
        Of the parameters; None where there are none.

    Raises
    ------
    marshmallow.ValidationError
        A parameter is unknown, given more than once, or not allowed.
    """
    if not request.query_string:
        return {}
    known = schema.known_keys if schema else ()
    faults = [
        _unknown(name, values[0], known) if name not in known else _repeated(name, values)
        for name, values in [*request.args.lists()][:MOST_FAULTS_PER_LIST]
        if name not in known or len(values) > 1
    ]
    if not request.args:  # nothing but separators, such as ?&
        faults = [_unknown(request.query_string.decode("ascii", "replace"), None, known)]
    if faults:
        raise marshmallow.ValidationError(faults)
    try:
        return schema.load(request.args.to_dict())
    except marshmallow.ValidationError as error:
        faults = [replace(fault, pointer=_pointer(name)) for name, found in error.messages.items() for fault in found]
        raise marshmallow.ValidationError(faults) from error


def _unknown(name, given, known):
    near = nearest(name, known)
    values = {"name": as_text(name), "path": request.path}
    if not known:
        detail = words("refusals_fields.unknown_parameter.none", **values)
    elif near:
        detail = words("refusals_fields.unknown_parameter.near", **values, near=near)
    else:
        detail = words("refusals_fields.unknown_parameter", **values, known=", ".join(known))
    return Fault(
        code="unknown_query_parameter",
        detail=detail,
        given=given,
        allowed=known or words("refusals_fields.unknown_parameter.none_allowed"),
        did_you_mean=near,
        pointer=_pointer(name),
    )


def _repeated(name, values):
    return Fault(
        code="given_twice",
        detail=words("refusals_fields.given_twice", name=name, count=len(values)),
        given=", ".join(values),
        allowed=words("refusals_fields.given_twice.allowed", name=name),
        pointer=_pointer(name),
    )


def _pointer(name):
    return "?" + (quote(name, safe="") if len(name) <= _LONGEST_POINTED_NAME else "")
