"""Puts the invented treatments and measurements into the records: what is missing is added, nothing is changed.

A day on which somebody already recorded a treatment of the patient is left to them. What follows from the readings
is judged afterwards, once.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction

from access.accounts.models import Clinic
from access.practice import chance
from access.practice.accesses import Happening
from access.practice.course import Course
from access.practice.founding import Demo, save
from access.practice.measured import Result, measured
from access.practice.people import staff
from access.practice.sheet import Written, nurse_on, written
from access.records import entry
from access.records.entry import Save
from access.records.entry.load_records import load_records
from access.records.models import CarePeriod, RecordVersion, Treatment


@dataclass(frozen=True, kw_only=True)
class There:
    """The treatments of the invented patients that are in the records, and the small records."""

    treatments: frozenset[UUID]
    by_day: dict[tuple[UUID, date], Treatment]
    records: frozenset[UUID]
    care: dict[tuple[UUID, UUID], list[CarePeriod]]

    def is_cared_for(self, patient: UUID, *, clinic: Clinic, at: datetime) -> bool:
        """Whether a clinic had a patient at a moment; a visitor may have handed the patient over."""
        periods = self.care.get((patient, clinic.pk), [])
        return any(one.since <= at and (one.until is None or one.until > at) for one in periods)


def there(demo: Demo) -> There:
    """What is in the records already."""
    clinics = list(demo.clinics.values())
    columns = ("pk", "patient_id", "clinic_day", "version", "state")
    found = list(Treatment.objects.filter(clinic__in=clinics).only(*columns))
    records = RecordVersion.objects.filter(clinic__in=clinics).values_list("record", flat=True)
    care: dict[tuple[UUID, UUID], list[CarePeriod]] = defaultdict(list)
    for period in CarePeriod.objects.filter(clinic__in=clinics):
        care[period.patient_id, period.clinic_id].append(period)
    return There(
        treatments=frozenset(one.pk for one in found),
        by_day={(one.patient_id, one.clinic_day): one for one in found},
        records=frozenset(records),
        care=care,
    )


def load_treatments(demo: Demo, courses: Iterable[Course], *, known: There) -> int:
    """Load the treatments that are missing, each clinic's by itself; how many there were."""
    rows: dict[str, list[dict[str, Any]]] = {place: [] for place in demo.clinics}
    count = 0
    for course in courses:
        patient = demo.patient_id(course.person)
        for one in _missing(demo, course, known=known):
            planned = known.by_day.get((patient, date.fromisoformat(one.document["clinic_day"])))
            if planned is None:
                rows[one.clinic].append(_row(demo, course, one))
            else:
                count += _finished(demo, planned, one)
    for place, listed in rows.items():
        at = demo.calendar.as_of
        acting = demo.acting(demo.coordinator(place), at=at)
        count += entry.load_treatments(listed, clinic=demo.clinics[place], acting=acting)
    return count


def ids_of(demo: Demo, course: Course) -> dict[str, str]:
    """The ids that a course's documents name."""
    stations = {place: one for (place, number), one in demo.stations.items() if number == course.person.station}
    return {
        "patient": str(demo.patient_id(course.person)),
        "access": str(demo.access_id(course.person)),
        **{place: str(station.pk) for place, station in stations.items()},
    }


def _missing(demo: Demo, course: Course, *, known: There) -> Iterator[Written]:
    listed = written(course, staff=staff(), ids=ids_of(demo, course), wanted=_wanted(demo, course, known=known))
    patient = demo.patient_id(course.person)
    return (
        one
        for one in listed
        if UUID(one.id) not in known.treatments
        and known.is_cared_for(patient, clinic=demo.clinics[one.clinic], at=one.received_at)
    )


def _wanted(demo: Demo, course: Course, *, known: There) -> Collection[int]:
    """The treatments of a course of which nothing is stored yet, or only what was planned or begun."""
    patient = demo.patient_id(course.person)
    stored = {day: one for (whose, day), one in known.by_day.items() if whose == patient}
    return [index for index, day in enumerate(course.clinic_days) if day not in stored or _unfinished(stored[day])]


def _unfinished(treatment: Treatment) -> bool:
    return treatment.state in ("planned", "running") and treatment.version <= 1


def _row(demo: Demo, course: Course, one: Written) -> dict[str, Any]:
    user = demo.users[one.username].pk
    return {
        "id": one.id,
        "save_id": _save_id(demo, course.person.name, one, "load"),
        "recorded_by": user,
        "sent_by": user,
        "received_at": one.received_at,
        "document": one.document,
    }


def _save_id(demo: Demo, name: str, one: Written, step: str) -> UUID:
    return chance.record_id(one.received_at, demo.seed, name, one.document["clinic_day"], step)


def _finished(demo: Demo, treatment: Treatment, one: Written) -> int:
    """End a treatment that was planned, or begun by the demo itself, on an earlier start."""
    if treatment.version == 1 and not treatment.versions.filter(save_id=begun_id(treatment)).exists():
        return 0
    body = Save(
        save_id=chance.record_id(one.received_at, treatment.pk, "ended"),
        document=one.document,
        base_version=treatment.version,
    )
    entry.save_treatment(treatment.pk, body=body, acting=demo.acting(one.username, at=one.received_at))
    return 1


def begun_id(treatment: Treatment) -> UUID:
    """The save by which the demo began a planned treatment."""
    noon = datetime.combine(treatment.clinic_day, datetime.min.time())
    return chance.record_id(noon, treatment.pk, "begun")


def load_measured(demo: Demo, courses: Iterable[Course], *, known: There) -> int:
    """Load the measurements that are missing, each clinic's by itself; how many there were."""
    rows: dict[str, list[dict[str, Any]]] = {place: [] for place in demo.clinics}
    for course in courses:
        for one in measured(course):
            clinic = demo.clinics[course.places[one.index]]
            here = known.is_cared_for(demo.patient_id(course.person), clinic=clinic, at=one.at)
            if here and UUID(one.id) not in known.records:
                rows[course.places[one.index]].append(_measured_row(demo, course, one, known=known))
    count = 0
    for place, listed in rows.items():
        acting = demo.acting(demo.coordinator(place), at=demo.calendar.as_of)
        count += load_records(listed, clinic=demo.clinics[place], acting=acting)
    return count


def _measured_row(demo: Demo, course: Course, one: Result, *, known: There) -> dict[str, Any]:
    nurse = nurse_on(course, one.index, staff=staff())
    return {
        "subject": one.subject,
        "id": UUID(one.id),
        "save_id": chance.record_id(one.at, one.id, "save"),
        "recorded_by": demo.users[nurse.username].pk,
        "received_at": min(one.at + timedelta(minutes=15), demo.calendar.as_of),
        "document": _about(demo, course, one, nurse=nurse.name, known=known),
    }


def _about(demo: Demo, course: Course, one: Result, *, nurse: str, known: There) -> dict[str, Any]:
    """The document of a measurement with the ids that it names."""
    document, patient = dict(one.document), demo.patient_id(course.person)
    document["patient"] = str(patient)
    if treatment := known.by_day.get((patient, course.clinic_days[one.index])):
        document["treatment"] = str(treatment.pk)
    if one.needs_access:
        document["access"] = str(demo.access_id(course.person))
    if one.subject == "flow":
        document["operator"] = nurse
        if document.get("lines") == "reversed":
            document["lines_put_back_by"] = nurse
    return document


@transaction.atomic
def load_told(demo: Demo, courses: Iterable[Course], *, known: There) -> None:
    """Store what the stories tell of: events, zones and holds that have come to pass and are not there yet."""
    for course in courses:
        by = demo.coordinator(course.places[-1] if len(course.places) else course.person.clinic)
        for number, event in enumerate(course.truth.happened):
            _event(demo, course, event, number=number, by=by, known=known)
        for number, zone in enumerate(course.truth.zones):
            day = _day_of(course, zone.ordinal)
            if day is not None:
                columns = {"from_cm": zone.from_cm, "to_cm": zone.to_cm, "why": zone.why, "action": zone.action}
                document = {**columns, "since": day.isoformat(), "note": zone.note}
                _tell(demo, course, "zone", document=document, key=(number,), by=by, known=known)
        if course.truth.hold:
            since = demo.calendar.date_of(course.truth.created, place=course.person.clinic)
            document = {"since": since.isoformat(), "why": course.truth.hold}
            _tell(demo, course, "hold", document=document, key=(0,), by=by, known=known)


def _event(demo: Demo, course: Course, event: Happening, *, number: int, by: str, known: There) -> None:
    if event.ordinal is None:
        day: date | None = demo.calendar.date_of(event.day, place=course.person.clinic)
    else:
        day = _day_of(course, event.ordinal)
    if day is None:
        return
    document = {
        "patient": str(demo.patient_id(course.person)),
        "on": day.isoformat(),
        "what": event.what,
        "where_cm": event.where_cm,
        "where_words": event.where_words,
        "degree_percent": event.degree_percent,
        "outcome": event.outcome,
    }
    _tell(demo, course, "event", document=document, key=(number,), by=by, known=known)


def _day_of(course: Course, ordinal: int) -> date | None:
    """The clinic day of a treatment, where it has been."""
    places = [index for index, one in enumerate(course.ordinals) if int(one) == ordinal]
    return course.clinic_days[places[0]] if places else None


def _tell(
    demo: Demo, course: Course, subject: str, *, document: dict[str, Any], key: tuple[int], by: str, known: There
) -> None:
    name = chance.record_id(demo.calendar.opened, demo.seed, course.person.name, subject, *key)
    if name in known.records:
        return
    document = {**document, "access": str(demo.access_id(course.person))}
    save(demo, subject, person=course.person, document=document, by=by, key=key)
