"""The demo in the records: made twice it is made once, a later start adds the missing days, visitors are left alone.

A few patients stand for all; the whole clinic is looked at in test_expected_flags.
"""

from collections.abc import Iterator
from datetime import timedelta
from uuid import uuid4

import pytest
from django.contrib.auth import authenticate
from django.db import transaction
from django.test import RequestFactory
from pytest_django.plugin import DjangoDbBlocker

from access.accounts.models import Clinic, ClinicLimit, Membership, User
from access.audit.models import AuditEntry
from access.audit.trail import Acting
from access.practice import clinic
from access.practice.people import staff
from access.records import entry, history
from access.records.entry import Save
from access.records.entry.document import normal
from access.records.entry.fields import Notes
from access.records.models import CarePeriod, Event, Patient, RecordVersion, Treatment, TreatmentVersion, Zone
from access.referral.models import Referral
from access.review.models import Decision, Flag
from tests.practice.invented import NOW

pytestmark = [pytest.mark.usefixtures("filled"), pytest.mark.django_db]

FEW = ("Leila Haddad", "Graça Monteiro", "Viktor Antonescu", "Ludmila Sedova", "Ruben Castellano", "Bernat Quist")
# A Tuesday at 10:00: Leila, Graça and Ludmila are due in the morning shift, Ludmila at a station that has begun.
LATER = NOW + timedelta(days=3, hours=6)


def counted() -> dict[str, int]:
    """How much there is of everything that filling writes."""
    models = (Treatment, TreatmentVersion, RecordVersion, Event, Zone, Flag, Decision, Referral, Patient, CarePeriod)
    return {model.__name__: model._default_manager.count() for model in (*models, Clinic, User, ClinicLimit)}


def of(name: str) -> Patient:
    """The patient of this name."""
    return Patient.objects.get(name=name)


@pytest.fixture(scope="module")
def filled(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """The demo with a few patients as it stands at ten, made once; each test goes back to it."""
    with django_db_blocker.unblock(), transaction.atomic():
        clinic.fill(as_of=NOW, only=FEW)
        yield
        transaction.set_rollback(True)


def test_filling_twice_at_one_moment_changes_nothing() -> None:
    before = counted()
    clinic.fill(as_of=NOW, only=FEW)
    assert counted() == before
    assert before["Patient"] == len(FEW)


def test_a_later_start_adds_the_missing_days_and_keeps_what_is_there() -> None:
    versions = dict(TreatmentVersion.objects.values_list("pk", "document"))
    begun = Treatment.objects.get(patient=of("Ludmila Sedova"), state="running")
    clinic.fill(as_of=LATER, only=FEW)
    kept = dict(TreatmentVersion.objects.filter(pk__in=versions).values_list("pk", "document"))
    assert kept == versions
    # Tuesday to Thursday, one a scheduled day and patient, each ended and none twice.
    for name, days in (("Leila Haddad", [24, 26]), ("Viktor Antonescu", [25])):
        found = Treatment.objects.filter(patient=of(name), clinic_day__gte=NOW.date()).exclude(state="planned")
        assert sorted(one.clinic_day.day for one in found) == days
        assert {one.state for one in found} == {"ended"}
    begun.refresh_from_db()
    assert (begun.state, begun.version) == ("ended", 2)
    assert not Treatment.objects.filter(possibly_same_as__isnull=False).exists()


def test_the_due_shift_is_planned_and_a_treatment_of_it_runs() -> None:
    tarnwick = Clinic.objects.get(name="Tarnwick Dialysis")
    rows = history.today(tarnwick, clinic_day=NOW.date(), shift="morning", as_of=NOW)
    assert {row["patient"]["name"]: row["state"] for row in rows} == {
        "Leila Haddad": "planned",
        "Graça Monteiro": "planned",
        "Ludmila Sedova": "running",
    }
    running = Treatment.objects.get(patient=of("Ludmila Sedova"), state="running")
    times = [one.measured_at for one in running.readings.all()]
    assert times
    assert max(times) <= NOW
    assert running.ended_at is None


def test_what_a_visitor_recorded_is_left_alone() -> None:
    planned = Treatment.objects.get(patient=of("Leila Haddad"), state="planned")
    tarnwick = Clinic.objects.get(name="Tarnwick Dialysis")
    ada = Acting(user=User.objects.get(username="ada").pk, clinic=tarnwick.pk, at=NOW + timedelta(minutes=9))
    base = {"patient": str(planned.patient_id), "clinic_day": planned.clinic_day.isoformat()}
    document = normal({**base, "frame": {"state": "running", "notes": "A visitor was here."}}, Notes())
    entry.save_treatment(planned.pk, body=Save(save_id=uuid4(), document=document, base_version=0), acting=ada)
    clinic.fill(as_of=LATER, only=FEW)
    planned.refresh_from_db()
    assert (planned.version, planned.notes) == (1, "A visitor was here.")
    assert Treatment.objects.filter(patient=planned.patient, clinic_day=planned.clinic_day).count() == 1


def test_a_patient_whom_a_visitor_handed_over_gets_no_more_treatments_here() -> None:
    ludmila, tarnwick = of("Ludmila Sedova"), Clinic.objects.get(name="Tarnwick Dialysis")
    ostermere = Clinic.objects.get(name="Ostermere Dialysis")
    at = NOW + timedelta(hours=1)
    send = Acting(user=User.objects.get(username="dov").pk, clinic=tarnwick.pk, at=at)
    move = entry.send_patient(ludmila.pk, to_clinic=ostermere.pk, acting=send)
    entry.accept_patient(move.pk, acting=Acting(user=User.objects.get(username="greta").pk, clinic=ostermere.pk, at=at))
    clinic.fill(as_of=LATER, only=FEW)
    assert not Treatment.objects.filter(patient=ludmila, clinic_day__gt=NOW.date()).exists()


def test_the_patient_who_moved_is_seen_whole_here_and_up_to_the_move_there() -> None:
    graca = of("Graça Monteiro")
    [there, here] = CarePeriod.objects.filter(patient=graca).order_by("since")
    assert (there.clinic.name, here.clinic.name, here.until) == ("Ostermere Dialysis", "Tarnwick Dialysis", None)
    assert there.until == here.since
    by_clinic = {
        place: Treatment.objects.filter(patient=graca, clinic=period.clinic) for place, period in
        (("there", there), ("here", here))
    }  # fmt: skip
    assert all(one.measured_at < here.since for one in by_clinic["there"])
    assert all(one.measured_at >= here.since for one in by_clinic["here"])
    assert by_clinic["there"].count() > 150 and by_clinic["here"].count() > 50
    assert (graca.shift, graca.station.name if graca.station else "") == ("morning", "03")


def test_the_nurse_of_the_second_clinic_sees_its_own_patients_and_the_one_who_left() -> None:
    cleo, ostermere = User.objects.get(username="cleo"), Clinic.objects.get(name="Ostermere Dialysis")
    seen = history.patients_visible_to(cleo, clinic=ostermere, at=NOW)
    assert {one.name for one in seen} == {"Bernat Quist", "Graça Monteiro"}
    graca = of("Graça Monteiro")
    assert history.sight_of(graca, clinic=ostermere, at=NOW).until is not None
    assert not Membership.objects.filter(user=cleo).exclude(clinic=ostermere).exists()


def test_every_limit_of_the_first_clinic_is_confirmed_by_its_nephrologist_and_none_of_the_second() -> None:
    tarnwick, ostermere = (Clinic.objects.get(name=f"{one} Dialysis") for one in ("Tarnwick", "Ostermere"))
    assert history.in_force(tarnwick).unconfirmed() == ()
    assert history.in_force(ostermere).unconfirmed() != ()
    assert {one.by.full_name for one in ClinicLimit.objects.filter(clinic=tarnwick)} == {"Ben Okafor"}


def test_a_referral_is_on_its_way_and_its_access_is_on_the_list() -> None:
    sent = Referral.objects.get(patient=of("Leila Haddad"))
    assert (sent.state, sent.to.full_name if sent.to else "") == ("sent", "Ben Okafor")
    assert {one["id"] for one in sent.summary["findings"]} <= {
        str(one.pk) for one in Flag.objects.filter(patient=sent.patient)
    }
    assert sent.summary["findings"]


def test_everybody_named_may_sign_in_with_the_phrase_that_is_printed() -> None:
    request = RequestFactory().post("/")
    rows = clinic.sign_ins()
    assert [row[1] for row in rows] == ["ada", "dov", "ben", "nadia", "cleo"]
    for who, username, password in rows:
        user = authenticate(request, username=username, password=password)
        assert user is not None and user.full_name in who
    others = {one.username for one in staff()} - {row[1] for row in rows}
    assert all(not User.objects.get(username=name).has_usable_password() for name in others)


def test_the_demo_is_marked_as_such_and_its_loading_is_in_the_trail() -> None:
    assert set(Clinic.objects.values_list("is_demo", flat=True)) == {True}
    loads = AuditEntry.objects.filter(action="treatment:load")
    assert sum(len(one.subjects) for one in loads) == Treatment.objects.filter(state="ended").count()
