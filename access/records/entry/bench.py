"""The clinic's bench table: what tubing and needle alone read at a pump speed. It is about no patient.

Saved by the same envelope as every other record: known saves are answered again, a stale version is handed back, a
correction needs its reason.
"""

from uuid import UUID

from django.db import transaction

from access.audit import trail
from access.audit.trail import Acting
from access.records.entry import saving
from access.records.entry.fields import Notes, Table, day, number, table, text
from access.records.entry.project import columns
from access.records.entry.record import must_start_from
from access.records.entry.saving import Save, Saved
from access.records.models import BenchTable, RecordVersion
from access.records.problems import Document, Invalid, Missing

FIELDS: Table = {
    "needle_and_line": text(80, needed=True),
    "gauge": number("gauge", needed=True, whole=True),
    "pump_ml_min": number("pump_ml_min", needed=True),
    "pressure_mmhg": number("venous_mmhg", needed=True),
    "measured_on": day(needed=True),
}


@transaction.atomic
def save_bench(record_id: UUID, *, body: Save, acting: Acting) -> Saved:
    """Store or correct one reading of the bench table.

    Raises
    ------
    Missing, Invalid, NeedsReason, Conflict
    """
    clinic = saving.clinic_of(acting)
    notes = Notes()
    document: Document = table(FIELDS)(body.document, "", notes)
    if not notes.wrong and document["measured_on"] > saving.day_of(acting.at, clinic=clinic).isoformat():
        notes.refuse("measured_on", "This day lies in the future.")
    if notes.wrong:
        raise Invalid(notes.wrong)
    found = BenchTable.objects.select_for_update().filter(pk=record_id).first()
    if (found is None and not body.create) or (found is not None and found.clinic_id != clinic.pk):
        raise Missing
    if version := RecordVersion.objects.filter(save_id=body.save_id, record=record_id, clinic=clinic).first():
        return saving.again(found, version)
    if found:
        must_start_from(found, body=body, document=document)
    record = found or BenchTable(pk=record_id, clinic=clinic)
    return _stored(record, document=document, notes=notes, body=body, acting=acting)


def _stored(record: BenchTable, *, document: Document, notes: Notes, body: Save, acting: Acting) -> Saved:
    created = record._state.adding
    origin = saving.origin(body, bedside_at=acting.at, acting=acting)
    for name, value in columns(BenchTable, document).items():
        setattr(record, name, value)
    record.by_id, record.version = origin.recorded_by, record.version + 1
    record.save(force_insert=created)
    saved = Saved(
        record=record,
        version=record.version,
        document=document,
        received_at=origin.received_at,
        asks=tuple(notes.asks),
        created=created,
    )
    row = saving.version_columns(body, saved=saved, origin=origin, acting=acting)
    RecordVersion(subject="bench", record=record.pk, **row).save(force_insert=True)
    trail.write("bench:change", acting=acting, subjects=[record.pk], detail={"version": saved.version})
    return saved
