"""What came of a referral: an event of the access, flags closed or kept, the series begun anew, all or nothing."""

from datetime import date
from typing import Any

import pytest
from uuid_utils.compat import uuid7

from access.records.models import Event, VascularAccess
from access.records.problems import Invalid
from access.referral import states
from access.referral.models import Referral
from access.referral.outcome import record_outcome
from access.referral.states import Draft
from access.review import judging
from access.review.models import Flag
from tests.records.bedside import NOW, Bedside
from tests.referral.story import failing_graft

pytestmark = pytest.mark.django_db
ANGIOPLASTY: dict[str, Any] = {
    "on": NOW.date(),
    "what": "angioplasty",
    "outcome": "Residual narrowing below 20 %.",
    "where_words": "venous anastomosis",
    "where_cm": 20.0,
    "degree_percent": 70.0,
}


@pytest.fixture
def north() -> Bedside:
    return Bedside()


@pytest.fixture
def graft(north: Bedside) -> VascularAccess:
    return failing_graft(north)


@pytest.fixture
def decided(north: Bedside, graft: VascularAccess) -> Referral:
    judging.judge(graft, as_of=NOW, acting=north.acting())
    body = Draft(urgency="urgent", question="Imaging?")
    found = states.draft(graft, referral_id=uuid7(), body=body, acting=north.acting())
    found = states.send(found, acting=north.acting())
    return states.decide(found, decision="Angioplasty.", acting=north.acting())


def recorded(north: Bedside, referral: Referral, *, close_flags: bool = True, **changes: Any) -> Referral:
    return record_outcome(referral, close_flags=close_flags, acting=north.acting(), **(ANGIOPLASTY | changes))


def test_the_procedure_becomes_an_event_and_the_referral_is_done(
    north: Bedside, graft: VascularAccess, decided: Referral
) -> None:
    found = recorded(north, decided)
    event = Event.objects.get(pk=found.events[0])
    assert (event.what, event.on, event.where_cm, event.degree_percent) == ("angioplasty", NOW.date(), 20.0, 70.0)
    assert (event.access, event.outcome) == (graft, "Residual narrowing below 20 %.")
    assert (found.state, found.done_at, found.outcome) == ("done", NOW, "Residual narrowing below 20 %.")


def test_the_flags_behind_it_close_by_the_person_with_the_outcome_as_the_reason(
    north: Bedside, decided: Referral
) -> None:
    assert Flag.objects.filter(state="open").count() >= 3
    recorded(north, decided)
    closed = Flag.objects.filter(pk__in=decided.flags)
    assert {flag.state for flag in closed} == {"closed"}
    assert {flag.closed_by for flag in closed} == {north.nurse}
    assert {flag.closed_why for flag in closed} == {"Angioplasty, 18 Mar 2026: Residual narrowing below 20 %."}
    assert not Flag.objects.filter(state__in=["open", "kept"]).exists()


def test_flags_that_are_kept_stand_through_the_event(north: Bedside, decided: Referral) -> None:
    recorded(north, decided, close_flags=False)
    assert {flag.state for flag in Flag.objects.filter(pk__in=decided.flags)} == {"kept"}


def test_without_a_procedure_no_event_is_written_and_the_vessel_goes_on(
    north: Bedside, graft: VascularAccess, decided: Referral
) -> None:
    before = Event.objects.count()
    nothing = {"what": "", "where_cm": None, "degree_percent": None, "where_words": ""}
    found = recorded(north, decided, close_flags=False, outcome="Imaged: no narrowing.", **nothing)
    assert (Event.objects.count(), found.events, found.state) == (before, [], "done")
    with pytest.raises(Invalid, match="say what was done there"):
        recorded(north, _another(north, graft), what="", where_words="", where_cm=20.0)


def _another(north: Bedside, graft: VascularAccess) -> Referral:
    body = Draft(urgency="urgent", question="Again?")
    found = states.draft(graft, referral_id=uuid7(), body=body, acting=north.acting())
    return states.decide(states.send(found, acting=north.acting()), decision="Look.", acting=north.acting())


@pytest.mark.parametrize(
    "changes", [{"what": "prayer"}, {"where_cm": 999.0}, {"degree_percent": 170.0}, {"on": date(2027, 1, 1)}]
)
def test_an_event_that_cannot_be_leaves_everything_as_it_was(
    north: Bedside, decided: Referral, changes: dict[str, Any]
) -> None:
    events = Event.objects.count()
    with pytest.raises(Invalid):
        recorded(north, decided, **changes)
    assert (Referral.objects.get(pk=decided.pk).state, Event.objects.count()) == ("decided", events)
    assert {flag.state for flag in Flag.objects.filter(pk__in=decided.flags)} == {"open"}


def test_an_outcome_is_recorded_once_and_only_of_what_was_decided(north: Bedside, decided: Referral) -> None:
    recorded(north, decided)
    with pytest.raises(Invalid, match="This referral is done"):
        recorded(north, decided)


def test_an_outcome_needs_words(north: Bedside, decided: Referral) -> None:
    with pytest.raises(Invalid, match="what came of it"):
        recorded(north, decided, outcome=" ")
