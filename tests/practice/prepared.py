"""The whole demo, made once for a run of the tests, and copies of it behind a server of their own.

``demo_database`` is a SQLite file that nobody writes to; ``demo_site`` is the address of the program serving a copy of
it. A test module or conftest that wants them imports both names; however often they are imported, the demo is made
once. It shows the present moment, since the program that serves it goes by the clock.
"""

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from urllib.error import HTTPError, URLError
from urllib.request import urlopen

import pytest
from django.conf import settings

ROOT = Path(__file__).resolve().parents[2]
ON_SQLITE = "sqlite" in settings.DATABASES["default"]["ENGINE"]
SLOWEST_START_SECONDS, SLOWEST_FILL_SECONDS = 30.0, 400.0


@dataclass(frozen=True, kw_only=True)
class Prepared:
    """The file of the prepared demo, the moment it shows, and what was said while it was made."""

    file: Path
    as_of: datetime
    said: tuple[str, ...]


def environment(file: Path) -> dict[str, str]:
    """What a process needs to know to work on a prepared demo."""
    named = {"DJANGO_SETTINGS_MODULE": "tests.practice.prepared_settings", "PREPARED_DATABASE": str(file)}
    kept = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "ROPELADDER_DEMO")}
    return {**kept, **named, "PYTHONPATH": str(ROOT)}


@pytest.fixture(scope="session")
def demo_database(tmp_path_factory: pytest.TempPathFactory) -> Prepared:
    """The whole demo as it stands now, in a file that is only read and copied."""
    folder = tmp_path_factory.getbasetemp() / "prepared-demo"
    file, said = folder / "demo.sqlite3", folder / "said.txt"
    if not said.exists():
        folder.mkdir()
        command = [sys.executable, "-m", "tests.practice.make_prepared"]
        answer = subprocess.run(
            command,
            cwd=ROOT,
            env=environment(file),
            capture_output=True,
            text=True,
            check=False,
            timeout=SLOWEST_FILL_SECONDS,
        )
        assert answer.returncode == 0, answer.stderr
        said.write_text(answer.stdout)
    lines = tuple(said.read_text().splitlines())
    return Prepared(file=file, as_of=datetime.fromisoformat(lines[-1]), said=lines[:-1])


@pytest.fixture
def demo_site(demo_database: Prepared, tmp_path: Path) -> Iterator[str]:
    """The address at which the program serves a copy of the demo that this test may change."""
    file = tmp_path / "demo.sqlite3"
    shutil.copyfile(demo_database.file, file)
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "gunicorn", "access.wsgi", "--bind", f"127.0.0.1:{port}", "--threads", "4"]
    log = tmp_path / "server.log"
    with log.open("w") as out:
        server = subprocess.Popen(command, cwd=ROOT, env=environment(file), stdout=out, stderr=out)
        try:
            address = f"http://127.0.0.1:{port}"
            _wait_for(address, server=server, log=log)
            yield address
        finally:
            server.terminate()
            server.wait(timeout=20)


def _wait_for(address: str, *, server: subprocess.Popen[bytes], log: Path) -> None:
    """Wait until the server answers whatever it answers, and say what it wrote when it does not."""
    until = time.monotonic() + SLOWEST_START_SECONDS
    while time.monotonic() < until and server.poll() is None:
        try:
            urlopen(f"{address}/api/v1/session", timeout=5).close()  # noqa: S310 - its own server.
            return
        except HTTPError:
            return
        except (URLError, OSError):
            time.sleep(0.1)
    pytest.fail(f"The server of the demo did not start:\n{log.read_text()}", pytrace=False)
