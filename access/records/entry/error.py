"""Marks a record as made in error: it stays, with its versions, and leaves every computation."""

from dataclasses import replace
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from access.audit.trail import Acting
from access.records.entry import record as small
from access.records.entry import saving
from access.records.entry.kinds import KINDS
from access.records.entry.saving import Save, Saved, distinct
from access.records.entry.treatment import document_of, touched
from access.records.models import Examination, RecordVersion, Treatment, TreatmentVersion
from access.records.problems import Document, Invalid, Missing, NeedsReason


@transaction.atomic
def mark_in_error(subject: str, record_id: UUID, *, reason: str, save_id: UUID, acting: Acting) -> Saved:
    """Mark a treatment or a small record as made in error; marked again, it stays as it was marked.

    Raises
    ------
    Missing, NeedsReason, Invalid
    """
    clinic = saving.clinic_of(acting)
    model: Any = Treatment if subject == "treatment" else KINDS[subject].model
    found = model._default_manager.filter(pk=record_id).first()
    if found is None or subject == "patient":
        raise Missing
    patient = saving.locked(small.patient_of(found))
    seen_at: datetime = getattr(found, "measured_at", acting.at)
    saving.must_care(patient.pk, clinic=clinic.pk, bedside_at=seen_at, now=acting.at)
    record = model._default_manager.get(pk=record_id)
    if getattr(record, "treatment_id", None) and subject == "examination":
        raise Invalid([("id", "This examination belongs to a treatment; correct it there.")])
    if not reason.strip():
        raise NeedsReason
    if record.made_in_error:
        return replace(_saved(record, subject=subject, acting=acting), repeated=True)
    return _mark(record, subject=subject, patient=patient.pk, reason=reason, save_id=save_id, acting=acting)


def _mark(record: Any, *, subject: str, patient: UUID, reason: str, save_id: UUID, acting: Acting) -> Saved:
    versions: Any = TreatmentVersion if subject == "treatment" else RecordVersion
    if versions.objects.filter(save_id=save_id).exists():
        raise Missing
    saved = _saved(record, subject=subject, acting=acting)
    body = Save(save_id=save_id, document=saved.document, base_version=record.version, reason=reason)
    origin = saving.origin(body, bedside_at=acting.at, acting=acting)
    record.made_in_error = True
    record.version += 1
    saved = replace(saved, version=record.version)
    if subject != "treatment":
        record.save(update_fields=["made_in_error", "version"])
        small.keep(saved, subject=subject, body=body, patient=patient, origin=origin, acting=acting)
        return saved
    record.state = "made in error"
    record.save(update_fields=["made_in_error", "version", "state"])
    Examination.objects.filter(treatment=record).update(made_in_error=True)
    columns = saving.version_columns(body, saved=saved, origin=origin, acting=acting)
    TreatmentVersion(treatment=record, **columns).save(force_insert=True)
    saving.told("treatment:change", saved=saved, patient=patient, origin=origin, acting=acting)
    return saved


def _saved(record: Any, *, subject: str, acting: Acting) -> Saved:
    """The record as it stands, as the answer to marking it."""
    document = _document(record)
    accesses = touched(document) if subject == "treatment" else distinct([document.get("access")])
    return Saved(
        record=record,
        version=record.version,
        document=document,
        received_at=acting.at,
        access_ids=accesses,
        result={"made_in_error": True},
    )


def _document(record: Any) -> Document:
    if isinstance(record, Treatment):
        return document_of(record, number=record.version)
    version = RecordVersion.objects.filter(record=record.pk, number=record.version).first()
    found: Document = version.document if version else {}
    return found
