"""The Treatment over the wire: opened, saved in parts, twice, late, stale, and refused in words."""

from collections.abc import Callable
from typing import Any

import pytest
from uuid_utils.compat import uuid7

from tests.api.conftest import ROOT, Asking, said, save
from tests.cast import Cast, a_needle, a_reading, a_treatment_document, an_examination, at

Ask = Callable[..., Asking]
EMPTY: dict[str, Any] = {"examinations": [], "needles": [], "pressures": [], "after": {}}


@pytest.fixture
def planned(asking: Ask, cast: Cast) -> str:
    """The planned treatment of the graft's patient on the shift that runs."""
    rows = asking(cast.ada).get("today").json()["rows"]
    treatment: str = next(row["treatment"] for row in rows if row["patient"]["name"] == cast.gwen.name)
    return treatment


def document(cast: Cast, **parts: Any) -> dict[str, Any]:
    """The graft's treatment with these parts only."""
    return {**a_treatment_document(cast.graft), **EMPTY, **parts}


def test_today_lists_who_is_due_and_opens_the_document(asking: Ask, cast: Cast, planned: str) -> None:
    pack = asking(cast.ada).get(f"treatments/{planned}")
    assert pack.status_code == 200 and pack["ETag"] == '"0"'
    body = pack.json()
    assert body["patient"]["name"] == cast.gwen.name
    assert body["document"]["pressures"] == [] and body["document"]["examinations"] == []
    assert body["accesses"][0]["title"] == "left forearm loop graft"


def test_four_parts_saved_from_one_start_never_conflict(asking: Ask, cast: Cast, planned: str) -> None:
    browser = asking(cast.ada)
    parts: list[dict[str, Any]] = [
        {"examinations": [an_examination(cast.graft)]},
        {"needles": [a_needle(cast.graft), a_needle(cast.graft, role="venous")]},
        {"pressures": [a_reading()]},
        {"after": {"used": "gauze"}},
    ]
    answers = [browser.put(f"treatments/{planned}", save(document(cast, **part)), version=0) for part in parts]
    assert [one.status_code for one in answers] == [200] * 4
    stored = browser.get(f"treatments/{planned}").json()["document"]
    assert len(stored["examinations"]) == 1 and len(stored["needles"]) == 2 and len(stored["pressures"]) == 1
    assert stored["after"]["used"] == "gauze"


def test_a_lost_answer_costs_nothing_though_a_colleague_saved_in_between(asking: Ask, cast: Cast, planned: str) -> None:
    ada, dov = asking(cast.ada), asking(cast.dov)
    lost = save(document(cast, examinations=[an_examination(cast.graft)]))
    first = ada.put(f"treatments/{planned}", lost, version=0).json()
    colleague = {**first["document"], "pressures": [a_reading()]}
    assert dov.put(f"treatments/{planned}", save(colleague), version=first["version"]).status_code == 200
    again = ada.put(f"treatments/{planned}", lost, version=0)
    assert again.status_code == 200 and again.json()["version"] == first["version"]
    assert len(ada.get(f"treatments/{planned}").json()["document"]["pressures"]) == 1


def test_the_same_part_changed_twice_hands_both_back(asking: Ask, cast: Cast, planned: str) -> None:
    browser = asking(cast.ada)
    browser.put(f"treatments/{planned}", save(document(cast, after={"used": "gauze"})), version=0)
    answer = browser.put(f"treatments/{planned}", save(document(cast, after={"used": "clamp"})), version=0)
    assert answer.status_code == 409 and answer["Content-Type"] == "application/problem+json"
    body = answer.json()
    assert body["parts"] == ["after"]
    assert body["yours"]["after"]["used"] == "clamp" and body["theirs"]["after"]["used"] == "gauze"


def test_a_save_that_names_no_version_is_told_so(asking: Ask, cast: Cast, planned: str) -> None:
    assert asking(cast.ada).put(f"treatments/{planned}", save(document(cast))).status_code == 428


IMPOSSIBLE: list[tuple[str, dict[str, Any]]] = [
    ("pressures.0.venous_mmhg", {"pressures": [a_reading(venous_mmhg=4000)]}),
    ("pressures.0.pump_ml_min", {"pressures": [a_reading(pump_ml_min=4000)]}),
    ("pressures.0.systolic_mmhg", {"pressures": [a_reading(systolic_mmhg=70, diastolic_mmhg=130)]}),
    ("pressures.0.measured_at", {"pressures": [a_reading(measured_at=at("23:00"))]}),
    ("pressures.0.arterial_height_cm", {"pressures": [a_reading(arterial_height_cm=-5)]}),
    ("pressures.0.surprise", {"pressures": [a_reading(surprise=1)]}),
]


@pytest.mark.parametrize(("field", "parts"), IMPOSSIBLE)
def test_what_cannot_be_is_refused_at_its_field(
    asking: Ask, cast: Cast, planned: str, field: str, parts: dict[str, Any]
) -> None:
    answer = asking(cast.ada).put(f"treatments/{planned}", save(document(cast, **parts)), version=0)
    assert answer.status_code == 422
    assert field in {one["field"] for one in answer.json()["fields"]}
    assert asking(cast.ada).get(f"treatments/{planned}").json()["version"] == 0


def test_a_needle_beyond_the_access_and_two_in_one_spot_are_refused(asking: Ask, cast: Cast, planned: str) -> None:
    beyond = [a_needle(cast.graft, along_cm=90)]
    one_spot = [a_needle(cast.graft), a_needle(cast.graft, role="venous", along_cm=8.5)]
    for needles in (beyond, one_spot):
        answer = asking(cast.ada).put(f"treatments/{planned}", save(document(cast, needles=needles)), version=0)
        assert answer.status_code == 422 and answer.json()["fields"][0]["field"].startswith("needles.")


def test_what_is_merely_unlikely_is_asked_about_and_stored(asking: Ask, cast: Cast, planned: str) -> None:
    odd = document(cast, pressures=[a_reading(venous_mmhg=400)])
    answer = asking(cast.ada).put(f"treatments/{planned}", save(odd), version=0)
    assert answer.status_code == 200
    assert "pressures.0.venous_mmhg" in {one["field"] for one in answer.json()["asks"]}


def test_a_nurse_of_another_clinic_can_neither_read_nor_write_it(asking: Ask, cast: Cast, planned: str) -> None:
    cleo = asking(cast.cleo)
    assert said(cleo.get(f"treatments/{planned}")) == said(cleo.get(f"treatments/{uuid7()}"))
    assert cleo.put(f"treatments/{planned}", save(document(cast)), version=0).status_code == 404
    assert cleo.put(f"treatments/{uuid7()}", save(document(cast)), new=True).status_code == 404


def test_a_body_of_ten_megabytes_and_a_wrong_content_type_get_their_problems(
    asking: Ask, cast: Cast, planned: str
) -> None:
    browser = asking(cast.ada)
    huge = browser.put(f"treatments/{planned}", {"document": "x" * 10_000_000}, version=0)
    assert huge.status_code == 413 and huge["Content-Type"] == "application/problem+json"
    plain = browser.client.put(f"{ROOT}/treatments/{planned}", "words", content_type="text/plain")
    assert plain.status_code == 415
    broken = browser.client.put(f"{ROOT}/treatments/{planned}", "{", content_type="application/json")
    assert broken.status_code == 400


def test_neither_thrill_nor_bruit_answers_with_a_flag_now(asking: Ask, cast: Cast, planned: str) -> None:
    silent = an_examination(cast.graft, findings={"thrill": "missing", "bruit": "missing"}, filled_together=[])
    answer = asking(cast.ada).put(f"treatments/{planned}", save(document(cast, examinations=[silent])), version=0)
    assert answer.status_code == 200
    assert [flag["urgency"] for flag in answer.json()["flags"]][:1] == ["stat"]
