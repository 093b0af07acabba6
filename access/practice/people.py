"""Who is in the invented clinics: clinics, staff and patients with their schedules, read from fixtures/demo.

It makes nobody up by itself and stores nothing; what happens to the accesses stands in ``accesses``.
"""

import tomllib
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

NAMES = Path(__file__).resolve().parents[2] / "fixtures" / "demo" / "people.toml"
WEEKDAYS = {"mwf": (0, 2, 4), "tts": (1, 3, 5)}
SUNDAY = 6
HEALTHY = ""


@dataclass(frozen=True, kw_only=True)
class Place:
    """An invented clinic as it is set up."""

    key: str
    name: str
    time_zone: str
    stations: int
    shifts: tuple[dict[str, str], ...]
    emergency_contacts: tuple[dict[str, str], ...]
    examining_posts: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Member:
    """Somebody who works in a clinic; only some sign in."""

    username: str
    name: str
    clinic: str
    role: str
    post: str
    signs_in: bool = False


@dataclass(frozen=True, kw_only=True)
class Person:
    """A patient: who, when and where due, and which story the access has."""

    name: str
    birth_date: date
    sex: str
    clinic: str
    weekdays: tuple[int, ...]
    shift: str
    station: int
    chart_number: str
    story: str

    @property
    def is_healthy(self) -> bool:
        """Whether nothing is wrong with the access."""
        return self.story == HEALTHY


@cache
def _names() -> dict[str, Any]:
    return tomllib.loads(NAMES.read_text(encoding="utf-8"))


@cache
def places() -> dict[str, Place]:
    """The clinics by key; the first is the one that the demo shows."""
    rows: dict[str, dict[str, Any]] = _names()["clinic"]
    listed = ("shifts", "emergency_contacts", "examining_posts")
    return {key: Place(key=key, **(row | {name: tuple(row[name]) for name in listed})) for key, row in rows.items()}


@cache
def staff() -> tuple[Member, ...]:
    """Everybody who works in the clinics."""
    return tuple(Member(**row) for row in _names()["staff"])


@cache
def people() -> tuple[Person, ...]:
    """All patients of both clinics, each with a place of their own in their shift."""
    rows = [(row["clinic"], row["group"], row["name"], row["born"], row["sex"], row["story"]) for row in _told()]
    rows += [
        (clinic, group, *one, HEALTHY)
        for clinic, groups in _names()["healthy"].items()
        for group, listed in groups.items()
        for one in listed
    ]
    taken: dict[tuple[str, str], int] = {}
    found = []
    for number, (clinic, group, name, born, sex, story) in enumerate(rows, start=1):
        days, shift = group.split(" ")
        taken[clinic, group] = taken.get((clinic, group), 0) + 1
        found.append(
            Person(
                name=name,
                birth_date=born,
                sex=sex,
                clinic=clinic,
                weekdays=(*WEEKDAYS[days], SUNDAY) if name in _names()["four_times"] else WEEKDAYS[days],
                shift=shift,
                station=taken[clinic, group],
                chart_number=f"{clinic[0].upper()}-{1000 + 7 * number}",
                story=story,
            )
        )
    return tuple(found)


def _told() -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = _names()["patient"]
    return rows
