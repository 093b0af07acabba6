"""Lists of people: the patients of a clinic, what tests of one wait, who is handed over; and which shift runs now.

Every list is bounded and paged by its own order; a place in it is the last row's name, birth date and id.
"""

import json
from base64 import urlsafe_b64decode, urlsafe_b64encode
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q

from access.accounts.models import Clinic, User
from access.records.history.describe import access_title, patient_card
from access.records.history.visible import patients_visible_to, sight_of
from access.records.models import CareMove, DoseResult, FlowMeasurement, Patient, RecirculationTest, VascularAccess
from access.records.problems import Invalid

PAGE = 50
MOST, SHOWN = 30, 12


def patients(user: User, *, clinic: Clinic, search: str, cursor: str, at: datetime) -> dict[str, Any]:
    """One page of the visible patients by name; the search looks in names and chart numbers."""
    rows = patients_visible_to(user, clinic=clinic, at=at)
    if wanted := search.strip()[:120].replace("\0", ""):
        rows = rows.filter(Q(name__icontains=wanted) | Q(chart_number__istartswith=wanted))
    if cursor:
        rows = rows.filter(_after(cursor))
    listed = list(rows.order_by("name", "birth_date", "id")[: PAGE + 1])
    following = _place(listed[PAGE - 1]) if len(listed) > PAGE else None
    return {"rows": [patient_card(one) for one in listed[:PAGE]], "next": following}


def _place(last: Patient) -> str:
    return urlsafe_b64encode(json.dumps([last.name, last.birth_date.isoformat(), str(last.pk)]).encode()).decode()


def _after(cursor: str) -> Q:
    try:
        name, born, key = json.loads(urlsafe_b64decode(cursor.encode()))
        born, key = date.fromisoformat(born), UUID(key)
    except (ValueError, TypeError) as wrong:
        raise Invalid([("cursor", "This is not a place in the list. Open the list from its start.")]) from wrong
    same = Q(name=str(name))
    return Q(name__gt=str(name)) | (same & Q(birth_date__gt=born)) | (same & Q(birth_date=born, id__gt=key))


def patient_tests(patient: Patient, *, clinic: Clinic, at: datetime) -> dict[str, Any]:
    """The tests of a patient: what still waits for the laboratory, and what was found last."""
    seen = sight_of(patient, clinic=clinic, at=at).observed()
    tests = [
        *map(_recirculation, RecirculationTest.objects.filter(seen, patient=patient, made_in_error=False)[:MOST]),
        *map(_flow, FlowMeasurement.objects.filter(seen, patient=patient, made_in_error=False)[:MOST]),
        *map(_dose, DoseResult.objects.filter(seen, patient=patient, made_in_error=False)[:MOST]),
    ]
    tests.sort(key=lambda one: one["measured_at"], reverse=True)
    accesses = VascularAccess.objects.filter(patient=patient, made_in_error=False).exclude(status="abandoned")
    return {
        "patient": patient_card(patient),
        "accesses": [access_title(one) for one in accesses.order_by("created_on", "id")],
        "waiting": [_without_state(one) for one in tests if one["waits"]],
        "recent": [_without_state(one) for one in tests if not one["waits"]][:SHOWN],
    }


def _without_state(test: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in test.items() if name != "waits"}


def _test(record: Any, subject: str, text: str, *, waits: bool) -> dict[str, Any]:
    return {
        "subject": subject,
        "id": str(record.pk),
        "measured_at": record.measured_at.isoformat(),
        "text": text,
        "waits": waits,
    }


def _recirculation(record: RecirculationTest) -> dict[str, Any]:
    waits = bool(record.result.get("waiting"))
    said = record.result.get("method") or record.result.get("text", "")
    text = "waits for the laboratory" if waits else said
    return _test(record, "recirculation", text, waits=waits)


def _flow(record: FlowMeasurement) -> dict[str, Any]:
    waits = record.flow_ml_min is None
    said = "waits for the laboratory" if record.flow_ml_min is None else f"{record.flow_ml_min:.0f} mL/min"
    return _test(record, "flow", f"{said} ({record.method})", waits=waits)


def _dose(record: DoseResult) -> dict[str, Any]:
    return _test(record, "dose", f"Kt/V {record.kt_v:.2f}, URR {record.reduction_percent:.0f} %", waits=False)


def moves(clinic: Clinic) -> list[dict[str, Any]]:
    """Who is handed over from or to a clinic, newest first."""
    rows = CareMove.objects.filter(Q(from_clinic=clinic) | Q(to_clinic=clinic))
    return [move(one) for one in rows.select_related("patient", "from_clinic", "to_clinic")[:PAGE]]


def move(row: CareMove) -> dict[str, Any]:
    """One handing-over as plain data."""
    return {
        "id": str(row.pk),
        "patient": patient_card(row.patient),
        "from_clinic": row.from_clinic.name,
        "to_clinic": row.to_clinic.name,
        "sent_at": row.sent_at.isoformat(),
        "accepted_at": row.accepted_at.isoformat() if row.accepted_at else None,
    }


def shift_at(clinic: Clinic, *, at: datetime) -> tuple[date, str]:
    """The clinic day and the shift that runs at a moment, else the next one to begin.

    A night shift belongs whole to the day on which it begins.
    """
    local = at.astimezone(ZoneInfo(clinic.time_zone))
    spans = [
        (*_span(shift, day=local.date() + timedelta(days=days), zone=clinic.time_zone), shift["name"])
        for days in (-1, 0, 1)
        for shift in clinic.shifts
    ]
    spans.sort(key=lambda one: one[0])
    for begins, ends, name in spans:
        if local < ends:
            return begins.date(), name
    return local.date(), ""


def _span(shift: dict[str, str], *, day: date, zone: str) -> tuple[datetime, datetime]:
    begins = datetime.combine(day, time.fromisoformat(shift["starts"]), tzinfo=ZoneInfo(zone))
    ends = datetime.combine(day, time.fromisoformat(shift["ends"]), tzinfo=ZoneInfo(zone))
    return begins, ends if ends > begins else ends + timedelta(days=1)
