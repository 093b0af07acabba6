"""When a sign holds, what is usual, and what is in succession: the three words that every rule leans on.

It knows no quantity and no limit; a rule says what is odd and how often it must be seen.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from operator import attrgetter
from statistics import median
from typing import Protocol as Shape
from typing import TypeVar

from access.measures.findings import Evidence

# A reading without a treatment of its own belongs to the treatment that began at most this long before it, and a visit
# this near to a treatment or to another visit is part of it: one examiner's two looks of a day are one (own choice).
LONGEST_TREATMENT = timedelta(hours=12)


class Timed(Shape):
    """Any reading with an id and a bedside time."""

    @property
    def id(self) -> str: ...
    @property
    def at(self) -> datetime: ...


T = TypeVar("T", bound=Timed)


def one_an_occasion(series: Iterable[T]) -> tuple[T, ...]:
    """The last reading of each treatment or visit, in order: a reading repeated at once is no second measurement."""
    found: list[T] = []
    begun: datetime | None = None
    for one in sorted(series, key=attrgetter("at", "id")):
        if begun is None or one.at - begun > LONGEST_TREATMENT:
            begun = one.at
            found.append(one)
        else:
            found[-1] = one
    return tuple(found)


@dataclass(frozen=True, kw_only=True)
class Observation:
    """One measurement or examination that carries the quantity under its conditions."""

    id: str
    at: datetime
    odd: bool
    text: str
    value: float = 0.0  # What is compared with the usual one; only where a rule does so.
    examiners: frozenset[str] = frozenset()  # Who saw it odd.

    def evidence(self) -> Evidence:
        """The observation as a finding keeps it."""
        return Evidence(id=self.id, at=self.at, text=self.text)


EVIDENCE_KEPT = 12  # A finding keeps the newest; how many there were it says in numbers.


def evidence_of(run: Sequence[Observation]) -> tuple[Evidence, ...]:
    """The newest observations of a run as a finding keeps them, oldest first."""
    return tuple(one.evidence() for one in run[-EVIDENCE_KEPT:])


def in_order(observations: Iterable[Observation]) -> tuple[Observation, ...]:
    """In order of bedside time; readings of one moment by id, so that the order they came in never matters."""
    return tuple(sorted(observations, key=lambda one: (one.at, one.id)))


def unbroken(observations: Sequence[Observation], *, gap_days: float) -> tuple[Observation, ...]:
    """The newest observations among which no gap is longer than ``gap_days`` (days)."""
    start = len(observations)
    while start > 0:
        if start < len(observations):
            later, earlier = observations[start].at, observations[start - 1].at
            if (later.date() - earlier.date()).days > gap_days:
                break
        start -= 1
    return tuple(observations[start:])


def in_succession(observations: Sequence[Observation], *, gap_days: float) -> tuple[Observation, ...]:
    """The odd observations at the end, in succession.

    Parameters
    ----------
    observations : sequence of Observation
        In order of bedside time, only those that carry the quantity: a missing one neither counts nor breaks.
    gap_days : float
        A longer gap between two observations ends the succession, days.

    Returns
    -------
    tuple of Observation
        Oldest first; empty when the newest observation is not odd.

    References
    ----------
    own-choice
    """
    newest = unbroken(observations, gap_days=gap_days)
    start = len(newest)
    while start > 0 and newest[start - 1].odd:
        start -= 1
    return newest[start:]


@dataclass(frozen=True, kw_only=True)
class Held:
    """A sign as it stands: seen in how many occasions in succession, and whether it holds."""

    run: tuple[Observation, ...]
    holds: bool
    by_two_examiners: bool


def holding(observations: Sequence[Observation], *, needed: int, gap_days: float) -> Held:
    """Whether a sign holds: seen at ``needed`` treatments in succession, or by two examiners at the last one.

    Parameters
    ----------
    observations : sequence of Observation
        One for each treatment (or visit) at which the sign was looked for, in order of bedside time.
    needed : int
        Treatments in succession.
    gap_days : float
        A longer gap ends the succession, days.
    """
    run = in_succession(observations, gap_days=gap_days)
    two = any(len(one.examiners) > 1 for one in run)
    return Held(run=run, holds=two or len(run) >= needed, by_two_examiners=two)


def usual(values: Sequence[float], *, of: int, least: int) -> float | None:
    """The median of the last ``of`` values (unit of the values), or ``None`` with fewer than ``least``.

    References
    ----------
    own-choice
    """
    return float(median(values[-of:])) if len(values) >= least else None


@dataclass(frozen=True, kw_only=True)
class AgainstUsual:
    """The newest values that are beyond what was usual before them, and that usual value."""

    run: tuple[Observation, ...]
    usual: float | None
    before: tuple[Observation, ...]  # The values that the usual one was taken from.


def against_usual(
    observations: Sequence[Observation],
    *,
    needed: int,
    of: int,
    least: int,
    gap_days: float,
    beyond: Callable[[float, float | None], bool],
) -> AgainstUsual:
    """How many values at the end, up to ``needed``, are all beyond what was usual before the ones judged.

    Parameters
    ----------
    observations : sequence of Observation
        In order of bedside time, with ``value``.
    needed : int
        The most values that are judged together.
    of, least : int
        Usual is the median of the last ``of`` values before the ones judged, and needs ``least`` of them.
    gap_days : float
        A longer gap ends the succession (the usual value looks across it), days.
    beyond : callable
        Whether a value is beyond the usual one; it is given ``None`` where there is no usual one.
    """
    newest = unbroken(observations, gap_days=gap_days)
    for count in range(min(needed, len(newest)), 0, -1):
        before = tuple(observations[: len(observations) - count][-of:])
        middle = usual([one.value for one in before], of=of, least=least)
        judged = newest[-count:]
        if all(beyond(one.value, middle) for one in judged):
            return AgainstUsual(run=judged, usual=middle, before=before)
    return AgainstUsual(run=(), usual=None, before=())
