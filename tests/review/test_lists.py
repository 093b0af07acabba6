"""Beside the list: what is overdue and what cannot be judged, counted from what was recorded."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from access.records.models import VascularAccess
from access.review.lists import cannot_judge, overdue
from tests.records.bedside import NOW, Bedside, ago, static

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


def measured(north: Bedside, name: str, *, days: float) -> VascularAccess:
    """A graft at which all that is planned was done so many days ago."""
    access = north.access(north.patient(name))
    north.flow(access, at=ago(days), ml_min=900)
    north.dose(access.patient, at=ago(days), kt_v=1.4)
    north.treatment(access, at=ago(days), findings={}, pressures=[static(30, 20)])
    return access


def test_what_is_due_is_overdue_only_a_week_later(north: Bedside) -> None:
    measured(north, "In time", days=5)
    measured(north, "Due", days=20)
    measured(north, "Late", days=40)
    found = {row["patient"]["name"]: row for row in overdue(north.clinic, as_of=NOW)}
    assert list(found) == ["Late"]
    assert found["Late"]["what"] == [
        "flow: last on 6 Feb",
        "static pressure: last on 6 Feb",
        "dose: last on 6 Feb",
    ]
    assert found["Late"]["days_late"] == 26


def test_what_was_never_measured_stands_first(north: Bedside) -> None:
    measured(north, "Late", days=60)
    north.access(north.patient("Never"))
    rows = overdue(north.clinic, as_of=NOW)
    assert [(row["patient"]["name"], row["days_late"]) for row in rows] == [("Never", None), ("Late", 46)]


def test_an_access_that_nobody_examined_or_measured_lately_cannot_be_judged(north: Bedside) -> None:
    measured(north, "Judged", days=5)
    measured(north, "Old", days=90)
    north.examination(north.access(north.patient("Felt")), at=ago(2), findings={})
    found = {row["patient"]["name"]: row["missing"] for row in cannot_judge(north.clinic, as_of=NOW)}
    unmeasured = "no measurement recent enough to be put beside another"
    assert found == {"Felt": [unmeasured], "Old": ["no examination in the last 14 days", unmeasured]}


def test_accesses_not_in_use_and_of_other_clinics_are_on_neither_list(north: Bedside) -> None:
    south = Bedside("South")
    south.access(south.patient("Of South"))
    north.access(north.patient("Maturing"), status="maturing")
    assert (overdue(north.clinic, as_of=NOW), cannot_judge(north.clinic, as_of=NOW)) == ([], [])


def test_the_number_of_queries_does_not_grow_with_the_clinic(
    north: Bedside, django_assert_num_queries: Callable[[int], Any]
) -> None:
    measured(north, "First", days=60)
    with CaptureQueriesContext(connection) as first:
        overdue(north.clinic, as_of=NOW)
    for number in range(6):
        measured(north, f"Patient {number}", days=60)
    with django_assert_num_queries(len(first)):
        assert len(overdue(north.clinic, as_of=NOW)) == 7
