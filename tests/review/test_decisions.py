"""Four outcomes a week, each by one reviewer who saw what the other decided."""

from datetime import date, timedelta
from typing import Any

import pytest
from uuid_utils.compat import uuid7

from access.accounts.models import User
from access.audit.models import AuditEntry
from access.records.models import VascularAccess
from access.records.problems import Conflict, Invalid, Missing
from access.review import judging
from access.review.decisions import decide
from access.review.models import Decision
from tests.records.bedside import NOW, Bedside, ago

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


@pytest.fixture
def graft(north: Bedside) -> VascularAccess:
    access = north.access(north.patient())
    north.flow(access, at=ago(2), ml_min=420)
    judging.judge(access, as_of=NOW, acting=north.acting())
    return access


def decided(north: Bedside, access: VascularAccess, outcome: str, *, by: User | None = None, **more: Any) -> Decision:
    at = more.pop("at", NOW)
    return decide(access, decision_id=uuid7(), outcome=outcome, acting=north.acting(by, at=at), **more)


def test_a_decision_is_kept_with_its_week_its_reviewer_and_the_flags_that_stood(
    north: Bedside, graft: VascularAccess
) -> None:
    found = decided(north, graft, "no change", note=" Known since January. ")
    assert (found.week, found.reviewer, found.note) == (date(2026, 3, 16), north.nurse, "Known since January.")
    assert found.flags == [str(flag.pk) for flag in graft.flags.all()]
    told = AuditEntry.objects.get(action="decision:create")
    assert (told.patients, str(graft.pk) in told.subjects) == ([str(graft.patient_id)], True)


def test_the_week_is_that_of_the_clinics_own_day(north: Bedside, graft: VascularAccess) -> None:
    late_on_sunday = NOW.replace(day=22, hour=23, minute=30)  # Monday, 00:30, in the clinic.
    assert decided(north, graft, "no change", at=late_on_sunday).week == date(2026, 3, 23)


@pytest.mark.parametrize(
    ("outcome", "day", "said"),
    [
        ("wait", None, "not one of"),
        ("check again", None, "by which day"),
        ("check again", NOW.date(), "not after today"),
        ("check again", NOW.date() + timedelta(days=400), "half a year"),
    ],
)
def test_an_outcome_that_cannot_be_is_refused_in_words(
    north: Bedside, graft: VascularAccess, outcome: str, day: date | None, said: str
) -> None:
    with pytest.raises(Invalid, match=said):
        decided(north, graft, outcome, check_again_on=day)
    assert not Decision.objects.exists()


def test_the_same_decision_sent_twice_is_stored_once(north: Bedside, graft: VascularAccess) -> None:
    key = uuid7()
    both = [decide(graft, decision_id=key, outcome="no change", acting=north.acting()) for _ in range(2)]
    assert (both[0].pk, Decision.objects.count()) == (both[1].pk, 1)


def test_anothers_decision_is_not_found_under_its_id(north: Bedside, graft: VascularAccess) -> None:
    key = uuid7()
    decide(graft, decision_id=key, outcome="no change", acting=north.acting())
    other = north.person("coordinator")
    with pytest.raises(Missing):
        decide(graft, decision_id=key, outcome="no change", acting=north.acting(other))


def test_of_two_reviewers_the_second_is_shown_what_the_first_decided(north: Bedside, graft: VascularAccess) -> None:
    dov, eva = north.person("coordinator"), north.person("coordinator", username="eva")
    first = decided(north, graft, "no change", by=dov)
    with pytest.raises(Conflict) as conflict:
        decided(north, graft, "refer", by=eva)
    assert (conflict.value.theirs["id"], conflict.value.theirs["reviewer"]) == (str(first.pk), "Coordinator North")
    assert decided(north, graft, "refer", by=eva, after=first.pk).outcome == "refer"


def test_one_reviewer_may_change_her_mind_and_another_week_is_another_matter(
    north: Bedside, graft: VascularAccess
) -> None:
    dov, eva = north.person("coordinator"), north.person("coordinator", username="eva")
    decided(north, graft, "no change", by=dov)
    decided(north, graft, "already planned", by=dov, at=NOW + timedelta(hours=1))
    decided(north, graft, "no change", by=eva, at=NOW + timedelta(days=7))
    assert Decision.objects.count() == 3
