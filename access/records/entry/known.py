"""Looks up what a document is held against: the patient's accesses, what was found at them before and by which route
they were dialysed, and the posts of whoever examined.
"""

from collections.abc import Iterable
from datetime import datetime
from typing import NamedTuple
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q

from access.accounts.models import Clinic, Membership, Station
from access.measures.readings import ExaminationReading
from access.measures.rules.emergency import found_last
from access.measures.succession import LONGEST_TREATMENT
from access.records.entry.consistency import Known, Vessel
from access.records.entry.saving import covers
from access.records.models import Examination, Treatment, VascularAccess

# More examinations than one occasion ever holds.
LOOKED_BACK = 12
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
        seen_before=seen_before,
        examines_alone=examines_alone(person, clinic=clinic, at=bedside_at),
    )


def examines_alone(person: UUID, *, clinic: Clinic, at: datetime) -> bool:
    """Whether a post of this person is one that the clinic lets examine without a second person."""
    posts = Membership.objects.filter(covers(at), user=person, clinic=clinic).order_by().values_list("post", flat=True)
    return not set(clinic.examining_posts).isdisjoint(posts)


def seen_before(access: str, at: datetime, *, unsaved: Iterable[Examination] = ()) -> dict[str, str]:
    """What was found at an access at the occasion before an examination of this moment; of two readings the odder one.

    ``unsaved`` are examinations that are stored together with this one.
    """
    until = at - LONGEST_TREATMENT  # What is nearer belongs to the same occasion.
    rows = Examination.objects.filter(access=UUID(access), measured_at__lt=until, made_in_error=False)
    sound = rows.filter(Q(treatment__isnull=True) | Q(treatment__made_in_error=False))
    stored = list(sound.order_by("-measured_at", "-id")[:LOOKED_BACK])
    beside = [one for one in unsaved if str(one.access_id) == access and one.measured_at < until]
    return found_last(_reading(one) for one in (*stored, *beside))


def _reading(row: Examination) -> ExaminationReading:
    return ExaminationReading(
        id=str(row.pk),
        at=row.measured_at,
        treatment=None if row.treatment_id is None else str(row.treatment_id),
        findings=row.findings,
        examiner=row.examiner,
        second_examiner=row.second_examiner,
        second_findings=row.second_findings,
    )


class Begun(NamedTuple):
    """A treatment that was begun: when, and by which route."""

    id: UUID
    at: datetime
    route: str
    made_in_error: bool


def begun(patients: Iterable[UUID], *, which: Q | None = None) -> dict[UUID, list[Begun]]:
    """The treatments of each patient in the order in which they began, in one query."""
    found: dict[UUID, list[Begun]] = {patient: [] for patient in patients}
    rows = Treatment.objects.filter(which or Q(), patient__in=list(found))
    ordered = rows.order_by("measured_at", "pk")
    for patient, *row in ordered.values_list("patient", "pk", "measured_at", "route", "made_in_error"):
        found[patient].append(Begun._make(row))
    return found


def route_at(at: datetime, *, treatment: str | None, among: Iterable[Begun]) -> str:
    """The route of the treatment named, else of the last one begun in the hours before; empty where there is none."""
    found = ""
    for one in among:
        if treatment and str(one.id) == treatment:
            return one.route
        if not treatment and not one.made_in_error and one.at <= at <= one.at + LONGEST_TREATMENT:
            found = one.route
    return found
