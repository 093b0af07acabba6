"""Primary, assisted primary and secondary patency: when each of them begins and ends, from one list of events.

It says which accesses can stand on which curve, and why others cannot; the curve itself is drawn by ``survival``.
It tells nothing of a single access, and does not look whether a record of the past is complete.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np

from access.measures.readings import EventReading
from access.measures.survival import Observed
from access.measures.words import EventWhat

Patency = Literal["primary", "assisted primary", "secondary"]
# A thrombectomy says that there was a clot, also where the clot itself was not entered.
THROMBOSIS: frozenset[EventWhat] = frozenset({"clotted", "thrombectomy"})
# Done to the vessel; a record cannot tell what for, so each counts as done for patency.
PROCEDURES: frozenset[EventWhat] = frozenset({"angioplasty", "thrombectomy", "stent", "revision", "ligation"})
# An abandoned access is patent in no sense, whether or not it clotted.
ENDED_BY: dict[Patency, frozenset[EventWhat]] = {
    "primary": THROMBOSIS | PROCEDURES | {"abandoned"},
    "assisted primary": THROMBOSIS | {"abandoned"},
    "secondary": frozenset({"abandoned"}),
}


@dataclass(frozen=True, kw_only=True)
class AccessHistory:
    """One access, from its creation to the end of what is known of it.

    ``observed_from`` is the day of creation, or the later one on which its record was taken over; ``left_on`` the day
    on which the patient died, was transplanted or went to another clinic. ``events`` come in any order.
    """

    access: str
    created_on: date | None
    observed_from: date
    events: tuple[EventReading, ...] = ()
    left_on: date | None = None


@dataclass(frozen=True, kw_only=True)
class LeftOut:
    """An access that cannot stand on this curve, and why."""

    access: str
    why: str


@dataclass(frozen=True, kw_only=True)
class Cohort:
    """The accesses on one curve, in the order of ``observed`` (days since creation), and those left out of it."""

    patency: Patency
    accesses: tuple[str, ...]
    observed: Observed
    left_out: tuple[LeftOut, ...]

    @property
    def text(self) -> str:
        """How many stand on the curve, how many of them ended, and how many were left out."""
        ended = int(self.observed.event.sum())
        accesses = "1 access" if len(self.accesses) == 1 else f"{len(self.accesses)} accesses"
        return (
            f"{self.patency.capitalize()} patency of {accesses}: {ended} ended, "
            f"{len(self.accesses) - ended} censored; {len(self.left_out)} left out."
        )


@dataclass(frozen=True, kw_only=True)
class _Span:
    """Days since creation at which the observation of one access begins and ends, and whether in the event."""

    entry: int
    exit: int
    event: bool


def primary(histories: Sequence[AccessHistory], *, as_of: date) -> Cohort:
    """Creation to the first thrombosis or the first procedure for patency, in days.

    Parameters
    ----------
    histories : sequence of AccessHistory
        One for each access.
    as_of : date
        The last day looked at; what came later is not seen.

    Returns
    -------
    Cohort
        An access whose patency ended before it came under observation is left out, with the reason.

    Notes
    -----
    Death, transplant and the way to another clinic censor. Death is a competing risk: the curve is of patency as it
    would be if nobody died, and one minus it is more than the share of accesses that are really lost. That
    abandonment ends this patency too, and that every procedure counts, is an own choice; the sources define the rest.

    References
    ----------
    patency-definitions, patency-table, left-truncation, own-choice
    """
    return _cohort(histories, patency="primary", as_of=as_of)


def assisted_primary(histories: Sequence[AccessHistory], *, as_of: date) -> Cohort:
    """Creation to the first thrombosis, in days: a procedure without one does not end it. See ``primary``.

    References
    ----------
    patency-definitions, patency-table, left-truncation, own-choice
    """
    return _cohort(histories, patency="assisted primary", as_of=as_of)


def secondary(histories: Sequence[AccessHistory], *, as_of: date) -> Cohort:
    """Creation to abandonment, in days, whatever was done before it (cumulative patency). See ``primary``.

    References
    ----------
    patency-definitions, patency-table, left-truncation
    """
    return _cohort(histories, patency="secondary", as_of=as_of)


def _cohort(histories: Sequence[AccessHistory], *, patency: Patency, as_of: date) -> Cohort:
    spans = [(one.access, _span(one, ended_by=ENDED_BY[patency], as_of=as_of)) for one in histories]
    on_curve = [(access, span) for access, span in spans if isinstance(span, _Span)]
    return Cohort(
        patency=patency,
        accesses=tuple(access for access, _ in on_curve),
        observed=Observed(
            entry=np.array([span.entry for _, span in on_curve], dtype=np.float64),
            exit=np.array([span.exit for _, span in on_curve], dtype=np.float64),
            event=np.array([span.event for _, span in on_curve], dtype=bool),
        ),
        left_out=tuple(LeftOut(access=access, why=why) for access, why in spans if isinstance(why, str)),
    )


def _span(one: AccessHistory, *, ended_by: frozenset[EventWhat], as_of: date) -> _Span | str:
    """When this access is at risk on this curve, or the words that say why it is not."""
    created = one.created_on
    if created is None:
        return "The day of its creation is not known."
    if any(event.on < created for event in one.events if event.what in ended_by):
        return "An event is dated before its creation: look at both dates."
    last = min(as_of, one.left_on or as_of)
    entry = max((one.observed_from - created).days, 0)
    ends = [event for event in one.events if event.what in ended_by and event.on <= last]
    first = min(ends, key=lambda event: event.on, default=None)
    exit = ((first.on if first else last) - created).days
    # An end on the day on which observation begins was not waited for: it is part of the past that was taken over.
    if first and entry and exit <= entry:
        return f"This patency had ended ({first.what}) when observation began."
    if exit < 0 or (entry and exit <= entry):
        return "It was under observation for less than a day."
    return _Span(entry=entry, exit=exit, event=first is not None)
