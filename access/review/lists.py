"""Beside the weekly list: what is overdue, and what cannot be judged for lack of data.

Both count what was recorded and judge nothing. Only accesses in use are looked at, since nothing is planned at others.
"""

from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from access.accounts.models import Clinic
from access.measures.protocol import Protocol
from access.records.history import in_force, patients_in_care
from access.records.history.describe import access_title, patient_card
from access.records.history.due import Due, LastOn, due, last_measured, planned
from access.records.models import VascularAccess

# Own choice: a week late is a shift missed, not yet forgotten.
GRACE_DAYS = 7
MOST_ROWS = 200
# Without any of these the numbers say nothing about the access, whatever was recorded otherwise.
TELLING = ("flow", "static", "recirculation")
NO_EXAMINATION_DAYS = 14


def overdue(clinic: Clinic, *, as_of: datetime) -> list[dict[str, Any]]:
    """The accesses at which something planned is more than a week late, the latest first."""
    day, accesses, protocol = _looked_at(clinic, as_of=as_of)
    last = last_measured(accesses, clinic=clinic, as_of=as_of)
    rows = []
    for access in accesses:
        late = due(access, last=last[access.pk], protocol=protocol, day=day, grace_days=GRACE_DAYS)
        if late:
            rows.append((max(_days_late(one) for one in late), access, late))
    rows.sort(key=lambda row: (-row[0], row[1].patient.name, str(row[1].pk)))
    return [
        {
            "access": access_title(access),
            "patient": patient_card(access.patient),
            "what": [one.words(day=day) for one in late],
            "days_late": days if days < _NEVER else None,
        }
        for days, access, late in rows[:MOST_ROWS]
    ]


_NEVER = 10_000


def _days_late(one: Due) -> int:
    return _NEVER if one.days_since is None else one.days_since - round(one.every_days)


def cannot_judge(clinic: Clinic, *, as_of: datetime) -> list[dict[str, Any]]:
    """The accesses in use about which the record says too little, each with what is missing in words."""
    day, accesses, protocol = _looked_at(clinic, as_of=as_of)
    last = last_measured(accesses, clinic=clinic, as_of=as_of)
    rows = [
        {"access": access_title(access), "patient": patient_card(access.patient), "missing": missing}
        for access in accesses
        if (missing := _missing(access, last=last[access.pk], protocol=protocol, day=day))
    ]
    return rows[:MOST_ROWS]


def _missing(access: VascularAccess, *, last: LastOn, protocol: Protocol, day: date) -> list[str]:
    found = []
    examined = last["examination"]
    if examined is None or (day - examined).days > NO_EXAMINATION_DAYS:
        found.append(f"no examination in the last {NO_EXAMINATION_DAYS} days")
    wanted = [name for name in TELLING if name in planned(access, protocol=protocol)]
    recent = [name for name in wanted if (on := last[name]) is not None and (day - on).days <= protocol.gap_days(name)]
    if wanted and not recent:
        found.append("no measurement recent enough to be put beside another")
    return found


def _looked_at(clinic: Clinic, *, as_of: datetime) -> tuple[date, list[VascularAccess], Protocol]:
    in_care: QuerySet[VascularAccess] = VascularAccess.objects.filter(
        patient__in=patients_in_care(clinic, at=as_of), made_in_error=False, status="in use"
    )
    day = as_of.astimezone(ZoneInfo(clinic.time_zone)).date()
    return day, list(in_care.select_related("patient").order_by("patient__name", "pk")), in_force(clinic)
