"""Reads the fields of a document one by one: type, vocabulary, bounds; every problem is collected, none is raised.

A reader takes a value as it came, the field's path and the notes, and gives the value in its normal form:
missing numbers, times and ids are None, missing texts are empty. It knows nothing of what a document is about.
"""

import math
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID

from access.measures import Refused, plausibility

OLDEST_YEAR = 1900


class Notes:
    """What was found while a document was read: what cannot be, and what is asked about."""

    def __init__(self) -> None:
        self.wrong: list[tuple[str, str]] = []
        self.asks: list[tuple[str, str]] = []

    def refuse(self, field: str, text: str) -> None:
        """Note something that cannot be."""
        self.wrong.append((field, text))

    def ask(self, field: str, text: str) -> None:
        """Note something unlikely."""
        self.asks.append((field, text))


Read = Callable[[Any, str, Notes], Any]
Table = Mapping[str, Read]


def _lacks(at: str, notes: Notes, *, needed: bool) -> None:
    if needed:
        notes.refuse(at, "This is missing.")


def text(most: int, *, needed: bool = False) -> Read:
    """A text of at most so many characters, without surrounding blanks; missing is empty."""

    def read(value: Any, at: str, notes: Notes) -> str:
        if value is None or value == "":
            _lacks(at, notes, needed=needed)
            return ""
        if not isinstance(value, str) or not storable(value):
            notes.refuse(at, "This is not a text that can be stored.")
            return ""
        stripped = value.strip()
        if len(stripped) > most:
            notes.refuse(at, f"This is longer than {most} characters.")
        elif not stripped:
            _lacks(at, notes, needed=needed)
        return stripped

    return read


def storable(value: str) -> bool:
    """Whether both stores keep this text: no NUL character and no half of a surrogate pair."""
    return "\x00" not in value and not any("\ud800" <= character <= "\udfff" for character in value)


def word(vocabulary: tuple[str, ...], *, blank: bool = False, otherwise: str = "") -> Read:
    """One word of a closed vocabulary; missing is ``otherwise``, or empty where ``blank`` allows it."""

    def read(value: Any, at: str, notes: Notes) -> str:
        if value is None or value == "":
            _lacks(at, notes, needed=not blank and not otherwise)
            return otherwise
        if not isinstance(value, str) or value not in vocabulary:
            notes.refuse(at, f"This is not one of: {', '.join(vocabulary)}.")
            return otherwise
        return value

    return read


def number(bound: str | None, *, needed: bool = False, whole: bool = False) -> Read:
    """A number inside the bounds of plausibility, where it has any; what is unusual is asked about."""

    def read(value: Any, at: str, notes: Notes) -> float | int | None:
        if value is None:
            _lacks(at, notes, needed=needed)
            return None
        if not is_number(value) or (whole and value != int(value)):
            notes.refuse(at, "This is not a whole number." if whole else "This is not a number.")
            return None
        try:
            question = plausibility.check(bound, value) if bound else ""
        except Refused as refused:
            notes.refuse(at, str(refused))
            return None
        if question:
            notes.ask(at, question)
        return int(value) if whole else _inside(float(value), bound)

    return read


def _inside(value: float, bound: str | None) -> float:
    """The value, without the part of a shown digit by which it lies beyond what is accepted: 800.4 is shown as 800."""
    if bound is None:
        return value
    limits = plausibility.BOUNDS[bound]
    return float(min(max(value, limits.refuse_below), limits.refuse_above))


def is_number(value: Any) -> bool:
    """Whether this is a finite number; true and false are none."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return abs(value) < 1e12 and math.isfinite(value)


def moment(*, needed: bool = False) -> Read:
    """A time with its offset, kept as UTC text ending in Z."""

    def read(value: Any, at: str, notes: Notes) -> str | None:
        if value is None or value == "":
            _lacks(at, notes, needed=needed)
            return None
        try:
            return as_text(datetime.fromisoformat(value))
        except (TypeError, ValueError, OverflowError):
            notes.refuse(at, "This is not a time with its offset, like 2026-03-02T07:10:00Z.")
            return None

    return read


def as_text(at: datetime) -> str:
    """A time as it stands in documents: UTC, ending in Z.

    Raises
    ------
    ValueError
        When the time carries no offset or lies before 1900.
    """
    if at.tzinfo is None or at.year < OLDEST_YEAR:
        raise ValueError(at)
    return at.astimezone(UTC).isoformat().replace("+00:00", "Z")


def day(*, needed: bool = False) -> Read:
    """A calendar day, kept as text."""

    def read(value: Any, at: str, notes: Notes) -> str | None:
        if value is None or value == "":
            _lacks(at, notes, needed=needed)
            return None
        try:
            found = date.fromisoformat(value)
        except (TypeError, ValueError):
            found = date.min
        if found.year < OLDEST_YEAR:
            notes.refuse(at, "This is not a day, like 2026-03-02.")
            return None
        return found.isoformat()

    return read


def key(*, needed: bool = False) -> Read:
    """The id of a record, kept as text."""

    def read(value: Any, at: str, notes: Notes) -> str | None:
        if value is None or value == "":
            _lacks(at, notes, needed=needed)
            return None
        try:
            return str(value if isinstance(value, UUID) else UUID(value))
        except (AttributeError, TypeError, ValueError):
            notes.refuse(at, "This is not the id of a record.")
            return None

    return read


def yes_no(*, otherwise: bool | None = False) -> Read:
    """Yes or no; missing is ``otherwise``."""

    def read(value: Any, at: str, notes: Notes) -> bool | None:
        if value is None:
            return otherwise
        if not isinstance(value, bool):
            notes.refuse(at, "This is neither yes nor no.")
            return otherwise
        return value

    return read


def words(vocabulary: tuple[str, ...]) -> Read:
    """A list of words of a closed vocabulary, each once."""
    one = word(vocabulary)

    def read(value: Any, at: str, notes: Notes) -> list[str]:
        if value is None:
            return []
        if not isinstance(value, list) or len(value) > len(vocabulary):
            notes.refuse(at, f"This is not a list of at most {len(vocabulary)} words.")
            return []
        found = [one(entry, f"{at}.{place}", notes) for place, entry in enumerate(value)]
        return [entry for entry in dict.fromkeys(found) if entry]

    return read


def weekdays() -> Read:
    """Days of the week, Monday 0 to Sunday 6, each once and in order."""

    def read(value: Any, at: str, notes: Notes) -> list[int]:
        given = [] if value is None else value
        if not isinstance(given, list) or any(isinstance(one, bool) or one not in range(7) for one in given):
            notes.refuse(at, "This is not a list of weekdays, Monday 0 to Sunday 6.")
            return []
        return sorted({int(one) for one in given})

    return read


def table(fields: Table) -> Read:
    """An object with exactly these fields, all optional unless their reader says otherwise."""

    def read(value: Any, at: str, notes: Notes) -> dict[str, Any]:
        given = value if isinstance(value, dict) else {}
        if value is not None and value is not given:
            notes.refuse(at, "This is not an object with named fields.")
        before = f"{at}." if at else ""
        for name in given.keys() - fields.keys():
            shown = name if storable(str(name)) else "this name"
            notes.refuse(f"{before}{shown}", f"“{str(shown)[:60]}” is not known here.")
        return {name: one(given.get(name), before + name, notes) for name, one in fields.items()}

    return read


def rows(fields: Table, *, most: int) -> Read:
    """A list of at most so many objects, each with an ``id`` of its own."""
    one = table(fields)

    def read(value: Any, at: str, notes: Notes) -> list[dict[str, Any]]:
        if value is None:
            return []
        if not isinstance(value, list) or len(value) > most:
            notes.refuse(at, f"This is not a list of at most {most}.")
            return []
        found = [one(entry, f"{at}.{place}", notes) for place, entry in enumerate(value)]
        seen: set[str] = set()
        for place, entry in enumerate(found):
            if entry["id"] in seen:
                notes.refuse(f"{at}.{place}.id", "This id stands twice in the list.")
            seen.add(entry["id"])
        return found

    return read
