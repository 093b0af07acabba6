"""The named cast of the tests, and builders of what they write down. All people and clinics are invented.

Ada is a nurse, Ben a nephrologist and Dov the coordinator of North; Cleo, a nurse of South, must see nothing of North.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from uuid_utils.compat import uuid7

from access.accounts import clinics
from access.accounts.models import Clinic, Device, DeviceSignIn, Station, User
from access.audit.trail import Acting
from access.records import entry
from access.records.entry import Save, Saved
from access.records.models import Patient, VascularAccess

NOW = datetime(2026, 3, 4, 9, 0, tzinfo=UTC)  # A Wednesday, 10:00 in the clinics' zone.
DAY = date(2026, 3, 4)
LONG_AGO = NOW - timedelta(days=1000)
SHIFTS = [
    {"name": "morning", "starts": "06:30", "ends": "11:30"},
    {"name": "afternoon", "starts": "12:30", "ends": "17:30"},
    {"name": "night", "starts": "22:00", "ends": "05:00"},
]
NORMAL = {"thrill": "continuous", "bruit": "low, two phases", "pulse": "soft", "swelling": "none", "skin": "sound"}
PASSWORD = "a long password for tests"


@dataclass(frozen=True, kw_only=True)
class Cast:
    """Who and what the tests speak of."""

    north: Clinic
    south: Clinic
    ada: User
    ben: User
    cleo: User
    dov: User
    one: Station
    two: Station
    tablet: Device
    gwen: Patient  # With a left forearm loop graft.
    graft: VascularAccess
    finn: Patient  # With a right radiocephalic fistula.
    fistula: VascularAccess
    sue: Patient  # Of South.

    def acting(self, user: User, *, at: datetime = NOW, clinic: Clinic | None = None) -> Acting:
        """This person acting for the clinic they belong to."""
        home = self.south if user == self.cleo else self.north
        return Acting(user=user.pk, clinic=(clinic or home).pk, at=at, address="192.0.2.7", request="r-1")

    def signed_in(self, user: User, *, at: datetime) -> None:
        """Note that this person signed in on the tablet of North."""
        DeviceSignIn.objects.create(device=self.tablet, user=user, at=at)


def at(clock: str, *, days: int = 0) -> str:
    """A time of the treatment's day, or so many days later, in UTC: ``at("07:10")``."""
    day = DAY + timedelta(days=days)
    return f"{day.isoformat()}T{clock}:00Z"


def a_patient(name: str, *, acting: Acting, **changes: Any) -> Patient:
    """An invented patient, due on Mondays, Wednesdays and Fridays in the morning."""
    document = {
        "chart_number": f"C-{name}",
        "name": name,
        "birth_date": "1958-04-11",
        "schedule_days": [0, 2, 4],
        "shift": "morning",
        **changes,
    }
    return entry.create_patient(document, acting=acting, since=LONG_AGO)


def an_access(patient: Patient, *, acting: Acting, **changes: Any) -> VascularAccess:
    """An invented access; a left forearm loop graft unless said otherwise."""
    document = {
        "kind": "graft",
        "configuration": "forearm loop graft",
        "side": "left",
        "created_on": "2024-02-01",
        "first_needled_on": "2024-03-01",
        "needled_from_cm": 3.0,
        "needled_to_cm": 30.0,
        **changes,
    }
    return entry.create_access(patient, document=document, acting=acting)


def an_examination(access: VascularAccess, *, clock: str = "06:05", **changes: Any) -> dict[str, Any]:
    """Look, listen and feel before the needles: all as it should be."""
    return {
        "id": str(uuid7()),
        "access": str(access.pk),
        "measured_at": at(clock),
        "findings": dict(NORMAL),
        "filled_together": ["pulse", "swelling"],
        "examiner": "Ada",
        **changes,
    }


def a_needle(access: VascularAccess, *, role: str = "arterial", **changes: Any) -> dict[str, Any]:
    """One puncture; the arterial one at 8.5 cm, the venous one at 20 cm."""
    return {
        "id": str(uuid7()),
        "access": str(access.pk),
        "role": role,
        "along_cm": 8.5 if role == "arterial" else 20.0,
        "across_cm": 0.0,
        "gauge": 15,
        "direction": "against the flow" if role == "arterial" else "with the flow",
        "technique": "rope-ladder",
        "tip": "sharp",
        "in_at": at("06:12"),
        "needled_by": "staff",
        "needled_by_name": "Ada",
        **changes,
    }


def a_reading(*, minute: float = 5, **changes: Any) -> dict[str, Any]:
    """Line pressures at one minute."""
    return {
        "id": str(uuid7()),
        "measured_at": at("06:20"),
        "minute": minute,
        "pump_ml_min": 300.0,
        "pre_pump_arterial_mmhg": -140.0,
        "venous_mmhg": 130.0,
        "systolic_mmhg": 135.0,
        "diastolic_mmhg": 75.0,
        "cuff_limb": "right arm",
        **changes,
    }


def a_treatment_document(access: VascularAccess, **changes: Any) -> dict[str, Any]:
    """A whole treatment at an access: examined, two needles, one reading, after-care."""
    needles = [a_needle(access), a_needle(access, role="venous")]
    return {
        "patient": str(access.patient_id),
        "clinic_day": DAY.isoformat(),
        "frame": {"state": "running", "started_at": at("06:15"), "shift": "morning", "route": "two needles"},
        "examinations": [an_examination(access)],
        "needles": needles,
        "pressures": [a_reading()],
        "after": {"bleeding": {}},
        **changes,
    }


def a_save(document: dict[str, Any], *, base: int | None = None, **changes: Any) -> Save:
    """A save of a document: a new one, or one that started from version ``base``."""
    return Save(**{"save_id": uuid7(), "document": document, "create": base is None, "base_version": base, **changes})


def save(
    cast: Cast, document: dict[str, Any], *, treatment: UUID | None = None, base: int | None = None, **changes: Any
) -> Saved:
    """Ada saves a treatment of North."""
    body = a_save(document, base=base, **changes)
    return entry.save_treatment(treatment or uuid7(), body=body, acting=cast.acting(cast.ada))


def _person(name: str, *, clinic: Clinic, role: str, post: str, acting: Acting) -> User:
    user = clinics.create_user(name.lower(), full_name=f"{name} Example", password=PASSWORD, acting=acting)
    clinics.add_member(clinic, user=user, role=role, post=post, acting=acting, since=LONG_AGO)
    return user


def _clinic(name: str, *, acting: Acting) -> Clinic:
    return clinics.create_clinic(
        name,
        time_zone="Europe/Vienna",
        shifts=SHIFTS,
        examining_posts=["nurse"],
        emergency_contacts=[{"who": "Physician on call", "number": "100"}],
        acting=acting,
    )


@pytest.fixture
def cast(db: None) -> Cast:
    """Two clinics with their people, and three patients."""
    return a_cast()


def a_cast() -> Cast:
    """Store the cast."""
    nobody = Acting(user=None, clinic=None, at=LONG_AGO)
    north, south = _clinic("North", acting=nobody), _clinic("South", acting=nobody)
    ada = _person("Ada", clinic=north, role="nurse", post="nurse", acting=nobody)
    ben = _person("Ben", clinic=north, role="nephrologist", post="physician", acting=nobody)
    cleo = _person("Cleo", clinic=south, role="nurse", post="nurse", acting=nobody)
    dov = _person("Dov", clinic=north, role="coordinator", post="coordinator", acting=nobody)
    one, two = (clinics.add_station(north, name=name, acting=nobody) for name in ("1", "2"))
    dov_acts = Acting(user=dov.pk, clinic=north.pk, at=NOW - timedelta(days=30))
    cleo_acts = Acting(user=cleo.pk, clinic=south.pk, at=NOW - timedelta(days=30))
    gwen = a_patient("Gwen", station=str(one.pk), acting=dov_acts)
    finn = a_patient("Finn", station=str(two.pk), acting=dov_acts)
    right = {"kind": "fistula", "configuration": "radiocephalic", "side": "right", "needled_to_cm": 22.0}
    return Cast(
        north=north,
        south=south,
        ada=ada,
        ben=ben,
        cleo=cleo,
        dov=dov,
        one=one,
        two=two,
        tablet=Device.objects.create(clinic=north, name="Tablet A"),
        gwen=gwen,
        graft=an_access(gwen, acting=dov_acts),
        finn=finn,
        fistula=an_access(finn, acting=dov_acts, **right),
        sue=a_patient("Sue", acting=cleo_acts),
    )
