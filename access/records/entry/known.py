"""Looks up what a document is held against: the patient's accesses and the posts of whoever examined."""

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from access.accounts.models import Clinic, Membership, Station
from access.records.entry.consistency import Known, Vessel
from access.records.entry.saving import covers
from access.records.models import VascularAccess

_VESSEL = ("kind", "side", "configuration", "needled_from_cm", "needled_to_cm")


def vessels_of(patients: Iterable[UUID]) -> dict[UUID, dict[str, Vessel]]:
    """The accesses of each patient by id, in one query."""
    found: dict[UUID, dict[str, Vessel]] = {patient: {} for patient in patients}
    accesses = VascularAccess.objects.filter(patient__in=list(found), made_in_error=False)
    for row in accesses.values("id", "patient", *_VESSEL):
        found[row["patient"]][str(row["id"])] = Vessel(**{name: row[name] for name in _VESSEL})
    return found


def stations_of(clinics: Iterable[UUID]) -> frozenset[str]:
    """The ids of the clinics' stations."""
    return frozenset(
        str(one) for one in Station.objects.filter(clinic__in=list(clinics)).order_by().values_list("pk", flat=True)
    )


def known_of(patient: UUID, *, clinic: Clinic, maker: UUID, person: UUID, bedside_at: datetime, now: datetime) -> Known:
    """What one save of one patient is held against; ``maker`` is the clinic that made the record."""
    return Known(
        vessels=vessels_of([patient])[patient],
        stations=stations_of({clinic.pk, maker}),
        zone=ZoneInfo(clinic.time_zone),
        now=now,
        examines_alone=examines_alone(person, clinic=clinic, at=bedside_at),
    )


def examines_alone(person: UUID, *, clinic: Clinic, at: datetime) -> bool:
    """Whether a post of this person is one that the clinic lets examine without a second person."""
    posts = Membership.objects.filter(covers(at), user=person, clinic=clinic).order_by().values_list("post", flat=True)
    return not set(clinic.examining_posts).isdisjoint(posts)
