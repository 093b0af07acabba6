"""Patients and accesses: created once, corrected with a reason, a side put right by two people."""

from dataclasses import replace
from typing import Any
from uuid import UUID

import pytest
from uuid_utils.compat import uuid7

from access.audit.models import AuditEntry
from access.records import entry
from access.records.models import CarePeriod, RecordVersion, VascularAccess
from access.records.problems import Invalid, Missing, NeedsReason
from tests.cast import LONG_AGO, Cast, a_patient, a_save


def test_a_new_patient_is_in_the_care_of_the_clinic(cast: Cast) -> None:
    patient = a_patient("Hal", acting=cast.acting(cast.dov))
    assert CarePeriod.objects.get(patient=patient).since == LONG_AGO
    assert RecordVersion.objects.get(record=patient.pk).document["name"] == "Hal"
    assert AuditEntry.objects.filter(action="patient:create", patients=[str(patient.pk)]).count() == 1


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("birth_date", {"birth_date": "2030-01-01"}),
        ("chart_number", {"chart_number": "C-Gwen"}),
        ("schedule_days", {"schedule_days": [7]}),
        ("schedule_days", {"schedule_days": [True]}),
        ("station", {"station": str(uuid7())}),
        ("chart_number", {"chart_number": "  "}),
    ],
)
def test_a_patient_who_cannot_be_is_refused_at_the_field(cast: Cast, field: str, changes: dict[str, Any]) -> None:
    with pytest.raises(Invalid) as caught:
        a_patient("Hal", acting=cast.acting(cast.dov), **changes)
    assert field in dict(caught.value.fields)


def test_what_is_written_of_a_patient_is_corrected_with_a_reason(cast: Cast) -> None:
    document = RecordVersion.objects.get(record=cast.gwen.pk).document | {"arm_notes": "no blood pressure left"}
    saved = entry.save_patient(cast.gwen.pk, body=a_save(document, base=1), acting=cast.acting(cast.dov))
    assert saved.record.arm_notes == "no blood pressure left"
    changed = {**document, "name": "Gwendolyn"}
    with pytest.raises(NeedsReason):
        entry.save_patient(cast.gwen.pk, body=a_save(changed, base=2), acting=cast.acting(cast.dov))
    with pytest.raises(Missing):
        body = a_save(changed, base=2, reason="mine")
        entry.save_patient(cast.gwen.pk, body=body, acting=cast.acting(cast.cleo))


def sided(cast: Cast, *, second: UUID, reason: str = "drawn on the wrong arm", who: str = "dov") -> None:
    """Somebody corrects the side of Gwen's graft with a second person."""
    entry.change_side(cast.graft.pk, side="right", reason=reason, second=second, acting=cast.acting(getattr(cast, who)))


def test_a_side_is_corrected_with_a_reason_and_a_second_person(cast: Cast) -> None:
    sided(cast, second=cast.ben.pk)
    assert VascularAccess.objects.get(pk=cast.graft.pk).side == "right"
    version = RecordVersion.objects.get(record=cast.graft.pk, number=2)
    assert (version.reason, version.author) == ("drawn on the wrong arm", cast.dov)
    seconds = [one.detail.get("second") for one in AuditEntry.objects.filter(action="access:change")]
    assert str(cast.ben.pk) in seconds


@pytest.mark.parametrize("second", ["dov", "ada", "cleo"])
def test_the_second_person_is_another_one_of_the_clinic_who_may_change_an_access(cast: Cast, second: str) -> None:
    with pytest.raises(Invalid):
        sided(cast, second=getattr(cast, second).pk)
    assert VascularAccess.objects.get(pk=cast.graft.pk).side == "left"


def test_a_side_is_not_corrected_without_a_reason_or_by_another_clinic(cast: Cast) -> None:
    with pytest.raises(NeedsReason):
        sided(cast, second=cast.ben.pk, reason=" ")
    with pytest.raises(Missing):
        sided(cast, second=cast.ben.pk, who="cleo")


def test_an_access_is_corrected_but_its_side_not_along_with_it(cast: Cast) -> None:
    document = RecordVersion.objects.get(record=cast.graft.pk).document
    acting = cast.acting(cast.dov)
    body = a_save({**document, "needled_to_cm": 28.0}, base=1, reason="measured")
    assert entry.save_access(cast.graft.pk, body=body, acting=acting).record.needled_to_cm == 28
    with pytest.raises(Invalid):
        body = a_save({**document, "needled_to_cm": 28.0, "side": "right"}, base=2, reason="measured")
        entry.save_access(cast.graft.pk, body=body, acting=acting)


def test_a_chart_number_is_not_corrected_to_another_patients(cast: Cast) -> None:
    document = RecordVersion.objects.get(record=cast.gwen.pk).document | {"chart_number": "C-Finn"}
    with pytest.raises(Invalid) as caught:
        body = a_save(document, base=1, reason="mistyped")
        entry.save_patient(cast.gwen.pk, body=body, acting=cast.acting(cast.dov))
    assert "chart_number" in dict(caught.value.fields)
    # Sue is a patient of South, whose chart numbers are its own.
    body = a_save({**document, "chart_number": "C-Sue"}, base=1, reason="mistyped")
    assert entry.save_patient(cast.gwen.pk, body=body, acting=cast.acting(cast.dov)).version == 2


def test_a_patient_is_registered_once_and_under_a_save_id_of_its_own(cast: Cast) -> None:
    document = RecordVersion.objects.get(record=cast.gwen.pk).document | {"chart_number": "N-1"}
    body, patient, acting = a_save(document), uuid7(), cast.acting(cast.dov)
    assert entry.save_patient(patient, body=body, acting=acting).created
    assert entry.save_patient(patient, body=body, acting=acting).repeated
    assert CarePeriod.objects.filter(patient=patient).count() == 1
    with pytest.raises(Missing):
        entry.save_patient(uuid7(), body=replace(body, document={**document, "chart_number": "N-2"}), acting=acting)


def test_another_clinic_learns_nothing_of_an_access_from_its_side(cast: Cast) -> None:
    document = RecordVersion.objects.get(record=cast.graft.pk).document | {"side": "right"}
    own = {**document, "patient": str(cast.sue.pk)}
    for sent in (document, own):
        for access in (cast.graft.pk, uuid7()):
            with pytest.raises(Missing):
                entry.save_access(access, body=a_save(sent, base=1, reason="x"), acting=cast.acting(cast.cleo))


def test_a_repeated_save_is_answered_again_also_after_the_side_was_corrected(cast: Cast) -> None:
    document = RecordVersion.objects.get(record=cast.graft.pk).document
    body, acting, save_id = a_save(document, base=1), cast.acting(cast.dov), uuid7()
    assert entry.save_access(cast.graft.pk, body=body, acting=acting).version == 2
    for _ in range(2):
        asked: dict[str, Any] = {"reason": "drawn on the wrong arm", "second": cast.ben.pk, "save_id": save_id}
        assert entry.change_side(cast.graft.pk, side="right", acting=acting, **asked).version == 3
    seconds = [one for one in AuditEntry.objects.filter(action="access:change") if "second" in one.detail]
    assert len(seconds) == 1
    again = entry.save_access(cast.graft.pk, body=body, acting=acting)
    assert again.repeated and (again.version, again.document["side"]) == (2, "left")
