"""The bibliography in code: a short id leads to its reference and its standing.

It reads ``sources.toml`` and nothing else; what a source says is used where its id is named.
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal, get_args

from access.measures import Refused

Standing = Literal["published", "secondary", "common practice", "from memory", "own choice or simulation"]
STANDINGS: tuple[Standing, ...] = get_args(Standing)
_FILE = Path(__file__).with_name("sources.toml")


@dataclass(frozen=True, kw_only=True)
class Source:
    """One entry of the bibliography; ``note`` says what was taken from it and what is weaker."""

    id: str
    reference: str
    standing: Standing
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class MethodCv:
    """The between-session coefficient of variation of one flow method, as a fraction."""

    cv: float
    source: str
    standing: Standing


def standing(text: str) -> Standing:
    """The word as a standing; refused when it is none of the five."""
    if text not in STANDINGS:
        raise Refused(f"“{text}” is no standing; it is one of: {', '.join(STANDINGS)}.", field="standing")
    return text


@cache
def _document() -> dict[str, Any]:
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))


@cache
def sources() -> dict[str, Source]:
    """Every source by its id."""
    return {
        key: Source(id=key, reference=row["reference"], standing=standing(row["standing"]), note=row.get("note", ""))
        for key, row in _document()["source"].items()
    }


def source(key: str) -> Source:
    """The source with this id; refused when there is none, so that a mistyped id never passes."""
    if key not in sources():
        raise Refused(f"There is no source with the id “{key}”.", field="source")
    return sources()[key]


@cache
def flow_cv() -> dict[str, MethodCv]:
    """The coefficient of variation (fraction) of each flow method for which one is known."""
    return {
        method: MethodCv(cv=row["cv"], source=row["source"], standing=standing(row["standing"]))
        for method, row in _document()["flow_cv"].items()
    }
