"""Whose entry it is, who may send it, and whether the patient was in the clinic's care."""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest
from uuid_utils.compat import uuid7

from access.accounts import clinics
from access.accounts.models import Membership
from access.records import entry
from access.records.entry import Save, Saved
from access.records.models import CarePeriod, Treatment, TreatmentVersion
from access.records.problems import Invalid, Missing
from tests.cast import NOW, Cast, a_save, a_treatment_document

BEDSIDE = datetime.fromisoformat("2026-03-04T06:20:00Z")  # The latest time in the document of the cast.


def sent_by_ben(cast: Cast, *, at: datetime = NOW, **changes: Any) -> Saved:
    """Ben sends what Ada recorded on the tablet of North."""
    changes = {"recorded_by": cast.ada.pk, "device": cast.tablet.pk, "device_now": at, **changes}
    body = a_save(a_treatment_document(cast.graft), **changes)
    return entry.save_treatment(uuid7(), body=body, acting=cast.acting(cast.ben, at=at))


@pytest.mark.parametrize("late", [timedelta(hours=1), timedelta(days=9)])
def test_a_colleague_may_send_an_entry_however_late(cast: Cast, late: timedelta) -> None:
    cast.signed_in(cast.ada, at=BEDSIDE - timedelta(hours=23))
    saved = sent_by_ben(cast, at=NOW + late)
    treatment = Treatment.objects.get()
    assert (treatment.recorded_by, treatment.sent_by, treatment.device) == (cast.ada, cast.ben, cast.tablet)
    version = TreatmentVersion.objects.get()
    assert (version.author, version.sent_by, saved.received_at) == (cast.ada, cast.ben, NOW + late)


def test_nor_does_it_matter_that_her_post_has_ended_since(cast: Cast) -> None:
    cast.signed_in(cast.ada, at=BEDSIDE - timedelta(hours=1))
    member = Membership.objects.get(user=cast.ada)
    clinics.end_membership(member, until=NOW, acting=cast.acting(cast.dov))
    assert sent_by_ben(cast, at=NOW + timedelta(days=2)).version == 1


@pytest.mark.parametrize("hours", [24.1, -0.1])
def test_an_entry_of_somebody_who_was_not_signed_in_before_it_is_refused(cast: Cast, hours: float) -> None:
    cast.signed_in(cast.ada, at=BEDSIDE - timedelta(hours=hours))
    with pytest.raises(Invalid) as caught:
        sent_by_ben(cast)
    assert caught.value.fields[0][0] == "recorded_by"
    assert not Treatment.objects.exists()


def test_the_clock_of_the_device_is_corrected_before_that_is_asked(cast: Cast) -> None:
    # The tablet is an hour late: what it calls 06:20 was 07:20, and Ada signed in at 07:00.
    cast.signed_in(cast.ada, at=BEDSIDE + timedelta(minutes=40))
    with pytest.raises(Invalid):
        sent_by_ben(cast)
    saved = sent_by_ben(cast, device_now=NOW - timedelta(hours=1))
    assert saved.record.versions.get().device_offset_s == 3600


def test_a_sign_in_on_another_device_or_none_does_not_count(cast: Cast) -> None:
    cast.signed_in(cast.ada, at=BEDSIDE - timedelta(hours=1))
    with pytest.raises(Invalid):
        sent_by_ben(cast, device=None)
    with pytest.raises(Invalid) as caught:
        sent_by_ben(cast, device=uuid7())
    assert caught.value.fields[0][0] == "device"


def test_an_entry_of_somebody_of_another_clinic_is_refused(cast: Cast) -> None:
    cast.signed_in(cast.cleo, at=BEDSIDE - timedelta(hours=1))
    with pytest.raises(Invalid):
        sent_by_ben(cast, recorded_by=cast.cleo.pk)


def test_a_device_clock_that_is_years_off_is_refused(cast: Cast) -> None:
    with pytest.raises(Invalid) as caught:
        sent_by_ben(cast, device_now=datetime.fromisoformat("9999-12-31T23:59:59Z"))
    assert caught.value.fields[0][0] == "device_now"


def saved_by_ada(cast: Cast) -> Saved:
    """Ada saves her own entry two days late."""
    body: Save = a_save(a_treatment_document(cast.graft))
    return entry.save_treatment(uuid7(), body=body, acting=cast.acting(cast.ada, at=NOW + timedelta(days=2)))


def test_what_was_seen_while_the_patient_was_here_is_taken_after_the_move(cast: Cast) -> None:
    CarePeriod.objects.filter(patient=cast.gwen).update(until=NOW)
    assert saved_by_ada(cast).version == 1


def test_what_was_seen_after_the_move_is_not_taken(cast: Cast) -> None:
    CarePeriod.objects.filter(patient=cast.gwen).update(until=BEDSIDE - timedelta(minutes=1))
    with pytest.raises(Missing):
        saved_by_ada(cast)


def test_a_clinic_whose_care_has_ended_does_not_reach_what_another_made_since(cast: Cast) -> None:
    CarePeriod.objects.filter(patient=cast.gwen).update(until=BEDSIDE + timedelta(minutes=1))
    CarePeriod.objects.create(patient=cast.gwen, clinic=cast.south, since=BEDSIDE + timedelta(minutes=1))
    late = [one.replace("T06", "T08") for one in ("2026-03-04T06:15:00Z", "2026-03-04T06:20:00Z")]
    theirs = a_treatment_document(cast.graft, needles=[], examinations=[])
    theirs["frame"]["started_at"], theirs["pressures"][0]["measured_at"] = late
    saved = entry.save_treatment(uuid7(), body=a_save(theirs), acting=cast.acting(cast.cleo))
    hold = {"access": str(cast.graft.pk), "since": "2026-03-04", "why": "swelling"}
    held = entry.save_hold(uuid7(), body=a_save(hold), acting=cast.acting(cast.cleo))
    guessed = a_save({**theirs, "frame": {}, "pressures": []}, base=1)
    with pytest.raises(Missing):
        acting = cast.acting(cast.ada, at=BEDSIDE + timedelta(hours=3))
        entry.save_treatment(saved.record.pk, body=guessed, acting=acting)
    with pytest.raises(Missing):
        body = a_save({**hold, "since": "2026-03-01"}, base=1, reason="mine")
        entry.save_hold(held.record.pk, body=body, acting=cast.acting(cast.ada))


def test_without_a_device_of_its_own_a_save_is_from_where_its_sender_is_signed_in(cast: Cast) -> None:
    cast.signed_in(cast.ada, at=BEDSIDE - timedelta(hours=1))
    body = a_save(a_treatment_document(cast.graft), recorded_by=cast.ada.pk)
    acting = replace(cast.acting(cast.ben), device=cast.tablet.pk)
    entry.save_treatment(uuid7(), body=body, acting=acting)
    assert Treatment.objects.get().device == cast.tablet
    foreign = replace(acting, device=uuid7())
    body = a_save(a_treatment_document(cast.fistula))
    assert entry.save_treatment(uuid7(), body=body, acting=foreign).record.device is None


@pytest.mark.parametrize("reason", ["x" * 401, "nul \x00"])
def test_a_reason_that_cannot_be_stored_is_refused(cast: Cast, reason: str) -> None:
    with pytest.raises(Invalid) as caught:
        sent_by_ben(cast, recorded_by=None, reason=reason)
    assert caught.value.fields[0][0] == "reason"
