"""The reader of the specification works without any other machine."""

import re

import pytest

from service.web.problems import KINDS
from tests.web.toy import create_toy_app


@pytest.fixture(scope="module")
def client():
    return create_toy_app().test_client()


def test_everything_the_page_names_is_served_from_here(client):
    page = client.get("/docs").get_data(as_text=True)
    named = re.findall(r'(?:src|href)="([^"]+)"', page)
    assert len(named) == 5
    for reference in named:
        assert "//" not in reference
        assert client.get("/" + reference).status_code == 200


def test_the_page_needs_nothing_that_its_policy_forbids(client):
    response = client.get("/docs")
    page = response.get_data(as_text=True)
    policy = response.headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'self'; img-src 'self' data:; style-src 'self' 'unsafe-inline'")
    assert re.search(r"<script(?![^>]* src=)", page) is None
    assert " onload=" not in page


def test_the_start_asks_no_validator(client):
    script = client.get("/docs/init.js")
    assert script.content_type.startswith("text/javascript")
    text = script.get_data(as_text=True)
    assert "validatorUrl: null" in text
    assert "http" not in text


@pytest.mark.parametrize(
    ("name", "content_type"),
    [
        ("swagger-ui-bundle.js", "text/javascript"),
        ("swagger-ui.css", "text/css"),
        ("favicon-32x32.png", "image/png"),
    ],
)
def test_assets_have_their_type_and_are_not_sent_twice(client, name, content_type):
    first = client.get(f"/docs/assets/{name}")
    assert first.content_type.split(";")[0] == content_type
    assert len(first.data) > 100
    again = client.get(f"/docs/assets/{name}", headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")


def test_every_type_of_problem_is_explained_where_it_points(client):
    page = client.get("/docs").get_data(as_text=True)
    for kind in KINDS.values():
        path, anchor = kind.type.split("#")
        assert path == "/docs"
        assert f'id="{anchor}"' in page
