"""The weekly list: each access with a flag that stands, most urgent first, with its evidence and what was decided.

No access drops from it by itself: a flag leaves when a person or measurements close it, and it says which. What came
back from referrals is joined one layer up.
"""

import json
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Case, IntegerField, Max, Min, Q, Value, When

from access.accounts.models import Clinic
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile
from access.measures.words import URGENCIES
from access.records.history import in_force, patients_in_care, profiles
from access.records.history.describe import access_title, patient_card
from access.records.history.figures import spark
from access.records.models import VascularAccess
from access.records.problems import Invalid
from access.review.flags import BASES, STANDING, in_order, weight
from access.review.models import Decision, Flag
from access.review.shown import flag_row

PAGE = 20
# A chart of the list shows flows and ratios; line pressures stand in the evidence.
SERIES = frozenset({"flows", "ratios", "events"})
RATIOS_LOOKED_BACK = timedelta(days=365)


@dataclass(frozen=True, kw_only=True)
class Place:
    """Where a row stands in the list: its weight, since when, and the access."""

    weight: int
    since: datetime
    access: UUID

    def cursor(self) -> str:
        """The place as an opaque text."""
        plain = json.dumps([self.weight, self.since.isoformat(), str(self.access)])
        return urlsafe_b64encode(plain.encode()).decode()


def place_of(cursor: str) -> Place:
    """The place that a cursor names; refused when it is not one of ours."""
    try:
        weight, since, access = json.loads(urlsafe_b64decode(cursor.encode()))
        return Place(weight=int(weight), since=datetime.fromisoformat(since), access=UUID(access))
    except (ValueError, TypeError) as wrong:
        raise Invalid([("cursor", "This is not a place in the list. Open the list from its start.")]) from wrong


def week_of(day: date) -> date:
    """The Monday of a day's week, by which decisions are counted."""
    return day - timedelta(days=day.weekday())


def worklist(clinic: Clinic, *, as_of: datetime, cursor: str = "", size: int = PAGE) -> dict[str, Any]:
    """One page of the list: its week, its rows, and the cursor of the next page or None.

    The number of queries is the same for each page, however long the list is.
    """
    moment = as_of.astimezone(ZoneInfo(clinic.time_zone))
    places = _places(clinic, as_of=moment, after=place_of(cursor) if cursor else None, size=size + 1)
    shown = places[:size]
    protocol = in_force(clinic)
    return {
        "week": week_of(moment.date()).isoformat(),
        "limits_waiting": len(protocol.unconfirmed()),
        "rows": rows([place.access for place in shown], clinic=clinic, protocol=protocol, as_of=moment),
        "next": shown[-1].cursor() if len(places) > size else None,
    }


def rows(ids: Sequence[UUID], *, clinic: Clinic, protocol: Protocol, as_of: datetime) -> list[dict[str, Any]]:
    """The rows of these accesses, in the order given."""
    accesses = VascularAccess.objects.filter(pk__in=ids).select_related("patient").in_bulk()
    standing: dict[UUID, list[Flag]] = defaultdict(list)
    for flag in Flag.objects.filter(access__in=ids, state__in=STANDING):
        standing[flag.access_id].append(flag)
    decisions = last_decisions(ids)
    listed = [accesses[one] for one in ids]
    known = profiles(listed, as_of=as_of, series=SERIES, since=as_of - RATIOS_LOOKED_BACK)
    return [
        _row(
            access,
            flags=in_order(standing[access.pk]),
            decision=decisions.get(access.pk),
            profile=known[access.pk],
            protocol=protocol,
            as_of=as_of,
        )
        for access in listed
    ]


def _row(
    access: VascularAccess,
    *,
    flags: list[Flag],
    decision: Decision | None,
    profile: AccessProfile,
    protocol: Protocol,
    as_of: datetime,
) -> dict[str, Any]:
    first = flags[0]
    since = min(flag.first_seen_at for flag in flags)
    return {
        "access": access_title(access),
        "patient": patient_card(access.patient),
        "urgency": first.urgency,
        "time_in_words": first.finding["time_in_words"],
        "sentence": first.finding["sentence"],
        "flags": [flag_row(flag) for flag in flags],
        "weeks_open": max((as_of - since).days, 0) // 7,
        "chart": spark(profile, protocol=protocol, as_of=as_of, rule=first.rule),
        "last_decision": decision_row(decision) if decision else None,
        "check_again_on": check_again_on(decision),
        "referral": None,
    }


def last_decisions(ids: Sequence[UUID]) -> dict[UUID, Decision]:
    """The newest decision about each access, in one query."""
    newest: dict[UUID, Decision] = {}
    last = Decision.objects.filter(access__in=ids).values("access").annotate(at=Max("at"))
    wanted = {row["access"]: row["at"] for row in last}
    for row in Decision.objects.filter(access__in=ids, at__in=set(wanted.values())).select_related("reviewer"):
        if wanted[row.access_id] == row.at:
            newest.setdefault(row.access_id, row)
    return newest


def decision_row(decision: Decision) -> dict[str, Any]:
    """A decision as plain data, with who made it."""
    return {
        "id": str(decision.pk),
        "outcome": decision.outcome,
        "note": decision.note,
        "week": decision.week.isoformat(),
        "at": decision.at.isoformat(),
        "reviewer": decision.reviewer.full_name,
        "check_again_on": decision.check_again_on.isoformat() if decision.check_again_on else None,
    }


def check_again_on(decision: Decision | None) -> str | None:
    """The day to which a decision put the access off, while it is the last one."""
    day = decision.check_again_on if decision and decision.outcome == "check again" else None
    return day.isoformat() if day else None


def _places(clinic: Clinic, *, as_of: datetime, after: Place | None, size: int) -> list[Place]:
    """The accesses of the list in order, one query: heaviest flag first, then the longest standing."""
    ranks = [
        When(urgency=urgency, basis=basis, then=Value(weight(urgency, basis=basis)))
        for urgency in URGENCIES
        for basis in BASES
    ]
    flags = Flag.objects.filter(
        state__in=STANDING, patient__in=patients_in_care(clinic, at=as_of), access__made_in_error=False
    )
    grouped = (
        flags.order_by()
        .values("access")
        .annotate(weight=Max(Case(*ranks, default=Value(0), output_field=IntegerField())), since=Min("first_seen_at"))
    )
    if after is not None:
        same = Q(weight=after.weight)
        later = Q(since__gt=after.since) | Q(since=after.since, access__gt=after.access)
        grouped = grouped.filter(Q(weight__lt=after.weight) | (same & later))
    found = grouped.order_by("-weight", "since", "access")[:size]
    return [Place(weight=row["weight"], since=row["since"], access=row["access"]) for row in found]
