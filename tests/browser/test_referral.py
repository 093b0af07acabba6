"""A graft from the weekly list to the outcome: the coordinator refers, the nephrologist decides, the flag closes."""

import io

from playwright.sync_api import Page, expect
from pypdf import PdfReader

from tests.browser.conftest import DESK, PHONE, SignIn, asked


def graft_row(page: Page) -> dict[str, str]:
    """The row of the weekly list in which a sign that holds and a risen static ratio stand together at a graft."""
    for row in asked(page, "review")["rows"]:
        rules = {flag["rule"] for flag in row["flags"]}
        held = any(flag["basis"] == "sign" and flag["times_seen"] >= 2 for flag in row["flags"])
        if row["access"]["kind"] == "graft" and held and "outlet.rise" in rules and not row["referral"]:
            found: dict[str, str] = {
                "name": row["patient"]["name"],
                "access": row["access"]["id"],
                "title": row["access"]["title"],
            }
            return found
    raise AssertionError("No graft with a held sign and a risen static ratio is on the weekly list.")


def refer(page: Page, name: str) -> str:
    """Decide *refer* in the weekly list by keyboard, open the draft and send it; the referral's address."""
    page.goto("/review")
    page.get_by_role("button", name=name).click()
    page.keyboard.press("3")
    form = page.get_by_role("form", name=f"Decision about {name}")
    expect(form.get_by_role("textbox", name="Note")).to_be_focused()
    page.keyboard.type("Long bleeding as well.")
    page.keyboard.press("Enter")
    page.get_by_role("link", name="draft").click()
    page.get_by_role("button", name="Send the referral").click()
    expect(page.get_by_text("Sent.", exact=True)).to_be_visible()
    return page.url


def assert_sheet(page: Page, address: str, *, row: dict[str, str]) -> None:
    """The document is one A4 sheet that names the person, the access, and what was found."""
    answer = page.context.request.get(f"/api/v1/referrals/{address.rsplit('/', 1)[1]}/document")
    assert answer.headers["content-type"] == "application/pdf"
    reader = PdfReader(io.BytesIO(answer.body()))
    assert len(reader.pages) == 1 and "/MarkInfo" in reader.root_object
    text = " ".join(reader.pages[0].extract_text().split())
    for word in (row["name"], "LEFT" if "left" in row["title"] else "RIGHT", "Invented patients", "Static ratio"):
        assert word in text, f"{word!r} is not on the sheet: {text[:400]}"


def record_angioplasty(page: Page, day: str) -> None:
    """The nephrologist records what was done."""
    form = page.get_by_role("form", name="Result")
    form.get_by_role("radio", name="angioplasty").check()
    form.get_by_label("On", exact=True).fill(day)
    form.get_by_role("textbox", name="Where, in words").fill("venous anastomosis")
    form.get_by_role("textbox", name="Narrowed by").fill("70")
    form.get_by_role("textbox", name="What came of it").fill("Dilated, no residual narrowing.")
    form.get_by_role("radio", name="close them").check()
    form.get_by_role("button", name="Record the result").click()
    expect(page.get_by_text("The result is recorded.")).to_be_visible()


def test_a_graft_is_referred_decided_dilated_and_its_chart_starts_anew(sign_in: SignIn) -> None:
    dov = sign_in("dov", size=DESK)
    row = graft_row(dov)
    address = refer(dov, row["name"])
    ben = sign_in("ben", size=PHONE)
    ben.goto(address)
    ben.get_by_role("button", name="Acknowledge").click()
    expect(ben.get_by_text("Acknowledged.")).to_be_visible()
    for heading in ("Question", "Findings", "History of the access"):
        expect(ben.get_by_role("heading", name=heading)).to_be_visible()
    assert_sheet(ben, address, row=row)
    ben.get_by_role("textbox", name="Decision: what is to be done").fill("Angiography, dilate if narrowed.")
    ben.get_by_role("button", name="Save the decision").click()
    expect(ben.get_by_text("The decision is saved.")).to_be_visible()
    record_angioplasty(ben, asked(ben, "today")["clinic_day"])
    page = asked(dov, f"accesses/{row['access']}?width=wide")
    assert not [flag for flag in page["flags"] if flag["basis"] == "measurement"]
    assert "angioplasty" in page["events"][0]["text"]
    flow = next(chart for chart in page["charts"] if chart["id"] == "flow")
    assert "angioplasty" in flow["svg"]
    dov.goto("/referrals")
    expect(dov.get_by_text(row["name"]).first).to_be_visible()
