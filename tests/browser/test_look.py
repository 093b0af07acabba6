"""Every screen by the rules of accessibility, light and dark, and usable where it is narrow or the text is large."""

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import DESK, NARROW, PHONE, SignIn, asked, quiet_row

AXE = (Path(__file__).parents[2] / "frontend" / "node_modules" / "axe-core" / "axe.min.js").read_text()
RUN = "() => axe.run({ runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] })"
WIDER = "() => document.documentElement.scrollWidth - window.innerWidth"
SMALL_TARGETS = """() => [...document.querySelectorAll('main button, main a.button, main select, main input')]
  .filter(one => one.checkVisibility() && !one.closest('details:not([open])'))
  .map(one => [one, (one.type === 'radio' || one.type === 'checkbox') ? one.closest('label') : one])
  .map(([one, box]) => [one.outerHTML.slice(0, 80), box.getBoundingClientRect()])
  .filter(([, box]) => box.height < 47.5 || box.width < 47.5)
  .map(([html, box]) => `${html} ${box.width.toFixed(0)} x ${box.height.toFixed(0)}`)"""


def screens(page: Page) -> dict[str, str]:
    """The screens a coordinator may open, with true ids in them."""
    row = quiet_row(page)
    sick = asked(page, "review")["rows"][0]
    referral = asked(page, "referrals")["rows"]
    found = {
        "today": "/today",
        "treatment": f"/treatments/{row['treatment']}",
        "tests": f"/patients/{row['patient']['id']}/tests",
        "access": f"/accesses/{sick['access']['id']}",
        "review": "/review",
        "referrals": "/referrals",
    }
    return {**found, "referral": f"/referrals/{referral[0]['id']}"} if referral else found


def shown(page: Page, address: str) -> None:
    """Open a screen and wait until it stands."""
    page.goto(address)
    page.locator("main h1, main h2").first.wait_for()
    page.wait_for_load_state("networkidle")


def faults(page: Page) -> list[str]:
    """What axe finds on the page as it stands."""
    page.evaluate(AXE)
    found: dict[str, Any] = page.evaluate(RUN)
    return [f"{one['id']}: {one['nodes'][0]['html'][:160]}" for one in found["violations"]]


@pytest.mark.parametrize(("size", "scheme"), [(PHONE, "light"), (PHONE, "dark"), (DESK, "light"), (DESK, "dark")])
def test_axe_finds_nothing_on_any_screen(sign_in: SignIn, size: dict[str, int], scheme: str) -> None:
    page = sign_in("dov", size=size, scheme=scheme)
    found = {}
    for name, address in screens(page).items():
        shown(page, address)
        found[name] = faults(page)
    assert not {name: those for name, those in found.items() if those}


def test_nothing_is_wider_than_a_narrow_phone_even_with_large_text(sign_in: SignIn) -> None:
    page = sign_in("dov", size=NARROW)
    wider = {}
    for name, address in screens(page).items():
        shown(page, address)
        plain = page.evaluate(WIDER)
        page.evaluate("() => { document.documentElement.style.fontSize = '200%'; }")
        wider[name] = max(plain, page.evaluate(WIDER))
    assert not {name: pixels for name, pixels in wider.items() if pixels > 0}


def test_what_a_nurse_touches_at_the_chair_is_large_enough_for_gloves(sign_in: SignIn) -> None:
    page = sign_in("ada")
    shown(page, f"/treatments/{quiet_row(page)['treatment']}")
    assert page.evaluate(SMALL_TARGETS) == []


def test_the_sign_in_and_the_stop_panel_pass_too(sign_in: SignIn) -> None:
    page = sign_in("ada", scheme="dark")
    shown(page, f"/treatments/{quiet_row(page)['treatment']}")
    for group in ("Thrill", "Bruit"):
        page.get_by_role("group", name=group).get_by_role("radio", name="missing", exact=True).check()
    page.get_by_role("dialog").wait_for()
    assert faults(page) == []
    page.context.clear_cookies()
    page.goto("/")
    page.get_by_label("Password").wait_for()
    assert faults(page) == []
