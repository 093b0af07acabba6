"""The ways a referral may go, each taken once, from the right state, told in the trail."""

from collections.abc import Callable
from typing import Any

import pytest
from uuid_utils.compat import uuid7

from access.accounts.models import User
from access.audit.models import AuditEntry
from access.records.models import VascularAccess
from access.records.problems import Invalid, Missing
from access.referral import states
from access.referral.models import Referral
from access.referral.states import Draft
from access.review import judging
from tests.records.bedside import NOW, Bedside
from tests.referral.story import failing_graft

pytestmark = pytest.mark.django_db
QUESTION = "Imaging, and treatment if it shows a narrowing?"
STEPS: dict[str, Callable[..., Referral]] = {
    "send": states.send,
    "acknowledge": states.acknowledge,
    "decide": lambda referral, *, acting: states.decide(referral, decision="Angioplasty on Friday.", acting=acting),
    "withdraw": lambda referral, *, acting: states.withdraw(referral, why="Sent twice.", acting=acting),
}


@pytest.fixture
def north() -> Bedside:
    return Bedside()


@pytest.fixture
def ben(north: Bedside) -> User:
    return north.person("nephrologist")


@pytest.fixture
def graft(north: Bedside) -> VascularAccess:
    access = failing_graft(north, treatments=8)
    judging.judge(access, as_of=NOW, acting=north.acting())
    return access


def drafted(north: Bedside, access: VascularAccess, **changes: Any) -> Referral:
    body = Draft(**({"urgency": "urgent", "question": QUESTION} | changes))
    return states.draft(access, referral_id=uuid7(), body=body, acting=north.acting())


def at_state(north: Bedside, access: VascularAccess, steps: str) -> Referral:
    """A referral that has gone through these steps."""
    found = drafted(north, access)
    for step in steps.split():
        found = STEPS[step](found, acting=north.acting())
    return found


def test_a_draft_holds_what_is_asked_and_no_summary_yet(north: Bedside, graft: VascularAccess, ben: User) -> None:
    found = drafted(north, graft, to=ben.pk)
    assert (found.state, found.version, found.summary, found.to_id) == ("draft", 1, {}, ben.pk)
    assert set(found.flags) == {str(flag.pk) for flag in graft.flags.all()}


def test_a_draft_is_changed_by_saving_it_again_under_its_id(north: Bedside, graft: VascularAccess) -> None:
    first = drafted(north, graft)
    body = Draft(urgency="asap", question="Please look today.")
    again = states.draft(graft, referral_id=first.pk, body=body, acting=north.acting())
    assert (again.pk, again.version, again.urgency, Referral.objects.count()) == (first.pk, 2, "asap", 1)


@pytest.mark.parametrize(
    ("changes", "field"),
    [({"urgency": "soon"}, "urgency"), ({"question": "  "}, "question"), ({"question": "x" * 401}, "question")],
)
def test_a_draft_that_cannot_be_names_its_field(
    north: Bedside, graft: VascularAccess, changes: dict[str, str], field: str
) -> None:
    with pytest.raises(Invalid) as refused:
        drafted(north, graft, **changes)
    assert [name for name, _ in refused.value.fields] == [field]


def test_a_referral_goes_to_a_nephrologist_of_the_clinic_only(north: Bedside, graft: VascularAccess) -> None:
    south = Bedside("South").person("nephrologist", username="south-nephrologist")
    for person in (north.nurse, south):
        with pytest.raises(Invalid, match="no nephrologist"):
            drafted(north, graft, to=person.pk)


def test_an_access_has_one_open_referral_and_may_have_another_after_it(north: Bedside, graft: VascularAccess) -> None:
    first = drafted(north, graft)
    with pytest.raises(Invalid, match="open referral"):
        drafted(north, graft)
    states.withdraw(first, why="Another question.", acting=north.acting())
    assert drafted(north, graft).state == "draft"


def test_another_access_or_clinic_does_not_change_a_draft_by_its_id(north: Bedside, graft: VascularAccess) -> None:
    first, south = drafted(north, graft), Bedside("South")
    other = south.access(south.patient())
    body = Draft(urgency="asap", question="Mine?")
    with pytest.raises(Missing):
        states.draft(other, referral_id=first.pk, body=body, acting=south.acting())


def test_sending_freezes_the_summary_and_later_records_leave_it_as_it_was(
    north: Bedside, graft: VascularAccess
) -> None:
    sent = at_state(north, graft, "send")
    assert (sent.state, sent.sent_by_id, sent.sent_at) == ("sent", north.nurse.pk, NOW)
    frozen = sent.summary
    north.flow(graft, at=NOW, ml_min=1500)
    north.event(graft, on=NOW.date(), what="angioplasty")
    assert Referral.objects.get(pk=sent.pk).summary == frozen
    assert frozen["asked"]["question"] == QUESTION
    assert sent.flags == [one["id"] for one in frozen["findings"]] != []


def test_a_decision_made_straight_away_counts_as_acknowledged_too(north: Bedside, graft: VascularAccess) -> None:
    found = at_state(north, graft, "send decide")
    assert (found.state, found.acknowledged_by_id, found.decision) == (
        "decided",
        north.nurse.pk,
        "Angioplasty on Friday.",
    )


@pytest.mark.parametrize("text", ["", "   ", "x" * 601])
def test_a_decision_says_what_is_to_be_done(north: Bedside, graft: VascularAccess, text: str) -> None:
    with pytest.raises(Invalid, match="what is to be done"):
        states.decide(at_state(north, graft, "send"), decision=text, acting=north.acting())


REACHED = {"draft": "", "sent": "send", "acknowledged": "send acknowledge", "decided": "send decide",
           "withdrawn": "send withdraw"}  # fmt: skip
MAY = {"draft": {"send", "withdraw"}, "sent": {"acknowledge", "decide", "withdraw"},
       "acknowledged": {"decide", "withdraw"}, "decided": set(), "withdrawn": set()}  # fmt: skip


@pytest.mark.parametrize("step", STEPS)
@pytest.mark.parametrize("state", REACHED)
def test_each_step_is_taken_from_its_own_states_and_refused_in_words_from_the_others(
    north: Bedside, graft: VascularAccess, state: str, step: str
) -> None:
    found = at_state(north, graft, REACHED[state])
    assert found.state == state
    if step in MAY[state]:
        assert STEPS[step](found, acting=north.acting()).version == found.version + 1
        return
    with pytest.raises(Invalid, match=f"This referral is .*To {step} it, it must be"):
        STEPS[step](found, acting=north.acting())
    assert Referral.objects.get(pk=found.pk).version == found.version


def test_a_stale_copy_cannot_take_a_step_twice(north: Bedside, graft: VascularAccess) -> None:
    sent = at_state(north, graft, "send")
    states.acknowledge(sent, acting=north.acting())
    with pytest.raises(Invalid, match="This referral is acknowledged"):
        states.acknowledge(sent, acting=north.acting())


def test_every_step_is_told_by_ids(north: Bedside, graft: VascularAccess) -> None:
    found = at_state(north, graft, "send acknowledge decide")
    told = AuditEntry.objects.filter(action__startswith="referral:").order_by("id")
    assert [(one.action, one.detail["step"]) for one in told] == [
        ("referral:create", "drafted"),
        ("referral:send", "sent"),
        ("referral:change", "acknowledged"),
        ("referral:change", "decided"),
    ]
    assert all(one.patients == [str(graft.patient_id)] and str(found.pk) in one.subjects for one in told)
