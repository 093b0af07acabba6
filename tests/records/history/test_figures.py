"""The numbers behind the pictures: plain data of which the same pictures can be drawn years later."""

import json
from typing import Any

import pytest

from access.records import history
from access.records.history.figures import figures, map_drawn, map_marks, spark
from access.records.history.pictures import charts
from access.records.models import VascularAccess
from tests.records.bedside import NOW, Bedside, ago, running, static

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


def numbers(north: Bedside, access: VascularAccess) -> dict[str, Any]:
    return figures(history.profile(access, as_of=NOW), protocol=history.in_force(north.clinic), as_of=NOW)


def test_points_carry_their_doubt_and_limits_say_whether_they_are_confirmed(north: Bedside) -> None:
    access = north.access(north.patient())
    north.flow(access, at=ago(40), ml_min=900, low_ml_min=712, high_ml_min=1137)
    north.flow(access, at=ago(9), ml_min=850, comparable=False)
    flow = numbers(north, access)["flow"]
    assert [(one["value"], one["low"], one["high"], one["mark"]) for one in flow["points"]] == [
        (900, 712, 1137, ""),
        (850, None, None, "not comparable"),
    ]
    assert flow["limits"] == [{"value": 600, "name": "limit 600 mL/min (not confirmed)"}]


def test_pictures_are_the_same_from_the_stored_numbers_as_from_the_fresh_ones(north: Bedside) -> None:
    access = north.access(north.patient())
    north.flow(access, at=ago(40), ml_min=900)
    for days in (30, 16, 2):
        north.treatment(access, at=ago(days), pressures=[static(40, 25), running(130, pump=300)])
    north.event(access, on=ago(20).date(), what="angioplasty")
    fresh = numbers(north, access)
    stored = json.loads(json.dumps(fresh))
    assert charts(stored, width=560) == charts(fresh, width=560)
    assert [one["id"] for one in charts(fresh, width=560)] == ["flow", "ratio", "pressures"]


def test_a_chart_has_its_table_with_the_event_between_the_points(north: Bedside) -> None:
    access = north.access(north.patient())
    north.flow(access, at=ago(40), ml_min=900)
    north.flow(access, at=ago(9), ml_min=1150)
    north.event(access, on=ago(20).date(), what="angioplasty")
    (chart,) = charts(numbers(north, access), width=560)
    assert chart["newest"] == "1150 mL/min"
    assert [(row[0], row[1], row[3]) for row in chart["table"]["rows"]] == [
        ("9 Mar 2026", "1150", ""),
        ("26 Feb 2026", "", "angioplasty"),
        ("6 Feb 2026", "900", ""),
    ]


def test_a_doubtful_flow_is_hollow_named_and_said(north: Bedside) -> None:
    access = north.access(north.patient())
    for days in range(300, 0, -30):
        north.flow(access, at=ago(days), ml_min=1000, low_ml_min=792, high_ml_min=1263)
    north.flow(access, at=ago(1), ml_min=300, low_ml_min=238, high_ml_min=379)
    found = numbers(north, access)
    assert [one["mark"] for one in found["flow"]["points"]] == [*[""] * 10, "doubtful"]
    (chart,) = charts(found, width=360)
    assert chart["table"]["columns"][-2:] == ["level (90 % interval)", "remark"]
    assert chart["table"]["rows"][0][-1] == "doubtful"
    assert "Doubtful: 300 mL/min on 17 Mar 2026." in chart["svg"]
    assert chart["statements"][0].startswith("The newest value, 300")
    assert chart["worked"]["inputs"][0] == {"name": "Measurements", "value": "11 since 22 May 2025"}


def test_the_level_breaks_on_the_chart_where_the_vessel_was_changed(north: Bedside) -> None:
    access = north.access(north.patient())
    for days in (300, 270, 240, 100, 70, 40):
        north.flow(access, at=ago(days), ml_min=900, low_ml_min=712, high_ml_min=1137)
    north.event(access, on=ago(200).date(), what="angioplasty")
    north.event(access, on=ago(150).date(), what="infection")
    found = numbers(north, access)
    assert [one["breaks_level"] for one in found["events"]] == [True, False]
    (chart,) = charts(found, width=720)
    assert chart["svg"].count("<polygon") == 2


def test_what_was_not_measured_has_no_chart(north: Bedside) -> None:
    access = north.access(north.patient())
    assert charts(numbers(north, access), width=560) == []
    known, protocol = history.profile(access, as_of=NOW), history.in_force(north.clinic)
    assert spark(known, protocol=protocol, as_of=NOW, rule="flow.limit") is None


def test_line_pressures_are_shown_at_the_speed_used_most_one_a_treatment(north: Bedside) -> None:
    access = north.access(north.patient())
    for number in range(10):
        minutes = [running(140, pump=350), running(150, pump=350), running(90, pump=200)]
        north.treatment(access, at=ago(30 - 2 * number), pressures=minutes if number % 2 else minutes[:2])
    venous = numbers(north, access)["venous"]
    assert (venous["pump_ml_min"], len(venous["points"])) == (350, 10)
    assert venous["bands"][0]["name"] == "usual"


def test_the_small_chart_follows_the_rule_and_falls_back_to_what_was_measured(north: Bedside) -> None:
    access = north.access(north.patient())
    north.flow(access, at=ago(9), ml_min=900)
    protocol = history.in_force(north.clinic)
    assert spark(history.profile(access, as_of=NOW), protocol=protocol, as_of=NOW, rule="outlet.static-ratio")
    north.treatment(access, at=ago(2), pressures=[static(40, 25)])
    known = history.profile(access, as_of=NOW)
    titles = [spark(known, protocol=protocol, as_of=NOW, rule=rule) for rule in ("outlet.dynamic", "sign.pulse-weak")]
    assert [one and one["title"] for one in titles] == ["Static pressure ratio", "Access flow"]


def test_the_small_chart_has_the_level_that_the_large_one_has(north: Bedside) -> None:
    access = north.access(north.patient())
    for days in range(300, 0, -30):
        north.flow(access, at=ago(days), ml_min=1000, low_ml_min=792, high_ml_min=1263)
    known, protocol = history.profile(access, as_of=NOW), history.in_force(north.clinic)
    small = spark(known, protocol=protocol, as_of=NOW, rule="flow.trend")
    (large,) = charts(numbers(north, access), width=360)
    assert small is not None
    assert small["svg"].count("<polygon") == 1
    assert (small["statements"], small["worked"]) == (large["statements"], large["worked"])


def test_the_map_marks_places_known_and_leaves_out_unknown_ones(north: Bedside) -> None:
    access = north.access(north.patient())
    north.treatment(access, at=ago(2), sites=(8, 17))
    north.treatment(access, at=ago(4), needle={"along_cm": None})
    marks = map_marks(history.profile(access, as_of=NOW), day=NOW.date())
    assert [(one["role"], one["along_cm"], one["days"]) for one in marks["punctures"]] == [
        ("arterial", 8.0, 2),
        ("venous", 17.0, 2),
    ]
    assert map_drawn(json.loads(json.dumps(marks))) == map_drawn(marks)
