"""Command line: serve (the default), advise FILE, spec."""

import argparse
import sys
from pathlib import Path

_PYTHON = ((3, 11), (3, 13))
"""The first and the last Python that it is tried with."""

_SHEET_SUFFIXES = (".pdf", ".html")

_SPECIFICATION = Path(__file__).parents[1] / "openapi" / "openapi.json"


def main(arguments=None):
    """Run one command and return its exit status."""
    if not _PYTHON[0] <= tuple(sys.version_info[:2]) <= _PYTHON[1]:
        first, last, here = (".".join(map(str, version[:2])) for version in (*_PYTHON, sys.version_info))
        print(f"This needs Python {first} to {last}; this is Python {here}.", file=sys.stderr)
        return 2
    parser = argparse.ArgumentParser(
        prog="python -m service", description="Listening-room and system-matching advisor; without a command it serves."
    )
    _add_address(parser)
    commands = parser.add_subparsers(dest="command")
    _add_address(commands.add_parser("serve", help="serve on this machine"), inherit=True)
    advise = commands.add_parser("advise", help="print the advice for a request file")
    advise.add_argument("file", type=Path, help="a JSON body of POST /v1/advice, such as demo_rooms/advice/*.json")
    advise.add_argument("--json", action="store_true", help="print the answer as JSON")
    advise.add_argument("--sheet", type=_sheet_file, help="write the advice sheet to this file, .pdf or .html, instead")
    spec = commands.add_parser("spec", help="write the OpenAPI specification")
    spec.add_argument("--output", type=Path, default=_SPECIFICATION, help="file to write (default: %(default)s)")
    options = parser.parse_args(arguments)
    if options.command == "advise":
        return _advise(options)
    if options.command == "spec":
        return _write_specification(options.output)
    from service.web.http.serve import serve

    serve(host=options.host, port=options.port)
    return 0


def _add_address(parser, *, inherit=False):
    for name, default, kind, help_text in (
        ("--host", "127.0.0.1", str, "address to listen on"),
        ("--port", 8090, int, "port to listen on, 0 for any free one"),
    ):
        shown = f"{help_text} (default: {default})"
        parser.add_argument(name, type=kind, default=argparse.SUPPRESS if inherit else default, help=shown)


def _sheet_file(text):
    if Path(text).suffix.lower() not in _SHEET_SUFFIXES:
        raise argparse.ArgumentTypeError(f"{text} must end in {' or '.join(_SHEET_SUFFIXES)}")
    return Path(text)


def _advise(options):
    """Print the advice for a file, or write its sheet; 2 and a message on the error stream when a file will not do."""
    from service.advice.whole_job.report import report
    from service.web.operations import ADVICE
    from service.web.reading.from_file import UnusableBodyError, answer_of
    from service.web.writing.dump import to_json

    try:
        body = options.file.read_bytes()
    except OSError as error:
        print(f"{options.file}: {error.strerror}", file=sys.stderr)
        return 2
    try:
        answered = answer_of(ADVICE, body)
    except UnusableBodyError as error:
        for line in error.lines:
            print(f"{options.file}: {line}", file=sys.stderr)
        return 2
    if options.sheet:
        return _write_sheet(options.sheet, answered)
    print(to_json(answered.answer).decode() if options.json else report(answered.answer, answered.language))
    return 0


def _write_sheet(path, answered):
    from service.web.sheet import sheet

    write = sheet.to_pdf if path.suffix.lower() == ".pdf" else sheet.to_html
    return _write(path, write(answered.answer, answered.posted))


def _write_specification(path):
    from service.web.operations import OPERATIONS
    from service.web.specification import openapi

    return _write(path, openapi.to_text(openapi.build(OPERATIONS)).encode())


def _write(path, content):
    """Write a file and print its path; 2 and a message on the error stream when it cannot be written."""
    try:
        path.write_bytes(content)
    except OSError as error:
        print(f"{path}: {error.strerror}", file=sys.stderr)
        return 2
    print(path)
    return 0


if __name__ == "__main__":
    sys.exit(main())
