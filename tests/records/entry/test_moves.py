"""A patient handed over: only the two clinics, only by sending and accepting, and each only once."""

from datetime import timedelta

import pytest
from uuid_utils.compat import uuid7

from access.audit.models import AuditEntry
from access.records import entry
from access.records.models import CareMove, CarePeriod, Patient
from access.records.problems import Invalid, Missing
from tests.cast import NOW, Cast, a_save, a_treatment_document, save


def sent(cast: Cast) -> CareMove:
    """North sends Gwen to South."""
    return entry.send_patient(cast.gwen.pk, to_clinic=cast.south.pk, acting=cast.acting(cast.dov))


def test_care_passes_when_the_other_clinic_accepts_and_not_before(cast: Cast) -> None:
    move = sent(cast)
    assert CarePeriod.objects.get(patient=cast.gwen).until is None
    later = NOW + timedelta(hours=1)
    accepted = entry.accept_patient(move.pk, acting=cast.acting(cast.cleo, at=later))
    assert (accepted.accepted_by, accepted.accepted_at) == (cast.cleo, later)
    periods = CarePeriod.objects.filter(patient=cast.gwen).order_by("since")
    assert [(one.clinic, one.until) for one in periods] == [(cast.north, later), (cast.south, None)]
    patient = Patient.objects.get(pk=cast.gwen.pk)
    assert (patient.station, patient.shift, patient.version) == (None, "", 2)
    assert AuditEntry.objects.filter(action="care-period:change").count() == 2


def test_the_new_clinic_writes_and_the_old_one_no_longer(cast: Cast) -> None:
    move = sent(cast)
    entry.accept_patient(move.pk, acting=cast.acting(cast.cleo, at=NOW - timedelta(hours=5)))
    with pytest.raises(Missing):
        save(cast, a_treatment_document(cast.graft))
    body = a_save(a_treatment_document(cast.graft))
    assert entry.save_treatment(uuid7(), body=body, acting=cast.acting(cast.cleo)).version == 1


def test_sent_or_accepted_twice_it_is_one_move(cast: Cast) -> None:
    move = sent(cast)
    assert sent(cast) == move
    first = entry.accept_patient(move.pk, acting=cast.acting(cast.cleo))
    again = entry.accept_patient(move.pk, acting=cast.acting(cast.cleo, at=NOW + timedelta(hours=1)))
    assert again.accepted_at == first.accepted_at
    assert CarePeriod.objects.filter(patient=cast.gwen).count() == 2


def test_only_the_clinic_that_cares_sends_and_only_the_one_addressed_accepts(cast: Cast) -> None:
    with pytest.raises(Missing):
        entry.send_patient(cast.gwen.pk, to_clinic=cast.north.pk, acting=cast.acting(cast.cleo))
    move = sent(cast)
    with pytest.raises(Missing):
        entry.accept_patient(move.pk, acting=cast.acting(cast.dov))
    with pytest.raises(Missing):
        entry.accept_patient(uuid7(), acting=cast.acting(cast.cleo))


@pytest.mark.parametrize("nowhere", ["north", "unknown"])
def test_a_patient_is_sent_to_another_clinic_that_there_is(cast: Cast, nowhere: str) -> None:
    to = cast.north.pk if nowhere == "north" else uuid7()
    with pytest.raises(Invalid):
        entry.send_patient(cast.gwen.pk, to_clinic=to, acting=cast.acting(cast.dov))
