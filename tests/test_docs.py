"""The documents say what is so: their paths exist, their commands are those that run, each rule has its section."""

import importlib
import re
import tomllib
from pathlib import Path

import pytest

from access.management.commands import demo as demo_command
from access.management.commands import test as test_command

ROOT = Path(__file__).resolve().parent.parent
# `access/measures/flow.py`, `tests/`, `manage.py`: a path of the project, as the documents quote one.
QUOTED_PATH = re.compile(r"`((?:access|frontend|tests|fixtures|\.ci)/[\w./-]*|[\w-]+\.(?:py|toml|md))`")
COMMAND = re.compile(r"python3 manage\.py \w+")


def text(name: str) -> str:
    """One document of the project."""
    return (ROOT / name).read_text()


@pytest.mark.parametrize("document", ["DEVELOPERS.md", "README.md"])
def test_every_path_that_a_document_names_exists(document: str) -> None:
    named = set(QUOTED_PATH.findall(text(document)))
    places = (ROOT, ROOT / "access", ROOT / "access" / "measures")
    assert not {path for path in named if not any((place / path).exists() for place in places)}


def test_the_developers_document_names_paths_at_all() -> None:
    assert len(set(QUOTED_PATH.findall(text("DEVELOPERS.md")))) >= 10


@pytest.mark.parametrize("document", ["DEVELOPERS.md", "README.md"])
def test_every_link_inside_the_project_leads_somewhere(document: str) -> None:
    targets = re.findall(r"\]\(([^)#:\s]+)(?:#[^)]*)?\)", text(document))
    assert not [target for target in targets if not (ROOT / target).exists()]


def test_what_runs_on_every_change_is_what_the_readme_tells_everybody() -> None:
    ran = set(COMMAND.findall(text(".ci/run")))
    assert ran == {"python3 manage.py test"}
    assert ran | {"python3 manage.py demo"} <= set(COMMAND.findall(text("README.md")))


def test_every_command_that_the_readme_names_is_the_projects_own() -> None:
    own = {path.stem for path in (ROOT / "access" / "management" / "commands").glob("[a-z]*.py")}
    named = {command.split()[-1] for command in COMMAND.findall(text("README.md"))}
    assert named <= own
    assert demo_command.Command.help
    assert test_command.Command.help


def test_the_licence_is_named_where_people_and_programs_look() -> None:
    assert tomllib.loads(text("pyproject.toml"))["project"]["license"] == "MIT"
    assert "MIT" in text("README.md")


def test_every_rule_has_its_section_in_the_book_of_formulas() -> None:
    rules = importlib.import_module("access.measures.rules")
    headings = set(re.findall(r"^#{2,4} `?([\w.-]+)`?$", text("access/measures/README.md"), re.MULTILINE))
    assert rules.RULE_IDS
    assert not set(rules.RULE_IDS) - headings


@pytest.mark.parametrize("lock", ["access/requirements.lock", "frontend/package-lock.json"])
def test_the_locks_name_no_address(lock: str) -> None:
    assert not re.search(r'https?://|"resolved"', text(lock))


def test_every_locked_package_has_a_hash() -> None:
    pins = re.split(r"^(?=[\w.-]+(?:\[\S*\])?==)", text("access/requirements.lock"), flags=re.MULTILINE)[1:]
    assert len(pins) > 50
    assert all("--hash=sha256:" in pin for pin in pins)


def test_locks_that_would_name_addresses_stay_out() -> None:
    assert {"uv.lock", "pylock.toml"} <= set(text(".gitignore").split())
    assert not (ROOT / "pylock.toml").exists()
