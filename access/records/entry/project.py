"""Rebuilds the rows of a Treatment from its document: the rows are a projection and are written nowhere else.

The parts that did not change keep their rows, and with them who recorded an examination and when it arrived.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cache
from typing import Any, TypeVar
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import IntegrityError, models

from access.accounts.models import Clinic
from access.records.entry.document import LISTS, times
from access.records.models import Examination, Needle, Reading, Treatment
from access.records.problems import Document, Invalid

Row = TypeVar("Row", bound=models.Model)
_FRAME = (
    "shift",
    "route",
    "not_dialysed_why",
    "pump_prescribed_ml_min",
    "pump_reached_ml_min",
    "heparin",
    "antithrombotics",
    "notes",
)


@dataclass(frozen=True, kw_only=True)
class Origin:
    """Whose save this is and when it arrived."""

    clinic: UUID
    recorded_by: UUID
    sent_by: UUID
    received_at: datetime
    device: UUID | None = None


@dataclass(frozen=True, kw_only=True)
class Rows:
    """The rows that one document stands for, unsaved, by id."""

    examinations: dict[str, Examination]
    needles: dict[str, Needle]
    readings: dict[str, Reading]

    def parts(self) -> Iterable[tuple[str, type[models.Model], dict[str, Any]]]:
        """Each list of the document with its table and its rows."""
        yield "examinations", Examination, self.examinations
        yield "needles", Needle, self.needles
        yield "pressures", Reading, self.readings


def _at(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None


def planned_start(clinic: Clinic, *, clinic_day: date, shift: str) -> datetime:
    """When a shift of a clinic starts on a day; midnight where the clinic does not say."""
    starts = next((one["starts"] for one in clinic.shifts if one["name"] == shift), "00:00")
    return datetime.combine(clinic_day, time.fromisoformat(starts), tzinfo=ZoneInfo(clinic.time_zone))


def apply(treatment: Treatment, *, document: Document, clinic: Clinic) -> None:
    """Set the treatment's own columns from its document, without saving."""
    frame = document["frame"]
    treatment.state = "made in error" if treatment.made_in_error else frame["state"]
    treatment.clinic_day = date.fromisoformat(document["clinic_day"])
    treatment.station_id = UUID(frame["station"]) if frame["station"] else None
    treatment.started_at, treatment.ended_at = _at(frame["started_at"]), _at(frame["ended_at"])
    for name in _FRAME:
        setattr(treatment, name, frame[name])
    treatment.left_how = document["after"]["left_how"]
    earliest = min((datetime.fromisoformat(text) for text in times(document)), default=None)
    planned = planned_start(clinic, clinic_day=treatment.clinic_day, shift=frame["shift"])
    treatment.measured_at = treatment.started_at or earliest or planned


def rows(treatment: Treatment, *, document: Document, origin: Origin) -> Rows:
    """The rows that a document stands for."""
    lasted = document["after"]["bleeding"]
    return Rows(
        examinations={
            one["id"]: _row(
                Examination,
                one,
                treatment_id=treatment.pk,
                patient_id=treatment.patient_id,
                clinic_id=origin.clinic,
                recorded_by_id=origin.recorded_by,
                sent_by_id=origin.sent_by,
                device_id=origin.device,
                received_at=origin.received_at,
                made_in_error=treatment.made_in_error,
            )
            for one in document["examinations"]
        },
        needles={
            one["id"]: _row(Needle, one, treatment_id=treatment.pk, bleeding_minutes=lasted.get(one["id"]))
            for one in document["needles"]
        },
        readings={one["id"]: _row(Reading, one, treatment_id=treatment.pk) for one in document["pressures"]},
    )


def _row(model: type[Row], entry: dict[str, Any], **more: object) -> Row:
    """One row from one entry of a document."""
    return model(**columns(model, entry), **more)


def columns(model: type[models.Model], entry: dict[str, Any]) -> dict[str, Any]:
    """The columns that an entry of a document fills, as the store holds them."""
    return {attribute: read(entry[name]) for name, attribute, read in _columns(model) if name in entry}


@cache
def _columns(model: type[models.Model]) -> tuple[tuple[str, str, Any], ...]:
    found = []
    for field in model._meta.concrete_fields:
        read: Any = _same
        if isinstance(field, models.ForeignKey | models.UUIDField):
            read = _key
        elif isinstance(field, models.DateTimeField):
            read = _at
        elif isinstance(field, models.DateField):
            read = _on
        found.append((field.name, field.attname, read))
    return tuple(found)


def _same(value: Any) -> Any:
    return value


def _key(text: str | None) -> UUID | None:
    return UUID(text) if text else None


def _on(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def project(treatment: Treatment, *, document: Document, previous: Document | None, origin: Origin) -> None:
    """Store the rows of a document in place of those of the one before.

    Raises
    ------
    Invalid
        When the id of a row already belongs to another treatment.
    """
    new = rows(treatment, document=document, origin=origin)
    old = rows(treatment, document=previous or {**document, **dict.fromkeys(LISTS, [])}, origin=origin)
    for (part, model, present), (_, _, before) in zip(new.parts(), old.parts(), strict=True):
        same = {name for name, row in present.items() if name in before and _equal(row, before[name])}
        if gone := before.keys() - same:
            model._default_manager.filter(pk__in=gone).delete()
        try:
            model._default_manager.bulk_create([row for name, row in present.items() if name not in same])
        except IntegrityError as refused:
            raise Invalid([(part, "An id in this part already belongs to another treatment.")]) from refused


def _equal(one: models.Model, other: models.Model) -> bool:
    return all(getattr(one, name) == getattr(other, name) for _, name, _ in _columns(type(one)))
