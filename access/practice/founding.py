"""Sets the invented clinics up: clinics, staff, patients with their accesses, orders, zones and events.

It uses the writers that everybody uses. Treatments and measurements are loaded in ``loading``; whatever is there
already stays as it is.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time
from typing import Any
from uuid import UUID

from django.db import transaction

from access.accounts import clinics
from access.accounts.models import Clinic, Membership, Station, User
from access.audit.trail import Acting
from access.practice import chance
from access.practice.accesses import REACH, Truth
from access.practice.calendar import Calendar
from access.practice.course import height_cm, hours_of
from access.practice.people import Member, Person, Place, places, staff
from access.practice.stories import truth_of
from access.records import entry
from access.records.entry import Save
from access.records.history import in_force
from access.records.models import Patient

PASSWORD = "each needle has its place"  # noqa: S105 - of invented people, on the loopback address only.
MACHINES = (("type B", 120.0), ("type A", 125.0))  # Of stations with an even number, and with an odd one.
WRITERS = {
    "event": entry.save_event,
    "hold": entry.save_hold,
    "prescription": entry.save_prescription,
    "zone": entry.save_zone,
}
ALLERGIES = ("", "", "", "", "chlorhexidine: rash", "paper tape: blisters", "latex")
TO_CONTRAST = ("", "", "", "", "", "iodine contrast: hives in 2019")
MEDICINES = ("", "", "aspirin 75 mg", "clopidogrel 75 mg", "apixaban 2.5 mg twice a day", "insulin")
WHY_CONFIRMED = "Read beside the guideline and kept for this clinic (an invented confirmation)."


@dataclass(frozen=True, kw_only=True)
class Demo:
    """The clinics as they stand in the database, and who writes for whom."""

    seed: int
    calendar: Calendar
    clinics: dict[str, Clinic]
    users: dict[str, User]
    stations: dict[tuple[str, int], Station]

    def acting(self, username: str, *, at: datetime) -> Acting:
        """Somebody of the staff acting for their clinic."""
        member = next(one for one in staff() if one.username == username)
        return Acting(user=self.users[username].pk, clinic=self.clinics[member.clinic].pk, at=at)

    def coordinator(self, place: str) -> str:
        """The username of a clinic's coordinator."""
        return next(one.username for one in staff() if one.clinic == place and one.role == "coordinator")

    def nephrologist(self, place: str) -> str:
        """The username of a clinic's nephrologist."""
        return next(one.username for one in staff() if one.clinic == place and one.role == "nephrologist")

    def patient_id(self, person: Person) -> UUID:
        """The id of an invented patient."""
        return chance.record_id(self.calendar.opened, self.seed, person.name, "patient")

    def access_id(self, person: Person) -> UUID:
        """The id of an invented patient's access."""
        return chance.record_id(self.calendar.opened, self.seed, person.name, "access")


def opened() -> datetime | None:
    """When the demo that is in the database opened, or None where there is none."""
    first = Membership.objects.filter(user__username=staff()[0].username, clinic__is_demo=True).first()
    return first.since if first else None


def found(calendar: Calendar, *, patients: Sequence[Person], seed: int) -> Demo:
    """The clinics with staff and patients, made where they are not there yet."""
    by_name = Clinic.objects.in_bulk(field_name="name")
    if places()["tarnwick"].name not in by_name:
        _clinics(calendar, seed=seed)
        by_name = Clinic.objects.in_bulk(field_name="name")
    by_key = {key: by_name[place.name] for key, place in places().items()}
    demo = Demo(
        seed=seed,
        calendar=calendar,
        clinics=by_key,
        users={one.username: one for one in User.objects.filter(username__in=[one.username for one in staff()])},
        stations={
            (key, int(one.name)): one for key, clinic in by_key.items() for one in Station.objects.filter(clinic=clinic)
        },
    )
    known = set(Patient.objects.filter(clinic__in=by_key.values()).values_list("pk", flat=True))
    for person in patients:
        if demo.patient_id(person) not in known:
            _patient(person, demo=demo)
    return demo


@transaction.atomic
def _clinics(calendar: Calendar, *, seed: int) -> None:
    nobody = Acting(user=None, clinic=None, at=calendar.as_of)
    for place in places().values():
        clinic = clinics.create_clinic(place.name, acting=nobody, **_columns(place))
        for number in range(1, place.stations + 1):
            _station(clinic, place=place, number=number, calendar=calendar, seed=seed)
        members = {one.username: _member(one, clinic=clinic, calendar=calendar) for one in _of(place)}
        if place.key == "tarnwick":
            _confirm_limits(clinic, by=members["ben"], at=calendar.as_of)


def _of(place: Place) -> list[Member]:
    return [one for one in staff() if one.clinic == place.key]


def _columns(place: Place) -> dict[str, Any]:
    return {
        "time_zone": place.time_zone,
        "shifts": list(place.shifts),
        "emergency_contacts": list(place.emergency_contacts),
        "examining_posts": list(place.examining_posts),
        "is_demo": True,
    }


def _station(clinic: Clinic, *, place: Place, number: int, calendar: Calendar, seed: int) -> None:
    machine, limit = MACHINES[number % 2]
    acting = Acting(user=None, clinic=clinic.pk, at=calendar.as_of)
    station = clinics.add_station(
        clinic, name=f"{number:02}", machine_type=machine, venous_limit_mmhg=limit, acting=acting
    )
    height = height_cm(place.key, station=number, seed=seed)
    on = calendar.opened.astimezone(calendar.zone(place.key)).date()
    clinics.measure_heights(station, arterial_cm=height, venous_cm=height, on=on, acting=acting)


def _member(member: Member, *, clinic: Clinic, calendar: Calendar) -> User:
    acting = Acting(user=None, clinic=clinic.pk, at=calendar.as_of)
    password = PASSWORD if member.signs_in else None
    user = clinics.create_user(member.username, full_name=member.name, password=password, acting=acting)
    clinics.add_member(clinic, user=user, role=member.role, post=member.post, since=calendar.opened, acting=acting)
    clinics.add_staff(clinic, name=member.name, post=member.post, user=user, acting=acting)
    return user


def _confirm_limits(clinic: Clinic, *, by: User, at: datetime) -> None:
    """Every limit that waits is confirmed by the invented nephrologist, as it is."""
    acting = Acting(user=by.pk, clinic=clinic.pk, at=at)
    for limit in in_force(clinic).unconfirmed():
        clinics.set_limit(clinic, limit=limit.id, value=limit.value, why=WHY_CONFIRMED, acting=acting)


@transaction.atomic
def _patient(person: Person, *, demo: Demo) -> None:
    """A patient in the clinic that first had them, with access, orders and what is known of the vessel."""
    truth, calendar = truth_of(person, seed=demo.seed), demo.calendar
    place = "ostermere" if truth.moved_on is not None else person.clinic
    acting = demo.acting(demo.coordinator(place), at=calendar.as_of)
    joined = calendar.date_of(truth.joined, place=person.clinic)
    since = datetime.combine(joined, time(), tzinfo=calendar.zone(person.clinic))
    patient = entry.create_patient(
        _about(person, truth=truth, demo=demo, place=place),
        acting=acting,
        patient_id=demo.patient_id(person),
        since=since,
    )
    document = _vessel(truth, calendar=calendar, place=person.clinic)
    entry.create_access(patient, document=document, acting=acting, access_id=demo.access_id(person))
    _orders(person, truth=truth, demo=demo, place=place)


def _about(person: Person, *, truth: Truth, demo: Demo, place: str) -> dict[str, Any]:
    def of(texts: tuple[str, ...], what: str) -> str:
        return chance.chosen(texts, demo.seed, person.name, what)

    return {
        "chart_number": person.chart_number,
        "name": person.name,
        "birth_date": person.birth_date.isoformat(),
        "sex": person.sex,
        "schedule_days": list(person.weekdays),
        "shift": person.shift,
        "station": str(demo.stations[place, person.station].pk),
        "arm_notes": f"no blood pressure, no blood draw on the {truth.side} arm",
        "needle_allergies": of(ALLERGIES, "needle allergies"),
        "procedure_allergies": of(TO_CONTRAST, "procedure allergies"),
        "procedure_medicines": of(MEDICINES, "medicines"),
    }


def _vessel(truth: Truth, *, calendar: Calendar, place: str) -> dict[str, Any]:
    def day(number: int | None) -> str | None:
        return None if number is None else calendar.date_of(number, place=place).isoformat()

    from_cm, to_cm = REACH[truth.configuration].needled
    first = truth.first_needled
    return {
        "kind": truth.kind,
        "configuration": truth.configuration,
        "side": truth.side,
        "status": truth.status,
        "created_on": day(truth.created),
        "first_needled_on": day(first),
        "weeks_to_first_use": None if first is None else (first - truth.created) // 7,
        "needled_from_cm": from_cm,
        "needled_to_cm": to_cm,
        "depth_cm": truth.depth_cm,
        "diameter_cm": truth.diameter_cm,
        "note": truth.note,
    }


def _orders(person: Person, *, truth: Truth, demo: Demo, place: str) -> None:
    calendar = demo.calendar
    since = calendar.date_of(truth.joined, place=person.clinic)
    document = {
        "patient": str(demo.patient_id(person)),
        "since": since.isoformat(),
        "hours": hours_of(person, seed=demo.seed),
        "pump_ml_min": truth.pump_ml_min,
        "dialysate_flow_ml_min": 500,
        "dialyzer": "1.8 m2",
        "heparin": "2000 units, then 1000 an hour",
        "needle_gauge": truth.gauge,
    }
    save(demo, "prescription", person=person, document=document, by=demo.nephrologist(place), key=("orders",))


def save(
    demo: Demo,
    subject: str,
    *,
    person: Person,
    document: dict[str, Any],
    by: str,
    key: tuple[object, ...],
    at: datetime | None = None,
) -> None:
    """Store one small record of a person under an id of its own."""
    name = chance.record_id(at or demo.calendar.opened, demo.seed, person.name, subject, *key)
    save_id = chance.record_id(at or demo.calendar.opened, demo.seed, person.name, subject, *key, "save")
    body = Save(save_id=save_id, document=document, create=True)
    WRITERS[subject](name, body=body, acting=demo.acting(by, at=at or demo.calendar.as_of))
