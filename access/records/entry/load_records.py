"""Loads many new small records at once, row for row what the single writer would have stored; for seed and demo.

It takes what was measured of a patient (flow, recirculation, dose, laboratory value); the other kinds are few and have
the single writer. Whoever loads vouches for who recorded what; judging is done once, afterwards.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction

from access.accounts.models import Clinic
from access.audit import trail
from access.audit.trail import Acting
from access.measures import Refused
from access.records.entry import saving
from access.records.entry.checks import Beside
from access.records.entry.consistency import Known, Vessel
from access.records.entry.fields import Notes, table
from access.records.entry.kinds import KINDS, Kind
from access.records.entry.known import Begun, begun, route_at, stations_of, vessels_of
from access.records.entry.project import Origin, columns
from access.records.entry.results import Computed
from access.records.entry.saving import Save, Saved, distinct
from access.records.models import CarePeriod, Patient, RecordVersion
from access.records.problems import Document, Invalid, Missing

SUBJECTS = ("flow", "recirculation", "dose", "lab")
CHUNK = 500
Period = tuple[datetime, datetime | None]


@dataclass(frozen=True, kw_only=True)
class _Around:
    """What a chunk is held against, looked up once."""

    clinic: Clinic
    vessels: dict[UUID, dict[str, Vessel]]
    stations: frozenset[str]
    care: dict[UUID, list[Period]]
    treatments: dict[UUID, list[Begun]]


def load_records(loaded: Iterable[dict[str, Any]], *, clinic: Clinic, acting: Acting) -> int:
    """Store many new measurements of a clinic and say how many; a save id that is known already is passed over.

    Parameters
    ----------
    loaded : iterable of dict
        ``subject``, ``id``, ``save_id``, ``recorded_by``, ``received_at`` and ``document``.

    Raises
    ------
    Invalid
        With the place of the row before the field; nothing of its chunk of 500 is stored then.
    Missing
        When a patient was not in the clinic's care at the bedside time.
    """
    waiting, count = iter(loaded), 0
    while chunk := list(islice(waiting, CHUNK)):
        with transaction.atomic():
            count += _store(chunk, clinic=clinic, acting=acting)
    return count


def _store(chunk: list[dict[str, Any]], *, clinic: Clinic, acting: Acting) -> int:
    ids = [row["save_id"] for row in chunk]
    known = {str(one) for one in RecordVersion.objects.filter(save_id__in=ids).values_list("save_id", flat=True)}
    read = [
        (place, row, *_read(row, place=place)) for place, row in enumerate(chunk) if str(row["save_id"]) not in known
    ]
    around = _around({UUID(document["patient"]) for *_, document, _ in read}, clinic=clinic)
    records, versions = defaultdict(list), []
    for place, row, kind, document, notes in read:
        saved, version = _one(row, place=place, kind=kind, document=document, notes=notes, around=around, acting=acting)
        records[kind.subject].append(saved.record)
        versions.append(version)
    for subject, rows in records.items():
        KINDS[subject].model._default_manager.bulk_create(rows, batch_size=CHUNK)
        patients = sorted({one.patient_id for one in rows})
        trail.write(f"{subject}:create", acting=acting, subjects=[one.pk for one in rows], patients=patients)
    RecordVersion.objects.bulk_create(versions, batch_size=CHUNK)
    return len(read)


def _read(row: dict[str, Any], *, place: int) -> tuple[Kind, Document, Notes]:
    if row["subject"] not in SUBJECTS:
        raise Missing
    kind, notes = KINDS[row["subject"]], Notes()
    document: Document = table(kind.fields)(row["document"], "", notes)
    if notes.wrong:
        raise _at(place, notes)
    return kind, document, notes


def _around(patients: set[UUID], *, clinic: Clinic) -> _Around:
    if len(Patient.objects.select_for_update(no_key=True).filter(pk__in=patients).order_by("pk")) < len(patients):
        raise Missing
    care: dict[UUID, list[Period]] = defaultdict(list)
    for patient, since, until in CarePeriod.objects.filter(patient__in=patients, clinic=clinic).values_list(
        "patient", "since", "until"
    ):
        care[patient].append((since, until))
    return _Around(
        clinic=clinic,
        vessels=vessels_of(patients),
        stations=stations_of([clinic.pk]),
        care=care,
        treatments=begun(patients),
    )


def _one(
    row: dict[str, Any],
    *,
    place: int,
    kind: Kind,
    document: Document,
    notes: Notes,
    around: _Around,
    acting: Acting,
) -> tuple[Saved, RecordVersion]:
    """One record with its version, unsaved."""
    patient, at = UUID(document["patient"]), datetime.fromisoformat(document["measured_at"])
    received_at: datetime = row["received_at"]
    periods = around.care.get(patient, [])
    if not (_covered(periods, at) or _covered(periods, received_at)):
        raise Missing
    computed = _computed(document, kind=kind, notes=notes, around=around, patient=patient, now=received_at)
    if notes.wrong:
        raise _at(place, notes)
    if computed.question:
        notes.ask("", computed.question)
    person = UUID(str(row["recorded_by"]))
    origin = Origin(clinic=around.clinic.pk, recorded_by=person, sent_by=person, received_at=received_at)
    record = kind.model(id=row["id"], clinic=around.clinic, version=1, **columns(kind.model, document))
    whose = {"patient_id": patient, "measured_at": at, "received_at": received_at}
    for name, value in {**computed.columns, **whose, "recorded_by_id": person, "sent_by_id": person}.items():
        setattr(record, name, value)
    saved = Saved(
        record=record,
        version=1,
        document=document,
        received_at=received_at,
        asks=tuple(notes.asks),
        access_ids=distinct([document.get("access")]),
        created=True,
        result=computed.result,
    )
    body = Save(save_id=row["save_id"], document=document, create=True)
    whole = saving.version_columns(body, saved=saved, origin=origin, acting=acting)
    return saved, RecordVersion(subject=kind.subject, record=record.pk, **whole)


def _computed(
    document: Document, *, kind: Kind, notes: Notes, around: _Around, patient: UUID, now: datetime
) -> Computed:
    """What follows from a document, checked as the single writer checks it."""
    vessels = around.vessels[patient]
    known = Known(
        vessels=vessels, stations=around.stations, zone=ZoneInfo(around.clinic.time_zone), now=now, examines_alone=True
    )
    treatment = document["treatment"]
    if treatment and not any(str(one.id) == treatment for one in around.treatments[patient]):
        notes.refuse("treatment", "This treatment is not one of the patient's.")
    if document.get("access") and document["access"] not in vessels:
        notes.refuse("access", "This access is not one of the patient's.")
    vessel, at = vessels.get(document.get("access", "")), datetime.fromisoformat(document["measured_at"])
    asks = kind.subject == "recirculation"
    route = route_at(at, treatment=treatment, among=around.treatments[patient]) if asks else ""
    beside = Beside(clinic=around.clinic, known=known, vessel=vessel, route=route)
    kind.check(document, beside, notes)
    if notes.wrong:
        return Computed()
    try:
        return kind.compute(document, beside)
    except Refused as refused:
        notes.refuse((kind.said_at or {}).get(refused.field, refused.field), str(refused))
        return Computed()


def _covered(periods: list[Period], at: datetime) -> bool:
    return any(since <= at and (until is None or until > at) for since, until in periods)


def _at(place: int, notes: Notes) -> Invalid:
    return Invalid((f"{place}.{name}", text) for name, text in notes.wrong)
