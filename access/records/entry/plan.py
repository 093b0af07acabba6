"""Plans a shift: one Treatment for each patient who is due, so that two tablets edit one document.

It fills in what was ordered and nothing that is measured. Who is due is read from the patients' schedules.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db import transaction
from uuid_utils.compat import uuid7

from access.accounts.models import Clinic
from access.audit import trail
from access.audit.trail import Acting
from access.records.entry import saving
from access.records.entry.document import normal
from access.records.entry.fields import Notes
from access.records.entry.known import stations_of
from access.records.entry.project import apply
from access.records.models import CarePeriod, Patient, Prescription, Treatment, TreatmentVersion
from access.records.problems import Document, Missing


@dataclass(frozen=True, kw_only=True)
class _Shift:
    clinic: Clinic
    day: date
    name: str
    acting: Acting
    stations: frozenset[str]


@transaction.atomic
def plan_shift(clinic: Clinic, *, clinic_day: date, shift: str, acting: Acting) -> list[Treatment]:
    """The treatments newly planned for a shift: one for each due patient who has none on that day yet."""
    if acting.user is None or acting.clinic != clinic.pk:
        raise Missing
    # Two tablets may open a shift at the same moment: the second waits here and finds it planned.
    Clinic.objects.select_for_update(no_key=True).get(pk=clinic.pk)
    due = _due(clinic, clinic_day=clinic_day, shift=shift)
    if not due:
        return []
    orders = _orders(due, clinic_day=clinic_day)
    stations = stations_of([clinic.pk])
    here = _Shift(clinic=clinic, day=clinic_day, name=shift, acting=acting, stations=stations)
    planned = [_planned(patient, order=orders.get(patient.pk), shift=here) for patient in due]
    treatments = Treatment.objects.bulk_create([treatment for treatment, _ in planned])
    TreatmentVersion.objects.bulk_create([version for _, version in planned])
    ids, patients = [one.pk for one in treatments], [one.pk for one in due]
    detail: dict[str, object] = {"what": "planned", "clinic_day": clinic_day.isoformat(), "shift": shift}
    trail.write("treatment:create", acting=acting, subjects=ids, patients=patients, detail=detail)
    return treatments


def _due(clinic: Clinic, *, clinic_day: date, shift: str) -> list[Patient]:
    """The patients of a shift who are at home in the clinic on that day and have no treatment on it."""
    noon = saving.midnight(clinic_day.isoformat(), clinic=clinic) + timedelta(hours=12)
    cared_for = CarePeriod.objects.filter(saving.covers(noon), clinic=clinic, visiting=False).values("patient")
    with_one = Treatment.objects.filter(clinic_day=clinic_day, made_in_error=False, patient__in=cared_for)
    patients = Patient.objects.filter(pk__in=cared_for, shift=shift, made_in_error=False)
    left = patients.exclude(pk__in=with_one.values("patient")).order_by("pk")
    return [patient for patient in left if clinic_day.weekday() in patient.schedule_days]


def _orders(patients: list[Patient], *, clinic_day: date) -> dict[object, Prescription]:
    """The order in force on a day for each patient who has one: the newest that had begun."""
    rows = Prescription.objects.filter(patient__in=patients, made_in_error=False, since__lte=clinic_day)
    return {row.patient_id: row for row in rows.order_by("since", "pk")}


def _planned(patient: Patient, *, order: Prescription | None, shift: _Shift) -> tuple[Treatment, TreatmentVersion]:
    document = _document(patient, order=order, shift=shift)
    acting = shift.acting
    whose = {"clinic": shift.clinic, "sent_by_id": acting.person, "received_at": acting.at}
    treatment = Treatment(patient=patient, recorded_by_id=acting.person, **whose)
    apply(treatment, document=document, clinic=shift.clinic)
    version = TreatmentVersion(
        treatment=treatment, number=0, save_id=uuid7(), document=document, author_id=acting.person, **whose
    )
    return treatment, version


def _document(patient: Patient, *, order: Prescription | None, shift: _Shift) -> Document:
    station = str(patient.station_id)
    frame = {
        "state": "planned",
        "shift": shift.name,
        "station": station if station in shift.stations else None,
        "pump_prescribed_ml_min": order.pump_ml_min if order else None,
    }
    return normal({"patient": str(patient.pk), "clinic_day": shift.day.isoformat(), "frame": frame}, Notes())
