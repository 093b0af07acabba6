"""A nurse of the other clinic finds nothing of this one, by any address that she may guess."""

from playwright.sync_api import expect

from tests.browser.conftest import DESK, SignIn, asked


def test_a_nurse_of_the_other_clinic_finds_nothing_of_this_one(sign_in: SignIn) -> None:
    dov, cleo = sign_in("dov", size=DESK), sign_in("cleo")
    rows = asked(dov, "today")["rows"]
    row = next(one for one in rows if one["access"])
    guessed = {
        f"treatments/{row['treatment']}": f"/treatments/{row['treatment']}",
        f"accesses/{row['access']['id']}": f"/accesses/{row['access']['id']}",
        f"patients/{row['patient']['id']}/tests": f"/patients/{row['patient']['id']}/tests",
    }
    for address, screen in guessed.items():
        assert asked(cleo, address)["status"] == 404
        cleo.goto(screen)
        expect(cleo.get_by_text("nothing here for you")).to_be_visible()
        expect(cleo.get_by_text(row["patient"]["name"])).to_have_count(0)
    names = {one["patient"]["name"] for one in rows}
    assert not names & {one["name"] for one in asked(cleo, "patients")["rows"]}
    cleo.goto("/today")
    expect(cleo.get_by_role("heading", name="Today")).to_be_visible()
    for name in names:
        expect(cleo.get_by_text(name)).to_have_count(0)
