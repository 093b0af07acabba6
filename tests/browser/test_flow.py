"""A far too low flow is asked about where it is saved, at once, and stands on the weekly list until it is repeated."""

from playwright.sync_api import expect

from tests.browser.conftest import DESK, PHONE, SignIn, asked


def test_a_sudden_low_flow_is_asked_about_where_the_nurse_saves_it(sign_in: SignIn) -> None:
    ada = sign_in("ada", size=PHONE)
    sound = next(row for row in asked(ada, "today")["rows"] if row["access"] and not row["flags"])
    patient, access = sound["patient"], sound["access"]
    ada.goto(f"/patients/{patient['id']}/tests?treatment={sound['treatment']}&access={access['id']}")
    ada.get_by_role("button", name="Access flow").click()
    ada.get_by_role("radio", name="duplex").check()
    ada.get_by_label("Diameter").fill("0.6")
    ada.get_by_label("Mean velocity over time").fill("9")  # About 150 mL/min.
    ada.get_by_role("button", name="Save the flow").click()
    said = ada.get_by_text("far below its trend").first
    expect(said).to_contain_text("mL/min")
    expect(said).to_contain_text("Repeat at the next treatment and examine.")
    dov = sign_in("dov", size=DESK)
    dov.goto("/review")
    expect(dov.get_by_role("button", name=patient["name"])).to_contain_text("far below its trend")
