"""A finding: what a rule saw in an access, said so that a person can act on it.

It computes nothing; ``rules`` makes findings, ``review`` stores them as flags.
"""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from access.measures.words import URGENCIES, Urgency

Basis = Literal["sign", "measurement", "emergency"]

# Many read "urgent" as above "asap", so the word never stands without its time.
URGENCY_IN_WORDS: dict[str, str] = {
    "stat": "now",
    "asap": "today",
    "urgent": "this week",
    "routine": "at the next visit",
}


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """One reading that a finding rests on, as it stood."""

    id: str
    at: datetime
    text: str


@dataclass(frozen=True, kw_only=True)
class Finding:
    """What one rule found, with since when, how often, what was missing and what to do."""

    rule: str
    basis: Basis
    sentence: str
    urgency: Urgency
    time_in_words: str
    first_seen: datetime
    last_seen: datetime
    times_seen: int
    times_needed: int
    raises: bool = True  # False: a comparator, evaluated and shown as evidence only.
    ask: str = ""  # What to do first, e.g. "repeat at the next treatment and examine".
    source: str = ""  # The id in sources.toml.
    source_says: str = ""
    limit_confirmed: bool = True
    missing: tuple[str, ...] = ()
    evidence: tuple[Evidence, ...] = field(default_factory=tuple)
    unchanged: bool = False  # Nothing but what was known and reviewed before was seen again.


def most_urgent(urgencies: list[Urgency]) -> Urgency:
    """The highest of several urgencies: when two apply, the higher one is shown."""
    return max(urgencies, key=URGENCIES.index, default="routine")
