"""Patients and their accesses: created, corrected, a side put right by two people.

In whose care a patient is, is changed in ``moves``; readings and treatments have writers of their own.
"""

from datetime import datetime
from uuid import UUID

from django.db import transaction
from uuid_utils.compat import uuid7

from access.accounts.models import Membership
from access.accounts.permissions import may
from access.audit import trail
from access.audit.trail import Acting
from access.records.entry import record, saving
from access.records.entry.saving import Save, Saved
from access.records.models import CarePeriod, Patient, RecordVersion, VascularAccess
from access.records.problems import Document, Invalid, Missing, NeedsReason


@transaction.atomic
def create_patient(
    document: Document, *, acting: Acting, patient_id: UUID | None = None, since: datetime | None = None
) -> Patient:
    """Store a patient who is at home in the acting clinic from ``since`` on.

    Raises
    ------
    Invalid
        When a field cannot be, or the clinic already has a patient with this chart number.
    """
    body = Save(save_id=uuid7(), document=document, create=True)
    saved = _begun(patient_id or uuid7(), body=body, acting=acting, since=since or acting.at)
    patient: Patient = saved.record
    return patient


def _begun(patient_id: UUID, *, body: Save, acting: Acting, since: datetime) -> Saved:
    """The first version of a patient, who is at home in the acting clinic from then on."""
    if saving.is_known(body):
        raise Missing
    clinic = saving.clinic_of(acting)
    patient = Patient(pk=patient_id, clinic=clinic)
    change = record.change_of("patient", patient_id, body=body, acting=acting, patient=patient)
    origin = saving.origin(body, bedside_at=acting.at, acting=acting)
    computed = record.judged(change, person=origin.recorded_by)
    saved = record.write(patient, change=change, origin=origin, computed=computed)
    CarePeriod.objects.create(patient=patient, clinic=clinic, since=since)
    return saved


@transaction.atomic
def save_patient(patient_id: UUID, *, body: Save, acting: Acting) -> Saved:
    """Store a new patient of the acting clinic, or correct what is written about one."""
    if body.create:
        saving.held(saving.clinic_of(acting).pk)
        if not Patient.objects.filter(pk=patient_id).exists():
            return _begun(patient_id, body=body, acting=acting, since=acting.at)
    return record.save("patient", patient_id, body=body, acting=acting)


def create_access(
    patient: Patient, *, document: Document, acting: Acting, access_id: UUID | None = None
) -> VascularAccess:
    """Store a fistula or graft of a patient."""
    body = Save(save_id=uuid7(), document={**document, "patient": str(patient.pk)}, create=True)
    access: VascularAccess = record.save("access", access_id or uuid7(), body=body, acting=acting).record
    return access


@transaction.atomic
def save_access(access_id: UUID, *, body: Save, acting: Acting) -> Saved:
    """Store an access, or correct it; its side is only changed by ``change_side``."""
    stored = VascularAccess.objects.filter(pk=access_id).first()
    if stored and body.document.get("side") not in (None, stored.side) and not saving.is_known(body):
        saving.must_care(stored.patient_id, clinic=saving.clinic_of(acting).pk, bedside_at=acting.at, now=acting.at)
        raise Invalid([("side", "The side of an access is corrected by two people; see there.")])
    return record.save("access", access_id, body=body, acting=acting)


@transaction.atomic
def change_side(
    access_id: UUID, *, side: str, reason: str, second: UUID, acting: Acting, save_id: UUID | None = None
) -> Saved:
    """Correct the side of an access, with a reason and a second person of the clinic who has looked as well.

    Raises
    ------
    Missing, NeedsReason, Invalid
    """
    access = VascularAccess.objects.filter(pk=access_id, made_in_error=False).first()
    if access is None:
        raise Missing
    saving.must_care(access.patient_id, clinic=saving.clinic_of(acting).pk, bedside_at=acting.at, now=acting.at)
    if not reason.strip():
        raise NeedsReason
    _must_be_another(second, acting=acting)
    version = RecordVersion.objects.get(record=access.pk, number=access.version)
    body = Save(
        save_id=save_id or uuid7(),
        document={**version.document, "side": side},
        base_version=access.version,
        reason=reason,
    )
    saved = record.save("access", access_id, body=body, acting=acting)
    if saved.repeated:
        return saved
    detail: dict[str, object] = {"what": "side", "second": str(second)}
    trail.write("access:change", acting=acting, subjects=[access.pk], patients=[access.patient_id], detail=detail)
    return saved


def _must_be_another(second: UUID, *, acting: Acting) -> None:
    """The second person is somebody else who may change an access in this clinic."""
    roles = Membership.objects.filter(
        saving.covers(acting.at), user=second, clinic=acting.clinic, user__is_active=True
    ).values_list("role", flat=True)
    if second == acting.user or not may(roles, "access:change"):
        text = "The second person is somebody else of this clinic who may change an access."
        raise Invalid([("second", text)])
