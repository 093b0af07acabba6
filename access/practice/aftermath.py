"""What the people of the invented clinic did about the flags: this week's decisions, and a referral in each state.

It happens once, when the demo is made; everything after that is done by visitors.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.db import transaction

from access.practice import chance
from access.practice.founding import Demo
from access.practice.people import Person
from access.records.models import VascularAccess
from access.referral import drafting, states
from access.referral.models import Referral
from access.referral.states import Draft
from access.review.models import Decision

# By story: the outcome of the review, its note, and in how many days it is to be checked again.
DECISIONS: tuple[tuple[str, str, str, int | None], ...] = (
    ("lines reversed", "check again", "Repeat the test with the lines the right way.", 7),
    ("high flow", "no change", "Echocardiography of the spring unchanged; asked about breathlessness.", None),
    ("new fistula beside a catheter", "already planned", "Duplex and the surgeon's visit are planned.", None),
)
# By story: how far its referral has come, the question, and the decision.
REFERRALS: tuple[tuple[str, str, str, str], ...] = (
    ("inflow narrowing", "draft", "Weak thrill and low flow, pump speed no longer reached: imaging of the inflow?", ""),
    ("narrowing within the graft", "sent", "Arterial ratio up, venous down, flow falling: a narrowing within?", ""),
    (
        "swollen arm",
        "decided",
        "Swollen arm and collateral veins over an upper-arm graft: imaging of the outflow up to the chest?",
        "Venography with angioplasty in the same session, this week.",
    ),
)


@transaction.atomic
def decide(demo: Demo, *, patients: Sequence[Person]) -> None:
    """Store the decisions and referrals about these patients, unless anything was decided in the clinic before."""
    if Decision.objects.filter(clinic=demo.clinics["tarnwick"]).exists():
        return
    by_story = {one.story: one for one in patients if one.clinic == "tarnwick"}
    at = demo.calendar.as_of
    for story, outcome, note, days in DECISIONS:
        person = by_story.get(story)
        if person is None:
            continue
        day = at.astimezone(demo.calendar.zone("tarnwick")).date()
        drafting.decide(
            _access(demo, person),
            decision_id=chance.record_id(at, demo.seed, person.name, "decision"),
            outcome=outcome,
            note=note,
            check_again_on=day + timedelta(days=days) if days else None,
            acting=demo.acting("dov", at=at - timedelta(minutes=25)),
        )
    for story, state, question, decision in REFERRALS:
        if person := by_story.get(story):
            _refer(demo, person, state=state, question=question, decision=decision, at=at)


def _access(demo: Demo, person: Person) -> VascularAccess:
    return VascularAccess.objects.select_related("patient").get(pk=demo.access_id(person))


def _refer(demo: Demo, person: Person, *, state: str, question: str, decision: str, at: datetime) -> None:
    """Decide to refer, and take the referral as far as its state."""
    access = _access(demo, person)
    coordinator = demo.acting("dov", at=at - timedelta(minutes=20))
    decided = drafting.decide(
        access,
        decision_id=chance.record_id(at, demo.seed, person.name, "decision"),
        outcome="refer",
        acting=coordinator,
    )
    referral = decided.referral
    if referral is None:
        raise LookupError(person.name)
    referral = _asked(demo, referral, access=access, question=question, acting_at=at - timedelta(minutes=18))
    if state == "draft":
        return
    referral = states.send(referral, acting=demo.acting("dov", at=at - timedelta(minutes=15)))
    if state == "decided":
        states.decide(referral, decision=decision, acting=demo.acting("ben", at=at - timedelta(minutes=5)))


def _asked(demo: Demo, referral: Referral, *, access: VascularAccess, question: str, acting_at: datetime) -> Referral:
    """The draft in the coordinator's own words, addressed to the nephrologist."""
    body = Draft(urgency=referral.urgency, question=question, to=demo.users["ben"].pk)
    return states.draft(access, referral_id=referral.pk, body=body, acting=demo.acting("dov", at=acting_at))
