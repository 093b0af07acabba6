"""One small record as this clinic knows it: its newest document and what was computed from it when it was saved."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Q

from access.accounts.models import Clinic, User
from access.records.entry.kinds import KINDS
from access.records.history.visible import get_access, get_patient, get_record, sight_of
from access.records.models import Patient, RecordVersion
from access.records.problems import Missing


def small_record(subject: str, record_id: UUID, *, user: User, clinic: Clinic, at: datetime) -> dict[str, Any]:
    """The record of a visible patient with its patient's id, or ``Missing``."""
    record, patient = _found(subject, record_id, user=user, clinic=clinic, at=at)
    until = sight_of(patient, clinic=clinic, at=at).until
    versions = RecordVersion.objects.filter(record=record_id, subject=subject)
    if until is not None:
        versions = versions.filter(Q(received_at__lte=until) | Q(clinic=clinic))
    version = versions.order_by("-number").first()
    if version is None:
        raise Missing
    return {
        "id": str(record.pk),
        "version": version.number,
        "made_in_error": record.made_in_error,
        "document": version.document,
        "result": version.answer.get("result", {}),
        "patient": patient.pk,
    }


def _found(subject: str, record_id: UUID, *, user: User, clinic: Clinic, at: datetime) -> tuple[Any, Patient]:
    """The record and whose it is; a person and a vessel carry no day of their own and have readers of their own."""
    if subject == "patient":
        patient = get_patient(record_id, user=user, clinic=clinic, at=at)
        return patient, patient
    if subject == "access":
        access = get_access(record_id, user=user, clinic=clinic, at=at)
        return access, access.patient
    record: Any = get_record(KINDS[subject].model, record_id, user=user, clinic=clinic, at=at)
    return record, record.patient if hasattr(record, "patient") else record.access.patient
