"""The writers that set a clinic up: each leaves a trail, and a limit keeps all its rows."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import FieldDoesNotExist
from django.db import IntegrityError, transaction

from access.accounts import clinics
from access.accounts.models import ClinicLimit, Membership
from access.audit.models import AuditEntry
from tests.cast import NOW, Cast


def test_everything_set_up_leaves_a_trail(cast: Cast) -> None:
    acting = cast.acting(cast.dov)
    before = AuditEntry.objects.count()
    clinics.change_clinic(cast.north, urea_unit="mmol/L", acting=acting)
    clinics.add_staff(cast.north, name="Eve Example", post="technician", acting=acting)
    clinics.measure_heights(cast.one, arterial_cm=20, venous_cm=25, on=date(2026, 3, 1), acting=acting)
    clinics.set_limit(cast.north, limit="flow.below.graft", value=650, why="our own", acting=acting)
    clinics.end_membership(Membership.objects.get(user=cast.ben), acting=acting)
    assert AuditEntry.objects.count() == before + 5
    assert cast.north.staff.get().name == "Eve Example"
    assert cast.one.venous_chamber_height_cm == 25


def test_a_limit_keeps_who_set_it_when_and_why_and_what_it_was_before(cast: Cast) -> None:
    for days, value in enumerate((650, 620)):
        acting = cast.acting(cast.ben, at=NOW + timedelta(days=days))
        clinics.set_limit(cast.north, limit="flow.below.graft", value=value, why="our own", acting=acting)
    rows = ClinicLimit.objects.filter(clinic=cast.north)
    assert [(row.value, row.by, row.why) for row in rows] == [(650, cast.ben, "our own"), (620, cast.ben, "our own")]


def test_a_role_that_the_program_does_not_know_is_refused_by_the_store(cast: Cast) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        clinics.add_member(cast.north, user=cast.cleo, role="owner", post="owner", acting=cast.acting(cast.dov))


def test_a_column_that_a_clinic_does_not_have_is_refused(cast: Cast) -> None:
    with pytest.raises(FieldDoesNotExist):
        clinics.change_clinic(cast.north, colour="blue", acting=cast.acting(cast.dov))
