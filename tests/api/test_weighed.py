"""What the numbers say together, over the API: for whom, in which shape, and written into the trail."""

from collections.abc import Callable

from uuid_utils.compat import uuid7

from access.api.shapes.weighed import WeighedShape
from access.audit.models import AuditEntry
from tests.api.conftest import Asking, said, save
from tests.cast import Cast, a_treatment_document

Ask = Callable[..., Asking]


def test_everybody_who_cares_for_the_patient_may_ask_and_is_answered_in_shape(asking: Ask, cast: Cast) -> None:
    ada = asking(cast.ada)
    ada.put(f"treatments/{uuid7()}", save(a_treatment_document(cast.graft)), new=True)
    for person in (cast.ada, cast.ben, cast.dov):
        answer = asking(person).get(f"accesses/{cast.graft.pk}/weighed")
        assert answer.status_code == 200
        shape = WeighedShape(data=answer.json())
        assert shape.is_valid(), shape.errors
        assert [one["id"] for one in answer.json()["items"]] == ["narrowing", "evenness", "rests"]


def test_it_looks_as_far_as_the_record_goes(asking: Ask, cast: Cast) -> None:
    ada = asking(cast.ada)
    before = ada.get(f"accesses/{cast.graft.pk}/weighed").json()["items"]
    ada.put(f"treatments/{uuid7()}", save(a_treatment_document(cast.graft)), new=True)
    after = ada.get(f"accesses/{cast.graft.pk}/weighed").json()["items"]
    assert before[1]["sentence"] == "No punctured place is recorded."
    assert after[1]["sentence"].startswith("50 % of 2 punctures lie within 2 cm")


def test_the_other_clinic_is_answered_as_if_there_were_no_such_access(asking: Ask, cast: Cast) -> None:
    cleo = asking(cast.cleo)
    true, guessed = (cleo.get(f"accesses/{one}/weighed") for one in (cast.graft.pk, uuid7()))
    assert (true.status_code, said(true)) == (404, said(guessed))
    assert asking(None).get(f"accesses/{cast.graft.pk}/weighed").status_code == 401


def test_asking_is_written_into_the_trail_and_a_refusal_is_not(asking: Ask, cast: Cast) -> None:
    asking(cast.cleo).get(f"accesses/{cast.graft.pk}/weighed")
    assert not AuditEntry.objects.filter(action="access:read").exists()
    asking(cast.ada).get(f"accesses/{cast.graft.pk}/weighed")
    (row,) = AuditEntry.objects.filter(action="access:read")
    assert (row.actor, row.patients) == (cast.ada.pk, [str(cast.gwen.pk)])
