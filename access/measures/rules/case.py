"""One access as the rules see it: what was known at the moment, since the vessel was last changed, in order.

It trims and sorts and judges nothing. A trend never crosses an event that changes the vessel: what lies before it is
left out here once, so that no rule has to think of it. Examinations are kept: what was seen of skin, bulge or hand
stands, and only the signs of the flow are looked for anew.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cached_property
from operator import attrgetter
from typing import Any, TypeVar

from access.measures.examination import SIGNS, Sign
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile, EventReading, TreatmentReading
from access.measures.rules.occasions import Occasion, observed, occasions, odd_at_the_end
from access.measures.succession import LONGEST_TREATMENT, Held, Observation, T, holding
from access.measures.words import CHANGES_THE_VESSEL

BLEEDING = "bleeding longer than usual"
Found = TypeVar("Found")


@dataclass(frozen=True, kw_only=True)
class Case:
    """An access at one moment, under one protocol."""

    profile: AccessProfile  # Trimmed to what counts, each series in order.
    whole: AccessProfile  # Also what lies before the vessel was changed: a trend starts anew there by itself.
    protocol: Protocol
    as_of: datetime
    changed_on: date | None  # The last event that changed the vessel.
    ended: bool  # Abandoned: no rule speaks, only the emergency table.
    bleeding_holds: bool = False  # A sign too, timed and not examined; its rule says so.
    worked_out: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)

    def once(self, name: str, make: Callable[["Case"], Found]) -> Found:
        """What several rules ask for, worked out the first time only."""
        if name not in self.worked_out:
            self.worked_out[name] = make(self)
        found: Found = self.worked_out[name]
        return found

    @cached_property
    def occasions(self) -> tuple[Occasion, ...]:
        """The examinations, those of one treatment together."""
        return occasions(self.profile.examinations)

    @cached_property
    def occasions_since_change(self) -> tuple[Occasion, ...]:
        """The occasions of the vessel as it is now."""
        if self.changed_on is None:
            return self.occasions
        return occasions(one for one in self.profile.examinations if one.at.date() >= self.changed_on)

    @cached_property
    def odd_signs(self) -> tuple[Sign, ...]:
        """The signs that were odd when they were last looked for."""
        return tuple(sign for sign in SIGNS if odd_at_the_end(self._looks(sign), sign=sign))

    def _looks(self, sign: Sign) -> tuple[Occasion, ...]:
        return self.occasions_since_change if sign.of_the_flow else self.occasions

    def held(self, sign: Sign) -> Held:
        """How a sign stands, from the newest occasion back to the first that looked for it and did not see it."""
        found: list[Observation] = []
        for occasion in reversed(self._looks(sign)):
            if occasion.looked_for(sign.field):
                found.append(observed(occasion, sign=sign))
                if not found[-1].odd:
                    break
        return holding(found[::-1], needed=self.needed("sign"), gap_days=self.protocol.gap_days("sign"))

    def beside(self, measured_at: datetime) -> tuple[str, ...]:
        """The signs that stand beside a measurement, in words: both together weigh more than either.

        One that does not hold counts only when it is not older than the gap that breaks a succession.
        """
        gap_days = self.protocol.gap_days("sign")
        signs = [
            sign.words
            for sign in self.odd_signs
            if (held := self.held(sign)).holds or (measured_at.date() - held.run[-1].at.date()).days <= gap_days
        ]
        return (*signs, BLEEDING) if self.bleeding_holds else tuple(signs)

    @cached_property
    def not_by_two_needles(self) -> tuple[TreatmentReading, ...]:
        """Treatments whose pressures, recirculation and spacing are not judged."""
        return tuple(one for one in self.profile.treatments if one.route != "two needles")

    def by_two_needles(self, at: datetime) -> bool:
        """Whether a reading at this time was taken with two needles, as far as is known."""
        for one in reversed(self.not_by_two_needles):
            if one.at <= at <= one.at + LONGEST_TREATMENT:
                later = (other for other in self.profile.treatments if one.at < other.at <= at)
                return any(other.route == "two needles" for other in later)
        return True

    def speaking(self, quantity: str) -> str:
        """The first rule that raises flags for a quantity in this protocol."""
        return self.protocol.rules[quantity][0]

    def needed(self, quantity: str) -> int:
        """How often in succession a quantity must be seen."""
        return round(self.protocol.number(f"succession.{quantity}"))


def open_case(profile: AccessProfile, *, protocol: Protocol, as_of: datetime) -> Case:
    """The case of an access at ``as_of``: later readings, and those before the vessel was changed, are left out.

    Notes
    -----
    Measurements of the day of the event itself are left out, since they may come from before it; an examination of
    that day counts as one after it, since leaving out a sign is the greater risk.
    """
    events = tuple(sorted((one for one in profile.events if one.on <= as_of.date()), key=_event_order))
    changed_on = max((one.on for one in events if one.what in CHANGES_THE_VESSEL), default=None)
    bad = {one.id for one in profile.treatments if one.route != "two needles"}

    def measured(series: Iterable[T]) -> tuple[T, ...]:
        return _ordered(
            [one for one in series if one.at <= as_of and (changed_on is None or one.at.date() > changed_on)]
        )

    trimmed = replace(
        profile,
        treatments=_ordered([one for one in profile.treatments if one.at <= as_of]),
        examinations=_ordered([one for one in profile.examinations if one.at <= as_of]),
        punctures=_ordered([one for one in profile.punctures if one.at <= as_of]),
        flows=measured(profile.flows),
        ratios=measured(profile.ratios),
        dynamics=measured([one for one in profile.dynamics if one.treatment not in bad] if bad else profile.dynamics),
        recirculations=measured(profile.recirculations),
        doses=measured(profile.doses),
        events=events,
    )
    case = Case(
        profile=trimmed,
        whole=profile,
        protocol=protocol,
        as_of=as_of,
        changed_on=changed_on,
        ended=any(one.what == "abandoned" for one in events),
    )
    if not case.not_by_two_needles:
        return case
    kept = replace(
        trimmed,
        ratios=tuple(one for one in trimmed.ratios if case.by_two_needles(one.at)),
        recirculations=tuple(one for one in trimmed.recirculations if case.by_two_needles(one.at)),
        # Another route explains a fall of Kt/V: it is not the access's own.
        doses=tuple(one for one in trimmed.doses if case.by_two_needles(one.at)),
    )
    return replace(case, profile=kept)


def _event_order(event: EventReading) -> tuple[date, str]:
    return event.on, event.id


def _ordered(series: Iterable[T]) -> tuple[T, ...]:
    return tuple(sorted(series, key=attrgetter("at", "id")))


def tail(series: Sequence[Found], *, observe: Callable[[Found], Observation]) -> tuple[Observation, ...]:
    """The observations from the newest back to the first that is not odd: all that a succession needs."""
    found: list[Observation] = []
    for reading in reversed(series):
        found.append(observe(reading))
        if not found[-1].odd:
            break
    return tuple(reversed(found))


def one_a_treatment(series: Iterable[T], *, treatment: Callable[[T], str]) -> tuple[T, ...]:
    """The last reading of each treatment, in order: after a repeat, the repeat counts."""
    last = {treatment(one): one for one in series}
    return _ordered(last.values())
