"""Saves a Treatment: looked up by its save id, merged by part, validated whole, stored as a new version.

Everything happens in one transaction with the patient's row locked, so that two tablets lose nothing.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import F

from access.accounts.models import Clinic
from access.audit.trail import Acting
from access.records.entry import saving
from access.records.entry.consistency import Known, bedside, consistent
from access.records.entry.document import PARTS, blank, normal, times
from access.records.entry.fields import Notes
from access.records.entry.known import known_of
from access.records.entry.merge import merge
from access.records.entry.project import Origin, apply, planned_start, project
from access.records.entry.saving import Save, Saved, distinct
from access.records.models import Patient, Treatment, TreatmentVersion
from access.records.problems import Conflict, Document, Invalid, Missing, NeedsReason, Remark

# Own choice: an entry without any bedside time is taken for the end of its day's shift.
LENGTH_OF_A_SHIFT = timedelta(hours=12)


@dataclass(frozen=True, kw_only=True)
class Change:
    """One save that was read and may be taken: what was sent, whose it is, and what it is held against."""

    body: Save
    acting: Acting
    clinic: Clinic
    sent: Document
    asks: tuple[Remark, ...]
    origin: Origin
    known: Known


@transaction.atomic
def save_treatment(treatment_id: UUID, *, body: Save, acting: Acting) -> Saved:
    """Store one save of a Treatment and rebuild its rows.

    Raises
    ------
    Missing, Invalid, NeedsReason, Conflict
        As ``access.records.problems`` says; nothing is stored then.
    """
    clinic = saving.clinic_of(acting)
    sent, notes = read(body.document)
    patient = saving.locked(sent["patient"])
    version = TreatmentVersion.objects.filter(save_id=body.save_id).select_related("treatment").first()
    if version:
        return _repeated(version, treatment_id=treatment_id, acting=acting)
    bedside_at = bedside(times(sent), otherwise=end_of_day(sent, clinic=clinic, now=acting.at))
    saving.must_care(patient.pk, clinic=clinic.pk, bedside_at=bedside_at, now=acting.at)
    treatment = _stored(treatment_id, sent=sent, patient=patient, body=body, clinic=clinic, now=acting.at)
    origin = saving.origin(body, bedside_at=bedside_at, acting=acting)
    maker = treatment.clinic_id if treatment else clinic.pk
    person = origin.recorded_by
    known = known_of(patient.pk, clinic=clinic, maker=maker, person=person, bedside_at=bedside_at, now=acting.at)
    asks = judged(sent, known=known, notes=notes)
    change = Change(body=body, acting=acting, clinic=clinic, sent=sent, asks=asks, origin=origin, known=known)
    if treatment is None:
        created = fresh(treatment_id, patient=patient, clinic=clinic, document=sent)
        return _store(created, change=change, document=sent, previous=None, asks=asks)
    return _changed(treatment, change=change)


def read(document: object) -> tuple[Document, Notes]:
    """The document in its normal form with what was noted, where it says whose it is and of which day."""
    notes = Notes()
    sent = normal(document, notes)
    if not sent["patient"] or not sent["clinic_day"]:
        raise Invalid(notes.wrong)
    return sent, notes


def judged(document: Document, *, known: Known, notes: Notes) -> tuple[Remark, ...]:
    """What is asked about a document that was read.

    Raises
    ------
    Invalid
        With every field that was found wrong, in itself or beside others.
    """
    consistent(document, known=known, notes=notes)
    if notes.wrong:
        raise Invalid(notes.wrong)
    return tuple(notes.asks)


def _repeated(version: TreatmentVersion, *, treatment_id: UUID, acting: Acting) -> Saved:
    if version.treatment_id != treatment_id or version.clinic_id != acting.clinic:
        raise Missing
    return saving.again(version.treatment, version)


def end_of_day(document: Document, *, clinic: Clinic, now: datetime) -> datetime:
    """The end of the shift that a document belongs to, or now while it lasts."""
    day = date.fromisoformat(document["clinic_day"])
    starts = planned_start(clinic, clinic_day=day, shift=document["frame"]["shift"])
    return min(now, starts + LENGTH_OF_A_SHIFT)


def _stored(
    treatment_id: UUID, *, sent: Document, patient: Patient, body: Save, clinic: Clinic, now: datetime
) -> Treatment | None:
    """The treatment as it stands, if the save may go on from it; None when it is new."""
    treatment = Treatment.objects.filter(pk=treatment_id).first()
    if treatment is None and body.create:
        return None
    if treatment is None or treatment.patient_id != patient.pk:
        raise Missing
    saving.must_know(treatment, clinic=clinic.pk, now=now)
    if treatment.made_in_error:
        raise Invalid([("state", "This treatment was marked as made in error; it takes no further entries.")])
    if sent["clinic_day"] != treatment.clinic_day.isoformat():
        raise Invalid([("clinic_day", "The day of a treatment cannot be changed.")])
    if _started_from(body) > treatment.version:
        raise Invalid([("version", "This treatment has no such version yet. Load it again.")])
    return treatment


def _started_from(body: Save) -> int:
    """The version a save started from: a create of what exists already is a change from version 0."""
    return 0 if body.create else body.base_version or 0


def _changed(treatment: Treatment, *, change: Change) -> Saved:
    """Merge a save into the treatment as it stands and store what comes of it."""
    current = document_of(treatment, number=treatment.version)
    base = _base(treatment, body=change.body, current=current)
    merged = merge(base, yours=change.sent, theirs=current)
    if merged.conflicts:
        raise Conflict(merged.conflicts, yours=change.sent, theirs=current, version=treatment.version)
    corrects = base["frame"]["state"] == "ended" and merged.document != current
    if corrects and not change.body.reason.strip():
        raise NeedsReason
    asks = change.asks
    if merged.document != change.sent:
        asks = _judged_again(merged.document, change=change, current=current, version=treatment.version)
    return _store(treatment, change=change, document=merged.document, previous=current, asks=asks)


def document_of(treatment: Treatment, *, number: int) -> Document:
    """The document of a version; version 0 of an unplanned treatment is blank."""
    version = treatment.versions.filter(number=number).first()
    if version is None:
        return blank(patient=str(treatment.patient_id), clinic_day=treatment.clinic_day.isoformat())
    found: Document = version.document
    return found


def _base(treatment: Treatment, *, body: Save, current: Document) -> Document:
    """The document that this save started from: its version, or the last of its own saves that it replaces."""
    number = _started_from(body)
    if body.replaces:
        replaced = treatment.versions.filter(save_id__in=body.replaces, number__gt=number)
        if last := replaced.order_by("-number").first():
            found: Document = last.sent or last.document
            return found
    return current if number == treatment.version else document_of(treatment, number=number)


def _judged_again(document: Document, *, change: Change, current: Document, version: int) -> tuple[Remark, ...]:
    """What is asked about the merged document; what only the merging made impossible is a conflict."""
    notes = Notes()
    try:
        return judged(normal(document, notes), known=change.known, notes=notes)
    except Invalid as refused:
        wrong = {name.split(".")[0] for name, _ in refused.fields}
        parts = [part for part in PARTS if part in wrong]
        if not parts:
            raise
        raise Conflict(parts, yours=change.sent, theirs=current, version=version) from refused


def fresh(treatment_id: UUID, *, patient: Patient, clinic: Clinic, document: Document) -> Treatment:
    """A treatment that is new here, unsaved, marked when the patient already has one on that day."""
    day = date.fromisoformat(document["clinic_day"])
    others = Treatment.objects.filter(patient=patient, clinic_day=day, made_in_error=False)
    first = others.order_by(F("possibly_same_as_id").asc(nulls_first=True), "received_at", "pk").first()
    return Treatment(pk=treatment_id, patient=patient, clinic=clinic, clinic_day=day, possibly_same_as=first)


def _store(
    treatment: Treatment, *, change: Change, document: Document, previous: Document | None, asks: tuple[Remark, ...]
) -> Saved:
    origin, created = change.origin, treatment._state.adding
    stamp(treatment, document=document, origin=origin, clinic=change.clinic)
    treatment.save(force_insert=created)
    project(treatment, document=document, previous=previous, origin=origin)
    saved = Saved(
        record=treatment,
        version=treatment.version,
        document=document,
        received_at=origin.received_at,
        asks=asks,
        access_ids=touched(document, previous),
        created=created,
        possibly_same=None if treatment.pairing else treatment.possibly_same_as_id,
    )
    columns = saving.version_columns(change.body, saved=saved, origin=origin, acting=change.acting)
    sent = None if change.sent == document else change.sent
    TreatmentVersion(treatment=treatment, sent=sent, **columns).save(force_insert=True)
    action = "treatment:create" if created else "treatment:change"
    saving.told(action, saved=saved, patient=treatment.patient_id, origin=origin, acting=change.acting)
    return saved


def stamp(treatment: Treatment, *, document: Document, origin: Origin, clinic: Clinic) -> None:
    """Set what a new version changes in the treatment's own columns; it keeps when it first arrived."""
    apply(treatment, document=document, clinic=clinic)
    if treatment.version == 0:
        treatment.received_at = origin.received_at
    treatment.version += 1
    treatment.recorded_by_id, treatment.sent_by_id = origin.recorded_by, origin.sent_by
    treatment.device_id = origin.device


def touched(*documents: Document | None) -> tuple[UUID, ...]:
    """The accesses that these documents speak of."""
    parts = ("needles", "examinations")
    return distinct(one["access"] for document in documents if document for part in parts for one in document[part])
