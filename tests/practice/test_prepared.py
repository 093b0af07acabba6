"""The prepared demo behind a server: one signs in, sees the due shift, and the second clinic sees nothing of it."""

import json
from http.cookiejar import CookieJar
from typing import Any
from urllib.error import HTTPError
from urllib.request import HTTPCookieProcessor, OpenerDirector, Request, build_opener

import pytest

from access.practice.clinic import sign_ins
from tests.practice.prepared import ON_SQLITE, demo_database, demo_site

__all__ = ["demo_database", "demo_site"]
pytestmark = pytest.mark.skipif(not ON_SQLITE, reason="The prepared demo is the same SQLite file on either store.")


def ask(browser: OpenerDirector, address: str, *, body: Any = None, token: str = "") -> Any:
    """What the API answers."""
    data = None if body is None else json.dumps(body).encode()
    headers = {"Content-Type": "application/json", "X-CSRFToken": token, "Referer": address}
    with browser.open(Request(address, data=data, headers=headers), timeout=30) as answer:  # noqa: S310
        return json.load(answer)


def signed_in(site: str, username: str) -> OpenerDirector:
    """A browser in which somebody of the cast has signed in."""
    browser = build_opener(HTTPCookieProcessor(CookieJar()))
    password = next(phrase for _, name, phrase in sign_ins() if name == username)
    token = ask(browser, f"{site}/api/v1/session")["csrf"]
    found = ask(browser, f"{site}/api/v1/session", body={"username": username, "password": password}, token=token)
    assert found["user"] is not None
    return browser


def test_the_site_serves_the_demo_as_it_stands_now(demo_site: str) -> None:
    ada = signed_in(demo_site, "ada")
    today = ask(ada, f"{demo_site}/api/v1/today")
    assert today["unconfirmed_limits"] == 0
    assert {row["state"] for row in today["rows"]} <= {"planned", "running"}
    assert len(today["rows"]) >= 4

    [marguerite] = ask(ada, f"{demo_site}/api/v1/patients?search=Marguerite")["rows"]
    [access] = ask(ada, f"{demo_site}/api/v1/patients/{marguerite['id']}/tests")["accesses"]
    page = ask(ada, f"{demo_site}/api/v1/accesses/{access['id']}")
    assert {"flow", "ratio", "pressures"} <= {chart["id"] for chart in page["charts"]}
    assert "outlet.rise" in {flag["rule"] for flag in page["flags"]}

    cleo = signed_in(demo_site, "cleo")
    assert ask(cleo, f"{demo_site}/api/v1/patients?search=Marguerite")["rows"] == []
    try:
        ask(cleo, f"{demo_site}/api/v1/accesses/{access['id']}")
    except HTTPError as refused:
        assert refused.code == 404
    else:
        raise AssertionError("The second clinic saw an access of the first.")
