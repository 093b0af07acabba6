"""A pressure ratio of one access against its own baseline, as the rules of outlet and inflow see it.

The series, the score and the cut are computed in ``pressure_series``, ``departure`` and ``operating``; here they become
observations and words. Which ratio speaks for a quantity is for its rule.
"""

from dataclasses import dataclass, replace
from typing import Literal

from access.measures import operating
from access.measures.departure import RISES, Departure, departure_of
from access.measures.findings import Finding
from access.measures.pressure_baseline import Baseline
from access.measures.pressure_series import PressureSeries, Quantity, Row
from access.measures.protocol import Limit
from access.measures.rules.case import Case, tail
from access.measures.rules.measurement import EVIDENCE, Weight, finding
from access.measures.rules.say import day, percent
from access.measures.succession import Observation, in_succession

SOURCE = "simulation"
A_WEEK = 3  # Treatments after which the week of a row is over, before the next one has begun.
CIRCUIT = (
    "Rule out the circuit first: kink, clamp, needle against the wall, wet filter, clot. "
    "A new lot of needles or lines moves it too."
)
NAMES: dict[Quantity, str] = {
    "static ratio": "Static ratio at the venous needle",
    "derived static ratio": "Derived static ratio (weekly median)",
    "inflow ratio": "Inflow ratio (weekly median)",
}
Succession = Literal["static", "week"]


@dataclass(frozen=True, kw_only=True)
class Seen:
    """What was known at one row: P(left its baseline), whether it is asked about, and the level it came after."""

    score: float
    asked: bool
    before: float


@dataclass(frozen=True, kw_only=True)
class Watch:
    """A ratio since the vessel was changed, against its baseline; ``run``: the rows at the end that have left it."""

    found: PressureSeries
    baseline: Baseline
    newest: Seen
    run: tuple[Observation, ...]
    needed: int
    recent: bool
    standing: bool  # Its baseline is made, and no longer takes in what is held against it next.

    @property
    def speaks(self) -> bool:
        """Whether it may speak for its quantity: lately measured against a baseline that stands, or with a run."""
        return bool(self.run) or (self.recent and self.standing)

    @property
    def met(self) -> bool:
        """Whether it was seen as often as its rule needs."""
        return len(self.run) >= self.needed


def watch(case: Case, found: PressureSeries, *, recent_days: float) -> Watch | None:
    """A ratio under watch, or None where nothing was measured since the vessel was changed or no baseline is usual."""
    numbers = [number for number, row in enumerate(found.rows) if _counts(row, found=found, case=case)]
    if not numbers or found.baseline is None or not found.baseline.usual:
        return None
    departed = departure_of(found)
    seen = [
        Seen(score=score, asked=asked, before=before)
        for score, asked, before in zip(
            departed.score.tolist(), departed.asked.tolist(), departed.before.tolist(), strict=True
        )
    ]
    at_the_end = tail(numbers, observe=lambda one: _observation(found.rows[one], found=found, seen=seen[one]))
    succession: Succession = "static" if found.quantity == "static ratio" else "week"
    return Watch(
        found=found,
        baseline=found.baseline,
        newest=seen[numbers[-1]],
        run=in_succession(at_the_end, gap_days=case.protocol.gap_days(succession)),
        needed=case.needed(succession),
        standing=_stands(found),
        recent=(case.as_of.date() - at_the_end[-1].at.date()).days <= recent_days,
    )


def departure_found(
    case: Case, seen: Watch, *, rule: str, limit: Limit | None, speaks: bool, ask: str, missing: tuple[str, ...] = ()
) -> Finding | None:
    """The finding of a ratio that has left its baseline; without a limit of the protocol it is evidence only."""
    if not seen.run:
        return None
    said = finding(
        case,
        rule=rule,
        limits=[limit or _no_limit(case)],
        run=seen.run,
        needed=seen.needed,
        sentence=_sentence(seen),
        weight=Weight(speaks=speaks and limit is not None, may_refer=True),
        ask=ask,
        missing=(*seen.found.notes, *missing),
    )
    return replace(said, source=SOURCE, source_says=_source_says(seen))


def _no_limit(case: Case) -> Limit:
    """What stands in for a limit that the protocol does not hold: then it raises nothing."""
    return replace(case.protocol.limits["flow.high"], says=EVIDENCE, confirmed=True)


def _stands(found: PressureSeries) -> bool:
    """Whether the newest row was no part of the baseline: until then a quick rise would pass for the usual level."""
    held, now = found.baselines[-1], found.baseline
    return held is not None and now is not None and held.count == now.count


def _counts(row: Row, *, found: PressureSeries, case: Case) -> bool:
    """Whether a row belongs to the vessel as it is now, and its week is over."""
    if case.changed_on is not None and row.at.date() <= case.changed_on:
        return False
    over = found.quantity == "static ratio" or len(row.treatments) >= A_WEEK
    return over or row.at.isocalendar()[:2] < case.as_of.isocalendar()[:2]


def _observation(row: Row, *, found: PressureSeries, seen: Seen) -> Observation:
    likely, text = seen.score >= operating.ratio_cut(found.quantity).value, _row_said(row, found=found)
    if likely:
        text = f"{text}; {_likely(seen.score, quantity=found.quantity)}"
    elif seen.asked:
        text = f"{text}; {_far_off(seen, quantity=found.quantity)}"
    return Observation(id=row.treatments[-1].id, at=row.at, odd=likely or seen.asked, text=text, value=row.ratio)


def _row_said(row: Row, *, found: PressureSeries) -> str:
    if found.quantity == "static ratio":
        return f"{day(row.at)}: static ratio {row.ratio:.2f} ({found.how})"
    last, count = row.treatments[-1], len(row.treatments)
    of = f"median of {count} treatments" if count > 1 else "1 treatment"
    at = f"{last.gauge}G and {last.pump_ml_min:.0f} mL/min"
    return f"week to {day(row.at)}: {found.quantity} {row.ratio:.2f}, {of} at {at}"


def _likely(score: float, *, quantity: Quantity) -> str:
    return f"{percent(score)} likely {'risen' if RISES[quantity] else 'fallen'} by more than {Departure().by:.2f}"


def _far_off(seen: Seen, *, quantity: Quantity) -> str:
    return f"far {'above' if RISES[quantity] else 'below'} its level of {seen.before:.2f}"


def _sentence(seen: Watch) -> str:
    quantity, since = seen.found.quantity, seen.baseline.note.removeprefix("usual ")
    usual = f"usual {seen.baseline.level:.2f} ({since})"
    if seen.newest.score >= operating.ratio_cut(quantity).value:
        last = seen.run[-1].value
        # A newest reading that lies on the usual side is said: it is not what has moved, the level is.
        within = last <= seen.baseline.level if RISES[quantity] else last >= seen.baseline.level
        what = f"{NAMES[quantity]} {last:.2f} when last read, and yet" if within else NAMES[quantity]
        return f"{what} {_likely(seen.newest.score, quantity=quantity)} from its {usual}"
    sudden = f"a wrong value or a sudden {'rise' if RISES[quantity] else 'fall'}"
    far_off = _far_off(seen.newest, quantity=quantity)
    return f"{NAMES[quantity]} {seen.run[-1].value:.2f}, {far_off}, {usual}: {sudden}"


def _source_says(seen: Watch) -> str:
    cut = operating.ratio_cut(seen.found.quantity)
    rate = f"about {cut.false_a_year:.2f} false flags an access-year, in simulation, no patient data."
    by = "" if seen.found.quantity == "static ratio" else f" Needle and tubing {seen.found.how}."
    return f"Asked from {percent(cut.value)} likely on: {rate}{by} (own choice or simulation)"
