"""The one door: who sees whose record, how far, and that absent and forbidden cannot be told apart."""

from datetime import timedelta
from typing import Any

import pytest
from uuid_utils.compat import uuid7

from access.accounts.models import Membership
from access.records import entry, history
from access.records.models import CarePeriod, FlowMeasurement, RecordVersion
from access.records.problems import Missing
from tests import cast as people
from tests.cast import Cast
from tests.records.bedside import NOW, Bedside, ago, running

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


@pytest.fixture
def south() -> Bedside:
    return Bedside("South")


def seen(place: Bedside, *, role: str = "nurse", at: Any = NOW) -> set[str]:
    """The names of the patients whom a person of this clinic sees."""
    user = place.nurse if role == "nurse" else place.person(role)
    return set(history.patients_visible_to(user, clinic=place.clinic, at=at).values_list("name", flat=True))


def move(north: Bedside, south: Bedside, patient: Any, *, at: Any) -> None:
    """Hand a patient over from North to South."""
    CarePeriod.objects.filter(patient=patient, clinic=north.clinic).update(until=at)
    CarePeriod.objects.create(patient=patient, clinic=south.clinic, since=at)


def test_a_nurse_sees_the_patients_of_her_clinic_and_of_no_other(north: Bedside, south: Bedside) -> None:
    north.patient("Of North")
    south.patient("Of South")
    assert (seen(north), seen(south)) == ({"Of North"}, {"Of South"})


def test_an_administrator_sees_no_patient(north: Bedside) -> None:
    north.patient()
    assert seen(north, role="administrator") == set()
    assert seen(north, role="nephrologist") == {"Edda Ilves"}


def test_who_works_at_another_clinic_sees_nothing_by_naming_this_one(north: Bedside, south: Bedside) -> None:
    north.patient()
    assert not history.patients_visible_to(south.nurse, clinic=north.clinic, at=NOW)


def test_a_membership_that_ended_or_has_not_begun_opens_nothing(north: Bedside) -> None:
    north.patient()
    Membership.objects.filter(user=north.nurse).update(until=ago(1))
    assert seen(north) == set()
    Membership.objects.filter(user=north.nurse).update(since=NOW + timedelta(days=1), until=None)
    assert seen(north) == set()


def test_a_person_switched_off_sees_nothing(north: Bedside) -> None:
    north.patient()
    north.nurse.is_active = False
    north.nurse.save()
    assert seen(north) == set()


def test_the_new_clinic_sees_the_whole_record_and_the_old_one_up_to_the_end_of_its_care(
    north: Bedside, south: Bedside
) -> None:
    patient = north.patient()
    access = north.access(patient)
    north.flow(access, at=ago(30), ml_min=900)
    move(north, south, patient, at=ago(10))
    south.flow(access, at=ago(5), ml_min=500)
    old, new = (history.sight_of(patient, clinic=one.clinic, at=NOW) for one in (north, south))
    assert [one.ml_min for one in history.profile(access, as_of=NOW, sight=old).flows] == [900]
    assert [one.ml_min for one in history.profile(access, as_of=NOW, sight=new).flows] == [900, 500]


def test_what_the_new_clinic_enters_about_earlier_days_stays_with_it(north: Bedside, south: Bedside) -> None:
    patient = north.patient()
    access = north.access(patient)
    move(north, south, patient, at=ago(10))
    south.flow(access, at=ago(20), ml_min=500, received_at=ago(5))
    north.flow(access, at=ago(12), ml_min=700, received_at=ago(8))  # Seen at North in time, sent late.
    old = history.sight_of(patient, clinic=north.clinic, at=NOW)
    assert [one.ml_min for one in history.profile(access, as_of=NOW, sight=old).flows] == [700]


def test_a_patient_who_came_back_is_seen_whole_again(north: Bedside, south: Bedside) -> None:
    patient = north.patient()
    move(north, south, patient, at=ago(100))
    move(south, north, patient, at=ago(10))
    assert history.sight_of(patient, clinic=north.clinic, at=NOW).until is None


def test_absent_and_forbidden_are_the_same_for_every_kind_of_record(north: Bedside, south: Bedside) -> None:
    access = north.access(north.patient())
    run = north.treatment(access, at=ago(2))
    flow = north.flow(access, at=ago(2), ml_min=900)
    who: dict[str, Any] = {"user": south.nurse, "clinic": south.clinic, "at": NOW}
    said = set()
    for read, real in (
        (history.get_patient, access.patient_id),
        (history.get_access, access.pk),
        (history.get_treatment, run.pk),
    ):
        for key in (real, uuid7()):
            with pytest.raises(Missing) as refused:
                read(key, **who)
            said.add(str(refused.value))
    for key in (flow.pk, uuid7()):
        with pytest.raises(Missing) as refused:
            history.get_record(FlowMeasurement, key, **who)
        said.add(str(refused.value))
    assert len(said) == 1


def test_the_same_records_are_found_by_whom_they_concern(north: Bedside) -> None:
    access = north.access(north.patient())
    run, flow = north.treatment(access, at=ago(2)), north.flow(access, at=ago(2), ml_min=900)
    who: dict[str, Any] = {"user": north.nurse, "clinic": north.clinic, "at": NOW}
    assert history.get_patient(access.patient_id, **who) == access.patient
    assert history.get_access(access.pk, **who) == access
    assert history.get_treatment(run.pk, **who) == run
    assert history.get_record(FlowMeasurement, flow.pk, **who) == flow


def test_after_the_end_of_its_care_a_clinic_finds_no_later_treatment_access_or_record(
    north: Bedside, south: Bedside
) -> None:
    patient = north.patient()
    old_access = north.access(patient)
    before = north.treatment(old_access, at=ago(20))
    move(north, south, patient, at=ago(10))
    later_access = south.access(patient, created_on=ago(6).date(), first_needled_on=None)
    after, flow = south.treatment(old_access, at=ago(5)), south.flow(old_access, at=ago(5), ml_min=500)
    who: dict[str, Any] = {"user": north.nurse, "clinic": north.clinic, "at": NOW}
    assert history.get_treatment(before.pk, **who) == before
    with pytest.raises(Missing):
        history.get_treatment(after.pk, **who)
    with pytest.raises(Missing):
        history.get_access(later_access.pk, **who)
    with pytest.raises(Missing):
        history.get_record(FlowMeasurement, flow.pk, **who)


def test_the_story_and_pack_of_an_access_end_with_the_care_as_well(north: Bedside, south: Bedside) -> None:
    patient = north.patient()
    access = north.access(patient)
    north.treatment(access, at=ago(20), findings={}, sites=(6, 15))
    move(north, south, patient, at=ago(10))
    south.treatment(access, at=ago(5), findings={"thrill": "weak"}, sites=(9, 18), pressures=[running(130)])
    south.event(access, on=ago(4).date(), what="angioplasty")
    south.zone(access, from_cm=6, to_cm=8, since=ago(3).date())
    south.recirculation(access, at=ago(5), result={"valid": True, "percent": 12.0})
    sight = history.sight_of(patient, clinic=north.clinic, at=NOW)
    told = history.access_history(access, clinic=north.clinic, as_of=NOW, sight=sight)
    assert told["access"]["last_sites"] == {"arterial_cm": 6.0, "venous_cm": 15.0, "on": "2026-02-26"}
    assert (told["access"]["zones"], told["recirculations"]) == ([], [])
    assert "angioplasty" not in [one["what"] for one in told["events"]]
    assert [one["odd"] for one in told["examinations"]] == [{}]


def test_what_the_new_clinic_corrects_about_patient_and_access_stays_with_it(cast: Cast) -> None:
    who: dict[str, Any] = {"user": cast.ada, "clinic": cast.north, "at": people.NOW}
    CarePeriod.objects.filter(patient=cast.gwen).update(until=people.NOW - timedelta(days=10))
    CarePeriod.objects.create(patient=cast.gwen, clinic=cast.south, since=people.NOW - timedelta(days=10))
    south = cast.acting(cast.cleo, at=people.NOW - timedelta(days=5))
    for change, save, key in (
        ({"arm_notes": "shunt on the right", "station": None}, entry.save_patient, cast.gwen.pk),
        ({"note": "aneurysm"}, entry.save_access, cast.graft.pk),
    ):
        kept = RecordVersion.objects.get(record=key, number=1).document
        save(key, body=people.a_save(kept | change, base=1, reason="Seen."), acting=south)
    later = people.an_access(cast.gwen, acting=south, side="right", created_on=None, first_needled_on=None)
    assert history.get_patient(cast.gwen.pk, **who).arm_notes == ""
    assert history.get_access(cast.graft.pk, **who).note == ""
    assert history.get_access(cast.graft.pk, user=cast.cleo, clinic=cast.south, at=people.NOW).note == "aneurysm"
    with pytest.raises(Missing):
        history.get_access(later.pk, **who)
