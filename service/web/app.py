"""The application: one generic view for every operation, and the pages around them.

A view loads, calls one function, and writes; an answer just given is given again to the same body and query. What can
go wrong is raised, and answered in one place (`errors`).
"""

from functools import cache

from flask import Flask, Response, redirect, request

from service.advice.words import LANGUAGES
from service.web import docs, errors
from service.web.errors import RequestError
from service.web.faults import as_text
from service.web.health import HEALTH
from service.web.kept_answers import KeptAnswers
from service.web.query import read_query
from service.web.strict_json import parse

SECURITY_HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
}


def create_app(operations=None, *, max_body_bytes=errors.MAX_BODY_BYTES):
    """Return the WSGI application that serves `operations`, or all of the service when none are given."""
    if operations is None:
        from service.web.operations import OPERATIONS

        operations = OPERATIONS
    operations = tuple(operations)
    kept = KeptAnswers()
    app = Flask("service.web", static_folder=None)
    app.config["MAX_CONTENT_LENGTH"] = max_body_bytes
    app.url_map.merge_slashes = False
    errors.register(app)
    app.after_request(_with_security_headers)
    for operation in (*operations, HEALTH):
        app.add_url_rule(
            operation.path,
            endpoint=operation.operation_id,
            view_func=_view(operation, kept),
            methods=[operation.method],
        )
    app.add_url_rule("/openapi.json", endpoint="openapi", view_func=_specification_view(operations))
    app.add_url_rule("/", endpoint="home", view_func=lambda: redirect("docs", code=303))
    docs.register(app)
    return app


def _view(operation, kept):
    schema = operation.request_schema() if operation.request_schema else None
    query_schema = operation.query_schema() if operation.query_schema else None

    def view():
        query = read_query(query_schema)
        body = b"" if schema is None else _read_body()
        key = (operation.operation_id, *sorted(query.items()))
        answer = kept.get(key, body)
        if answer is None:
            posted = query if schema is None else parse(body)
            request_of_body = () if schema is None else (schema.load(posted),)
            answer = operation.write(operation.compute(*request_of_body), posted.get("language", LANGUAGES[0]))
            kept.keep(key, body, answer)
        response = Response(answer, mimetype=operation.media_type)
        if operation.security_policy:
            response.headers["Content-Security-Policy"] = operation.security_policy
        return response

    return view


def _specification_view(operations):
    @cache
    def text():
        from service.web import openapi

        return openapi.to_text(openapi.build(operations))

    return lambda: Response(text(), content_type="application/json")


def _read_body():
    body = request.get_data(cache=False)
    if not body:
        raise RequestError(400, "The body is missing; a JSON object is needed.")
    if request.mimetype != "application/json":
        given = as_text(request.mimetype) if request.mimetype else "none"
        raise RequestError(415, f"Content-Type must be application/json; got {given}.")
    encoding = request.headers.get("Content-Encoding", "identity")
    if encoding != "identity":
        raise RequestError(415, f"The body must be sent uncompressed; got Content-Encoding {as_text(encoding)}.")
    return body


def _with_security_headers(response):
    for name, value in SECURITY_HEADERS.items():
        response.headers.setdefault(name, value)
    return response
