"""How findings put things: days in words, counts, and the urgencies of lines that are no emergency.

It judges nothing.
"""

from dataclasses import dataclass
from datetime import date, datetime

from access.measures.band import MONTHS
from access.measures.words import Urgency

CERTAIN = 0.995  # Above it a probability is said as "more than 99 %", and below its rest as "less than 1 %".


@dataclass(frozen=True, kw_only=True)
class Line:
    """An urgency with its time in words; the word never stands alone, since many read "urgent" as above "asap"."""

    urgency: Urgency
    time_in_words: str


# The last rows of the table of urgencies: lines that stop no screen.
SIGN_HOLDS = Line(urgency="urgent", time_in_words="refer this week, imaging within about 14 days")
REPEAT = Line(urgency="urgent", time_in_words="at the next treatment")
WITH_A_SIGN = Line(urgency="asap", time_in_words="examine today, tell the coordinator")
THIS_WEEK = Line(urgency="urgent", time_in_words="this week")
ROUTINE = Line(urgency="routine", time_in_words="at the next visit")


def day(at: datetime | date) -> str:
    """A day in words, as 3 May 2025, in the zone that the time carries."""
    return f"{at.day} {MONTHS[at.month - 1]} {at.year}"


def percent(probability: float) -> str:
    """A probability in words that promise no certainty."""
    if probability < 1 - CERTAIN:
        return "less than 1 %"
    return "more than 99 %" if probability > CERTAIN else f"{100 * probability:.0f} %"


def counted(count: int, *, needed: int) -> str:
    """How often something was seen, and while that matters of how often: ``seen once; 2 in succession needed``."""
    seen = {1: "once", 2: "twice"}.get(count, f"{count} times")
    if count < 2:
        return f"seen {seen}; {needed} in succession needed"
    return f"seen {seen} in succession" if count > needed else f"seen {seen} in succession, {needed} needed"
