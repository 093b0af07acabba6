"""What really went on at each treatment: the model solved for all treatments of all people at once.

Blood pressure, hematocrit and the narrowings of the day go in, flows and pressures come out, without any error of
measurement. What a nurse reads and writes of it is in ``sheet`` and ``measured``.
"""

from collections.abc import Sequence
from dataclasses import dataclass, is_dataclass, replace
from datetime import UTC, date, datetime, timedelta
from typing import Any, TypeVar

import numpy as np

from access.measures.circuit import HEALTHY, Access, Conditions, Needle, Solution, arterial_needle, solve, venous_needle
from access.measures.words import Route
from access.practice import chance
from access.practice.accesses import FIRST_DAY, Truth, value_at
from access.practice.calendar import Calendar
from access.practice.chance import Days, Values
from access.practice.people import Person
from access.practice.stories import truth_of

Piece = TypeVar("Piece")
STANDARD_ML_MIN = 200.0  # The speed of the standardized dynamic venous pressure.
LONGEST_SLOT_MINUTES = 30
# Chambers above the access, in cm; each station has its own, measured once.
HEIGHTS_CM = (12, 20)


@dataclass(frozen=True, kw_only=True)
class Course:
    """The treatments of one person, as they were; arrays hold one value a treatment."""

    person: Person
    truth: Truth
    seed: int
    days: Days  # From the story day on; negative before.
    ordinals: Days  # -1 is the last treatment before the story moment.
    clinic_days: tuple[date, ...]
    starts: tuple[datetime, ...]
    places: tuple[str, ...]
    routes: tuple[Route, ...]
    hours: float
    mean_arterial_mmhg: Values
    hematocrit_fraction: Values
    access: Access
    conditions: Conditions
    standard: Solution  # At 200 mL/min.
    running: Solution  # At the prescribed speed.

    def numbers(self, *what: object) -> Values:
        """Standard normal numbers of their own, one a treatment."""
        return chance.normals(self.days - FIRST_DAY, self.seed, self.person.name, *what)

    def shares(self, *what: object) -> Values:
        """Numbers between 0 and 1 of their own, one a treatment."""
        return chance.uniforms(self.days - FIRST_DAY, self.seed, self.person.name, *what)


def height_cm(place: str, *, station: int, seed: int) -> float:
    """The height of both chambers of a station above the access, whole cm."""
    return float(round(chance.between(*HEIGHTS_CM, seed, place, station, "height")))


def hours_of(person: Person, *, seed: int) -> float:
    """How long a person's treatments last, in hours."""
    return (3.5, 4.0, 4.0, 4.25)[int(chance.between(0, 4, seed, person.name, "hours"))]


def courses(people: Sequence[Person], *, calendar: Calendar, seed: int) -> list[Course]:
    """The courses of these people up to the calendar's moment, by one run of the model."""
    drafts = [_draft(person, calendar=calendar, seed=seed) for person in people]
    access, conditions = _joined([one.access for one in drafts]), _joined([one.conditions for one in drafts])
    standard = solve(access, conditions=replace(conditions, pump_ml_min=STANDARD_ML_MIN))
    running = solve(access, conditions=conditions)
    found, start = [], 0
    for one in drafts:
        end = start + len(one.days)
        found.append(replace(one, standard=_part(standard, start, end), running=_part(running, start, end)))
        start = end
    return found


def _draft(person: Person, *, calendar: Calendar, seed: int) -> Course:
    """A person's treatments before the model is solved."""
    truth = truth_of(person, seed=seed)
    before = len(calendar.days_of(person, since=truth.joined, moment=calendar.story_moment))
    days = calendar.days_of(person, since=truth.joined, moment=calendar.as_of)
    ordinals = np.arange(len(days)) - before
    since_opening = days - FIRST_DAY

    def normal(what: str) -> Values:
        return chance.normals(since_opening, seed, person.name, what)

    slots = LONGEST_SLOT_MINUTES * chance.uniforms(since_opening, seed, person.name, "slot")
    clinic_days = tuple(calendar.date_of(int(day), place=person.clinic) for day in days)
    starts = tuple(
        # In UTC, since adding hours to a local time would pass over the night on which the clocks change.
        calendar.hours_of(person.shift, day=day, place=person.clinic)[0].astimezone(UTC) + timedelta(minutes=int(slot))
        for day, slot in zip(clinic_days, slots, strict=True)
    )
    places = tuple(
        "ostermere" if truth.moved_on is not None and day < truth.moved_on else person.clinic for day in days
    )
    mean = chance.between(86, 102, seed, person.name, "pressure") + 5 * normal("pressure")
    hematocrit = chance.between(0.31, 0.36, seed, person.name, "hematocrit") + 0.012 * normal("hematocrit")
    mean, hematocrit = np.clip(mean, 76, 125), np.clip(hematocrit, 0.24, 0.42)
    access = _access(truth, days=days.astype(float))
    conditions = _conditions(person, truth, places=places, seed=seed, mean=mean, hematocrit=hematocrit)
    empty = Solution(**dict.fromkeys(Solution.__dataclass_fields__, np.empty(0)))
    return Course(
        person=person,
        truth=truth,
        seed=seed,
        days=days,
        ordinals=ordinals,
        clinic_days=clinic_days,
        starts=starts,
        places=places,
        routes=_routes(truth, ordinals=ordinals, skipped=chance.uniforms(since_opening, seed, person.name, "skipped")),
        hours=hours_of(person, seed=seed),
        mean_arterial_mmhg=mean,
        hematocrit_fraction=hematocrit,
        access=access,
        conditions=conditions,
        standard=empty,
        running=empty,
    )


def _routes(truth: Truth, *, ordinals: Days, skipped: Values) -> tuple[Route, ...]:
    """The route of each treatment; one in two hundred does not take place, but none that a story tells of."""
    planned = [value_at(truth.routes, ordinal=int(one), otherwise="two needles") for one in ordinals]
    return tuple(
        "not dialysed" if share < 0.005 and not -12 < ordinal < 1 else route
        for route, share, ordinal in zip(planned, skipped, ordinals, strict=True)
    )


def _access(truth: Truth, *, days: Values) -> Access:
    """The model's access of this kind, made larger or smaller, with the narrowings of each day.

    Resistances over the size (the quadratic one over its square) change the flow and leave the pressures as they are.
    """
    base, wide = HEALTHY[truth.kind], np.ones_like(days)
    return Access(
        inflow_linear=np.asarray(base.inflow_linear) / truth.size * wide,
        inflow_quadratic=np.asarray(base.inflow_quadratic) / truth.size**2 * wide,
        middle_linear=np.asarray(base.middle_linear) / truth.size * wide,
        outflow_linear=np.asarray(base.outflow_linear) / truth.size * wide,
        inflow_bore_mm=np.asarray(base.inflow_bore_mm) * wide,
        middle_bore_mm=np.asarray(base.middle_bore_mm) * wide,
        outflow_bore_mm=np.asarray(base.outflow_bore_mm) * wide,
        inflow_percent=truth.narrowing("inflow", days),
        middle_percent=truth.narrowing("middle", days),
        outflow_percent=truth.narrowing("outflow", days),
        narrowing_length_mm=10.0 * wide,
    )


def _conditions(
    person: Person, truth: Truth, *, places: tuple[str, ...], seed: int, mean: Values, hematocrit: Values
) -> Conditions:
    wide = np.ones_like(mean)
    gauges = np.full(len(places), truth.gauge)
    heights = [height_cm(place, station=person.station, seed=seed) for place in places]
    return Conditions(
        mean_arterial_mmhg=mean,
        central_venous_mmhg=8.0 * wide,
        hematocrit_fraction=hematocrit,
        pump_ml_min=truth.pump_ml_min * wide,
        arterial=_spread(arterial_needle(gauges), wide),
        venous=_spread(venous_needle(gauges), wide),
        chamber_height_cm=np.asarray(heights, dtype=float),
        lines_reversed=np.zeros(len(places), dtype=bool),
    )


def _spread(needle: Needle, wide: Values) -> Needle:
    return replace(needle, loss=np.asarray(needle.loss) * wide)


def _joined(parts: Sequence[Piece]) -> Piece:
    """Dataclasses of arrays, one behind the other."""
    names = parts[0].__dataclass_fields__  # type: ignore[attr-defined]
    return type(parts[0])(**{name: _one([getattr(part, name) for part in parts]) for name in names})


def _one(values: list[Any]) -> Any:
    return _joined(values) if is_dataclass(values[0]) else np.concatenate(values)


def _part(solution: Solution, start: int, end: int) -> Solution:
    return Solution(**{name: getattr(solution, name)[start:end] for name in Solution.__dataclass_fields__})
