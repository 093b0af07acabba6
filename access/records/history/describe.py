"""Patients, accesses and days in the few words that every list and page shares. It reads no table."""

from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from access.accounts.models import Clinic
from access.measures.band import MONTHS
from access.records.models import Patient, VascularAccess


def title(access: VascularAccess) -> str:
    """Side and kind of an access in words: ``left forearm loop graft``, ``right radiocephalic fistula``."""
    if "graft" in access.configuration:
        return f"{access.side} {access.configuration}"
    kind = access.kind if access.configuration == "other" else f"{access.configuration} {access.kind}"
    return f"{access.side} {kind}"


def access_title(access: VascularAccess) -> dict[str, Any]:
    """An access as lists name it."""
    return {
        "id": str(access.pk),
        "title": title(access),
        "kind": access.kind,
        "configuration": access.configuration,
        "side": access.side,
        "status": access.status,
    }


def patient_card(patient: Patient) -> dict[str, Any]:
    """Who a patient is, by two identifiers, and what to mind at the chair."""
    return {
        "id": str(patient.pk),
        "name": patient.name,
        "birth_date": patient.birth_date.isoformat(),
        "chart_number": patient.chart_number,
        "arm_notes": patient.arm_notes,
        "isolation": patient.isolation,
        "needle_allergies": patient.needle_allergies,
    }


def local_day(at: datetime, *, clinic: Clinic) -> date:
    """The calendar day of a moment in the clinic's zone."""
    return at.astimezone(ZoneInfo(clinic.time_zone)).date()


def day_in_words(day: date, *, as_of: date | None = None) -> str:
    """``2 Oct``, with the year where it is another one than that of ``as_of``, or where none is given."""
    short = f"{day.day} {MONTHS[day.month - 1][:3]}"
    return short if as_of is not None and as_of.year == day.year else f"{short} {day.year}"


def stretch(from_cm: float, to_cm: float) -> str:
    """``6-8 cm``, ``6.5 cm``: a stretch of the vessel as the map names it."""
    return f"{from_cm:g} cm" if from_cm == to_cm else f"{from_cm:g}-{to_cm:g} cm"
