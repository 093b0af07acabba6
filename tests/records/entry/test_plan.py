"""Planning a shift: one treatment for each due patient, once, with what was ordered and nothing measured."""

from datetime import timedelta

import pytest
from uuid_utils.compat import uuid7

from access.records import entry
from access.records.models import CarePeriod, Patient, Treatment
from access.records.problems import Missing
from tests.cast import DAY, NOW, Cast, a_patient, a_save, a_treatment_document, save


def plan(cast: Cast, **changes: object) -> list[Treatment]:
    """Ada opens the morning shift of North."""
    asked = {"clinic_day": DAY, "shift": "morning", "acting": cast.acting(cast.ada), **changes}
    return entry.plan_shift(cast.north, **asked)  # type: ignore[arg-type]


def test_each_due_patient_of_the_clinic_gets_one_planned_treatment(cast: Cast) -> None:
    a_patient("Tuesday", schedule_days=[1, 3, 5], acting=cast.acting(cast.dov))
    a_patient("Evening", shift="afternoon", acting=cast.acting(cast.dov))
    planned = plan(cast)
    assert {one.patient for one in planned} == {cast.gwen, cast.finn}
    assert {(one.state, one.version) for one in planned} == {("planned", 0)}


def test_opening_a_shift_again_plans_nothing_twice(cast: Cast) -> None:
    assert len(plan(cast)) == 2
    assert plan(cast) == []
    assert Treatment.objects.count() == 2


def test_whoever_already_has_a_treatment_that_day_gets_no_other(cast: Cast) -> None:
    save(cast, a_treatment_document(cast.graft))
    assert [one.patient for one in plan(cast)] == [cast.finn]


def test_the_plan_holds_what_was_ordered_and_where_and_nothing_measured(cast: Cast) -> None:
    for since, pump in (("2026-01-01", 250), ("2026-02-01", 320), ("2026-04-01", 400)):
        order = {"patient": str(cast.gwen.pk), "since": since, "hours": 4, "pump_ml_min": pump,
                 "dialysate_flow_ml_min": 500, "dialyzer": "A 1.8", "needle_gauge": 15}  # fmt: skip
        entry.save_prescription(uuid7(), body=a_save(order), acting=cast.acting(cast.ben))
    treatment = next(one for one in plan(cast) if one.patient == cast.gwen)
    document = treatment.versions.get().document
    frame = document["frame"]
    assert (frame["station"], frame["shift"], frame["pump_prescribed_ml_min"]) == (str(cast.one.pk), "morning", 320)
    assert (frame["started_at"], frame["pump_reached_ml_min"], frame["heparin"]) == (None, None, "")
    assert document["examinations"] == document["needles"] == document["pressures"] == []
    assert treatment.measured_at.isoformat() == "2026-03-04T06:30:00+01:00"  # The start of the shift in its zone.


def test_a_patient_who_has_moved_away_is_not_due(cast: Cast) -> None:
    CarePeriod.objects.filter(patient=cast.gwen).update(until=NOW - timedelta(days=2))
    assert [one.patient for one in plan(cast)] == [cast.finn]


def test_nobody_plans_for_another_clinic(cast: Cast) -> None:
    with pytest.raises(Missing):
        plan(cast, acting=cast.acting(cast.cleo))
    assert not Treatment.objects.exists()


def test_a_station_of_another_clinic_is_left_out(cast: Cast) -> None:
    Patient.objects.filter(pk=cast.sue.pk).update(station=cast.one)
    acting = cast.acting(cast.cleo)
    (planned,) = entry.plan_shift(cast.south, clinic_day=DAY, shift="morning", acting=acting)
    assert planned.station is None
