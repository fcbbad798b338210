"""Reading of a request body: one JSON object, and nothing in it that could be read in two ways."""

import json

_SHOWN_CHARACTERS = 40


class StrictJsonError(ValueError):
    """A body that is not exactly one JSON object. `line` and `column` count from 1 where they are known."""

    def __init__(self, detail, *, line=None, column=None):
        self.detail = detail
        self.line = line
        self.column = column
        super().__init__(detail)


def _object_without_duplicates(pairs):
    found = dict(pairs)
    if len(found) != len(pairs):
        seen = set()
        twice = next(name for name, _ in pairs if name in seen or seen.add(name))
        raise StrictJsonError(f"The name {_shown(twice)} stands twice in the same object; write it once.")
    return found


def _finite_number(text):
    value = float(text)
    if value in (float("inf"), float("-inf")):
        raise StrictJsonError(f"The number {_shown(text)} is too large for a number of double precision.")
    return value


def _refuse_constant(text):
    raise StrictJsonError(f"{text} is not JSON; only finite numbers are read. Leave the field out instead.")


_DECODER = json.JSONDecoder(
    object_pairs_hook=_object_without_duplicates, parse_float=_finite_number, parse_constant=_refuse_constant
)


def _shown(text):
    short = text if len(text) <= _SHOWN_CHARACTERS else text[:_SHOWN_CHARACTERS] + "..."
    return json.dumps(short)


def _texts_in(value):
    """Yield every text in a parsed value, names included, without recursion."""
    waiting = [value]
    while waiting:
        item = waiting.pop()
        if isinstance(item, str):
            yield item
        elif isinstance(item, list):
            waiting.extend(item)
        elif isinstance(item, dict):
            waiting.extend(item.keys())
            waiting.extend(item.values())


def _refuse_lone_surrogates(value):
    for text in _texts_in(value):
        try:
            text.encode("utf-8")
        except UnicodeEncodeError:
            raise StrictJsonError(f"The text {_shown(text)} holds half of a surrogate pair.") from None


def parse(body):
    """Return the JSON object that the bytes of `body` spell, or raise StrictJsonError.

    A byte order mark at the start is passed over, as RFC 8259 allows, since some editors save one.
    """
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise StrictJsonError(f"The body is not UTF-8 text: byte {error.start + 1} does not fit.") from None
    if not text.strip(" \t\r\n"):
        raise StrictJsonError("The body is empty; a JSON object is needed.")
    try:
        value = _DECODER.decode(text)
    except StrictJsonError:
        raise
    except json.JSONDecodeError as error:
        raise StrictJsonError(
            f"The body is not JSON: {error.msg} at line {error.lineno}, column {error.colno}.",
            line=error.lineno,
            column=error.colno,
        ) from None
    except RecursionError:
        raise StrictJsonError("The body is nested too deeply to be read.") from None
    except ValueError:  # the interpreter's own limit on the digits of a whole number
        raise StrictJsonError("The body holds a whole number of too many digits.") from None
    if not isinstance(value, dict):
        raise StrictJsonError(f"The body must be one JSON object, {{...}}; this is {_kind(value)}.")
    if "\\ud" in text or "\\uD" in text:
        _refuse_lone_surrogates(value)
    return value


def _kind(value):
    if isinstance(value, list):
        return "a list"
    if isinstance(value, str):
        return "a text"
    if value is None:
        return "null"
    return "true or false" if isinstance(value, bool) else "a number"
