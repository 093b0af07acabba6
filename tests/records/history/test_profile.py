"""What the readers hand to the computation: complete, in order, without what was made in error, in few queries."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from access.records import history
from tests.records.bedside import NOW, Bedside, ago, running, static

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


def test_an_access_without_records_has_an_empty_profile(north: Bedside) -> None:
    access = north.access(north.patient())
    found = history.profile(access, as_of=NOW)
    assert (found.access, found.kind, found.side) == (str(access.pk), "graft", "left")
    assert (found.treatments, found.examinations, found.flows, found.ratios) == ((), (), (), ())


def test_series_stand_in_order_of_bedside_time_and_end_at_the_moment(north: Bedside) -> None:
    access = north.access(north.patient())
    for days, flow in ((5, 700), (65, 900), (35, 800), (-1, 100)):
        north.flow(access, at=ago(days), ml_min=flow)
    assert [one.ml_min for one in history.profile(access, as_of=NOW).flows] == [900, 800, 700]


def test_a_flow_awaited_from_the_laboratory_is_no_flow(north: Bedside) -> None:
    access = north.access(north.patient())
    north.flow(access, at=ago(3), ml_min=None)
    assert history.profile(access, as_of=NOW).flows == ()


def test_a_ratio_follows_the_formula_height_and_blood_pressure_of_its_own_reading(north: Bedside) -> None:
    access = north.access(north.patient())
    north.treatment(access, at=ago(2), pressures=[static(35, 20)])
    found = {one.role: one for one in history.profile(access, as_of=NOW).ratios}
    # Arithmetic on the published hydrostatic term: (35 + 0.76 * 30) / 100 and (20 + 0.76 * 30) / 100.
    assert found["arterial"].ratio == pytest.approx(0.578, abs=5e-4)
    assert found["venous"].ratio == pytest.approx(0.428, abs=5e-4)
    assert {one.formula for one in found.values()} == {"hydrostatic"}


@pytest.mark.parametrize(
    "without",
    [
        {"arterial_height_cm": None},
        {"height_formula": ""},
        {"systolic_mmhg": None},
        {"systolic_mmhg": 90.0, "diastolic_mmhg": 50.0},
    ],
    ids=["its height", "its formula", "a blood pressure", "a mean pressure of at least 75"],
)
def test_there_is_no_ratio_without(north: Bedside, without: dict[str, Any]) -> None:
    access = north.access(north.patient())
    north.treatment(access, at=ago(2), pressures=[static(35, None) | without])
    assert history.profile(access, as_of=NOW).ratios == ()


def test_the_blood_pressure_of_another_row_of_the_same_minute_serves(north: Bedside) -> None:
    access = north.access(north.patient())
    cuff = {"systolic_mmhg": 140.0, "diastolic_mmhg": 80.0}
    bare = static(35, None) | {"systolic_mmhg": None, "diastolic_mmhg": None}
    north.treatment(access, at=ago(2), pressures=[bare, cuff])
    assert [round(one.ratio, 3) for one in history.profile(access, as_of=NOW).ratios] == [0.578]


@pytest.mark.parametrize("route", ["one needle", "needle and catheter lumen", "catheter"])
def test_other_routes_than_two_needles_give_no_ratio_and_no_line_pressure(north: Bedside, route: str) -> None:
    access = north.access(north.patient())
    north.treatment(access, at=ago(2), route=route, pressures=[static(35, 20), running(130)])
    found = history.profile(access, as_of=NOW)
    assert (found.ratios, found.dynamics) == ((), ())
    assert [one.route for one in found.treatments] == [route]


def test_a_line_pressure_carries_gauge_limit_hematocrit_and_minute(north: Bedside) -> None:
    access = north.access(north.patient())
    north.hematocrit(access.patient, at=ago(20), value=33)
    north.hematocrit(access.patient, at=ago(1), value=40)
    north.treatment(access, at=ago(2), pressures=[running(130) | {"minute": None}], needle={"gauge": 16})
    (found,) = history.profile(access, as_of=NOW).dynamics
    assert (found.venous_mmhg, found.gauge, found.venous_limit_mmhg, found.minute) == (130, 16, 125, 3)
    assert found.hematocrit_fraction == pytest.approx(0.33)


def test_the_gauge_is_that_of_the_needle_in_use_at_the_minute(north: Bedside) -> None:
    access = north.access(north.patient())
    late = {"measured_at": ago(2) + timedelta(minutes=90), "minute": 90.0}
    run = north.treatment(access, at=ago(2), pressures=[running(130), running(150) | late], needle={"gauge": 16})
    run.needles.filter(role="venous").update(out_at=ago(2) + timedelta(minutes=60), outcome="infiltrated")
    north.needles(access, treatment=run, sites=(8, 20), gauge=17, in_at=ago(2) + timedelta(minutes=70))
    assert [one.gauge for one in history.profile(access, as_of=NOW).dynamics] == [16, 17]


def test_what_was_made_in_error_leaves_every_series(north: Bedside) -> None:
    access = north.access(north.patient())
    run = north.treatment(access, at=ago(2), findings={"thrill": "weak"}, pressures=[static(35, 20), running(130)])
    rows = [
        north.flow(access, at=ago(2), ml_min=500),
        north.recirculation(access, at=ago(2), result={"valid": True, "percent": 20.0}),
        north.dose(access.patient, at=ago(2), kt_v=1.4),
        north.event(access, on=ago(40).date(), what="angioplasty"),
        north.zone(access, from_cm=6, to_cm=8),
    ]
    type(run).objects.filter(pk=run.pk).update(made_in_error=True, state="made in error")
    for row in rows:
        type(row)._default_manager.filter(pk=row.pk).update(made_in_error=True)
    found = history.profile(access, as_of=NOW)
    assert [name for name in sorted(history.SERIES) if getattr(found, name)] == []


def test_a_method_that_was_not_valid_is_no_recirculation(north: Bedside) -> None:
    access = north.access(north.patient())
    north.recirculation(access, at=ago(9), result={"valid": False, "percent": 29.0, "method": "method not valid"})
    north.recirculation(access, at=ago(5), result={"valid": True, "percent": 20.0, "low_percent": 15.0})
    assert [one.percent for one in history.profile(access, as_of=NOW).recirculations] == [20.0]


def test_a_treatment_possibly_entered_twice_adds_no_measurement_until_a_person_says_so(north: Bedside) -> None:
    access = north.access(north.patient())
    first = north.treatment(access, at=ago(2), pressures=[running(130)])
    second = north.treatment(
        access, at=ago(2, hour=9), findings={"thrill": "missing"}, pressures=[running(131)], possibly_same_as=first
    )
    found = history.profile(access, as_of=NOW)
    assert ([one.id for one in found.treatments], len(found.dynamics)) == ([str(first.pk)], 1)
    # A sign is never lost over it: it stands as seen at the treatment that this one may be.
    assert [(one.findings["thrill"], one.treatment) for one in found.examinations] == [("missing", str(first.pk))]

    type(second).objects.filter(pk=second.pk).update(pairing="two treatments")
    found = history.profile(access, as_of=NOW)
    assert ([one.id for one in found.treatments], len(found.dynamics)) == ([str(first.pk), str(second.pk)], 2)


def test_a_planned_treatment_nobody_saved_is_not_there_but_its_first_saved_examination_is(north: Bedside) -> None:
    access = north.access(north.patient())
    north.treatment(access, at=ago(0), state="planned", version=0, sites=None, started_at=None)
    assert history.profile(access, as_of=NOW).treatments == ()
    north.treatment(access, at=ago(0), state="planned", sites=None, started_at=None, findings={"thrill": "missing"})
    assert [one.findings["thrill"] for one in history.profile(access, as_of=NOW).examinations] == ["missing"]


def test_a_dose_is_compared_on_the_prescription_in_force_that_day(north: Bedside) -> None:
    access = north.access(north.patient())
    north.prescription(access.patient, since=ago(90).date())
    north.prescription(access.patient, since=ago(20).date(), hours=4.5)
    for days in (100, 60, 10):
        north.dose(access.patient, at=ago(days), kt_v=1.5, hours=3.9)
    texts = [one.prescription for one in history.profile(access, as_of=NOW).doses]
    assert texts[0] == "3.9 h"
    assert texts[1].startswith("4 h, pump 350") and texts[2].startswith("4.5 h, pump 350")


def test_two_accesses_of_one_patient_keep_their_treatments_apart(north: Bedside) -> None:
    patient = north.patient()
    old = north.access(patient)
    fistula = {"kind": "fistula", "configuration": "radiocephalic", "first_needled_on": None}
    new = north.access(patient, created_on=ago(30).date(), **fistula)
    north.treatment(old, at=ago(50), pressures=[static(35, 20)])
    north.treatment(new, at=ago(2), pressures=[static(12, 10)])
    found = history.profiles([old, new], as_of=NOW)
    assert [one.at for one in found[old.pk].treatments] == [ago(50)]
    assert [one.at for one in found[new.pk].treatments] == [ago(2)]
    assert {round(one.ratio, 3) for one in found[new.pk].ratios} == {0.348, 0.328}


def test_the_number_of_queries_does_not_grow_with_accesses_or_rows(
    north: Bedside, django_assert_num_queries: Callable[[int], Any]
) -> None:
    accesses = [north.access(north.patient(f"Patient {number}")) for number in range(6)]
    for access in accesses[:1]:
        _one_month(north, access)
    with CaptureQueriesContext(connection) as first:
        history.profiles(accesses[:1], as_of=NOW)
    for access in accesses:
        _one_month(north, access)
    with django_assert_num_queries(len(first)):
        found = history.profiles(accesses, as_of=NOW)
    assert all(len(one.treatments) >= 8 and one.flows and one.doses for one in found.values())
    assert len(first) <= 13


def _one_month(north: Bedside, access: Any) -> None:
    for number in range(8):
        north.treatment(access, at=ago(30 - 3 * number), findings={}, pressures=[static(35, 20), running(130)])
    north.flow(access, at=ago(4), ml_min=900)
    north.dose(access.patient, at=ago(4), kt_v=1.5)
    north.hematocrit(access.patient, at=ago(4), value=33)


def test_what_hangs_on_a_treatment_joined_into_another_is_still_counted(north: Bedside) -> None:
    access = north.access(north.patient())
    first = north.treatment(access, at=ago(2))
    second = north.treatment(access, at=ago(2, hour=9), possibly_same_as=first, sites=None)
    north.flow(access, at=ago(2, hour=9), ml_min=500, treatment=second)
    north.dose(access.patient, at=ago(2, hour=9), kt_v=1.1, treatment=second)
    assert (history.profile(access, as_of=NOW).flows, history.profile(access, as_of=NOW).doses) == ((), ())
    joined = {"made_in_error": True, "state": "made in error", "pairing": "same"}
    type(second).objects.filter(pk=second.pk).update(**joined)
    found = history.profile(access, as_of=NOW)
    assert ([one.ml_min for one in found.flows], [one.kt_v for one in found.doses]) == ([500], [1.1])
    other = north.access(access.patient)
    assert history.profile(other, as_of=NOW).doses == ()
    type(first).objects.filter(pk=first.pk).update(made_in_error=True, state="made in error")
    assert history.profile(access, as_of=NOW).flows == ()


def test_what_hangs_on_the_one_left_of_two_treatments_counts(north: Bedside) -> None:
    access = north.access(north.patient())
    first = north.treatment(access, at=ago(2))
    second = north.treatment(access, at=ago(2, hour=9), possibly_same_as=first)
    north.flow(access, at=ago(2, hour=9), ml_min=500, treatment=second)
    type(first).objects.filter(pk=first.pk).update(made_in_error=True, state="made in error")
    assert [one.ml_min for one in history.profile(access, as_of=NOW).flows] == [500]
