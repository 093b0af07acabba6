"""The bench table as the computation takes it: that of the patient's own clinic, in two queries."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from access.measures.readings import BenchPoint
from access.records import history
from access.records.history.bench import points_for
from access.records.models import BenchTable
from tests.records.bedside import NOW, Bedside, ago, running

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


def a_reading(clinic: Bedside, *, pump: float = 300, days_ago: float = 20, **columns: Any) -> BenchTable:
    """A reading of the bench of this clinic."""
    return BenchTable.objects.create(
        **{
            "clinic": clinic.clinic,
            "needle_and_line": "15G, long line",
            "gauge": 15,
            "pump_ml_min": pump,
            "pressure_mmhg": 0.3 * pump,
            "measured_on": ago(days_ago).date(),
            "by": clinic.nurse,
            **columns,
        }
    )


def test_a_patient_has_the_table_of_the_own_clinic(north: Bedside) -> None:
    south = Bedside(name="South")
    a_reading(north), a_reading(south, pump=400)
    edda, sue = north.patient(), south.patient("Sue Example")
    found = points_for([edda.pk, sue.pk], as_of=NOW)
    point = BenchPoint(gauge=15, pump_ml_min=300, pressure_mmhg=90, needle_and_line="15G, long line")
    assert found[edda.pk] == (point,)
    assert [one.pump_ml_min for one in found[sue.pk]] == [400]


def test_a_reading_made_in_error_or_later_is_not_taken(north: Bedside) -> None:
    a_reading(north, made_in_error=True), a_reading(north, days_ago=-2, pump=400)
    edda = north.patient()
    assert points_for([edda.pk], as_of=NOW) == {}
    assert len(points_for([edda.pk], as_of=NOW + timedelta(days=3))[edda.pk]) == 1


def test_a_profile_carries_it_where_pressures_are_asked_for(north: Bedside) -> None:
    a_reading(north)
    access = north.access(north.patient())
    north.treatment(access, at=ago(2), pressures=[running(130)])
    assert [one.pump_ml_min for one in history.profile(access, as_of=NOW).bench] == [300]
    assert history.profiles([access], as_of=NOW, series={"flows"})[access.pk].bench == ()


def test_the_number_of_queries_does_not_grow_with_patients(
    north: Bedside, django_assert_num_queries: Callable[[int], Any]
) -> None:
    patients = [north.patient(f"Patient {number}").pk for number in range(5)]
    a_reading(north), a_reading(north, pump=400)
    with django_assert_num_queries(2):
        assert len(points_for(patients, as_of=NOW)) == 5
