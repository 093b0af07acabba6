"""The shell opens without a network, may be installed, and keeps no answer of the API."""

from playwright.sync_api import expect

from tests.browser.conftest import SignIn


def test_the_shell_opens_without_a_network_and_keeps_no_answer(sign_in: SignIn) -> None:
    page = sign_in("ada")
    page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
    page.reload()
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    kept = page.evaluate(
        """async () => {
          const names = await caches.keys();
          const all = await Promise.all(names.map(async name => (await caches.open(name)).keys()));
          return all.flat().map(request => new URL(request.url).pathname);
        }"""
    )
    assert "/" in kept and not [path for path in kept if path.startswith("/api/")]
    page.context.set_offline(True)
    page.goto("/today")
    expect(page.get_by_role("heading", name="No connection")).to_be_visible()


def test_the_manifest_lets_it_be_installed(sign_in: SignIn) -> None:
    page = sign_in("ada")
    client = page.context.new_cdp_session(page)
    manifest = client.send("Page.getAppManifest")
    assert manifest["url"].endswith(".webmanifest") and manifest["errors"] == []
    # A plain test context counts as private browsing, which is the one reason against that is allowed here.
    errors = client.send("Page.getInstallabilityErrors")["installabilityErrors"]
    assert {one["errorId"] for one in errors} <= {"in-incognito"}
