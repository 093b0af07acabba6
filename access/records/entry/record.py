"""Saves the small records, all by one path: examination alone, flow, recirculation, dose, laboratory value, event,
zone, hold, prescription. What is particular to a kind stands in ``kinds``.

A stale version is handed back, never merged; a correction of what was filled in needs a reason.
"""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Q
from uuid_utils.compat import uuid7

from access.accounts.models import Clinic
from access.audit.trail import ACTIONS, Acting
from access.measures import Refused
from access.measures.succession import LONGEST_TREATMENT
from access.records.entry import saving
from access.records.entry.checks import Beside
from access.records.entry.fields import Notes, table
from access.records.entry.kinds import KINDS, Kind
from access.records.entry.known import begun, known_of, route_at
from access.records.entry.project import Origin, columns
from access.records.entry.results import Computed
from access.records.entry.saving import Save, Saved, distinct
from access.records.models import Event, Patient, RecordVersion, Treatment, VascularAccess
from access.records.models.base import Observed, Versioned
from access.records.problems import Conflict, Document, Invalid, Missing, NeedsReason


@dataclass(frozen=True, kw_only=True)
class Change:
    """One save of a small record that was read: what was sent, about whom, when it was seen, what was noted."""

    kind: Kind
    body: Save
    acting: Acting
    clinic: Clinic
    patient: Patient
    document: Document
    bedside_at: datetime
    notes: Notes


@transaction.atomic
def save(subject: str, record_id: UUID, *, body: Save, acting: Acting) -> Saved:
    """Store one save of a small record.

    Raises
    ------
    Missing, Invalid, NeedsReason, Conflict
        As ``access.records.problems`` says; nothing is stored then.
    """
    change = change_of(subject, record_id, body=body, acting=acting)
    if version := RecordVersion.objects.filter(save_id=body.save_id).first():
        return repeated(change.kind, version, record_id=record_id, acting=acting)
    saving.must_care(change.patient.pk, clinic=change.clinic.pk, bedside_at=change.bedside_at, now=acting.at)
    record = _stored(record_id, change=change)
    origin = saving.origin(body, bedside_at=change.bedside_at, acting=acting)
    computed = judged(change, person=origin.recorded_by)
    if record:
        must_start_from(record, body=body, document=change.document)
    record = record or change.kind.model(id=record_id, clinic_id=change.clinic.pk)
    return write(record, change=change, origin=origin, computed=computed)


def change_of(subject: str, record_id: UUID, *, body: Save, acting: Acting, patient: Patient | None = None) -> Change:
    """Read a save, and lock the patient whom it is about unless that one is only being created."""
    kind, clinic = KINDS[subject], saving.clinic_of(acting)
    document, notes = _read(kind, body.document, record_id=record_id)
    return Change(
        kind=kind,
        body=body,
        acting=acting,
        clinic=clinic,
        patient=patient or saving.locked(record_id if kind.model is Patient else _whose(document)),
        document=document,
        bedside_at=_bedside(kind, document, clinic=clinic, now=acting.at),
        notes=notes,
    )


def _read(kind: Kind, sent: object, *, record_id: UUID) -> tuple[Document, Notes]:
    notes = Notes()
    document: Document = table(kind.fields)(sent if sent is not None else "", "", notes)
    if document.get("id") not in (None, str(record_id)):
        notes.refuse("id", "This is not the id under which it is saved.")
    if notes.wrong:
        raise Invalid(notes.wrong)
    if "id" in document:
        document["id"] = str(record_id)
    return document, notes


def _whose(document: Document) -> UUID:
    """The patient whom a document is about, by the access where it names one."""
    if "access" not in document:
        return UUID(document["patient"])
    access = VascularAccess.objects.filter(pk=document["access"], made_in_error=False).first()
    if access is None:
        raise Missing
    if "patient" in document and document["patient"] != str(access.patient_id):
        raise Invalid([("access", "This access is not one of the patient's.")])
    return access.patient_id


def repeated(kind: Kind, version: RecordVersion, *, record_id: UUID, acting: Acting) -> Saved:
    """The answer given to a save when it first came, if it was a save of this record by this clinic."""
    same = (version.subject, version.record, version.clinic_id) == (kind.subject, record_id, acting.clinic)
    if not same:
        raise Missing
    return saving.again(kind.model._default_manager.get(pk=record_id), version)


def _bedside(kind: Kind, document: Document, *, clinic: Clinic, now: datetime) -> datetime:
    """The bedside time of a document; what carries only a day is taken for that day's start, or for now if today."""
    if moment := document.get("measured_at"):
        return datetime.fromisoformat(moment)
    day = document.get(kind.when)
    if day is None or day == saving.day_of(now, clinic=clinic).isoformat():
        return now
    return saving.midnight(day, clinic=clinic)


def _stored(record_id: UUID, *, change: Change) -> Versioned | None:
    """The record as it stands, if the save may go on from it; None when it is new."""
    record = change.kind.model._default_manager.filter(pk=record_id).first()
    if record is None and change.body.create:
        return None
    if record is None or patient_of(record) != change.patient.pk:
        raise Missing
    if not isinstance(record, Patient):
        saving.must_know(record, clinic=change.clinic.pk, now=change.acting.at)
    if record.made_in_error:
        raise Invalid([("state", "This record was marked as made in error; it takes no further entries.")])
    if change.kind.subject == "examination" and getattr(record, "treatment_id", None):
        raise Invalid([("id", "This examination belongs to a treatment; correct it there.")])
    return record


def patient_of(record: Any) -> UUID:
    """Whose record this is."""
    if isinstance(record, Patient):
        return record.pk
    found: UUID = record.patient_id if hasattr(record, "patient_id") else record.access.patient_id
    return found


def judged(change: Change, *, person: UUID) -> Computed:
    """What follows from a document in which every field could be read."""
    document, patient, notes = change.document, change.patient, change.notes
    at = {"bedside_at": change.bedside_at, "now": change.acting.at}
    known = known_of(patient.pk, clinic=change.clinic, maker=change.clinic.pk, person=person, **at)
    treatment = document.get("treatment")
    if treatment and not Treatment.objects.filter(pk=treatment, patient=patient).exists():
        notes.refuse("treatment", "This treatment is not one of the patient's.")
    vessel, route = known.vessels.get(document.get("access", "")), _route(change)
    beside = Beside(clinic=change.clinic, known=known, vessel=vessel, route=route, taken=_taken(change))
    change.kind.check(document, beside, notes)
    computed = Computed()
    if not notes.wrong:
        try:
            computed = change.kind.compute(document, beside)
        except Refused as refused:
            notes.refuse((change.kind.said_at or {}).get(refused.field, refused.field), str(refused))
    if notes.wrong:
        raise Invalid(notes.wrong)
    if computed.question:
        notes.ask("", computed.question)
    return computed


def _taken(change: Change) -> bool:
    """Whether another patient has the chart number, in the clinic that made the record; no other kind asks."""
    if change.kind.model is not Patient:
        return False
    namesakes = Patient.objects.filter(clinic=change.patient.clinic, chart_number=change.document["chart_number"])
    return namesakes.exclude(pk=change.patient.pk).exists()


def _route(change: Change) -> str:
    """By which route the treatment ran in which a recirculation was drawn; no other kind asks."""
    if change.kind.subject != "recirculation":
        return ""
    treatment, at = change.document["treatment"], change.bedside_at
    which = Q(pk=treatment) if treatment else Q(measured_at__range=(at - LONGEST_TREATMENT, at))
    return route_at(at, treatment=treatment, among=begun([change.patient.pk], which=which)[change.patient.pk])


def must_start_from(record: Versioned, *, body: Save, document: Document) -> None:
    """Refuse a save that started from another version, unless it says the same, and a correction without a reason."""
    version = RecordVersion.objects.filter(record=record.pk, number=record.version).first()
    current: Document = version.document if version else {}
    differing = [name for name in document if document[name] != current.get(name)]
    started_from = 0 if body.create else body.base_version
    if differing and started_from != record.version:
        raise Conflict(differing, yours=document, theirs=current, version=record.version)
    corrected = [name for name in differing if current.get(name) not in (None, "", [], {})]
    if corrected and not body.reason.strip():
        raise NeedsReason


def write(record: Any, *, change: Change, origin: Origin, computed: Computed) -> Saved:
    """Store a record as its document says, its new version and the trail."""
    created = record._state.adding
    for name, value in {**columns(change.kind.model, change.document), **computed.columns}.items():
        setattr(record, name, value)
    record.version += 1
    if isinstance(record, Observed):
        _observed(record, change=change, origin=origin)
    record.save(force_insert=created)
    saved = Saved(
        record=record,
        version=record.version,
        document=change.document,
        received_at=origin.received_at,
        asks=tuple(change.notes.asks),
        access_ids=distinct([change.document.get("access")]),
        created=created,
        result=computed.result,
    )
    keep(saved, subject=change.kind.subject, body=change.body, patient=change.patient.pk, origin=origin,
         acting=change.acting)  # fmt: skip
    return saved


def _observed(record: Observed, *, change: Change, origin: Origin) -> None:
    """Set whose observation it is; it keeps when it first arrived."""
    if record._state.adding:
        record.received_at = origin.received_at
    record.patient_id, record.measured_at = change.patient.pk, change.bedside_at
    record.recorded_by_id, record.sent_by_id = origin.recorded_by, origin.sent_by
    record.device_id = origin.device


def keep(saved: Saved, *, subject: str, body: Save, patient: UUID, origin: Origin, acting: Acting) -> None:
    """Store the version row of a small record, and the trail."""
    row = saving.version_columns(body, saved=saved, origin=origin, acting=acting)
    RecordVersion(subject=subject, record=saved.record.pk, **row).save(force_insert=True)
    tag = f"{subject}:create" if saved.created and f"{subject}:create" in ACTIONS else f"{subject}:change"
    saving.told(tag, saved=saved, patient=patient, origin=origin, acting=acting)


def add_event(
    access: VascularAccess,
    *,
    on: date,
    what: str,
    acting: Acting,
    where_cm: float | None = None,
    where_words: str = "",
    degree_percent: float | None = None,
    outcome: str = "",
) -> Event:
    """Store an event that follows from something else, like the outcome of a referral."""
    document = {
        "patient": str(access.patient_id),
        "access": str(access.pk),
        "on": on.isoformat(),
        "what": what,
        "where_cm": where_cm,
        "where_words": where_words,
        "degree_percent": degree_percent,
        "outcome": outcome,
    }
    body = Save(save_id=uuid7(), document=document, create=True)
    event: Event = save("event", uuid7(), body=body, acting=acting).record
    return event
