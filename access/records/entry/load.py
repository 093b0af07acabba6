"""Loads many Treatments at once, row for row what the single writer would have stored; for import, seed and demo.

Each is new and arrives as one version. Whoever loads vouches for who recorded what; judging is done once, afterwards.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import partial
from itertools import islice
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import IntegrityError, models, transaction
from django.db.models import F

from access.accounts.models import Clinic, Membership
from access.audit import trail
from access.audit.trail import Acting
from access.records.entry import saving
from access.records.entry.consistency import Known, Vessel, bedside
from access.records.entry.document import times
from access.records.entry.fields import Notes
from access.records.entry.known import seen_before, stations_of, vessels_of
from access.records.entry.project import Origin, rows
from access.records.entry.saving import Save, Saved
from access.records.entry.treatment import end_of_day, judged, read, stamp, touched
from access.records.models import CarePeriod, Examination, Patient, Treatment, TreatmentVersion
from access.records.problems import Document, Invalid, Missing

CHUNK = 500
Period = tuple[datetime, datetime | None]


def load_treatments(loaded: Iterable[dict[str, Any]], *, clinic: Clinic, acting: Acting) -> int:
    """Store many new treatments of a clinic and say how many; a save id that is known already is passed over.

    Parameters
    ----------
    loaded : iterable of dict
        ``id``, ``save_id``, ``recorded_by`` and ``document``; also ``received_at`` (else the time of acting),
        ``sent_by`` (else who acts, else who recorded) and ``device``.

    Raises
    ------
    Invalid
        With the place of the row before the field; nothing of its chunk of 500 is stored then.
    Missing
        When a patient was not in the clinic's care at the bedside time.
    """
    loader, waiting, count = _Loader(clinic=clinic, acting=acting), iter(loaded), 0
    while chunk := list(islice(waiting, CHUNK)):
        with transaction.atomic():
            count += loader.store(chunk)
    return count


@dataclass
class _Batch:
    """The rows of one chunk, in the order of their tables."""

    treatments: list[Treatment] = field(default_factory=list)
    versions: list[TreatmentVersion] = field(default_factory=list)
    parts: dict[type[models.Model], list[Any]] = field(default_factory=dict)

    def tables(self) -> Iterator[tuple[type[models.Model], list[Any]]]:
        """Each table with its rows, what is pointed at first."""
        yield Treatment, self.treatments
        yield TreatmentVersion, self.versions
        yield from self.parts.items()


class _Loader:
    """What was looked up once and is used for every row."""

    def __init__(self, *, clinic: Clinic, acting: Acting) -> None:
        self.clinic, self.acting = clinic, acting
        self.zone, self.stations = ZoneInfo(clinic.time_zone), stations_of([clinic.pk])
        self.vessels: dict[UUID, dict[str, Vessel]] = {}
        self.care: dict[UUID, list[Period]] = {}
        self.first_of_day: dict[tuple[UUID, date], UUID] = {}
        members = Membership.objects.filter(clinic=clinic, post__in=clinic.examining_posts)
        self.alone: dict[UUID, list[Period]] = {}
        for user, since, until in members.values_list("user", "since", "until"):
            self.alone.setdefault(user, []).append((since, until))

    def store(self, chunk: list[dict[str, Any]]) -> int:
        """Store one chunk in the transaction that is open."""
        ids = [row["save_id"] for row in chunk]
        known = {str(one) for one in TreatmentVersion.objects.filter(save_id__in=ids).values_list("save_id", flat=True)}
        fresh = [(place, row) for place, row in enumerate(chunk) if str(row["save_id"]) not in known]
        documents = [(place, row, *self._read(row, place)) for place, row in fresh]
        self._look_up({UUID(document["patient"]) for _, _, document, _ in documents})
        batch = _Batch()
        for place, row, document, notes in documents:
            self._add(row, place=place, document=document, notes=notes, batch=batch)
        self._write(batch)
        return len(documents)

    def _read(self, row: dict[str, Any], place: int) -> tuple[Document, Notes]:
        try:
            return read(row["document"])
        except Invalid as refused:
            raise _at(place, refused) from refused

    def _look_up(self, patients: set[UUID]) -> None:
        """Lock the patients and look up those who have not come before."""
        locked = Patient.objects.select_for_update(no_key=True).filter(pk__in=patients).order_by("pk")
        if len(locked) < len(patients):
            raise Missing
        new = patients - self.vessels.keys()
        self.vessels.update(vessels_of(new))
        periods = CarePeriod.objects.filter(patient__in=new, clinic=self.clinic)
        for patient, since, until in periods.values_list("patient", "since", "until"):
            self.care.setdefault(patient, []).append((since, until))
        there = Treatment.objects.filter(patient__in=new, made_in_error=False)
        order = (F("possibly_same_as_id").asc(nulls_first=True), "received_at", "pk")
        for name, patient, day in there.order_by(*order).values_list("pk", "patient", "clinic_day"):
            self.first_of_day.setdefault((patient, day), name)

    def _add(self, row: dict[str, Any], *, place: int, document: Document, notes: Notes, batch: _Batch) -> None:
        origin = self._origin(row)
        at = origin.received_at
        seen_at = bedside(times(document), otherwise=end_of_day(document, clinic=self.clinic, now=at))
        patient = UUID(document["patient"])
        periods = self.care.get(patient, [])
        if not _covered(periods, at) and not _covered(periods, seen_at):
            raise Missing
        known = Known(
            vessels=self.vessels[patient],
            stations=self.stations,
            zone=self.zone,
            now=at,
            examines_alone=_covered(self.alone.get(origin.recorded_by, []), seen_at),
            seen_before=partial(seen_before, unsaved=batch.parts.get(Examination, ())),
        )
        try:
            asks = judged(document, known=known, notes=notes)
        except Invalid as refused:
            raise _at(place, refused) from refused
        saved = self._saved(row, patient=patient, document=document, asks=asks, origin=origin)
        body = Save(save_id=_id(row["save_id"]), document=document, create=True)
        columns = saving.version_columns(body, saved=saved, origin=origin, acting=self.acting)
        batch.treatments.append(saved.record)
        batch.versions.append(TreatmentVersion(treatment=saved.record, **columns))
        for _, model, found in rows(saved.record, document=document, origin=origin).parts():
            batch.parts.setdefault(model, []).extend(found.values())

    def _saved(self, row: dict[str, Any], *, patient: UUID, document: Document, asks: Any, origin: Origin) -> Saved:
        name, day = _id(row["id"]), date.fromisoformat(document["clinic_day"])
        first = self.first_of_day.setdefault((patient, day), name)
        treatment = Treatment(pk=name, patient_id=patient, clinic=self.clinic, clinic_day=day)
        treatment.possibly_same_as_id = None if first == name else first
        stamp(treatment, document=document, origin=origin, clinic=self.clinic)
        return Saved(
            record=treatment,
            version=1,
            document=document,
            received_at=origin.received_at,
            asks=asks,
            access_ids=touched(document),
            created=True,
            possibly_same=treatment.possibly_same_as_id,
        )

    def _origin(self, row: dict[str, Any]) -> Origin:
        recorded_by = _id(row["recorded_by"])
        return Origin(
            clinic=self.clinic.pk,
            recorded_by=recorded_by,
            sent_by=_id(row.get("sent_by") or self.acting.user or recorded_by),
            received_at=row.get("received_at") or self.acting.at,
            device=_id(row["device"]) if row.get("device") else None,
        )

    def _write(self, batch: _Batch) -> None:
        if not batch.treatments:
            return
        try:
            for model, found in batch.tables():
                model._default_manager.bulk_create(found, batch_size=CHUNK)
        except IntegrityError as refused:
            raise Invalid([("id", "An id of these treatments, or of a part of one, is there already.")]) from refused
        ids = [one.pk for one in batch.treatments]
        patients = sorted({one.patient_id for one in batch.treatments})
        trail.write("treatment:load", acting=self.acting, subjects=ids, patients=patients)


def _id(value: UUID | str) -> UUID:
    return value if isinstance(value, UUID) else UUID(value)


def _covered(periods: list[Period], at: datetime) -> bool:
    return any(since <= at and (until is None or until > at) for since, until in periods)


def _at(place: int, refused: Invalid) -> Invalid:
    """The same refusal with the place of the row before each field."""
    return Invalid((f"{place}.{name}", text) for name, text in refused.fields)
