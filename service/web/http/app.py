"""The application: one generic view for every operation, and the pages around them.

A view loads, calls one function, and writes; an answer just given is given again to the same body and query. What can
go wrong is raised, and answered in one place (`errors`).
"""

from functools import cache

from flask import Flask, Response, g, request

from service.web.health import HEALTH
from service.web.http import docs, errors, page
from service.web.http.cached_answers import CachedAnswers
from service.web.http.errors import RequestError
from service.web.problems import MAX_BODY_BYTES
from service.web.reading.faults import as_text
from service.web.reading.language import asked_language
from service.web.reading.query import read_query
from service.web.reading.strict_json import parse

SECURITY_HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
}


def create_app(operations=None, *, max_body_bytes=MAX_BODY_BYTES):
    """Return the WSGI application that serves `operations`, or all of the service when none are given."""
    if operations is None:
        from service.web.operations import OPERATIONS

        operations = OPERATIONS
    operations = tuple(operations)
    cached = CachedAnswers()
    app = Flask("service.web", static_folder=None)
    app.config["MAX_CONTENT_LENGTH"] = max_body_bytes
    app.url_map.merge_slashes = False
    errors.register(app)
    app.after_request(_with_security_headers)
    for operation in (*operations, HEALTH):
        app.add_url_rule(
            operation.path,
            endpoint=operation.operation_id,
            view_func=_view(operation, cached),
            methods=[operation.method],
        )
    app.add_url_rule("/openapi.json", endpoint="openapi", view_func=_specification_view(operations))
    page.register(app)
    docs.register(app)
    return app


def _view(operation, cached):
    schema = operation.request_schema() if operation.request_schema else None
    query_schema = operation.query_schema() if operation.query_schema else None

    forms = {form.media_type: form for form in operation.other_forms}

    def view():
        if query_schema is not None:
            g.language = asked_language(request.args)  # a refused query is told so in its own language
        query = read_query(query_schema)
        form = _form_asked_for(operation, forms) if forms else None
        body = b"" if schema is None else _read_body()
        key = (operation.operation_id, form and form.media_type, *sorted(query.items()))
        answer = cached.get(key, body)
        if answer is None:
            posted = query if schema is None else parse(body)
            g.language = asked_language(posted)
            computed = operation.compute() if schema is None else operation.answer(posted, schema.load(posted))
            answer = operation.write(computed, g.language) if form is None else form.write(computed, posted)
            cached.put(key, body, answer)
        return _response(answer, operation, form)

    return view


def _form_asked_for(operation, forms):
    """The form of the answer that the Accept header prefers; None for the operation's own, also where all will do."""
    offered = [operation.media_type, *forms]
    wanted = request.accept_mimetypes
    found = wanted.best_match(offered) if wanted else operation.media_type
    if found is None:
        raise RequestError(406, f"{request.path} answers as {', '.join(offered)}; Accept allows none of them.")
    return forms.get(found)


def _response(answer, operation, form):
    response = Response(answer, mimetype=(form or operation).media_type)
    if (form or operation).security_policy:
        response.headers["Content-Security-Policy"] = (form or operation).security_policy
    if form:
        response.headers["Content-Disposition"] = f'inline; filename="{form.file_name}"'
    if operation.other_forms:
        response.vary.add("Accept")
    return response


def _specification_view(operations):
    @cache
    def text():
        from service.web.specification import openapi

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
