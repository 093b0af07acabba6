"""The nurse at the chair, on a phone: a whole treatment, the timed tests, and the stop panel."""

from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import SignIn, asked, quiet_row

MEASURED = ("Pump speed", "Arterial, before the pump", "Venous", "Blood pressure, upper", "Blood pressure, lower")
ENDED = """async treatment => {
  const answer = await fetch(`/api/v1/treatments/${treatment}`);
  return (await answer.json()).state === "ended";
}"""


def choose(within: Page | Locator, group: str, word: str) -> None:
    """Tap one word of a choice."""
    within.get_by_role("group", name=group).get_by_role("radio", name=word, exact=True).check()


def number(page: Page | Locator, label: str) -> Locator:
    """A number field by its label."""
    return page.get_by_role("textbox", name=label)


def look_listen_feel(page: Page) -> None:
    """The usual examination: thrill and bruit by a tap each, the rest together."""
    choose(page, "Thrill", "continuous")
    choose(page, "Bruit", "low, two phases")
    page.get_by_role("button", name="The rest found normal").click()
    page.get_by_role("button", name="Save the examination").click()


def needle_as_planned(page: Page) -> None:
    """Take the planned pair, look at the skin at each site, and say that both are in."""
    page.get_by_role("button", name="Take these sites").click()
    for letter in ("A", "V"):
        choose(page, f"Skin at {letter}", "sound")
    page.get_by_role("button", name="Both needles are in").click()


def read_pressures(page: Page) -> None:
    """One set of pressures, typed; what lies out of the usual band is kept as read."""
    for label, value in zip(MEASURED, ("300", "120", "140", "132", "74"), strict=True):
        number(page, label).fill(value)
    page.get_by_role("button", name="Save this reading").click()
    expect(page.get_by_role("row", name="140")).to_be_visible()
    stays = page.get_by_role("button", name="It stays as read")
    if stays.is_visible():
        stays.click()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_nurse_logs_a_whole_treatment_and_sees_it_after_a_reload(sign_in: SignIn, scheme: str) -> None:
    page = sign_in("ada", scheme=scheme)
    row = quiet_row(page)
    page.get_by_role("link", name=row["patient"]["name"]).click()
    for label in MEASURED:
        expect(number(page, label)).to_have_value("")
    expect(page.locator("#examination input:checked, #after input:checked")).to_have_count(0)
    look_listen_feel(page)
    needle_as_planned(page)
    read_pressures(page)
    for letter in ("A", "V"):
        number(page, f"Bleeding stopped, {letter}").fill("6")
    page.get_by_role("button", name="Save and end the treatment").click()
    page.wait_for_function(ENDED, arg=row["treatment"])
    page.reload()
    expect(page.get_by_role("row", name="140")).to_be_visible()
    expect(page.locator("#examination").get_by_role("radio", name="continuous")).to_be_checked()
    assert_whole(asked(page, f"treatments/{row['treatment']}")["document"])


def assert_whole(document: dict[str, Any]) -> None:
    """The document holds what was tapped and typed, and nothing was filled in that a hand must feel."""
    [seen] = document["examinations"]
    assert seen["findings"]["thrill"] == "continuous" and seen["findings"]["bruit"] == "low, two phases"
    assert not {"thrill", "bruit"} & set(seen["filled_together"])
    assert {one["role"] for one in document["needles"]} == {"arterial", "venous"}
    assert {one["skin"] for one in document["needles"]} == {"sound"}
    [reading] = document["pressures"]
    assert (reading["pre_pump_arterial_mmhg"], reading["venous_mmhg"]) == (-120, 140)
    assert sorted(document["after"]["bleeding"].values()) == [6, 6]


def open_recirculation(page: Page) -> Locator:
    """The form of a new recirculation test of somebody quiet."""
    page.goto(f"/patients/{quiet_row(page)['patient']['id']}/tests")
    page.get_by_role("button", name="Recirculation test").click()
    return page.get_by_role("form", name="Recirculation test")


def fill_draw(form: Locator, *, samples: tuple[str, str, str], site: str) -> None:
    """How it was drawn, and the three values from the laboratory."""
    choose(form, "Where S was drawn", site)
    number(form, "Pump speed at A and V").fill("350")
    number(form, "Into the treatment").fill("30")
    if site == "arterial line after slow flow":
        number(form, "Slow pump speed before S").fill("120")
        number(form, "Time at slow speed").fill("10")
    for moment in form.get_by_role("button", name="Now").all()[1:]:
        moment.click()
    choose(form, "Ultrafiltration", "off")
    choose(form, "Lines as they were found", "right")
    for label, value in zip(("S, systemic", "A, arterial line", "V, venous line"), samples, strict=True):
        number(form, label).fill(value)
    form.get_by_role("button", name="Save the test").click()


def test_three_samples_read_twenty_percent_with_their_interval_and_what_to_check_first(sign_in: SignIn) -> None:
    # 100 (60 - 51) / (60 - 15) = 20, by the formula of Kapoian et al., Kidney Int 1997;52:839.
    page = sign_in("ada")
    form = open_recirculation(page)
    fill_draw(form, samples=("60", "51", "15"), site="arterial line after slow flow")
    found = form.get_by_role("status", name="Result")
    expect(found).to_contain_text("20")
    expect(found).to_contain_text("%")
    expect(found).to_contain_text(" to ")
    first = found.get_by_role("listitem").first
    expect(first).to_contain_text("reversed")


def test_a_sample_from_a_vein_of_the_other_arm_reads_method_not_valid(sign_in: SignIn) -> None:
    # The example of Sherman 1994: 58, 48, 23 read 29 %, and the access was sound.
    page = sign_in("ada")
    form = open_recirculation(page)
    fill_draw(form, samples=("58", "48", "23"), site="peripheral vein")
    found = form.get_by_role("status", name="Result")
    expect(found).to_contain_text("method not valid")
    expect(found).not_to_contain_text("%")


def test_neither_thrill_nor_bruit_opens_the_stop_panel_and_nothing_typed_is_lost(sign_in: SignIn) -> None:
    page = sign_in("ada")
    row = quiet_row(page)
    page.get_by_role("link", name=row["patient"]["name"]).click()
    number(page, "Pump speed").fill("250")
    choose(page, "Thrill", "missing")
    choose(page, "Bruit", "missing")
    panel = page.get_by_role("dialog")
    expect(panel).to_contain_text("Nobody has been told by this program")
    expect(panel).to_contain_text("stat")
    for contact in asked(page, "session")["clinic"]["emergency_contacts"]:
        expect(panel).to_contain_text(contact["number"])
    panel.get_by_role("button", name="Go on recording").click()
    expect(number(page, "Pump speed")).to_have_value("250")
    page.reload()
    expect(number(page, "Pump speed")).to_have_value("250")
    expect(page.locator("#examination").get_by_role("radio", name="missing").first).to_be_checked()
