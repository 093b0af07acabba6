"""Today: one row a patient, with what is due and to mind, in a number of queries that does not grow with the shift."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from access.records import history
from access.records.models import Hold, VascularAccess
from tests.records.bedside import NOW, Bedside, ago, running, static

pytestmark = pytest.mark.django_db
DAY = NOW.date()


@pytest.fixture
def north() -> Bedside:
    return Bedside()


def planned(north: Bedside, access: VascularAccess, **columns: Any) -> Any:
    """A treatment of today that nobody has saved."""
    row: dict[str, Any] = {"state": "planned", "version": 0, "started_at": None, "sites": None} | columns
    return north.treatment(access, at=ago(0), **row)


def rows(north: Bedside, *, shift: str = "morning") -> list[dict[str, Any]]:
    return history.today(north.clinic, clinic_day=DAY, shift=shift, as_of=NOW)


def test_a_row_names_the_patient_by_two_identifiers_the_station_and_the_access(north: Bedside) -> None:
    access = north.access(north.patient(arm_notes="no blood pressure left"))
    run = planned(north, access)
    (row,) = rows(north)
    assert (row["treatment"], row["version"], row["state"], row["station"]) == (str(run.pk), 0, "planned", "1")
    assert (row["patient"]["name"], row["patient"]["birth_date"]) == ("Edda Ilves", "1951-04-12")
    assert row["patient"]["arm_notes"] == "no blood pressure left"
    assert row["access"]["title"] == "left forearm loop graft"


def test_another_shift_another_clinic_and_a_patient_who_left_are_not_listed(north: Bedside) -> None:
    south = Bedside("South")
    planned(south, south.access(south.patient("Of South")))
    planned(north, north.access(north.patient("Of the night")), shift="night")
    gone = north.access(north.patient("Gone"))
    planned(north, gone)
    gone.patient.care_periods.update(until=ago(1))
    assert rows(north) == []


def test_the_last_sites_are_those_of_the_last_treatment_and_not_of_today(north: Bedside) -> None:
    access = north.access(north.patient())
    north.treatment(access, at=ago(5), sites=(6, 15))
    north.treatment(access, at=ago(2), sites=(8.5, 17.5))
    planned(north, access, state="running", version=1, started_at=ago(0), sites=(10, 19))
    (row,) = rows(north)
    assert row["last_sites"] == {"arterial_cm": 8.5, "venous_cm": 17.5, "on": "2026-03-16"}
    assert row["progress"] == {"examination": False, "needles": True, "pressures": False, "after": False}


def test_what_was_measured_in_time_is_not_due_and_what_was_not_is_named_with_its_day(north: Bedside) -> None:
    access = north.access(north.patient())
    planned(north, access)
    (row,) = rows(north)
    assert row["due"] == [
        "flow: none recorded yet",
        "static pressure: none recorded yet",
        "dose: none recorded yet",
    ]
    north.flow(access, at=ago(29), ml_min=900)
    north.dose(access.patient, at=ago(31), kt_v=1.4)
    north.treatment(access, at=ago(15), pressures=[static(30, 20)])
    (row,) = rows(north)
    assert row["due"] == ["static pressure: last on 3 Mar", "dose: last on 15 Feb"]


def test_nothing_is_due_at_an_access_that_is_not_in_use(north: Bedside) -> None:
    planned(north, north.access(north.patient(), status="maturing"))
    (row,) = rows(north)
    assert (row["due"], row["mind"]) == ([], ["access is maturing"])


def test_zones_holds_and_a_new_access_are_to_be_minded(north: Bedside) -> None:
    access = north.access(north.patient(), first_needled_on=ago(9).date())
    north.zone(access, from_cm=10, to_cm=10.5, why="thin skin", action="take care")
    north.zone(access, from_cm=6, to_cm=8)
    north.zone(access, from_cm=12, to_cm=13, until=ago(1).date())
    Hold.objects.create(clinic=north.clinic, access=access, since=ago(1).date(), why="swelling", version=1)
    planned(north, access)
    (row,) = rows(north)
    assert row["mind"] == [
        "not to be needled since 17 Mar: swelling",
        "new access: first needled on 9 Mar",
        "keep off 6-8 cm: bulge",
        "take care 10-10.5 cm: thin skin",
    ]


def test_how_far_the_record_has_got_is_told_part_by_part(north: Bedside) -> None:
    access = north.access(north.patient())
    columns = {"state": "running", "version": 3, "started_at": ago(0), "left_how": "thrill felt"}
    planned(north, access, findings={}, sites=(8, 17), pressures=[running(120)], **columns)
    (row,) = rows(north)
    assert row["progress"] == {"examination": True, "needles": True, "pressures": True, "after": True}


def test_the_number_of_queries_does_not_grow_with_the_shift(
    north: Bedside, django_assert_num_queries: Callable[[int], Any]
) -> None:
    def one_more(number: int) -> None:
        access = north.access(north.patient(f"Patient {number}"))
        for days in (12, 9, 7, 5, 2):
            north.treatment(access, at=ago(days), findings={}, pressures=[running(130), static(30, 20)])
        north.zone(access, from_cm=6, to_cm=8)
        north.flow(access, at=ago(40), ml_min=900)
        planned(north, access)

    one_more(0)
    with CaptureQueriesContext(connection) as first:
        assert len(rows(north)) == 1
    for number in range(1, 9):
        one_more(number)
    with django_assert_num_queries(len(first)):
        assert len(rows(north)) == 9
    assert len(first) <= 14
