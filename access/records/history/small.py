"""One small record as this clinic knows it: its newest document and what was computed from it when it was saved."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Q

from access.accounts.models import Clinic, User
from access.records.entry.kinds import KINDS
from access.records.history.visible import get_record, sight_of
from access.records.models import RecordVersion
from access.records.problems import Missing


def small_record(subject: str, record_id: UUID, *, user: User, clinic: Clinic, at: datetime) -> dict[str, Any]:
    """The record of a visible patient with its patient's id, or ``Missing``."""
    record: Any = get_record(KINDS[subject].model, record_id, user=user, clinic=clinic, at=at)
    patient = record.patient if hasattr(record, "patient") else record.access.patient
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
