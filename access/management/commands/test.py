"""``manage.py test``: every check and every test, named as it runs; the first that fails ends the run with its code.

``manage.py test PATH ...`` hands its arguments to pytest instead, and runs it once, on SQLite.
It takes the place of Django's own test command, which knows neither pytest nor the page.
"""

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from access import bootstrap
from access.management.browser import chromium, install_chromium
from access.management.postgres import temporary_postgres

# These compute and draw; a database is nothing to them, so the second store would only repeat them.
WITHOUT_DATABASE = ("tests/measures", "tests/drawing")
NO_CHROMIUM = "The browser journeys need Chromium, and it could not be installed; on Debian: apt install chromium"


class Failed(Exception):
    """One step did not pass."""

    def __init__(self, code: int) -> None:
        super().__init__(f"exit code {code}")
        self.code = code


def tool(name: str) -> str:
    """A command that came with the packages of the lock."""
    return str(Path(sys.executable).with_name(name))


def run(*command: str, database: str | None = None) -> None:
    """Runs one command at the top of the project, on SQLite unless a database is named."""
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    if database:
        environment["DATABASE_URL"] = database
    code = subprocess.run(command, cwd=bootstrap.ROOT, env=environment, check=False).returncode
    if code:
        raise Failed(code)


def pytest(*arguments: str, database: str | None = None) -> None:
    """Runs pytest."""
    run(sys.executable, "-m", "pytest", *arguments, database=database)


def page_script(name: str) -> Callable[[], None]:
    """One script of frontend/package.json as a step."""
    return lambda: bootstrap.npm(["run", name], what=f"npm run {name}")


def pytest_on_postgres() -> None:
    """The tests again on PostgreSQL: the one that DATABASE_URL names, else one made for them."""
    leave_out = [f"--ignore={folder}" for folder in (*WITHOUT_DATABASE, "tests/browser")]
    if named := os.environ.get("DATABASE_URL"):
        pytest(*leave_out, database=named)
        return
    with temporary_postgres() as address:
        pytest(*leave_out, database=address)


def browser_journeys() -> None:
    """The journeys in Chromium; without one they fail, they are never left out."""
    if chromium() is None:
        bootstrap.say("Installing Chromium for the browser journeys ...")
        if not install_chromium():
            bootstrap.say(NO_CHROMIUM)
            raise Failed(1)
    pytest("tests/browser")


STEPS: list[tuple[str, Callable[[], None]]] = [
    ("Python: style", lambda: run(tool("ruff"), "check")),
    ("Python: layout", lambda: run(tool("ruff"), "format", "--check")),
    ("Python: types", lambda: run(tool("mypy"))),
    ("Python: who imports whom", lambda: run(tool("lint-imports"))),
    ("Page: build", bootstrap.build_page),
    ("Page: style", page_script("lint")),
    ("Page: types", page_script("check")),
    ("Page: tests", page_script("test")),
    ("Python: tests on SQLite", lambda: pytest("--ignore=tests/browser")),
    ("Python: tests on PostgreSQL", pytest_on_postgres),
    ("Browser: journeys on SQLite", browser_journeys),
]


class Command(BaseCommand):
    """Runs every check and test of the project."""

    help = "Runs every check and every test; with arguments, pytest alone with these."

    def run_from_argv(self, argv: list[str]) -> None:
        """Leaves the arguments to pytest, whose options Django would refuse."""
        try:
            self.handle(*argv[2:])
        except Failed as failed:
            sys.exit(failed.code)

    def handle(self, *arguments: str, **options: Any) -> None:
        """All steps in order, or pytest with the arguments given."""
        if arguments:
            pytest(*arguments)
            return
        started = time.monotonic()
        for number, (name, step) in enumerate(STEPS, start=1):
            bootstrap.say(f"\n[{number}/{len(STEPS)}] {name}, after {time.monotonic() - started:.0f} s")
            try:
                step()
            except Failed:
                bootstrap.say(f"\nFailed at: {name}")
                raise
        bootstrap.say(f"\nAll {len(STEPS)} steps passed in {time.monotonic() - started:.0f} s.")
