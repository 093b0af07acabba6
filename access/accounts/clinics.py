"""The writers that set a clinic up: users, clinics, members, stations, staff, limits. Each writes the trail.

They are for commands and administrators; whether somebody may, ``permissions`` says.
"""

from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from access.accounts.models import Clinic, ClinicLimit, Membership, StaffMember, Station, User
from access.audit import trail
from access.audit.trail import Acting


@transaction.atomic
def create_user(username: str, *, full_name: str, password: str | None, acting: Acting) -> User:
    """Store a person who can sign in; without a password not yet."""
    user = User.objects.create_user(username, full_name=full_name, password=password)
    trail.write("user:create", acting=acting, subjects=[user.pk])
    return user


@transaction.atomic
def create_clinic(name: str, *, acting: Acting, **columns: Any) -> Clinic:
    """Store a clinic; ``columns`` are those of ``Clinic`` besides its name."""
    clinic = Clinic.objects.create(name=name, **columns)
    trail.write("clinic:create", acting=acting, subjects=[clinic.pk])
    return clinic


@transaction.atomic
def change_clinic(clinic: Clinic, *, acting: Acting, **columns: Any) -> Clinic:
    """Store new values of a clinic's own columns; the trail names the columns."""
    for name, value in columns.items():
        clinic._meta.get_field(name)
        setattr(clinic, name, value)
    clinic.save(update_fields=list(columns))
    trail.write("clinic:change", acting=acting, subjects=[clinic.pk], detail={"columns": sorted(columns)})
    return clinic


@transaction.atomic
def add_member(
    clinic: Clinic, *, user: User, role: str, post: str, acting: Acting, since: datetime | None = None
) -> Membership:
    """Make a person something at a clinic."""
    member = Membership.objects.create(clinic=clinic, user=user, role=role, post=post, since=since or acting.at)
    _changed(clinic, subjects=[member.pk, user.pk], what="member added", acting=acting)
    return member


@transaction.atomic
def end_membership(member: Membership, *, acting: Acting, until: datetime | None = None) -> Membership:
    """End what a person is at a clinic; the row stays."""
    member.until = until or acting.at
    member.save(update_fields=["until"])
    _changed(member.clinic, subjects=[member.pk, member.user_id], what="member ended", acting=acting)
    return member


@transaction.atomic
def add_station(clinic: Clinic, *, name: str, acting: Acting, **columns: Any) -> Station:
    """Store a dialysis place; ``columns`` are those of ``Station`` besides its name."""
    station = Station.objects.create(clinic=clinic, name=name, **columns)
    _changed(clinic, subjects=[station.pk], what="station added", acting=acting)
    return station


@transaction.atomic
def measure_heights(
    station: Station, *, arterial_cm: float | None, venous_cm: float | None, on: date, acting: Acting
) -> Station:
    """Store the heights of a station's chambers above the access, with the day they were measured."""
    station.arterial_chamber_height_cm, station.venous_chamber_height_cm = arterial_cm, venous_cm
    station.heights_measured_on = on
    station.save()
    _changed(station.clinic, subjects=[station.pk], what="heights measured", acting=acting)
    return station


@transaction.atomic
def add_staff(clinic: Clinic, *, name: str, post: str, acting: Acting, user: User | None = None) -> StaffMember:
    """Store somebody who needles or assists, with or without a sign-in of their own."""
    member = StaffMember.objects.create(clinic=clinic, name=name, post=post, user=user)
    _changed(clinic, subjects=[member.pk], what="staff added", acting=acting)
    return member


@transaction.atomic
def set_limit(
    clinic: Clinic, *, limit: str, value: float, why: str, acting: Acting, confirmed: bool = True
) -> ClinicLimit:
    """Set or confirm a limit of the clinic's protocol; the older rows stay, the newest counts."""
    row = ClinicLimit.objects.create(
        clinic=clinic,
        protocol=clinic.protocol,
        limit=limit,
        value=value,
        confirmed=confirmed,
        by_id=acting.person,
        at=acting.at,
        why=why,
    )
    detail: dict[str, object] = {"limit": limit, "value": value, "confirmed": confirmed}
    trail.write("limit:change", acting=acting, subjects=[clinic.pk, row.pk], detail=detail)
    return row


def _changed(clinic: Clinic, *, subjects: list[UUID], what: str, acting: Acting) -> None:
    trail.write("clinic:change", acting=acting, subjects=[clinic.pk, *subjects], detail={"what": what})
