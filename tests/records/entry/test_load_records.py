"""The bulk writer of measurements stores row for row what the single writer would have stored."""

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import models
from uuid_utils.compat import uuid7

from access.audit.models import AuditEntry
from access.records import entry
from access.records.entry import Save
from access.records.entry.load_records import load_records
from access.records.models import DoseResult, FlowMeasurement, LabValue, RecirculationTest, RecordVersion
from access.records.problems import Invalid, Missing
from tests.cast import NOW, Cast, a_treatment_document, save

TABLES: dict[str, type[models.Model]] = {
    "flow": FlowMeasurement,
    "recirculation": RecirculationTest,
    "dose": DoseResult,
    "lab": LabValue,
}
AT = "2026-03-02T08:00:00Z"


def documents_of(cast: Cast) -> dict[str, dict[str, Any]]:
    """One document of each kind, as a nurse sends it; the flow with something to ask about."""
    whose = {"patient": str(cast.finn.pk), "measured_at": AT}
    return {
        "flow": {
            **whose,
            "access": str(cast.fistula.pk),
            "method": "ultrasound dilution",
            "inputs": {"pump_ml_min": 300, "recirculation_fraction": 0.08},
            "lines": "reversed",
        },
        "recirculation": {
            **whose,
            "access": str(cast.fistula.pk),
            "systemic": 60,
            "arterial": 51,
            "venous": 15,
            "unit": "mg/dL",
            "systemic_site": "arterial line after slow flow",
            "pump_ml_min": 350,
            "arterial_venous_drawn_at": "2026-03-02T07:59:00Z",
            "systemic_drawn_at": AT,
            "lines": "right",
        },
        "dose": {
            **whose,
            "urea_before": 70,
            "urea_after": 21,
            "unit": "mg/dL",
            "hours": 4,
            "ultrafiltration_l": 3,
            "weight_kg": 70,
        },
        "lab": {**whose, "what": "hematocrit", "value": 33.5, "unit": "%"},
    }


def rows_of(cast: Cast, documents: dict[str, dict[str, Any]]) -> list[dict[str, Any]]:
    """Rows to load, each recorded by Ada and received a little later."""
    return [
        {
            "subject": subject,
            "id": uuid7(),
            "save_id": uuid7(),
            "recorded_by": cast.ada.pk,
            "received_at": NOW + timedelta(minutes=place),
            "document": document,
        }
        for place, (subject, document) in enumerate(documents.items())
    ]


def stored(ids: dict[str, UUID]) -> dict[str, Any]:
    """The row and the version of each record, without what names them."""
    found: dict[str, Any] = {}
    for subject, name in ids.items():
        [row] = TABLES[subject]._default_manager.filter(pk=name).values()
        [version] = RecordVersion.objects.filter(record=name).values()
        found[subject] = {key: value for key, value in row.items() if key != "id"}
        found[f"{subject} version"] = {
            key: value for key, value in version.items() if key not in ("id", "save_id", "record")
        }
    return found


@pytest.mark.django_db
def test_what_is_loaded_equals_row_for_row_what_the_single_writer_stores(cast: Cast) -> None:
    loaded = rows_of(cast, documents_of(cast))
    assert load_records(loaded, clinic=cast.north, acting=cast.acting(cast.dov)) == len(TABLES)
    by_bulk = stored({row["subject"]: row["id"] for row in loaded})
    twins = {row["subject"]: uuid7() for row in loaded}
    for row in loaded:
        body = Save(save_id=uuid7(), document=row["document"], create=True)
        acting = cast.acting(cast.ada, at=row["received_at"])
        getattr(entry, f"save_{row['subject']}")(twins[row["subject"]], body=body, acting=acting)
    assert by_bulk == stored(twins)
    assert by_bulk["flow"]["flow_ml_min"] == pytest.approx(3450)
    assert by_bulk["flow version"]["answer"]["asks"]


@pytest.mark.django_db
def test_a_recirculation_by_another_route_is_loaded_without_a_verdict_as_it_is_saved(cast: Cast) -> None:
    treatment = a_treatment_document(cast.fistula, clinic_day="2026-03-02", pressures=[], needles=[], examinations=[])
    treatment["frame"] = {"state": "running", "started_at": "2026-03-02T07:30:00Z", "route": "one needle"}
    run = save(cast, treatment).record
    for named in ({}, {"treatment": str(run.pk)}):
        loaded = rows_of(cast, {"recirculation": documents_of(cast)["recirculation"] | named})
        load_records(loaded, clinic=cast.north, acting=cast.acting(cast.dov))
        by_bulk = RecirculationTest.objects.get(pk=loaded[0]["id"]).result
        body = Save(save_id=uuid7(), document=loaded[0]["document"], create=True)
        assert entry.save_recirculation(uuid7(), body=body, acting=cast.acting(cast.ada)).result == by_bulk
        assert by_bulk["method"].startswith("No verdict is given")


@pytest.mark.django_db
def test_what_was_loaded_before_is_passed_over(cast: Cast) -> None:
    loaded = rows_of(cast, documents_of(cast))
    acting = cast.acting(cast.dov)
    assert load_records(loaded, clinic=cast.north, acting=acting) == len(TABLES)
    assert load_records(loaded, clinic=cast.north, acting=acting) == 0
    assert FlowMeasurement.objects.count() == 1


@pytest.mark.django_db
def test_loading_is_in_the_trail_with_its_records_and_patients(cast: Cast) -> None:
    loaded = rows_of(cast, documents_of(cast))
    load_records(loaded, clinic=cast.north, acting=cast.acting(cast.dov))
    for row in loaded:
        told = AuditEntry.objects.get(action=f"{row['subject']}:create")
        assert (told.subjects, told.patients) == ([str(row["id"])], [str(cast.finn.pk)])


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("subject", "change", "field"),
    [
        ("flow", {"inputs": {"pump_ml_min": 300, "recirculation_fraction": 1.2}}, "0.inputs.recirculation_fraction"),
        ("dose", {"urea_after": 80}, "0.urea_after"),
        ("lab", {"unit": "mmol/L"}, "0.unit"),
        ("lab", {"measured_at": "2031-01-01T00:00:00Z"}, "0.measured_at"),
        ("recirculation", {"unit": "g/L"}, "0.unit"),
        ("lab", {"treatment": "0190d5a0-0000-7000-8000-000000000001"}, "0.treatment"),
    ],
)
def test_what_cannot_be_is_refused_with_its_place_and_nothing_is_stored(
    cast: Cast, subject: str, change: dict[str, Any], field: str
) -> None:
    document = documents_of(cast)[subject] | change
    rows = rows_of(cast, {subject: document})
    with pytest.raises(Invalid) as refused:
        load_records(rows, clinic=cast.north, acting=cast.acting(cast.dov))
    assert field in {name for name, _ in refused.value.fields}
    assert not TABLES[subject]._default_manager.exists()


@pytest.mark.django_db
def test_the_access_must_be_the_patients(cast: Cast) -> None:
    document = documents_of(cast)["flow"] | {"access": str(cast.graft.pk)}
    with pytest.raises(Invalid):
        load_records(rows_of(cast, {"flow": document}), clinic=cast.north, acting=cast.acting(cast.dov))


@pytest.mark.django_db
def test_a_patient_in_nobodys_care_here_is_missing(cast: Cast) -> None:
    document = documents_of(cast)["lab"] | {"patient": str(cast.sue.pk)}
    with pytest.raises(Missing):
        load_records(rows_of(cast, {"lab": document}), clinic=cast.north, acting=cast.acting(cast.dov))
    assert not LabValue.objects.exists()


@pytest.mark.django_db
def test_other_kinds_have_the_single_writer(cast: Cast) -> None:
    row = rows_of(cast, {"zone": {"patient": str(cast.finn.pk)}})
    with pytest.raises(Missing):
        load_records(row, clinic=cast.north, acting=cast.acting(cast.dov))
