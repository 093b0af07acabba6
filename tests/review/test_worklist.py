"""The weekly list: most urgent first, nothing dropped, read in pages of a constant number of queries."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from uuid_utils.compat import uuid7

from access.records.models import VascularAccess
from access.records.problems import Invalid
from access.review import decisions, flags, judging
from access.review.models import Flag
from access.review.worklist import week_of, worklist
from tests.records.bedside import NOW, Bedside, ago, static

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


def low_flow(north: Bedside, name: str, *, days: float = 2) -> VascularAccess:
    """A graft with one low flow: a measurement to repeat."""
    access = north.access(north.patient(name))
    north.flow(access, at=ago(days), ml_min=420)
    return access


def held_sign(north: Bedside, name: str) -> VascularAccess:
    """A graft with a pulsatile pulse at two treatments in succession."""
    access = north.access(north.patient(name))
    for days in (5, 3):
        north.treatment(access, at=ago(days), findings={"pulse": "pulsatile"})
    return access


def emergency(north: Bedside, name: str) -> VascularAccess:
    """A graft without thrill and bruit."""
    access = north.access(north.patient(name))
    north.examination(access, at=ago(1), findings={"thrill": "missing", "bruit": "missing"})
    return access


def listed(north: Bedside, **page: Any) -> dict[str, Any]:
    judging.judge_many(north.clinic, as_of=NOW, acting=north.acting())
    return worklist(north.clinic, as_of=NOW, **page)


def names(page: dict[str, Any]) -> list[str]:
    return [row["patient"]["name"] for row in page["rows"]]


def test_a_week_begins_on_monday() -> None:
    assert {week_of(date(2026, 3, 16) + timedelta(days=day)) for day in range(7)} == {date(2026, 3, 16)}


def test_rows_stand_by_urgency_then_basis_then_how_long_they_have_stood(north: Bedside) -> None:
    low_flow(north, "Flow, new")
    low_flow(north, "Flow, old", days=20)
    held_sign(north, "Sign")
    emergency(north, "Emergency")
    north.access(north.patient("Healthy"))
    assert names(listed(north)) == ["Emergency", "Sign", "Flow, old", "Flow, new"]


def test_a_row_says_why_how_sure_how_long_and_shows_its_evidence(north: Bedside) -> None:
    low_flow(north, "Flow", days=20)
    page = listed(north)
    (row,) = page["rows"]
    assert page["week"] == "2026-03-16"
    assert page["limits_waiting"] > 0
    assert row["sentence"].startswith("Flow below the limit of 600 mL/min")
    assert (row["urgency"], row["time_in_words"], row["weeks_open"]) == ("urgent", "at the next treatment", 2)
    (flag,) = row["flags"]
    assert flag["evidence"][0]["text"].startswith("26 February 2026: 420 mL/min")
    assert flag["limit_confirmed"] is False and flag["source_says"]
    assert flag["explain"]["source"].endswith(")")
    assert row["chart"]["svg"].startswith("<svg") and row["chart"]["newest"] == "420 mL/min"
    assert row["access"]["title"] == "left forearm loop graft"


def test_the_small_chart_shows_the_quantity_that_speaks(north: Bedside) -> None:
    access = low_flow(north, "Both")
    for days in (9, 2):
        north.treatment(access, at=ago(days), pressures=[static(90, 70)])
    north.examination(access, at=ago(1), findings={})
    (row,) = listed(north)["rows"]
    assert row["flags"][0]["rule"] == "outlet.static-ratio"
    assert row["chart"]["title"] == "Static pressure ratio"


def test_an_access_without_any_number_has_no_chart_and_is_listed_all_the_same(north: Bedside) -> None:
    emergency(north, "Emergency")
    (row,) = listed(north)["rows"]
    assert row["chart"] is None


def test_the_last_decision_stands_beside_the_row_and_takes_it_off_no_list(north: Bedside) -> None:
    access = low_flow(north, "Flow")
    dov = north.person("coordinator")
    listed(north)
    decisions.decide(
        access,
        decision_id=uuid7(),
        outcome="check again",
        check_again_on=NOW.date() + timedelta(days=7),
        note="Repeat on Monday.",
        acting=north.acting(dov),
    )
    (row,) = listed(north)["rows"]
    assert row["last_decision"]["outcome"] == "check again"
    assert (row["last_decision"]["reviewer"], row["check_again_on"]) == ("Coordinator North", "2026-03-25")


def test_a_flag_leaves_the_list_only_closed_and_the_row_with_the_last_of_them(north: Bedside) -> None:
    access = held_sign(north, "Both")
    north.flow(access, at=ago(2), ml_min=420)
    assert len(listed(north)["rows"][0]["flags"]) == 2
    for left, rule in ((1, "flow.limit"), (0, "sign.pulse-pulsatile")):
        flags.close(Flag.objects.get(rule=rule), why="Seen by Dr Example.", acting=north.acting())
        assert sum(len(row["flags"]) for row in listed(north)["rows"]) == left


def test_the_list_shows_whom_the_clinic_cares_for_now_whoever_raised_the_flag(north: Bedside) -> None:
    south = Bedside("South")
    access = low_flow(north, "Moved")
    listed(north)
    access.patient.care_periods.update(until=ago(1))
    access.patient.care_periods.create(clinic=south.clinic, since=ago(1))
    assert (names(worklist(north.clinic, as_of=NOW)), names(worklist(south.clinic, as_of=NOW))) == ([], ["Moved"])


def test_pages_hold_every_access_once_and_in_order(north: Bedside) -> None:
    for number in range(7):
        (low_flow, held_sign, emergency)[number % 3](north, f"Patient {number}")
    whole = names(listed(north))
    parts, cursor = [], ""
    while True:
        page = worklist(north.clinic, as_of=NOW, cursor=cursor, size=2)
        parts += names(page)
        cursor = page["next"] or ""
        if not cursor:
            break
    assert (len(whole), parts) == (7, whole)


def test_a_cursor_from_elsewhere_is_refused_in_words(north: Bedside) -> None:
    for cursor in ("nonsense", "bnVsbA==", "WzEsICJ4IiwgInkiXQ=="):
        with pytest.raises(Invalid, match="place in the list"):
            worklist(north.clinic, as_of=NOW, cursor=cursor)


def test_the_number_of_queries_is_the_same_for_one_row_and_for_many(
    north: Bedside, django_assert_num_queries: Callable[[int], Any]
) -> None:
    low_flow(north, "First")
    listed(north)
    with CaptureQueriesContext(connection) as first:
        worklist(north.clinic, as_of=NOW)
    for number in range(6):
        access = held_sign(north, f"Patient {number}")
        north.flow(access, at=ago(2), ml_min=420)
        north.treatment(access, at=ago(2), pressures=[static(90, 70)])
    listed(north)
    with django_assert_num_queries(len(first)):
        assert len(worklist(north.clinic, as_of=NOW)["rows"]) == 7
    assert len(first) <= 10
