"""The bench table of a clinic, as a list and one by one. It is about no patient, so the clinic is the door."""

from typing import Any
from uuid import UUID

from access.accounts.models import Clinic
from access.records.models import BenchTable, RecordVersion
from access.records.problems import Missing

_COLUMNS = ("id", "version", "needle_and_line", "gauge", "pump_ml_min", "pressure_mmhg", "measured_on")


def bench_tables(clinic: Clinic) -> list[dict[str, Any]]:
    """All readings by gauge and pump speed; their writer keeps them few."""
    return list(BenchTable.objects.filter(clinic=clinic, made_in_error=False).values(*_COLUMNS))


def bench_reading(record_id: UUID, *, clinic: Clinic) -> dict[str, Any]:
    """One reading of this clinic with its document, or ``Missing``."""
    found = BenchTable.objects.filter(pk=record_id, clinic=clinic).first()
    version = RecordVersion.objects.filter(record=record_id, subject="bench").order_by("-number").first()
    if found is None or version is None:
        raise Missing
    return {
        "id": str(found.pk),
        "version": version.number,
        "made_in_error": found.made_in_error,
        "document": version.document,
        "result": {},
    }
