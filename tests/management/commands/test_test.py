"""The test command itself: in order, stopping at the first failure, never passing without what it needs."""

import sys
from collections.abc import Callable

import pytest

from access.management.commands import test as command


def failing(code: int) -> Callable[[], None]:
    """A step that fails with this code."""

    def step() -> None:
        raise command.Failed(code)

    return step


def test_the_first_failure_ends_the_run_with_its_code(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ran: list[str] = []
    steps = [("one", lambda: ran.append("one")), ("two", failing(3)), ("three", lambda: ran.append("three"))]
    monkeypatch.setattr(command, "STEPS", steps)
    with pytest.raises(SystemExit) as ended:
        command.Command().run_from_argv(["manage.py", "test"])
    assert ended.value.code == 3
    assert ran == ["one"]
    assert "Failed at: two" in capsys.readouterr().out


def test_a_run_in_which_all_passes_says_so(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(command, "STEPS", [("one", lambda: None)])
    command.Command().run_from_argv(["manage.py", "test"])
    assert "All 1 steps passed" in capsys.readouterr().out


def test_arguments_go_to_pytest_and_nothing_else_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(command, "STEPS", [("one", failing(1))])
    asked: list[tuple[str, ...]] = []
    monkeypatch.setattr(command, "run", lambda *parts, database=None: asked.append(parts))
    command.Command().run_from_argv(["manage.py", "test", "tests/measures", "-k", "flow"])
    assert asked == [(sys.executable, "-m", "pytest", "tests/measures", "-k", "flow")]


def test_a_failing_command_is_a_failing_step() -> None:
    with pytest.raises(command.Failed, match="exit code 7"):
        command.run(sys.executable, "-c", "raise SystemExit(7)")


def test_a_step_runs_on_sqlite_unless_it_names_a_database(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DATABASE_URL", "postgresql://somewhere/else")
    command.run(sys.executable, "-c", "import os; assert 'DATABASE_URL' not in os.environ")
    command.run(sys.executable, "-c", "import os; assert os.environ['DATABASE_URL'] == 'it'", database="it")


def test_a_named_database_takes_the_place_of_the_temporary_one(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str | None] = []
    monkeypatch.setenv("DATABASE_URL", "postgresql://tests@localhost/tests")
    monkeypatch.setattr(command, "run", lambda *parts, database=None: asked.append(database))
    command.pytest_on_postgres()
    assert asked == ["postgresql://tests@localhost/tests"]


def test_without_chromium_the_journeys_fail_rather_than_being_left_out(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(command, "chromium", lambda: None)
    monkeypatch.setattr(command, "install_chromium", lambda: False)
    monkeypatch.setattr(command, "run", lambda *parts, database=None: None)
    with pytest.raises(command.Failed):
        command.browser_journeys()
    assert "apt install chromium" in capsys.readouterr().out
