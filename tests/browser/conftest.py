"""A signed-in page on a copy of the demo, for the journeys: a phone or a desk, light or dark."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from access.practice.founding import PASSWORD
from tests.practice.prepared import demo_database, demo_site

__all__ = ["demo_database", "demo_site"]

PHONE = {"width": 390, "height": 844}
NARROW = {"width": 360, "height": 740}
DESK = {"width": 1440, "height": 900}
SignIn = Callable[..., Page]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Everything in this folder drives a browser."""
    for item in items:
        if "tests/browser" in str(item.path):
            item.add_marker(pytest.mark.browser)


def signed_in(browser: Browser, site: str, username: str, **context: Any) -> Page:
    """A page of this person; what the console calls an error fails the journey."""
    page = browser.new_context(base_url=site, **context).new_page()
    page.set_default_timeout(15_000)
    page.on("pageerror", lambda error: pytest.fail(f"The page broke: {error}", pytrace=False))
    page.goto("/")
    page.get_by_label("Name at sign-in").fill(username)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", name="Today").wait_for()
    return page


@pytest.fixture
def sign_in(browser: Browser, demo_site: str) -> Iterator[SignIn]:
    """Opens a page for a person of the demo."""
    opened: list[Page] = []

    def open_for(username: str, *, size: dict[str, int] = PHONE, scheme: str = "light") -> Page:
        opened.append(signed_in(browser, demo_site, username, viewport=size, color_scheme=scheme))
        return opened[-1]

    yield open_for
    for page in opened:
        page.context.close()


def asked(page: Page, address: str) -> Any:
    """What the API answers this page's person."""
    return page.evaluate("address => fetch(`/api/v1/${address}`).then(answer => answer.json())", address)


def quiet_row(page: Page) -> dict[str, Any]:
    """Today's row of somebody whose treatment has not begun, with a planned pair and without flags."""
    for row in asked(page, "today")["rows"]:
        if row["access"] and not row["flags"] and not any(row["progress"].values()):
            pack = asked(page, f"treatments/{row['treatment']}")
            [access] = [one for one in pack["accesses"] if one["id"] == row["access"]["id"]]
            if access["plan"].get("arterial_cm") and len(pack["accesses"]) == 1:
                return {**row, "pack": pack}
    raise AssertionError("Nobody on this shift is quiet.")
