"""The times between two changes of the vessel, and which readings were taken with two needles.

A series keeps what came before a change behind a reset; what counts for a rule of today is trimmed in ``rules``.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime

from access.measures.readings import AccessProfile, TreatmentReading
from access.measures.succession import LONGEST_TREATMENT, T
from access.measures.words import CHANGES_THE_VESSEL


def known_by(profile: AccessProfile, *, as_of: datetime) -> AccessProfile:
    """The record without the treatments, flows, pressures and events that came later."""
    return replace(
        profile,
        treatments=tuple([one for one in profile.treatments if one.at <= as_of]),
        flows=tuple([one for one in profile.flows if one.at <= as_of]),
        ratios=tuple([one for one in profile.ratios if one.at <= as_of]),
        dynamics=tuple([one for one in profile.dynamics if one.at <= as_of]),
        events=tuple([one for one in profile.events if one.on <= as_of.date()]),
    )


def changes_of(profile: AccessProfile) -> tuple[date, ...]:
    """The days on which the vessel was changed, in order."""
    return tuple(sorted({one.on for one in profile.events if one.what in CHANGES_THE_VESSEL}))


def era_of(on: date, *, changes: Sequence[date]) -> int | None:
    """How many changes lie before a day; ``None`` on the day of one, whose readings may come from before it."""
    return None if on in changes else bisect_left(changes, on)


def running_two_needles(readings: Iterable[T], *, treatments: Sequence[TreatmentReading]) -> list[T]:
    """The readings but for those of a treatment by another route, as far as is known."""
    others = [one for one in treatments if one.route != "two needles"]

    def counts(at: datetime) -> bool:
        last = max((one.at for one in others if one.at <= at <= one.at + LONGEST_TREATMENT), default=None)
        return last is None or any(last < one.at <= at and one.route == "two needles" for one in treatments)

    return [one for one in readings if counts(one.at)]
