"""The bench table of a clinic, as a list, one by one, and as the computation takes it for the clinic's patients.

It is about no patient, so the clinic is the door.
"""

from collections import defaultdict
from collections.abc import Collection
from datetime import datetime
from typing import Any
from uuid import UUID

from access.accounts.models import Clinic
from access.measures.readings import BenchPoint
from access.records.history.visible import caring_at
from access.records.models import BenchTable, CarePeriod, RecordVersion
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


def points_for(patients: Collection[UUID], *, as_of: datetime) -> dict[UUID, tuple[BenchPoint, ...]]:
    """What the clinic of each of these patients read of needle and tubing alone by that day, by patient.

    The patient's own clinic and not one that is visited, in two queries however many they are.
    """
    caring = CarePeriod.objects.filter(caring_at(as_of), patient__in=patients).order_by("-visiting", "-since")
    clinics = dict(caring.values_list("patient_id", "clinic_id"))  # The last one named stands.
    columns = ("clinic_id", "gauge", "pump_ml_min", "pressure_mmhg", "needle_and_line")
    rows = BenchTable.objects.filter(
        clinic__in=set(clinics.values()), made_in_error=False, measured_on__lte=as_of.date()
    )
    points: dict[UUID, list[BenchPoint]] = defaultdict(list)
    for clinic, gauge, pump, pressure, line in rows.values_list(*columns):
        points[clinic].append(BenchPoint(gauge=gauge, pump_ml_min=pump, pressure_mmhg=pressure, needle_and_line=line))
    return {patient: tuple(points[clinic]) for patient, clinic in clinics.items() if clinic in points}
