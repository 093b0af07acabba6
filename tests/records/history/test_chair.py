"""What the chair gets of a treatment: document, orders, and of each access its zones, sites, plan, signs and bands."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from access.accounts.models import ClinicLimit
from access.api.shapes.chair import PlanShape
from access.records import history
from access.records.history.pack import NO_PAIR
from access.records.models import Hold, Treatment, VascularAccess
from tests.cast import DAY, Cast, a_treatment_document, save
from tests.records.bedside import NOW, Bedside, ago, running, static

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


def pack(north: Bedside, treatment: Treatment) -> dict[str, Any]:
    sight = history.sight_of(treatment.patient, clinic=north.clinic, at=NOW)
    return history.treatment_pack(treatment, clinic=north.clinic, as_of=NOW, sight=sight)


def today_of(north: Bedside, access: VascularAccess, **columns: Any) -> Treatment:
    row: dict[str, Any] = {"state": "planned", "version": 0, "started_at": None, "sites": None} | columns
    return north.treatment(access, at=ago(0), **row)


def test_the_saved_document_comes_back_with_its_version_and_what_was_asked(cast: Cast) -> None:
    saved = save(cast, a_treatment_document(cast.graft))
    sight = history.sight_of(cast.gwen, clinic=cast.north, at=saved.received_at)
    found = history.treatment_pack(saved.record, clinic=cast.north, as_of=saved.received_at, sight=sight)
    assert (found["version"], found["document"]) == (1, saved.document)
    assert found["asks"] == saved.answer["asks"]
    assert (found["patient"]["name"], found["document"]["clinic_day"]) == ("Gwen", DAY.isoformat())


def test_todays_orders_are_the_newest_that_had_begun(north: Bedside) -> None:
    access = north.access(north.patient())
    north.prescription(access.patient)
    north.prescription(access.patient, since=ago(3).date(), pump_ml_min=300, heparin="2000 IU")
    north.prescription(access.patient, since=ago(-3).date(), pump_ml_min=250)
    orders = pack(north, today_of(north, access))["orders"]
    assert (orders["pump_ml_min"], orders["heparin"], orders["since"]) == (300, "2000 IU", "2026-03-15")


def test_without_a_prescription_there_are_no_orders(north: Bedside) -> None:
    assert pack(north, today_of(north, north.access(north.patient())))["orders"] is None


def test_the_plan_names_the_pair_that_rested_longest_and_keeps_off_zones(north: Bedside) -> None:
    access = north.access(north.patient(), needled_from_cm=4.0, needled_to_cm=14.0)
    north.treatment(access, at=ago(2), sites=(4, 9))
    north.zone(access, from_cm=5, to_cm=6)
    plan = pack(north, today_of(north, access))["accesses"][0]["plan"]
    assert plan["venous_cm"] - plan["arterial_cm"] >= 5
    assert not 5 <= plan["arterial_cm"] <= 6
    assert (plan["arterial_rest_days"], plan["venous_rest_days"]) == (None, None)


def test_the_plan_does_not_move_when_todays_needles_are_saved(north: Bedside) -> None:
    access = north.access(north.patient())
    north.treatment(access, at=ago(2), sites=(8, 17))
    run = today_of(north, access)
    before = pack(north, run)["accesses"][0]
    Treatment.objects.filter(pk=run.pk).update(state="running", version=1, started_at=ago(0))
    run.refresh_from_db()
    north.needles(access, treatment=run, sites=(before["plan"]["arterial_cm"], before["plan"]["venous_cm"]))
    after = pack(north, run)["accesses"][0]
    assert (after["plan"], after["last_sites"]) == (before["plan"], before["last_sites"])


def test_a_hold_and_a_clotted_access_leave_no_plan_and_say_why(north: Bedside) -> None:
    held, clotted = (north.access(north.patient(name)) for name in ("Held", "Clotted"))
    Hold.objects.create(clinic=north.clinic, access=held, since=ago(1).date(), why="swelling", version=1)
    VascularAccess.objects.filter(pk=clotted.pk).update(status="clotted")
    said = [pack(north, today_of(north, one))["accesses"][0]["plan"] for one in (held, clotted)]
    assert said[0] == NO_PAIR | {"none_because": "Not to be needled since 17 Mar: swelling"}
    assert said[1] == NO_PAIR | {"none_because": "It is clotted."}
    assert not any(value for name, value in said[1].items() if name != "none_because")


def test_a_plan_has_the_same_names_whether_a_pair_fits_or_not(north: Bedside) -> None:
    fits, short = north.access(north.patient()), north.access(north.patient("Short"), needled_to_cm=7.0)
    plans = [pack(north, today_of(north, one))["accesses"][0]["plan"] for one in (fits, short)]
    assert [set(PlanShape().fields)] * 2 == [set(plan) for plan in plans]
    assert plans[1]["none_because"].startswith("Too short for two needles 5 cm apart")


def test_the_next_pairs_go_on_from_the_planned_one(north: Bedside) -> None:
    access = north.access(north.patient())
    north.treatment(access, at=ago(2), sites=(8, 17))
    plan = pack(north, today_of(north, access))["accesses"][0]["plan"]
    pairs = [(one["arterial_cm"], one["venous_cm"]) for one in (plan, *plan["next"])]
    assert len(pairs) == 6
    sites = [site for pair in pairs for site in pair]
    assert len(set(sites)) == 12, "no site comes twice in six treatments on a vessel with this many"
    assert all(venous - arterial >= 5 for arterial, venous in pairs)


def test_a_buttonhole_track_and_the_gauge_of_a_new_fistula_stand_beside_the_pair(north: Bedside) -> None:
    fistula = {"kind": "fistula", "configuration": "radiocephalic", "first_needled_on": ago(9).date()}
    access = north.access(north.patient(), **fistula)
    north.treatment(access, at=ago(2), sites=(8, 17), needle={"technique": "buttonhole"})
    plan = pack(north, today_of(north, access))["accesses"][0]["plan"]
    assert (plan["arterial_cm"], plan["venous_cm"]) == (8, 17)
    assert plan["through_track"] == ["arterial", "venous"]
    assert plan["reason"].startswith("Through the buttonhole tracks of last time")
    assert plan["gauge"] == "If the step before went well: 16G, 250 to 350 mL/min."


def test_odd_signs_of_the_last_examination_are_asked_again_and_normal_ones_are_not(north: Bedside) -> None:
    access = north.access(north.patient())
    north.examination(access, at=ago(9), findings={"skin": "bruise"})
    north.examination(access, at=ago(2), findings={"pulse": "pulsatile"}, second_findings={"swelling": "hand"})
    found = pack(north, today_of(north, access))["accesses"][0]
    assert found["last_signs"] == {"pulse": "pulsatile", "swelling": "hand"}
    assert found["last_signs_on"] == "2026-03-16"


def test_punctures_are_those_of_twelve_weeks_with_days_of_rest(north: Bedside) -> None:
    access = north.access(north.patient())
    north.treatment(access, at=ago(100), sites=(6, 15))
    north.treatment(access, at=ago(2), sites=(8.5, 17.5), needle={"gauge": 16})
    found = pack(north, today_of(north, access))["accesses"][0]
    assert [(one["role"], one["along_cm"], one["days_ago"]) for one in found["punctures"]] == [
        ("arterial", 8.5, 2),
        ("venous", 17.5, 2),
    ]
    assert found["last_gauge"] == 16


def test_a_band_needs_eight_treatments_and_shows_the_last_six(north: Bedside) -> None:
    access = north.access(north.patient())
    run = today_of(north, access)
    for number in range(9):
        north.treatment(access, at=ago(30 - 2 * number), pressures=[running(120 + number % 3, pump=300)])
        found = pack(north, run)["accesses"][0]["bands"]
        venous = next(one for one in found if one["quantity"] == "venous_mmhg")
        assert (venous["low"] is None) == (number < 7), f"after {number + 1} treatments"
    assert (venous["gauge"], venous["pump_ml_min"], venous["count"], len(venous["last"])) == (15, 300, 9, 6)
    assert venous["low"] < 120 and venous["high"] > 122
    assert "not known to be healthy" in venous["note"]
    inflow = next(one for one in found if one["quantity"] == "pre_pump_arterial_mmhg")
    assert (inflow["median"], inflow["count"]) == (-120, 9)


def test_a_band_begun_beyond_a_limit_is_not_called_usual(north: Bedside) -> None:
    access = north.access(north.patient())
    for number in range(9):
        north.treatment(access, at=ago(30 - 2 * number), pressures=[running(150, pump=300), static(80, 60)])
    (venous, _) = pack(north, today_of(north, access))["accesses"][0]["bands"]
    assert (venous["low"], venous["high"], venous["median"]) == (None, None, 150)
    assert "beyond the protocol's limit" in venous["note"]


def test_the_pack_of_an_old_treatment_stands_as_it_was_before_its_needles(north: Bedside) -> None:
    access = north.access(north.patient())
    north.treatment(access, at=ago(9), sites=(6, 15))
    old = north.treatment(access, at=ago(7), sites=(8, 17))
    north.treatment(access, at=ago(2), sites=(10, 19))
    found = pack(north, old)["accesses"][0]
    assert found["last_sites"] == {"arterial_cm": 6.0, "venous_cm": 15.0, "on": "2026-03-09"}


def test_the_limits_in_force_are_the_clinics_newest_and_say_so_in_the_version(north: Bedside) -> None:
    shipped = history.in_force(north.clinic)
    for days, value in ((9, 500.0), (2, 650.0)):
        ClinicLimit.objects.create(
            clinic=north.clinic,
            protocol=north.clinic.protocol,
            limit="flow.below.graft",
            value=value,
            by=north.nurse,
            at=ago(days),
            why="agreed in the team",
        )
    found = history.in_force(north.clinic)
    limit = found.limits["flow.below.graft"]
    assert (limit.value, limit.confirmed, limit.confirmed_by) == (650, True, "Nurse North")
    assert found.version.startswith(f"{shipped.version}+")
    assert len(found.unconfirmed()) == len(shipped.unconfirmed()) - 1


def test_the_number_of_queries_does_not_grow_with_treatments_or_accesses(
    north: Bedside, django_assert_num_queries: Callable[[int], Any]
) -> None:
    patient = north.patient()
    access = north.access(patient)
    run = today_of(north, access)
    north.treatment(access, at=ago(2), findings={}, pressures=[running(130)])
    with CaptureQueriesContext(connection) as first:
        pack(north, run)
    second = north.access(patient, status="maturing", side="right")
    for number in range(8):
        north.treatment(access, at=ago(5 + number), findings={}, pressures=[running(130), static(30, 20)])
        north.examination(second, at=ago(5 + number), findings={})
        north.zone(second, from_cm=number, to_cm=number + 1)
    with django_assert_num_queries(len(first)):
        assert len(pack(north, run)["accesses"]) == 2
    assert len(first) <= 22
