"""What is due at an access, and what to mind at it, as Today and the weekly list say it in a few words.

Due follows the planned intervals of the protocol in force and is asked only where that protocol has a limit for it;
it is a reminder, no order.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import Max, Q

from access.accounts.models import Clinic
from access.measures.protocol import Protocol, pattern_limits
from access.records.history.describe import day_in_words, local_day, stretch
from access.records.history.measured import BY_TWO_NEEDLES, SOUND
from access.records.history.rows import WITH_STATIC
from access.records.models import (
    DoseResult,
    Examination,
    FlowMeasurement,
    Hold,
    Reading,
    RecirculationTest,
    VascularAccess,
    Zone,
)

NAMES = {"flow": "flow", "static": "static pressure", "recirculation": "recirculation test", "dose": "dose"}
# What hangs on a treatment longer ago than this is no reminder any more: "none recorded yet".
LOOKED_BACK = timedelta(days=180)
NEW_FOR_DAYS = 28
LastOn = Mapping[str, date | None]


@dataclass(frozen=True, kw_only=True)
class Due:
    """One planned quantity that is due; both ``None`` where it was never measured."""

    name: str
    last_on: date | None
    days_since: int | None
    every_days: float

    def words(self, *, day: date) -> str:
        """``flow: last on 2 Oct``."""
        last = "none recorded yet" if self.last_on is None else f"last on {day_in_words(self.last_on, as_of=day)}"
        return f"{NAMES[self.name]}: {last}"


def last_measured(
    accesses: Iterable[VascularAccess], *, clinic: Clinic, as_of: datetime
) -> dict[UUID, dict[str, date | None]]:
    """The day on which each planned quantity, and the examination, was last recorded; five queries for all.

    What the rules leave out does not count: no value, a draw that was not valid or not by two needles, and what hangs
    on a treatment made in error or possibly entered twice.
    """
    listed = list(accesses)
    ids, since = [one.pk for one in listed], as_of - LOOKED_BACK
    sound = {"made_in_error": False, "measured_at__lte": as_of}
    found: dict[str, dict[UUID, datetime]] = defaultdict(dict)
    tests = RecirculationTest.objects.filter(SOUND, BY_TWO_NEEDLES, access__in=ids, **sound)
    known = {"result__valid": True, "result__percent__isnull": False}
    for name, rows in (
        ("flow", FlowMeasurement.objects.filter(SOUND, access__in=ids, flow_ml_min__isnull=False, **sound)),
        ("recirculation", tests.filter(~Q(result__percent=None), **known)),
        ("examination", Examination.objects.filter(access__in=ids, **sound)),
    ):
        for access, at in rows.order_by().values_list("access").annotate(Max("measured_at")):
            found[name][access] = at
    static = Reading.objects.filter(WITH_STATIC, treatment__needles__access__in=ids, treatment__made_in_error=False)
    static = static.filter(measured_at__lte=as_of, treatment__measured_at__gte=since)
    for access, at in static.order_by().values_list("treatment__needles__access").annotate(Max("measured_at")):
        found["static"][access] = at
    doses = DoseResult.objects.filter(SOUND, patient__in={one.patient_id for one in listed}, **sound)
    by_patient = dict(doses.order_by().values_list("patient").annotate(Max("measured_at")))
    found["dose"] = {one.pk: by_patient[one.patient_id] for one in listed if one.patient_id in by_patient}
    names = (*NAMES, "examination")
    return {key: {name: _day(found[name].get(key), clinic=clinic) for name in names} for key in ids}


def _day(at: datetime | None, *, clinic: Clinic) -> date | None:
    return None if at is None else local_day(at, clinic=clinic)


def planned(access: VascularAccess, *, protocol: Protocol) -> frozenset[str]:
    """The quantities that this protocol has measured at such an access; none while it is not in use."""
    if access.status != "in use":
        return frozenset()
    kind = access.kind
    wanted = {
        "flow": f"flow.below.{kind}" in protocol.limits,
        "static": pattern_limits(protocol, kind="graft" if kind == "graft" else "fistula") is not None,
        # For fistulas, not grafts, in surveillance: KDOQI 2006, recommendation 4.
        "recirculation": kind == "fistula" and "recirculation.above.fistula" in protocol.limits,
        "dose": True,
    }
    return frozenset(name for name, is_planned in wanted.items() if is_planned)


def due(access: VascularAccess, *, last: LastOn, protocol: Protocol, day: date, grace_days: int = 0) -> list[Due]:
    """The planned quantities whose interval is over by this day, and by ``grace_days`` more."""
    found = []
    for name in sorted(planned(access, protocol=protocol), key=list(NAMES).index):
        on = last[name]
        since = None if on is None else (day - on).days
        every = protocol.intervals_days[name]
        if since is None or since >= every + grace_days:
            found.append(Due(name=name, last_on=on, days_since=since, every_days=every))
    return found


def mind(access: VascularAccess, *, zones: Sequence[Zone], holds: Iterable[Hold], day: date) -> list[str]:
    """What to mind, each in words: ``keep off 6-8 cm: bulge``."""
    found = [f"not to be needled since {day_in_words(one.since, as_of=day)}: {one.why}" for one in holds]
    if access.status != "in use":
        found.append(f"access is {access.status}")
    elif access.first_needled_on is not None and (day - access.first_needled_on).days < NEW_FOR_DAYS:
        found.append(f"new access: first needled on {day_in_words(access.first_needled_on, as_of=day)}")
    ordered = sorted(zones, key=lambda zone: (zone.action != "keep off", zone.from_cm))
    return [*found, *(f"{zone.action} {stretch(zone.from_cm, zone.to_cm)}: {zone.why}" for zone in ordered)]
