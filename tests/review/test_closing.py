"""Why measurements closed a flag: the value named is the one that answers the rule."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from access.measures.findings import Finding
from access.measures.readings import AccessProfile
from access.records.models import VascularAccess
from access.review import judging
from access.review.closing import newest_of
from access.review.models import Flag
from access.review.stored import as_json
from tests.measures.histories import a_dynamic, a_flow, a_ratio, an_access
from tests.records.bedside import NOW, Bedside, ago, running, static

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


@pytest.fixture
def graft(north: Bedside) -> VascularAccess:
    return north.access(north.patient())


def judge(north: Bedside, access: VascularAccess, *, days_ago: float = 0) -> None:
    at = NOW - timedelta(days=days_ago)
    judging.judge(access, as_of=at, acting=north.acting(at=at))


def test_a_venous_pressure_at_another_pump_speed_is_not_named_as_what_closed_it(
    north: Bedside, graft: VascularAccess
) -> None:
    for days in (9, 7, 5):
        north.treatment(graft, at=ago(days), pressures=[running(140)])
    judge(north, graft, days_ago=4)
    faster = running(180, pump=300) | {"minute": 60.0, "measured_at": ago(2) + timedelta(minutes=60)}
    north.treatment(graft, at=ago(2), pressures=[running(110), faster])
    judge(north, graft)
    (flag,) = Flag.objects.filter(rule="outlet.dynamic")
    assert flag.state == "closed"
    assert "venous pressure 110 mmHg at 200 mL/min" in flag.closed_why


def weighed(north: Bedside, access: VascularAccess, *rows: tuple[float, float], **columns: Any) -> None:
    """Flows with their 90 % interval, given as (days ago, mL/min)."""
    for days, ml_min in rows:
        ends = {"low_ml_min": 0.792 * ml_min, "high_ml_min": ml_min / 0.792}
        north.flow(access, at=ago(days), ml_min=ml_min, **ends, **columns)


MONTHLY = ((170, 1000), (140, 980), (110, 1020), (80, 990), (50, 1010))


def test_a_trend_that_is_silent_again_says_how_likely_it_is_and_from_when_on_it_asks(
    north: Bedside, graft: VascularAccess
) -> None:
    weighed(north, graft, *MONTHLY, (20, 300))
    judge(north, graft, days_ago=19)
    weighed(north, graft, (18, 980))
    judge(north, graft)
    (flag,) = Flag.objects.filter(rule="flow.trend")
    assert flag.closed_why.startswith("Closed by measurements: flow 980 mL/min on 28 Feb 2026; ")
    assert "less than 1 % likely below 600 mL/min" in flag.closed_why
    assert "; asked about from " in flag.closed_why


def test_an_event_that_came_in_late_is_named_although_it_lies_before_the_last_reading(
    north: Bedside, graft: VascularAccess
) -> None:
    weighed(north, graft, *MONTHLY, (20, 300), (17, 310))
    judge(north, graft, days_ago=16)
    weighed(north, graft, (10, 900), (6, 950))
    north.event(graft, on=ago(18).date(), what="thrombectomy")
    judge(north, graft)
    (flag,) = Flag.objects.filter(rule="flow.trend")
    assert flag.closed_why == "Thrombectomy on 28 Feb 2026 changed the vessel: its series starts anew."


def raised_before(access: VascularAccess, *, rule: str, finding: Finding, north: Bedside) -> Flag:
    """A flag as a rule raised it that another one now speaks for."""
    return Flag.objects.create(
        clinic=north.clinic,
        patient_id=access.patient_id,
        access=access,
        rule=rule,
        protocol="kdoqi-2019-supplement",
        protocol_version="1",
        basis="measurement",
        urgency="urgent",
        first_seen_at=finding.first_seen,
        last_seen_at=finding.last_seen,
        raised_at=finding.last_seen,
        finding=as_json(finding),
    )


@pytest.mark.parametrize(
    ("low", "words"),
    [
        (560.0, "Another rule speaks for this now: Flow 560 mL/min, far below its trend"),
        (595.0, "Still seen once; 2 in succession needed; shown as evidence"),
    ],
)
def test_a_flag_of_the_limit_that_the_trend_now_speaks_for_closes_with_words_that_are_true(
    north: Bedside, graft: VascularAccess, low: float, words: str
) -> None:
    weighed(north, graft, *MONTHLY, (20, low))
    at = ago(20)
    old = Finding(
        rule="flow.limit", basis="measurement", sentence="Flow below the limit of 600 mL/min for a graft: seen once.",
        urgency="urgent", time_in_words="at the next treatment", first_seen=at, last_seen=at, times_seen=1,
        times_needed=2,
    )  # fmt: skip
    flag = raised_before(graft, rule="flow.limit", finding=old, north=north)
    judge(north, graft, days_ago=19)
    flag.refresh_from_db()
    assert flag.state == "closed" and flag.closed_why.startswith(words)
    assert Flag.objects.filter(rule="flow.trend", state="open").exists() is (low < 590)


def test_a_flag_of_the_limit_that_is_met_stands_beside_the_trend(north: Bedside, graft: VascularAccess) -> None:
    weighed(north, graft, *MONTHLY, (20, 500), (17, 510))
    at = ago(17)
    old = Finding(
        rule="flow.limit", basis="measurement", sentence="Flow below the limit: seen twice.", urgency="urgent",
        time_in_words="at the next treatment", first_seen=ago(20), last_seen=at, times_seen=2, times_needed=2,
    )  # fmt: skip
    flag = raised_before(graft, rule="flow.limit", finding=old, north=north)
    judge(north, graft, days_ago=16)
    flag.refresh_from_db()
    assert flag.state == "open"
    assert Flag.objects.filter(rule="flow.trend", state="open").exists()


def test_a_flow_that_the_trend_cannot_weigh_is_not_named_as_what_closed_it() -> None:
    known = replace(a_flow(100, 900), low_ml_min=700.0, high_ml_min=1150.0)
    both = replace(an_access(), flows=(known, replace(a_flow(110, 1000), method="infusion")))
    trend, limit = (newest_of(rule, profile=both) for rule in ("flow.trend", "flow.limit"))
    assert trend is not None and trend.text == "flow 900 mL/min"
    assert limit is not None and limit.text == "flow 1000 mL/min"


def test_an_arterial_ratio_is_not_named_as_what_closed_the_outlet(north: Bedside, graft: VascularAccess) -> None:
    north.treatment(graft, at=ago(9), pressures=[static(None, 40)])
    judge(north, graft, days_ago=8)
    north.treatment(graft, at=ago(5), pressures=[static(40, 15)])
    judge(north, graft)
    (flag,) = Flag.objects.filter(rule="outlet.static-ratio")
    assert flag.closed_why.startswith("Closed by measurements: static ratio 0.38 at the venous needle on")


def a_profile(*, ratio_day: float | None, running_day: float | None) -> AccessProfile:
    """A graft with at most one static ratio and one running pressure."""
    ratios = () if ratio_day is None else (a_ratio(ratio_day, 0.31),)
    dynamics = () if running_day is None else (a_dynamic(running_day, venous=150, pump=300, minute=60),)
    return replace(an_access(), ratios=ratios, dynamics=dynamics)


@pytest.mark.parametrize(
    ("ratio_day", "running_day", "named"),
    [
        (100, 101, "static ratio 0.31 at the venous needle"),
        (60, 101, "venous pressure 150 mmHg at 300 mL/min"),
        (None, 101, "venous pressure 150 mmHg at 300 mL/min"),
        (100, None, "static ratio 0.31 at the venous needle"),
    ],
)
def test_the_rise_of_the_outlet_names_the_measurement_that_speaks(
    ratio_day: float | None, running_day: float | None, named: str
) -> None:
    newest = newest_of("outlet.rise", profile=a_profile(ratio_day=ratio_day, running_day=running_day))
    assert newest is not None and newest.text == named


def test_the_fall_of_the_inflow_names_the_pre_pump_pressure() -> None:
    low = replace(an_access(), dynamics=(a_dynamic(100, pre_pump=-180, pump=300, minute=60),))
    newest = newest_of("inflow.fall", profile=low)
    assert newest is not None and newest.text == "pre-pump pressure -180 mmHg at 300 mL/min"
    assert newest_of("outlet.rise", profile=an_access()) is None
