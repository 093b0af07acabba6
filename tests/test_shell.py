"""Which addresses answer the page, and what they answer before it is built."""

from pathlib import Path

import pytest
from django.test import Client
from pytest_django import Settings


@pytest.fixture
def client(tmp_path: Path, settings: Settings) -> Client:
    """A browser before a server whose page is built."""
    (tmp_path / "index.html").write_text("<title>the page</title>")
    (tmp_path / "manifest.webmanifest").write_text("{}")
    settings.PAGE = settings.WHITENOISE_ROOT = tmp_path
    return Client()


@pytest.mark.parametrize("address", ["/", "/today", "/access/0190c0de-0000-7000-8000-000000000001/flow", "/apiary"])
def test_every_address_of_the_page_answers_the_page(client: Client, address: str) -> None:
    answer = client.get(address)
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "text/html; charset=utf-8"
    assert b"the page" in answer.content


def test_the_shell_sets_no_cookie_and_so_is_the_same_for_everybody(client: Client) -> None:
    answer = client.get("/")
    assert not answer.cookies
    assert "Vary" not in answer.headers


@pytest.mark.parametrize(
    "address", ["/api", "/api/", "/api/v1/nothing", "/assets/gone.js", "/gone.png", "/.git/config"]
)
def test_whatever_is_not_the_pages_own_is_a_problem_document(client: Client, address: str) -> None:
    answer = client.get(address)
    assert answer.status_code == 404
    assert answer.headers["Content-Type"] == "application/problem+json"


def test_the_manifest_has_the_type_that_browsers_ask_for(client: Client) -> None:
    answer = client.get("/manifest.webmanifest")
    assert answer.getvalue() == b"{}"
    assert answer.headers["Content-Type"] == "application/manifest+json"


def test_the_page_takes_no_entries(client: Client) -> None:
    assert client.post("/today").status_code == 405


def test_an_unbuilt_page_says_how_it_is_built(tmp_path: Path, settings: Settings) -> None:
    settings.PAGE, settings.WHITENOISE_ROOT = tmp_path / "gone", None
    answer = Client().get("/")
    assert answer.status_code == 503
    assert "python3 manage.py demo" in answer.content.decode()
