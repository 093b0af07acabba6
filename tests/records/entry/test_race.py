"""Several processes write into one treatment at once, on a store of their own: nothing is lost, nothing made twice."""

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.db import connection

from tests.records.entry.race import STEPS

ROOT = Path(__file__).resolve().parents[3]
RACERS = 2
RACE = "ropeladder_race"


@pytest.fixture
def store(tmp_path: Path, db: None) -> Iterator[str]:
    """The settings of an empty database beside that of the tests."""
    if connection.vendor == "sqlite":
        yield json.dumps({"NAME": str(tmp_path / "race.sqlite3")})
        return
    settings = connection.settings_dict
    with connection._nodb_cursor() as cursor:
        cursor.execute(f"DROP DATABASE IF EXISTS {RACE}")
        cursor.execute(f"CREATE DATABASE {RACE}")
    yield json.dumps({"NAME": RACE, **{key: settings[key] for key in ("USER", "PASSWORD", "HOST", "PORT")}})
    with connection._nodb_cursor() as cursor:
        cursor.execute(f"DROP DATABASE {RACE} WITH (FORCE)")


def started(what: str, store: str, *, number: int = 0) -> subprocess.Popen[str]:
    """Start one process."""
    command = [sys.executable, "-m", "tests.records.entry.race", what, store, str(number)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def done(*processes: subprocess.Popen[str]) -> list[str]:
    """What processes printed, once all have ended, and ended well."""
    printed = [process.communicate(timeout=120) for process in processes]
    assert not [err for process, (_, err) in zip(processes, printed, strict=True) if process.returncode]
    return [out for out, _ in printed]


def test_several_tablets_at_once_lose_nothing_and_plan_nothing_twice(store: str) -> None:
    done(started("prepare", store))
    done(*[started("race", store, number=number) for number in range(RACERS)])
    found = json.loads(done(started("count", store))[0])
    assert found["numbers"] == list(range(RACERS * STEPS + 1))
    assert found["minutes"] == [100 * number + place for number in range(RACERS) for place in range(STEPS)]
    assert found["rows"] == RACERS * STEPS
    assert found["planned"] == 2 * STEPS  # Two patients are due on each day.
