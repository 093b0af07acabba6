"""The one door to what is restricted: whose records a person sees at a clinic, and how far back and forward.

A patient is seen through a care period. While it is open the whole record is seen; once it has ended, what was
recorded up to its end. Absent and forbidden end in the same ``Missing``, so that nothing can be learnt by guessing.
"""

from datetime import datetime
from typing import Any, TypeVar
from uuid import UUID

from django.db.models import Exists, Model, OuterRef, Q, QuerySet

from access.accounts.models import Clinic, Membership, User
from access.accounts.permissions import PERMISSIONS
from access.records.history.earlier import as_known
from access.records.history.sight import Sight
from access.records.models import CarePeriod, Patient, Treatment, VascularAccess
from access.records.problems import Missing

Rows = TypeVar("Rows", bound=Model)


def caring_at(at: datetime) -> Q:
    """The condition that a period, of care or of membership, covers a moment."""
    return Q(since__lte=at) & (Q(until__isnull=True) | Q(until__gt=at))


def patients_visible_to(user: User, *, clinic: Clinic, at: datetime) -> QuerySet[Patient]:
    """The patients of whom this person, at this clinic, may see anything."""
    member = Membership.objects.filter(
        caring_at(at), user=user, clinic=clinic, role__in=sorted(PERMISSIONS["patient:read"]), user__is_active=True
    )
    period = CarePeriod.objects.filter(patient=OuterRef("pk"), clinic=clinic, since__lte=at)
    return Patient.objects.filter(Exists(member), Exists(period), made_in_error=False)


def patients_in_care(clinic: Clinic, *, at: datetime) -> QuerySet[Patient]:
    """The patients for whom a clinic cares at that moment, at home there or visiting."""
    period = CarePeriod.objects.filter(caring_at(at), patient=OuterRef("pk"), clinic=clinic)
    return Patient.objects.filter(Exists(period), made_in_error=False)


def sight_of(patient: Patient, *, clinic: Clinic, at: datetime) -> Sight:
    """How far this clinic sees into this patient's record; raises ``Missing`` where it sees nothing."""
    ends = list(
        CarePeriod.objects.filter(patient=patient, clinic=clinic, since__lte=at).values_list("until", flat=True)
    )
    if not ends:
        raise Missing
    closed = [end for end in ends if end is not None and end <= at]
    return Sight(clinic=clinic.pk, until=max(closed) if len(closed) == len(ends) else None)


def get_patient(patient_id: UUID, *, user: User, clinic: Clinic, at: datetime) -> Patient:
    """This patient, as far as the clinic knows, or ``Missing``."""
    found = _one(patients_visible_to(user, clinic=clinic, at=at).select_related("station"), pk=patient_id)
    return as_known(found, sight=sight_of(found, clinic=clinic, at=at))


def get_access(access_id: UUID, *, user: User, clinic: Clinic, at: datetime) -> VascularAccess:
    """This access with its patient, or ``Missing``; one created after the clinic's care ended is missing too."""
    visible = patients_visible_to(user, clinic=clinic, at=at)
    access = _one(
        VascularAccess.objects.filter(patient__in=visible, made_in_error=False).select_related("patient"), pk=access_id
    )
    seen = sight_of(access.patient, clinic=clinic, at=at)
    if seen.until is not None and access.created_on is not None and access.created_on > seen.until.date():
        raise Missing
    access.patient = as_known(access.patient, sight=seen)
    return as_known(access, sight=seen)


def get_treatment(treatment_id: UUID, *, user: User, clinic: Clinic, at: datetime) -> Treatment:
    """This treatment with its patient and station, or ``Missing``; one made in error is still found by its id."""
    visible = patients_visible_to(user, clinic=clinic, at=at)
    treatment = _one(
        Treatment.objects.filter(patient__in=visible).select_related("patient", "station"), pk=treatment_id
    )
    seen = sight_of(treatment.patient, clinic=clinic, at=at)
    if seen.until is not None and not Treatment.objects.filter(seen.observed(), pk=treatment.pk).exists():
        raise Missing
    treatment.patient = as_known(treatment.patient, sight=seen)
    return treatment


def get_record(model: type[Rows], record_id: UUID, *, user: User, clinic: Clinic, at: datetime) -> Rows:
    """Any one observed record of a visible patient (a flow, a dose, an examination ...), or ``Missing``."""
    visible = patients_visible_to(user, clinic=clinic, at=at)
    whose: dict[str, Any] = {_path_to_patient(model): visible}
    record = _one(model._default_manager.filter(**whose), pk=record_id)
    seen = sight_of(_patient_of(record), clinic=clinic, at=at)
    known = seen.observed() if hasattr(record, "received_at") else seen.dated()
    if seen.until is not None and not model._default_manager.filter(known, pk=record_id).exists():
        raise Missing
    return record


def _path_to_patient(model: type[Model]) -> str:
    names = {field.name for field in model._meta.get_fields()}
    return "patient__in" if "patient" in names else "access__patient__in"


def _patient_of(record: Any) -> Patient:
    patient: Patient = record.patient if hasattr(record, "patient") else record.access.patient
    return patient


def _one(rows: QuerySet[Rows], *, pk: UUID) -> Rows:
    found = rows.filter(pk=pk).first()
    if found is None:
        raise Missing
    return found
