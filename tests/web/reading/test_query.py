"""Parameters of a query and the language of an answer: read strictly, refused in the one shape, kept apart."""

import pytest

from service.advice.language.localise import LANGUAGES
from tests.web.problems import assert_problem
from tests.web.real import SMALL_BODIES, SPECIFICATION, WITH_BODY, request_validator, small_body

SPEAKING = ("/v1/fields", "/v1/visit-form")


REFUSED = {
    "another language": ("language=fr", "?language", "not_a_choice", "fr", ["en", "de"], None),
    "nearly a language": ("language=dee", "?language", "not_a_choice", "dee", ["en", "de"], "de"),
    "capitals": ("language=DE", "?language", "not_a_choice", "DE", ["en", "de"], "de"),
    "no value": ("language=", "?language", "not_a_choice", "", ["en", "de"], None),
    "twice": ("language=en&language=de", "?language", "given_twice", "en, de", "language once", None),
    "twice the same": ("language=de&language=de", "?language", "given_twice", "de, de", "language einmal", None),
    "misspelt": ("langage=de", "?langage", "unknown_query_parameter", "de", ["language"], "language"),
    "unknown": ("x=1", "?x", "unknown_query_parameter", "1", ["language"], None),
    "no letter of ours": ("%C3%A4%2F=1", "?%C3%A4%2F", "unknown_query_parameter", "1", ["language"], None),
    "a long name": ("x" * 500 + "=1", "?", "unknown_query_parameter", "1", ["language"], None),
    "separators alone": ("&", "?%26", "unknown_query_parameter", None, ["language"], None),
}


@pytest.mark.parametrize("path", SPEAKING)
@pytest.mark.parametrize(("query", "pointer", "code", "given", "allowed", "near"), REFUSED.values(), ids=list(REFUSED))
def test_what_is_refused(client, path, query, pointer, code, given, allowed, near):
    (error,) = assert_problem(client.get(f"{path}?{query}"), 422)["errors"]
    assert (error["pointer"], error["code"], error["given"]) == (pointer, code, given)
    assert (error["allowed"], error["did_you_mean"]) == (allowed, near)


@pytest.mark.parametrize("query", ["language=de&x=1", "langage=1&language=de"])
def test_a_refused_query_is_told_so_in_the_language_that_it_asks_for(client, query):
    problem = assert_problem(client.get(f"/v1/fields?{query}"), 422)
    assert "ist kein Parameter der Abfrage /v1/fields" in problem["detail"]
    assert problem["title"].startswith("Die Anfrage")


def test_what_is_refused_before_a_body_is_read_is_english(client):
    response = client.post("/v1/level", data=b'{"language": "de",', content_type="application/json")
    assert assert_problem(response, 400)["title"] == "The body could not be read"


def test_faults_are_listed_together_and_bounded(client):
    problem = assert_problem(client.get("/v1/fields?language=de&language=en&x=1"), 422)
    assert [error["code"] for error in problem["errors"]] == ["given_twice", "unknown_query_parameter"]
    problem = assert_problem(client.get("/v1/fields?" + "&".join(f"n{index}=1" for index in range(300))), 422)
    assert len(problem["errors"]) == 20


def test_an_operation_without_parameters_says_so(client):
    (error,) = assert_problem(client.get("/v1/materials?language=de"), 422)["errors"]
    assert (error["pointer"], error["allowed"]) == ("?language", "no query parameters")
    path = "/v1/level"
    (error,) = assert_problem(client.post(f"{path}?language=de", json=SMALL_BODIES[path]), 422)["errors"]
    assert "into the body" in error["detail"]


@pytest.mark.parametrize("path", SPEAKING)
def test_cached_answers_know_the_query(client, path):
    first = [client.get(f"{path}?language={language}").data for language in LANGUAGES]
    again = [client.get(f"{path}?language={language}").data for language in reversed(LANGUAGES)]
    assert first == again[::-1]
    assert first[0] != first[1]
    assert client.get(path).data == first[0]


@pytest.mark.parametrize("path", SPECIFICATION["paths"])
def test_the_specification_has_the_parameters(path):
    (item,) = SPECIFICATION["paths"][path].values()
    if path not in SPEAKING:
        assert "parameters" not in item
        return
    (parameter,) = item["parameters"]
    assert (parameter["name"], parameter["in"], parameter["required"]) == ("language", "query", False)
    assert parameter["schema"] == {"type": "string", "enum": ["en", "de"], "default": "en"}
    assert parameter["description"]


# the language of a body -----------------------------------------------------------------------------------------------


def texts(answer):
    """Return every sentence of findings and cautions."""
    return [each["text"] for part in ("findings", "cautions") for each in answer.get(part, ())]


@pytest.mark.parametrize("path", WITH_BODY)
def test_every_answer_speaks_the_language_of_its_body(client, path):
    plain, english, german = (
        client.post(path, json=small_body(path, **language)).json
        for language in ({}, {"language": "en"}, {"language": "de"})
    )
    assert texts(plain) == texts(english)
    assert not set(texts(english)) & set(texts(german))
    assert [each["code"] for each in english["findings"]] == [each["code"] for each in german["findings"]]
    request_validator(path).validate(small_body(path, language="de"))


@pytest.mark.parametrize("path", WITH_BODY)
def test_an_unknown_language_is_refused(client, path):
    (error,) = assert_problem(client.post(path, json=small_body(path, language="fr")), 422)["errors"]
    assert (error["pointer"], error["code"]) == ("/language", "not_a_choice")
    assert error["allowed"] == ["en", "de"]


def test_inputs_keep_the_language_that_was_posted(client):
    body = small_body("/v1/advice", language="de", include=["verdict", "inputs"])
    german = client.post("/v1/advice", json=body).json
    assert german["inputs"]["language"] == "de"
    again = client.post("/v1/advice", json=german["inputs"]).json
    assert again["verdict"] == german["verdict"]
    assert "language" not in client.post("/v1/advice", json=SMALL_BODIES["/v1/advice"]).json["inputs"]
