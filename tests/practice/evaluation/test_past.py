"""A clinic's own past: what would have been told before a thrombosis, by which rule, and how many days before."""

from datetime import timedelta

import pytest

from access.practice.evaluation.looking_back import looked_back
from access.practice.evaluation.past import past
from access.records.models import VascularAccess
from tests.records.bedside import NOW, Bedside, ago

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


def with_flows(north: Bedside, name: str, *flows: float, every: float = 28, until: float = 20) -> VascularAccess:
    """A graft whose flow was measured every four weeks, lastly so many days ago."""
    access = north.access(north.patient(name))
    for number, ml_min in enumerate(reversed(flows)):
        spread = {"low_ml_min": ml_min / 1.26, "high_ml_min": ml_min * 1.26}
        north.flow(access, at=ago(until + every * number), ml_min=ml_min, **spread)
    return access


def test_a_thrombosis_after_a_falling_flow_would_have_been_flagged(north: Bedside) -> None:
    access = with_flows(north, "Edda Ilves", 1000, 980, 900, 780, 640, 520, 430)
    north.event(access, on=ago(10).date(), what="clotted")
    north.event(access, on=ago(8).date(), what="thrombectomy")
    found = past(north.clinic, as_of=NOW)
    (story,) = found.stories
    assert (story.chart_number, story.on, story.what) == (
        access.patient.chart_number,
        ago(10).date(),
        ("clotted", "thrombectomy"),
    )
    assert 10 <= story.flags["flow.trend"] <= 100
    assert found.quiet == 0


def test_what_came_on_the_day_itself_or_later_tells_nothing_of_the_time_before(north: Bedside) -> None:
    access = with_flows(north, "Edda Ilves", 1000, 1010, 990, 1000, until=60)
    north.flow(access, at=ago(10), ml_min=200, low_ml_min=160, high_ml_min=250)
    north.event(access, on=ago(10).date(), what="clotted")
    (story,) = past(north.clinic, as_of=NOW).stories
    assert story.flags == {} and story.questions == {} and story.weeks > 10


def test_two_events_far_apart_are_two_stories_and_the_second_begins_after_the_first(north: Bedside) -> None:
    access = with_flows(north, "Edda Ilves", 1000, 900, 750, 560, 480, until=130)
    north.event(access, on=ago(120).date(), what="angioplasty")
    north.event(access, on=ago(20).date(), what="clotted")
    first, second = past(north.clinic, as_of=NOW).stories
    assert (first.what, second.what) == (("angioplasty",), ("clotted",))
    assert "flow.trend" in first.flags
    assert second.flags == {} and second.weeks == 15  # 100 days: the weeks since the angioplasty.


def test_accesses_without_an_event_are_watched_from_their_first_reading_on(north: Bedside) -> None:
    with_flows(north, "Edda Ilves", *[1000.0] * 13, until=14)
    north.access(north.patient("Finn Berg"))  # Nothing was ever read of it.
    found = past(north.clinic, as_of=NOW)
    assert (found.stories, found.quiet) == ((), 1)
    assert found.quiet_years == pytest.approx((14 + 28 * 12) / 365.25, abs=0.03)
    assert found.rules[-1].flags.events == 0


def test_another_clinics_access_and_an_event_made_in_error_are_not_looked_at(north: Bedside) -> None:
    south = Bedside(name="South")
    theirs = with_flows(south, "Sue Marsh", 1000, 800, 600, 400)
    south.event(theirs, on=ago(5).date(), what="clotted")
    ours = with_flows(north, "Edda Ilves", 1000, 1000, 1000)
    north.event(ours, on=ago(5).date(), what="clotted", made_in_error=True)
    found = past(north.clinic, as_of=NOW)
    assert (found.stories, found.quiet) == ((), 1)


def test_no_name_of_a_patient_is_printed(north: Bedside) -> None:
    access = with_flows(north, "Edda Ilves", 1000, 900, 750, 560, 480)
    north.event(access, on=(NOW - timedelta(days=2)).date(), what="stent")
    said = "\n".join(looked_back(past(north.clinic, as_of=NOW)))
    assert access.patient.chart_number in said and "stent" in said and "flow.trend" in said
    assert "Edda" not in said and "Ilves" not in said
