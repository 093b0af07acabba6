"""What every answer carries, whatever it is an answer to."""

from collections.abc import Mapping
from pathlib import Path

import pytest
from django.test import Client
from pytest_django import Settings

PAGE = "/patients"
SCRIPT = "/assets/main-1a2b3c4d.js"
WORKER = "/sw.js"
NOTHING = "/api/v1/no-such-thing"


@pytest.fixture
def client(tmp_path: Path, settings: Settings) -> Client:
    """A browser before a server whose page is built."""
    (tmp_path / "assets").mkdir()
    for name in ("index.html", SCRIPT[1:], WORKER[1:]):
        (tmp_path / name).write_text(name)
    settings.PAGE = settings.WHITENOISE_ROOT = tmp_path
    return Client(raise_request_exception=False)


def headers(client: Client, address: str, *, secure: bool = False) -> Mapping[str, str]:
    """The headers of one answer, whose file is read to its end and so closed."""
    answer = client.get(address, secure=secure)
    answer.getvalue()
    return answer.headers


def policy(client: Client, address: str) -> dict[str, list[str]]:
    """The content policy of one answer, directive by directive."""
    directives = headers(client, address)["Content-Security-Policy"].split("; ")
    return {name: sources for name, *sources in (directive.split(" ") for directive in directives)}


@pytest.mark.parametrize("address", [PAGE, SCRIPT, WORKER, NOTHING])
def test_every_answer_has_a_policy_that_grants_nothing_it_does_not_name(client: Client, address: str) -> None:
    granted = policy(client, address)
    assert granted["default-src"] == granted["base-uri"] == granted["frame-ancestors"] == ["'none'"]
    assert granted["script-src"] == granted["style-src"] == ["'self'"]
    every_source = {source for sources in granted.values() for source in sources}
    assert every_source <= {"'none'", "'self'", "data:", "blob:"}


@pytest.mark.parametrize("address", [PAGE, SCRIPT, WORKER, NOTHING])
def test_every_answer_tells_the_browser_to_guess_embed_and_tell_others_nothing(client: Client, address: str) -> None:
    told = headers(client, address)
    assert told["X-Content-Type-Options"] == "nosniff"
    assert told["Referrer-Policy"] == "same-origin"
    assert told["Cross-Origin-Opener-Policy"] == told["Cross-Origin-Resource-Policy"] == "same-origin"
    assert "microphone=()" in told["Permissions-Policy"]
    assert "Access-Control-Allow-Origin" not in told


def test_nothing_from_the_api_is_ever_kept_by_the_browser(client: Client) -> None:
    assert headers(client, NOTHING)["Cache-Control"] == "no-store"
    assert client.post(NOTHING).headers["Cache-Control"] == "no-store"


def test_a_hashed_file_is_kept_for_ever_and_the_worker_and_page_only_after_asking(client: Client) -> None:
    assert "immutable" in headers(client, SCRIPT)["Cache-Control"]
    assert headers(client, WORKER)["Cache-Control"] == "no-cache"
    assert headers(client, PAGE)["Cache-Control"] == "no-cache"


def test_a_missing_script_is_not_kept_as_one(client: Client) -> None:
    answer = client.get("/assets/main-00000000.js")
    assert answer.status_code == 404
    assert answer.headers["Cache-Control"] == "no-cache"


def test_the_connection_stays_encrypted_once_it_was(client: Client) -> None:
    assert "Strict-Transport-Security" not in headers(client, PAGE)
    assert "max-age=31536000" in headers(client, PAGE, secure=True)["Strict-Transport-Security"]


def test_each_request_has_an_id_of_its_own_that_a_refusal_names(client: Client) -> None:
    first, second = client.get(NOTHING), client.get(NOTHING)
    assert first.json()["request"] == first.headers["X-Request-ID"]
    assert first.headers["X-Request-ID"] != second.headers["X-Request-ID"]


def test_a_wrong_host_gets_a_problem_document(client: Client) -> None:
    answer = client.get(NOTHING, headers={"host": "elsewhere.example"})
    assert answer.status_code == 400
    assert answer.headers["Content-Type"] == "application/problem+json"
