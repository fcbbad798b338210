"""The server: waitress, one process, a few threads, listening on this machine alone unless told otherwise."""

from waitress.channel import HTTPChannel
from waitress.server import BaseWSGIServer, create_server
from waitress.task import ErrorTask

from service.web.http.app import create_app
from service.web.http.errors import too_large
from service.web.problems import KINDS, MAX_BODY_BYTES, MEDIA_TYPE, problem_body

_LARGEST_HEADER_BYTES = 16384

_LARGEST_BODY_READ_BYTES = 8 * 1024 * 1024
"""Longer bodies are refused unread and the connection closed. Up to here the application itself refuses,
after reading to the end, so that a client that sends first and reads afterwards still gets its answer."""


class _ProblemTask(ErrorTask):
    """Answers what never reaches the application, such as a broken header, in the same shape as the rest."""

    def execute(self):
        error = self.request.error
        if error.code == 413:
            body = problem_body(413, too_large(MAX_BODY_BYTES), kind=KINDS[413])
        else:
            body = problem_body(error.code, f"{error.reason}: {error.body}.", kind=None)
        self.status = f"{error.code} {error.reason}"
        self.response_headers.extend([("Content-Type", MEDIA_TYPE), ("X-Content-Type-Options", "nosniff")])
        self.set_close_on_finish()
        self.content_length = len(body)
        self.write(body)


class _Channel(HTTPChannel):
    error_task_class = _ProblemTask


def serve(*, host, port, app=None):
    """Serve until interrupted; print the address once it listens. Port 0 takes any free one.

    Leaves by SystemExit with a message and status 1 when the address cannot be had.
    """
    if not 0 <= port <= 65535:  # the resolver would wrap it round silently
        raise SystemExit(f"Cannot listen on port {port}: a port is a number from 0 to 65535.")
    app = app or create_app()
    sockets = {}
    try:
        server = create_server(
            app,
            map=sockets,
            host=host,
            port=port,
            threads=8,
            ident=None,
            max_request_header_size=_LARGEST_HEADER_BYTES,
            max_request_body_size=_LARGEST_BODY_READ_BYTES,
            channel_timeout=60,
        )
    except OSError as error:
        raise SystemExit(f"Cannot listen on {host}, port {port}: {error.strerror}. Choose another port.") from None
    except ValueError:
        raise SystemExit(f"Cannot listen on {host}, port {port}: there is no such address.") from None
    for listener in list(sockets.values()):
        if isinstance(listener, BaseWSGIServer):
            listener.channel_class = _Channel
            print(_address(listener.effective_host, listener.effective_port), flush=True)
    server.run()


def _address(host, port):
    return f"http://{f'[{host}]' if ':' in host else host}:{port}/"
