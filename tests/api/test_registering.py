"""Patients and accesses over the wire: registered, corrected with a reason, a side put right by two people."""

from collections.abc import Callable
from typing import Any

from uuid_utils.compat import uuid7

from access.accounts import clinics
from access.records.models import CarePeriod, Patient, VascularAccess
from tests.api.conftest import Asking, said, save
from tests.cast import LONG_AGO, Cast

Ask = Callable[..., Asking]
NEW: dict[str, Any] = {
    "chart_number": "N-204",
    "name": "Nadja Example",
    "birth_date": "1961-05-02",
    "schedule_days": [1, 3, 5],
    "shift": "morning",
}
FISTULA: dict[str, Any] = {
    "kind": "fistula",
    "configuration": "brachiocephalic",
    "side": "left",
    "status": "maturing",
    "needled_from_cm": 4.0,
    "needled_to_cm": 18.0,
}


def test_a_coordinator_registers_a_patient_into_the_care_of_the_clinic(asking: Ask, cast: Cast) -> None:
    dov, patient = asking(cast.dov), uuid7()
    first = save(NEW)
    assert dov.put(f"patients/{patient}", first, new=True).status_code == 201
    assert dov.put(f"patients/{patient}", first, new=True).json()["version"] == 1
    assert CarePeriod.objects.get(patient=patient).clinic == cast.north
    stored = asking(cast.ada).get(f"patients/{patient}").json()
    assert stored["document"]["name"] == "Nadja Example" and stored["version"] == 1
    assert "Nadja Example" in asking(cast.ada).get("patients").content.decode()


def test_one_chart_number_is_one_patient(asking: Ask, cast: Cast) -> None:
    dov = asking(cast.dov)
    dov.put(f"patients/{uuid7()}", save(NEW), new=True)
    again = dov.put(f"patients/{uuid7()}", save(NEW), new=True)
    assert again.status_code == 422 and again.json()["fields"][0]["field"] == "chart_number"
    assert Patient.objects.filter(chart_number="N-204").count() == 1


def test_a_nurse_registers_nobody_and_the_other_clinic_finds_nobody(asking: Ask, cast: Cast) -> None:
    for nobody in (cast.ada, cast.ben):
        assert asking(nobody).put(f"patients/{uuid7()}", save(NEW), new=True).status_code == 403
    assert asking(cast.cleo).get(f"patients/{cast.gwen.pk}").status_code == 404


def test_an_access_is_registered_and_corrected_with_a_reason(asking: Ask, cast: Cast) -> None:
    dov, access = asking(cast.dov), uuid7()
    document = {**FISTULA, "patient": str(cast.gwen.pk)}
    assert dov.put(f"accesses/{access}/record", save(document), new=True).status_code == 201
    changed = {**document, "status": "in use"}
    assert dov.put(f"accesses/{access}/record", save(changed), version=1).status_code == 422
    said = dov.put(f"accesses/{access}/record", save(changed, reason="First needled."), version=1)
    assert said.status_code == 200 and said.json()["version"] == 2
    assert dov.get(f"accesses/{access}/record").json()["document"]["status"] == "in use"


def test_a_side_is_put_right_by_two_people_only(asking: Ask, cast: Cast) -> None:
    dov = asking(cast.dov)
    wrong = {"side": "right", "reason": "Entered for the other arm.", "save_id": str(uuid7())}
    alone = dov.post(f"accesses/{cast.graft.pk}/side", {**wrong, "second": str(cast.dov.pk)})
    assert alone.status_code == 422
    assert VascularAccess.objects.get(pk=cast.graft.pk).side == "left"
    both = dov.post(f"accesses/{cast.graft.pk}/side", {**wrong, "second": str(cast.ben.pk)})
    assert both.status_code == 200 and both.json()["document"]["side"] == "right"


BENCH: dict[str, Any] = {
    "needle_and_line": "15G, long line",
    "gauge": 15,
    "pump_ml_min": 300.0,
    "pressure_mmhg": 105.0,
    "measured_on": "2026-02-20",
}


def test_the_bench_table_is_the_clinics_own_and_corrected_with_a_reason(asking: Ask, cast: Cast) -> None:
    dov, record = asking(cast.dov), uuid7()
    first = save(BENCH)
    assert dov.put(f"bench-tables/{record}", first, new=True).status_code == 201
    assert dov.put(f"bench-tables/{record}", first, new=True).json()["version"] == 1
    changed = {**BENCH, "pressure_mmhg": 108.0}
    assert dov.put(f"bench-tables/{record}", save(changed), version=1).status_code == 422
    assert dov.put(f"bench-tables/{record}", save(changed, reason="Misread."), version=1).json()["version"] == 2
    assert dov.put(f"bench-tables/{record}", save(BENCH, reason="Stale."), version=1).status_code == 409
    assert asking(cast.ada).get(f"bench-tables/{record}").json()["document"] == changed
    assert asking(cast.cleo).get(f"bench-tables/{record}").status_code == 404
    [row] = dov.get("bench-tables").json()
    assert (row["pressure_mmhg"], row["version"]) == (108.0, 2)
    assert asking(cast.cleo).get("bench-tables").json() == []


def test_a_bench_reading_that_cannot_be_is_refused_at_its_field(asking: Ask, cast: Cast) -> None:
    for field, value in (("gauge", 12), ("pressure_mmhg", 4000.0), ("measured_on", "2030-01-01")):
        answer = asking(cast.dov).put(f"bench-tables/{uuid7()}", save({**BENCH, field: value}), new=True)
        assert answer.status_code == 422 and answer.json()["fields"][0]["field"] == field


def test_a_nurse_changes_no_access_no_side_and_no_bench_table(asking: Ask, cast: Cast) -> None:
    ada = asking(cast.ada)
    document = {**FISTULA, "patient": str(cast.gwen.pk)}
    side = {"side": "right", "reason": "Other arm.", "second": str(cast.ben.pk), "save_id": str(uuid7())}
    assert ada.put(f"accesses/{uuid7()}/record", save(document), new=True).status_code == 403
    assert ada.post(f"accesses/{cast.graft.pk}/side", side).status_code == 403
    assert ada.put(f"bench-tables/{uuid7()}", save(BENCH), new=True).status_code == 403
    assert ada.get(f"accesses/{cast.graft.pk}/record").json()["document"]["side"] == "left"


def test_a_coordinator_of_another_clinic_finds_a_true_id_as_little_as_a_guessed_one(asking: Ask, cast: Cast) -> None:
    acting = cast.acting(cast.cleo)
    clinics.add_member(cast.south, user=cast.cleo, role="coordinator", post="", acting=acting, since=LONG_AGO)
    cleo, bench = asking(cast.cleo), uuid7()
    asking(cast.dov).put(f"bench-tables/{bench}", save(BENCH), new=True)
    vessel = {**FISTULA, "patient": str(cast.gwen.pk), "side": "right"}
    side = {"side": "right", "reason": "Other arm.", "second": str(cast.ben.pk), "save_id": str(uuid7())}
    for true, guessed in ((cast.gwen.pk, uuid7()), (cast.graft.pk, uuid7()), (bench, uuid7())):
        for asked, document in (("patients/{}", NEW), ("accesses/{}/record", vessel), ("bench-tables/{}", BENCH)):
            answers = [
                cleo.put(asked.format(record), save(document, reason="Mine."), version=1) for record in (true, guessed)
            ]
            assert [one.status_code for one in answers] == [404, 404]
            assert said(answers[0]) == said(answers[1])
        assert [cleo.post(f"accesses/{one}/side", side).status_code for one in (true, guessed)] == [404, 404]
