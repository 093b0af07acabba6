"""The shift that is due: planned for everybody in it, begun for a couple; and the patient who moved to the clinic.

What is begun is written as far as it has gone by the moment that the demo shows.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from access.practice.calendar import Calendar
from access.practice.course import Course, courses
from access.practice.founding import Demo
from access.practice.loading import begun_id, ids_of
from access.practice.people import people, staff
from access.practice.sheet import Written, written
from access.records import entry
from access.records.entry import Save
from access.records.history.lists import shift_at
from access.records.models import CareMove, RecordVersion, Treatment

# The stations at which the treatment of the due shift has begun, once its time has come.
BEGUN_AT = (6, 9)


def move_patients(demo: Demo, made: Sequence[Course]) -> None:
    """Hand over the patients who moved: sent by one coordinator, accepted by the other, given a place."""
    for course in made:
        person, moved_on = course.person, course.truth.moved_on
        patient = demo.patient_id(person)
        if moved_on is None or CareMove.objects.filter(patient=patient).exists():
            continue
        day = demo.calendar.date_of(moved_on, place=person.clinic)
        at = datetime.combine(day, datetime.min.time(), tzinfo=demo.calendar.zone(person.clinic))
        sender = demo.acting(demo.coordinator("ostermere"), at=at)
        move = entry.send_patient(patient, to_clinic=demo.clinics[person.clinic].pk, acting=sender)
        taker = demo.acting(demo.coordinator(person.clinic), at=at)
        entry.accept_patient(move.pk, acting=taker)
        last = RecordVersion.objects.filter(record=patient).order_by("-number")[0]
        station = str(demo.stations[person.clinic, person.station].pk)
        document = {**last.document, "station": station, "shift": person.shift}
        body = Save(save_id=move.pk, document=document, base_version=last.number, reason="Place given.")
        entry.save_patient(patient, body=body, acting=taker)


def open_shifts(demo: Demo) -> None:
    """Plan the shift that runs or comes next in each clinic, and begin a couple of its treatments."""
    for place, clinic in demo.clinics.items():
        day, shift = shift_at(clinic, at=demo.calendar.as_of)
        nurse = next(one for one in staff() if one.clinic == place and one.role == "nurse")
        acting = demo.acting(nurse.username, at=demo.calendar.as_of)
        entry.plan_shift(clinic, clinic_day=day, shift=shift, acting=acting)
    _begin(demo)


def _begin(demo: Demo) -> None:
    clinic = demo.clinics["tarnwick"]
    day, shift = shift_at(clinic, at=demo.calendar.as_of)
    rows = Treatment.objects.filter(clinic=clinic, clinic_day=day, shift=shift, version=0)
    planned = {one.patient_id: one for one in rows}
    due = [
        one
        for one in people()
        if one.clinic == "tarnwick" and one.station in BEGUN_AT and demo.patient_id(one) in planned
    ]
    ends = demo.calendar.hours_of(shift, day=day, place="tarnwick")[1]
    for course in courses(due, calendar=_until(demo.calendar, ends), seed=demo.seed) if due else ():
        treatment, last = planned[demo.patient_id(course.person)], len(course.days) - 1
        if course.starts[last] > demo.calendar.as_of or course.routes[last] != "two needles":
            continue
        [whole] = written(course, staff=staff(), ids=ids_of(demo, course), wanted=[last])
        document = so_far(whole, as_of=demo.calendar.as_of)
        body = Save(save_id=begun_id(treatment), document=document, base_version=0)
        entry.save_treatment(treatment.pk, body=body, acting=demo.acting(whole.username, at=demo.calendar.as_of))


def _until(calendar: Calendar, moment: datetime) -> Calendar:
    return replace(calendar, as_of=moment)


def so_far(whole: Written, *, as_of: datetime) -> dict[str, Any]:
    """A treatment's document as it stands at a moment in it."""

    def been(text: str) -> bool:
        return datetime.fromisoformat(text) <= as_of

    document = whole.document
    needles = [one for one in document["needles"] if been(one["in_at"])]
    return {
        **{name: document[name] for name in ("patient", "clinic_day")},
        "frame": document["frame"] | {"state": "running", "ended_at": None},
        "examinations": [one for one in document["examinations"] if been(one["measured_at"])],
        "needles": [one if been(one["out_at"]) else one | {"out_at": None} for one in needles],
        "pressures": [one for one in document["pressures"] if been(one["measured_at"])],
    }
