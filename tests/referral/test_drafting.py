"""A decision to refer writes the draft with it, or goes on with the referral that is open."""

from datetime import timedelta
from typing import Any

import pytest
from uuid_utils.compat import uuid7

from access.records.models import VascularAccess
from access.records.problems import Invalid
from access.referral import states
from access.referral.drafting import decide, proposed
from access.referral.models import Referral
from access.review import judging
from access.review.models import Decision
from tests.records.bedside import NOW, Bedside
from tests.referral.story import failing_graft

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


@pytest.fixture
def graft(north: Bedside) -> VascularAccess:
    access = failing_graft(north, treatments=12)
    judging.judge(access, as_of=NOW, acting=north.acting())
    return access


def test_to_refer_writes_a_draft_that_asks_in_plain_words(north: Bedside, graft: VascularAccess) -> None:
    found = decide(graft, decision_id=uuid7(), outcome="refer", note="Soon, please.", acting=north.acting())
    assert found.referral is not None
    assert (found.referral.state, found.referral.urgency) == ("draft", "asap")
    question = found.referral.question
    assert question.startswith("Imaging of the left forearm loop graft, and treatment if it shows a narrowing? Soon,")
    assert "likely falling by more than a quarter in 4 months; fell by about" in question


@pytest.mark.parametrize("outcome", ["no change", "already planned", "check again"])
def test_the_other_outcomes_write_none(north: Bedside, graft: VascularAccess, outcome: str) -> None:
    day = NOW.date() + timedelta(days=7)
    found = decide(graft, decision_id=uuid7(), outcome=outcome, check_again_on=day, acting=north.acting())
    assert (found.referral, Referral.objects.count()) == (None, 0)


def test_to_refer_again_goes_on_with_the_open_one(north: Bedside, graft: VascularAccess) -> None:
    first = decide(graft, decision_id=uuid7(), outcome="refer", acting=north.acting()).referral
    assert first is not None
    states.send(first, acting=north.acting())
    again = decide(graft, decision_id=uuid7(), outcome="refer", acting=north.acting()).referral
    assert (again, Referral.objects.count()) == (first, 1)


def test_a_draft_that_cannot_be_written_takes_the_decision_back(
    north: Bedside, graft: VascularAccess, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*args: object, **named: object) -> Any:
        raise Invalid([("question", "No.")])

    monkeypatch.setattr("access.referral.drafting.draft", fails)
    with pytest.raises(Invalid):
        decide(graft, decision_id=uuid7(), outcome="refer", acting=north.acting())
    assert not Decision.objects.exists()


def test_the_proposed_question_is_never_longer_than_it_can_be_kept(north: Bedside, graft: VascularAccess) -> None:
    found = proposed(graft, note="word " * 80)
    assert len(found.question) <= 400 and found.question.endswith("…")


def test_an_access_without_a_flag_can_be_referred_too(north: Bedside) -> None:
    healthy = north.access(north.patient())
    found = decide(healthy, decision_id=uuid7(), outcome="refer", acting=north.acting()).referral
    assert found is not None and (found.urgency, found.flags) == ("routine", [])
