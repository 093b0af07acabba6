"""How the tests run: which Chromium drives the journeys. Who the tests are about stands in cast.py."""

import pytest

from access.management.browser import chromium

pytest_plugins = ["tests.cast"]


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, object]) -> dict[str, object]:
    """The machine's own Chromium, quiet, and able to run as root."""
    found = chromium()
    if found is None:
        pytest.fail("The browser journeys need Chromium; on Debian: apt install chromium", pytrace=False)
    quiet = ("gpu", "quic", "background-networking", "component-update", "sync")
    arguments = ["--no-sandbox", "--no-first-run", *(f"--disable-{name}" for name in quiet)]
    return {**browser_type_launch_args, "executable_path": found, "args": arguments}
