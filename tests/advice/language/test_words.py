"""The catalogue of sentences: complete in every language, and every sentence gets the values it names."""

import ast
import string
from pathlib import Path

import pytest

from service.advice.answers.common import Finding
from service.advice.language import localise as words_module
from service.advice.language.localise import LANGUAGES, catalogue, decibels, hours, localised, text_of, watts
from service.domain.words import Words, words

SERVICE = Path(words_module.__file__).parents[2]


def placeholders(sentence):
    return {(name, spec) for _, name, spec, _ in string.Formatter().parse(sentence) if name is not None}


@pytest.mark.parametrize("language", LANGUAGES[1:])
def test_every_language_has_every_key_and_the_same_values(language):
    first, other = catalogue(LANGUAGES[0]), catalogue(language)
    assert sorted(first) == sorted(other)
    different = [key for key in first if placeholders(first[key]) != placeholders(other[key])]
    assert different == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_form_of_a_number_is_known(language):
    known = set(words_module._FORMS) | {""}
    for key, sentence in catalogue(language).items():
        for name, spec in placeholders(sentence):
            assert spec in known or any(other.startswith(f"{spec}.") for other in catalogue(language)), (key, name)


def keys_in_the_code():
    """Keys that are written out in a call of words, finding or caution anywhere in the service."""
    prefixes = {"words": "", "finding": "findings.", "caution": "cautions."}
    for path in sorted(SERVICE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant)):
                continue
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", None)
            if name in prefixes and isinstance(node.args[0].value, str):
                yield path.name, prefixes[name] + node.args[0].value


def test_every_key_of_the_code_is_in_the_catalogue():
    found = list(keys_in_the_code())
    assert len(found) > 50
    known = catalogue("en")
    assert [key for key in found if key[1] not in known] == []


def test_number_forms_of_both_languages():
    assert decibels(1.25, "en") == "1.2 dB"
    assert decibels(1.25, "de") == "1,2 dB"
    assert decibels(-0.04, "en") == "0.0 dB"
    assert decibels(7.6, "de") == "8 dB"
    assert watts(0.0203, "de") == "0,02 W"
    assert watts(250.4, "en") == "250 W"
    assert hours(4.0, "en") == "4 hours"
    assert hours(2.75, "de") == "2,5 Stunden"
    assert hours(0.5, "de") == "30 Minuten"


def test_a_float_without_a_form_and_a_missing_value_are_refused(monkeypatch):
    monkeypatch.setattr(words_module, "catalogue", lambda language: {"a": "{x}", "b": "{y:1}"})
    with pytest.raises(ValueError, match="without its form"):
        text_of(words("a", x=1.5), "en")
    with pytest.raises(KeyError, match="y"):
        text_of(words("b", x=1.5), "en")


def test_spoken_reaches_words_inside_lists_and_leaves_the_rest_alone():
    sentence = words("limits.excursion")
    found = [Finding(code="a", grade=None, text=sentence, values={"x_db": 1.0})]
    said = localised(found, "de")
    assert said[0].text == catalogue("de")["limits.excursion"]
    assert said[0].values == {"x_db": 1.0}
    assert isinstance(found[0].text, Words)


def test_headlines_are_short_in_both_languages():
    values = {
        "power_w": 0.0203,
        "headroom_db": 1.8,
        "short_db": 14.3,
        "for_peaks_w": 0.0203,
        "comfortable_w": 250.0,
        "for_average_w": 0.0203,
        "for_peaks_db": 101.2,
        "comfortable_db": 104.2,
    }
    for language in LANGUAGES:
        for key in catalogue(language):
            if key.startswith("headlines."):
                assert len(text_of(words(key, **values), language)) <= 60, (language, key)
