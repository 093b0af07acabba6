"""The bulk writer stores row for row what the single writer would have stored."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import models
from uuid_utils.compat import uuid7

from access.audit.models import AuditEntry
from access.records import entry
from access.records.entry import Save
from access.records.models import Examination, Needle, Reading, Treatment, TreatmentVersion
from access.records.problems import Invalid, Missing
from tests.cast import DAY, NORMAL, NOW, Cast, a_patient, a_treatment_document, an_access, an_examination, at

TABLES: tuple[type[models.Model], ...] = (Treatment, TreatmentVersion, Examination, Needle, Reading)


def rows_of(cast: Cast) -> list[dict[str, Any]]:
    """Three treatments to load: two of Gwen on one day, one of Finn with two questions to ask."""
    unlikely = a_treatment_document(cast.fistula)
    unlikely["pressures"][0]["venous_mmhg"] = 400
    unlikely["after"] = {"bleeding": {unlikely["needles"][0]["id"]: 12}, "left_how": "dressed"}
    documents = [a_treatment_document(cast.graft), a_treatment_document(cast.graft), unlikely]
    return [
        {
            "id": uuid7(),
            "save_id": uuid7(),
            "recorded_by": cast.ada.pk,
            "received_at": NOW + timedelta(minutes=place),
            "document": document,
        }
        for place, document in enumerate(documents)
    ]


def stored() -> dict[str, list[dict[str, Any]]]:
    """Every row of every table, without the ids that a version row is given."""
    return {
        model.__name__: [
            {name: value for name, value in row.items() if name != "id" or model is not TreatmentVersion}
            for row in model._default_manager.order_by("pk").values()
        ]
        for model in TABLES
    }


def emptied() -> None:
    """Make the tables look empty to the next writer: another patient's day is another place in them."""
    for model in (Reading, Needle, Examination):
        model._default_manager.all().delete()


def test_what_is_loaded_equals_row_for_row_what_the_single_writer_stores(cast: Cast) -> None:
    loaded = rows_of(cast)
    assert entry.load_treatments(loaded, clinic=cast.north, acting=cast.acting(cast.ada)) == 3
    by_bulk = stored()
    twins = [(row, {**row, "id": uuid7(), "save_id": uuid7()}) for row in loaded]
    emptied()  # The parts keep their ids in the document, so their rows must make place.
    Treatment.objects.update(made_in_error=True, state="made in error")
    for _, twin in twins:
        body = Save(save_id=twin["save_id"], document=twin["document"], create=True)
        acting = cast.acting(cast.ada, at=twin["received_at"])
        entry.save_treatment(twin["id"], body=body, acting=acting)
    known = {str(row[name]): f"{name} {place}" for place, (row, _) in enumerate(twins) for name in ("id", "save_id")}
    known |= {str(twin[name]): f"{name} {place}" for place, (_, twin) in enumerate(twins) for name in ("id", "save_id")}
    ids = {twin["id"] for _, twin in twins}
    one_by_one = stored()
    one_by_one["Treatment"] = [row for row in one_by_one["Treatment"] if row["id"] in ids]
    one_by_one["TreatmentVersion"] = [row for row in one_by_one["TreatmentVersion"] if row["treatment_id"] in ids]
    for table, rows in by_bulk.items():
        assert named(rows, known) == named(one_by_one[table], known)
        assert rows


def named(rows: list[dict[str, Any]], known: dict[str, str]) -> list[str]:
    """Rows as texts in which the ids of the treatments and saves are replaced by their places."""
    texts = []
    for row in rows:
        text = repr(sorted(row.items(), key=lambda pair: pair[0]))
        for name, place in known.items():
            text = text.replace(name, place)
        texts.append(text)
    return sorted(texts)


def test_what_is_loaded_twice_is_stored_once(cast: Cast) -> None:
    loaded = rows_of(cast)
    acting = cast.acting(cast.ada)
    assert entry.load_treatments(loaded, clinic=cast.north, acting=acting) == 3
    assert entry.load_treatments(loaded, clinic=cast.north, acting=acting) == 0
    assert Treatment.objects.count() == 3
    assert AuditEntry.objects.filter(action="treatment:load").count() == 1


def test_what_cannot_be_is_refused_with_its_place(cast: Cast) -> None:
    loaded = rows_of(cast)
    loaded[1]["document"]["needles"][0]["along_cm"] = 31
    with pytest.raises(Invalid) as caught:
        entry.load_treatments(loaded, clinic=cast.north, acting=cast.acting(cast.ada))
    assert caught.value.fields[0][0] == "1.needles.0.along_cm"
    assert not Treatment.objects.exists()


def test_a_patient_of_another_clinic_cannot_be_loaded(cast: Cast) -> None:
    loaded = rows_of(cast)
    acting = cast.acting(cast.cleo)
    theirs = an_access(a_patient("Sid", acting=acting), acting=acting)
    loaded[2]["document"] = a_treatment_document(theirs)
    with pytest.raises(Missing):
        entry.load_treatments(loaded, clinic=cast.north, acting=cast.acting(cast.ada))


def test_sixty_treatments_cost_a_few_dozen_queries(cast: Cast, django_assert_max_num_queries: Any) -> None:
    made = [
        {"id": uuid7(), "save_id": uuid7(), "recorded_by": cast.ada.pk, "document": a_treatment_document(cast.graft)}
        for _ in range(60)
    ]
    # SQLite takes 999 values in one statement, so that a table of many columns needs some statements.
    with django_assert_max_num_queries(30):
        assert entry.load_treatments(made, clinic=cast.north, acting=cast.acting(cast.ada)) == 60


def test_what_is_loaded_together_is_seen_before_as_if_saved_one_by_one(cast: Cast) -> None:
    bulge = {"bulge": "new", "skin": "thin, shiny or pale over a bulge"}
    before = a_treatment_document(cast.graft, clinic_day="2026-03-02", needles=[], pressures=[], frame={})
    before["examinations"] = [
        an_examination(cast.graft, measured_at=at("06:05", days=-2), findings=NORMAL | {"bulge": "none"})
    ]
    today = a_treatment_document(cast.graft, examinations=[an_examination(cast.graft, findings=NORMAL | bulge)])
    rows = [{"id": uuid7(), "save_id": uuid7(), "recorded_by": cast.ada.pk, "document": one} for one in (before, today)]
    assert entry.load_treatments(rows, clinic=cast.north, acting=cast.acting(cast.ada)) == 2
    asks = TreatmentVersion.objects.get(treatment__clinic_day=DAY).answer["asks"]
    assert "examinations.0.needling_physician" in {name for name, _ in asks}
