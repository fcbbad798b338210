"""Reading of bodies: RFC 8259, and stricter where it leaves room."""

import pytest

from service.web.reading.strict_json import StrictJsonError, parse

REFUSED = [
    # body, words of the refusal
    (b"", "empty"),
    (b" \n\t", "empty"),
    (b"hello", "not JSON"),
    (b'{"a": 1,}', "not JSON"),
    (b"{'a': 1}", "not JSON"),
    (b'{"a": 1} {"b": 2}', "not JSON"),
    (b'{"a": 01}', "not JSON"),
    (b'{"a": .5}', "not JSON"),
    (b'{"a": "line\nbreak"}', "not JSON"),
    (b'{"a": 1', "not JSON"),
    (b"[1, 2]", "one JSON object.*a list"),
    (b'"text"', "one JSON object.*a text"),
    (b"12", "one JSON object.*a number"),
    (b"true", "one JSON object.*true or false"),
    (b"null", "one JSON object.*null"),
    (b'{"a": NaN}', "NaN is not JSON"),
    (b'{"a": Infinity}', "Infinity is not JSON"),
    (b'{"a": [-Infinity]}', "-Infinity is not JSON"),
    (b'{"a": 1e999}', '"1e999" is too large'),
    (b'{"a": -1e999}', '"-1e999" is too large'),
    (b'{"a": ' + b"9" * 5000 + b"}", "too many digits"),
    (b'{"width_m": 1, "b": 2, "width_m": 3}', '"width_m" stands twice'),
    (b'{"room": {"a": 1, "a": 1}}', '"a" stands twice'),
    (b'{"a": 1, "\\u0061": 2}', '"a" stands twice'),  # the same name, spelt with an escape
    (b'{"a": ' + b"[" * 100_000 + b"]" * 100_000 + b"}", "nested too deeply"),
    (b'{"a": "\\ud800"}', "half of a surrogate pair"),
    (b'{"a": [{"b": "\\uDC00x"}]}', "half of a surrogate pair"),
    (b'{"\\ud800": 1}', "half of a surrogate pair"),
    ('{"a": "\u00e9"}'.encode("latin-1"), "not UTF-8.*byte 8"),
    ('{"a": 1}'.encode("utf-16"), "not UTF-8"),
    (b'{"a": "\xed\xa0\x80"}', "not UTF-8"),  # a surrogate spelt in bytes
]


@pytest.mark.parametrize(("body", "words"), REFUSED, ids=lambda part: str(part)[:30])
def test_refused(body, words):
    with pytest.raises(StrictJsonError, match=words):
        parse(body)


def test_position_of_a_slip_is_told():
    with pytest.raises(StrictJsonError) as caught:
        parse(b'{"a": 1,\n "b": tru}')
    # the t of tru stands in line 2 behind ` "b": `, six characters, so in column 7
    assert (caught.value.line, caught.value.column) == (2, 7)
    assert "line 2, column 7" in caught.value.detail


def test_what_was_sent_is_echoed_short():
    with pytest.raises(StrictJsonError) as caught:
        parse(b'{"%s": 1, "%s": 2}' % (b"n" * 9000, b"n" * 9000))
    assert len(caught.value.detail) < 150


READ = [
    (b"{}", {}),
    (b' {"a": [1, 2.5, -3e2, true, null, "x"]}\n', {"a": [1, 2.5, -300.0, True, None, "x"]}),
    (b'{"a": {"b": 1}, "b": {"a": 1}}', {"a": {"b": 1}, "b": {"a": 1}}),  # the same name in different objects
    ('{"Stra\u00dfe": "\u4e2d"}'.encode(), {"Stra\u00dfe": "\u4e2d"}),
    (b'{"a": "\\ud83d\\ude00"}', {"a": "\U0001f600"}),  # a whole surrogate pair
    (b'\xef\xbb\xbf{"a": 1}', {"a": 1}),  # RFC 8259 section 8.1: a byte order mark may be ignored
    (b'{"a": 1e308, "b": 1e-999}', {"a": 1e308, "b": 0.0}),
]


@pytest.mark.parametrize(("body", "value"), READ, ids=lambda part: str(part)[:30])
def test_read(body, value):
    assert parse(body) == value


def test_kind_of_number_is_kept():
    read = parse(b'{"a": 6, "b": 6.0}')
    assert type(read["a"]) is int
    assert type(read["b"]) is float
