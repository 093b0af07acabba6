"""What the numbers of an access say together: asked for by opening it, by key, with and without a network."""

from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import DESK, SignIn, asked

TITLES = ["Where it narrows", "How evenly it was needled in 12 weeks", "How long each site has rested"]


def opened(page: Page) -> Locator:
    """The part of the access page of somebody of today, in sight and closed."""
    row = next(row for row in asked(page, "today")["rows"] if row["access"])
    page.goto(f"/accesses/{row['access']['id']}")
    part = page.get_by_role("region", name="What the numbers say together")
    expect(part).to_be_visible()
    return part


def test_it_is_worked_out_when_it_is_opened_by_key_and_each_statement_explains_itself(sign_in: SignIn) -> None:
    page = sign_in("ada", size=DESK)
    asks: list[str] = []
    page.on("request", lambda request: asks.append(request.url) if request.url.endswith("/weighed") else None)
    part = opened(page)
    part.locator("summary").focus()
    assert not asks
    page.keyboard.press("Enter")
    expect(part.get_by_role("heading", level=3)).to_have_text(TITLES)
    assert len(asks) == 1
    expect(part).to_contain_text("Imaging decides.")
    assert "normal" not in part.inner_text().lower()
    for summary in part.locator("summary").all():
        box = summary.bounding_box()
        assert box is not None and box["height"] >= 48
    part.get_by_text("How it is worked out").first.press("Enter")
    expect(part.get_by_text("How sure").first).to_be_visible()


def test_without_a_network_it_says_so_and_is_asked_again_when_there_is_one(sign_in: SignIn) -> None:
    page = sign_in("ada")
    part = opened(page)
    page.context.set_offline(True)
    part.locator("summary").click()
    expect(part.get_by_role("alert")).to_contain_text("The server cannot be reached.")
    page.context.set_offline(False)
    part.get_by_role("button", name="Try again").click()
    expect(part.get_by_role("heading", level=3)).to_have_text(TITLES)
