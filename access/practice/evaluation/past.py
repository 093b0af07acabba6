"""A clinic's own past: what the rules of today would have said before each thrombosis or intervention.

The rules see each access as it was recorded up to each moment, by the clinic's protocol of today. Records corrected
since are taken as they stand now. It writes nothing; it names accesses by the chart number, never by a name.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from access.accounts.models import Clinic
from access.measures.readings import AccessProfile, EventReading
from access.measures.succession import Timed
from access.measures.units import DAYS_A_YEAR
from access.measures.words import CHANGES_THE_VESSEL
from access.practice.evaluation.judge import As, Judge, by_the_rules
from access.practice.evaluation.program import RuleRate, Spoken, rates_of
from access.records.history import in_force, patients_in_care, profiles
from access.records.models import VascularAccess

BEFORE, A_WEEK = timedelta(days=180), timedelta(days=7)
EVENTS = (CHANGES_THE_VESSEL - {"ligation"}) | {"clotted"}
# Events so near to each other are one story: it clots, and is opened three days later (own choice).
ONE_STORY = timedelta(days=30)


@dataclass(frozen=True, kw_only=True)
class Story:
    """A thrombosis or intervention, or several near to each other, and what was told before.

    ``flags`` and ``questions`` hold for each rule how many days before the first event it was first told so within the
    180 days before, or since the story before it; ``weeks`` how often the access was judged in that time.
    """

    chart_number: str
    access: str
    on: date
    what: tuple[str, ...]
    weeks: int
    flags: dict[str, int]
    questions: dict[str, int]


@dataclass(frozen=True, kw_only=True)
class Past:
    """What would have been told in a clinic: before each event, and where there was none.

    ``quiet`` is how many accesses had no event, ``quiet_years`` how long they were watched, ``rules`` the rates of the
    rules that judge numbers among them.
    """

    clinic: str
    protocol: str
    stories: tuple[Story, ...]
    quiet: int
    quiet_years: float
    rules: tuple[RuleRate, ...]


def past(clinic: Clinic, *, as_of: datetime, say: Callable[[str], None] = lambda _: None) -> Past:
    """What the rules would have told of each access that a clinic cares for.

    Parameters
    ----------
    clinic : Clinic
    as_of : datetime
        Where the past ends, with its zone.
    say : callable
        Is told how far it is.
    """
    now, protocol = as_of.astimezone(ZoneInfo(clinic.time_zone)), in_force(clinic)
    cared = VascularAccess.objects.filter(patient__in=patients_in_care(clinic, at=now), made_in_error=False)
    accesses = list(cared.select_related("patient").order_by("patient__chart_number", "pk"))
    known, judge = profiles(accesses, as_of=now), by_the_rules(protocol)
    stories: list[Story] = []
    quiet: list[tuple[AccessProfile, Spoken]] = []
    for count, access in enumerate(accesses):
        if count % 10 == 0:
            say(f"Looking back: access {count + 1} of {len(accesses)} ...")
        profile = known[access.pk]
        told = list(
            _stories(profile, chart_number=access.patient.chart_number, title=str(access), judge=judge, now=now)
        )
        stories += told
        if not told and (weeks := _weeks(profile, now=now)):
            quiet.append((profile, _spoken(profile, at=weeks, judge=judge)))
    years = sum(one.years[-1] - one.years[0] + A_WEEK.days / DAYS_A_YEAR for _, one in quiet)
    return Past(
        clinic=clinic.name,
        protocol=protocol.name,
        stories=tuple(sorted(stories, key=lambda one: (one.on, one.chart_number))),
        quiet=len(quiet),
        quiet_years=years,
        rules=rates_of([one for _, one in quiet], days=years * DAYS_A_YEAR) if quiet else (),
    )


def _stories(profile: AccessProfile, *, chart_number: str, title: str, judge: Judge, now: datetime) -> Iterator[Story]:
    after: date | None = None
    for events in _together(profile, now=now):
        first, last = events[0].on, events[-1].on
        begin = first - BEFORE if after is None else max(first - BEFORE, after)
        # The evening before: what was seen on the day itself may have come after.
        eve = datetime.combine(first, time.min, tzinfo=now.tzinfo) - timedelta(minutes=1)
        weeks = _back(eve, until=datetime.combine(begin, time.min, tzinfo=now.tzinfo))
        read = [at for at in weeks if _anything(profile, by=at)]
        spoken = _spoken(profile, at=read, judge=judge)
        yield Story(
            chart_number=chart_number,
            access=title,
            on=first,
            what=tuple(dict.fromkeys(one.what for one in events)),
            weeks=len(read),
            flags=_earliest(spoken, at=read, told_as="flag", on=first),
            questions=_earliest(spoken, at=read, told_as="question", on=first),
        )
        after = last


def _together(profile: AccessProfile, *, now: datetime) -> Iterator[Sequence[EventReading]]:
    """The events of a vessel, those near to each other together."""
    chosen = sorted(
        (one for one in profile.events if one.what in EVENTS and one.on <= now.date()), key=lambda one: (one.on, one.id)
    )
    story: list[EventReading] = []
    for one in chosen:
        if story and one.on - story[-1].on > ONE_STORY:
            yield story
            story = []
        story.append(one)
    if story:
        yield story


def _back(end: datetime, *, until: datetime) -> list[datetime]:
    """Weekly moments that end at ``end``, the earliest first."""
    weeks = int((end - until) / A_WEEK)
    return [end - number * A_WEEK for number in reversed(range(weeks + 1))]


def _weeks(profile: AccessProfile, *, now: datetime) -> list[datetime]:
    """Each week from the first reading on, until now or until the access was abandoned."""
    times = [one.at for one in _readings(profile)]
    ended = [datetime.combine(one.on, time.min, tzinfo=now.tzinfo) for one in profile.events if one.what == "abandoned"]
    end = min([now, *ended])
    return _back(end, until=min(times)) if times and min(times) < end else []


def _readings(profile: AccessProfile) -> Iterator[Timed]:
    for name in ("treatments", "examinations", "flows", "ratios", "dynamics", "recirculations", "doses"):
        yield from getattr(profile, name)


def _anything(profile: AccessProfile, *, by: datetime) -> bool:
    """Whether anything was known of the access by then."""
    return any(one.at <= by for one in _readings(profile))


def _spoken(profile: AccessProfile, *, at: Sequence[datetime], judge: Judge) -> Spoken:
    begin = at[0] if at else None
    years = [(one - begin).total_seconds() / 86400 / DAYS_A_YEAR for one in at if begin]
    return Spoken(years=years, told=[judge(profile, one) for one in at])


def _earliest(spoken: Spoken, *, at: Sequence[datetime], told_as: As, on: date) -> dict[str, int]:
    """For each rule, how many days before a day it was first told."""
    found: dict[str, int] = {}
    for moment, told in zip(at, spoken.told, strict=True):
        for one in told:
            if one.told_as == told_as:
                found.setdefault(one.rule, (on - moment.date()).days)
    return found
