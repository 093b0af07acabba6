"""How the invented clinics are set up: once, with the same opening for whoever is added later."""

from datetime import timedelta

import pytest

from access.accounts.models import Clinic, Membership, Station
from access.practice import clinic, founding
from access.practice.clinic import SEED
from access.practice.founding import Demo
from access.practice.people import places
from access.records.models import Hold, Patient, Prescription, Treatment, VascularAccess
from access.referral.models import Referral
from access.review.models import Flag
from tests.practice.invented import CALENDAR, NOW

pytestmark = pytest.mark.django_db


def test_people_who_are_made_later_join_the_clinic_that_is_there() -> None:
    clinic.fill(as_of=NOW, only=["Kwabena Larbi"])
    clinic.fill(as_of=NOW + timedelta(days=1), only=["Kwabena Larbi", "Ingrid Falk"])
    assert founding.opened() == CALENDAR.opened == NOW - timedelta(days=548)
    assert (Patient.objects.count(), Clinic.objects.count()) == (2, 2)
    assert Membership.objects.filter(user__username="ada").count() == 1


def test_a_start_that_was_broken_off_is_finished_by_the_next(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken_off(demo: Demo) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(clinic, "_judge", broken_off)
        with pytest.raises(KeyboardInterrupt):
            clinic.fill(as_of=NOW, only=["Leila Haddad"])
    loaded = Treatment.objects.count()
    assert loaded > 200
    assert not Flag.objects.exists()
    clinic.fill(as_of=NOW + timedelta(minutes=2), only=["Leila Haddad"])
    assert Treatment.objects.count() == loaded
    assert {one.rule for one in Flag.objects.all()} >= {"flow.trend", "static.pattern"}
    assert Referral.objects.get().state == "sent"


def test_without_a_demo_there_is_no_opening() -> None:
    assert founding.opened() is None


def test_clinics_stand_as_they_are_described() -> None:
    demo = founding.found(CALENDAR, patients=[], seed=SEED)
    for key, place in places().items():
        stored = demo.clinics[key]
        assert (stored.name, stored.time_zone, stored.is_demo) == (place.name, place.time_zone, True)
        stations = Station.objects.filter(clinic=stored)
        assert stations.count() == place.stations
        # Both chambers hang above the access and were measured (own choice: 12 to 20 cm).
        for one in stations:
            assert 12 <= (one.venous_chamber_height_cm or 0) <= 20
            assert one.arterial_chamber_height_cm == one.venous_chamber_height_cm
            assert one.heights_measured_on and one.venous_limit_mmhg


def test_a_new_fistula_is_kept_from_the_needles_and_its_arm_from_the_cuff() -> None:
    clinic.fill(as_of=NOW, only=["Kwabena Larbi"])
    [access] = VascularAccess.objects.all()
    assert (access.status, access.first_needled_on) == ("maturing", None)
    assert Hold.objects.get(access=access).until is None
    [patient] = Patient.objects.all()
    assert f"{access.side} arm" in patient.arm_notes
    [order] = Prescription.objects.all()
    assert (order.needle_gauge, order.pump_ml_min) == (15, 350)
