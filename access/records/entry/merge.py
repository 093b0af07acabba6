"""Merges two documents that started from one version, part by part; pure, it reads and stores nothing.

What changed on one side is taken; what changed on both, and differently, is a conflict for a person to settle.
Frame and after-care are parts as wholes; examinations, needles and pressures are merged one by one, by id.
"""

from dataclasses import dataclass
from typing import Any

from access.records.entry.document import LISTS, PARTS, WHOLES
from access.records.problems import Document


@dataclass(frozen=True, kw_only=True)
class Merged:
    """The merged document, and the parts that both sides changed; with conflicts it is not to be stored."""

    document: Document
    conflicts: tuple[str, ...]


def merge(base: Document, *, yours: Document, theirs: Document) -> Merged:
    """What becomes of two changes to one document.

    Parameters
    ----------
    base, yours, theirs : dict
        Documents of one treatment in their normal form: the common start and the two that came of it.
    """
    document, conflicts = dict(theirs), set()
    for part in WHOLES:
        document[part], clash = _one(base[part], yours[part], theirs[part])
        if clash:
            conflicts.add(part)
    for part in LISTS:
        document[part], clash = _list(base[part], yours[part], theirs[part])
        if clash:
            conflicts.add(part)
    return Merged(document=document, conflicts=tuple(part for part in PARTS if part in conflicts))


def _one(base: Any, yours: Any, theirs: Any) -> tuple[Any, bool]:
    """The value after a three-way comparison, and whether both sides changed it differently."""
    if yours in (theirs, base):
        return theirs, False
    return yours, theirs != base


def _list(base: list[Any], yours: list[Any], theirs: list[Any]) -> tuple[list[Any], bool]:
    """Entries by id; one that a side left out counts as changed by it. Theirs keep their order, then yours."""
    mine, other, start = ({one["id"]: one for one in side} for side in (yours, theirs, base))
    found, clash = [], False
    for name in [*other, *(name for name in mine if name not in other)]:
        entry, differs = _one(start.get(name), mine.get(name), other.get(name))
        clash = clash or differs
        if entry is not None:
            found.append(entry)
    return found, clash
