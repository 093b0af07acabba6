"""The clinic's bench table: what tubing and needle alone read at a pump speed. It is about no patient.

Saved by the same envelope as every other record: known saves are answered again, a stale version is handed back, a
correction needs its reason.
"""

from uuid import UUID

from django.db import transaction

from access.accounts.models import Clinic
from access.audit import trail
from access.audit.trail import Acting
from access.records.entry import saving
from access.records.entry.fields import Notes, day, number, table, text
from access.records.entry.kinds import Kind
from access.records.entry.project import columns
from access.records.entry.record import must_start_from, repeated
from access.records.entry.saving import Save, Saved
from access.records.models import BenchTable, RecordVersion
from access.records.problems import Document, Invalid, Missing

BENCH = Kind(
    subject="bench",
    model=BenchTable,
    when="measured_on",
    fields={
        "needle_and_line": text(80, needed=True),
        "gauge": number("gauge", needed=True, whole=True),
        "pump_ml_min": number("pump_ml_min", needed=True),
        # Below zero on the arterial side, above on the venous one.
        "pressure_mmhg": number("bench_mmhg", needed=True),
        "measured_on": day(needed=True),
    },
)
# Own choice: four gauges at ten speeds for five lines. The list of them is never cut short.
MOST = 200


@transaction.atomic
def save_bench(record_id: UUID, *, body: Save, acting: Acting) -> Saved:
    """Store or correct one reading of the bench table.

    Raises
    ------
    Missing, Invalid, NeedsReason, Conflict
    """
    clinic = saving.held(saving.clinic_of(acting).pk)
    document, notes = _read(body, clinic=clinic, acting=acting)
    if version := RecordVersion.objects.filter(save_id=body.save_id).first():
        return repeated(BENCH, version, record_id=record_id, acting=acting)
    found = BenchTable.objects.filter(pk=record_id).first()
    if (found is None and not body.create) or (found is not None and found.clinic_id != clinic.pk):
        raise Missing
    if found:
        must_start_from(found, body=body, document=document)
    elif BenchTable.objects.filter(clinic=clinic).count() >= MOST:
        raise Invalid([("", f"A bench table holds at most {MOST} readings. Correct one of those that are there.")])
    record = found or BenchTable(pk=record_id, clinic=clinic)
    return _stored(record, document=document, notes=notes, body=body, acting=acting)


def _read(body: Save, *, clinic: Clinic, acting: Acting) -> tuple[Document, Notes]:
    notes = Notes()
    document: Document = table(BENCH.fields)(body.document, "", notes)
    if not notes.wrong and document["measured_on"] > saving.day_of(acting.at, clinic=clinic).isoformat():
        notes.refuse("measured_on", "This day lies in the future. Look at the date and type it again.")
    if notes.wrong:
        raise Invalid(notes.wrong)
    return document, notes


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
    RecordVersion(subject=BENCH.subject, record=record.pk, **row).save(force_insert=True)
    trail.write("bench:change", acting=acting, subjects=[record.pk], detail={"version": saved.version})
    return saved
