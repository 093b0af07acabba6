"""The states of a referral and the only ways from one to the next: draft, sent, acknowledged, decided, withdrawn.

Each step is audited and taken under the row's lock; from a wrong state it is refused in words. *Done* is reached in
``outcome``. Who may do what is asked of the permission table before.
"""

from dataclasses import dataclass
from uuid import UUID

from django.db import transaction

from access.accounts.models import Clinic, User
from access.audit import trail
from access.audit.trail import Acting
from access.measures.words import URGENCIES
from access.records.entry.saving import clinic_of, must_care
from access.records.models import VascularAccess
from access.records.problems import Invalid, Missing
from access.referral.models import Referral
from access.referral.summary import summary
from access.review import flags

OPEN = ("draft", "sent", "acknowledged", "decided")
# From which states a step may be taken.
ALLOWED: dict[str, tuple[str, ...]] = {
    "change": ("draft",),
    "send": ("draft",),
    "acknowledge": ("sent",),
    "decide": ("sent", "acknowledged"),
    "record the outcome of": ("decided",),
    "withdraw": ("draft", "sent", "acknowledged"),
}
LONGEST_QUESTION, LONGEST_DECISION, LONGEST_WHY = 400, 600, 400


@dataclass(frozen=True, kw_only=True)
class Draft:
    """What the coordinator fills in: how soon, what is asked, and whom."""

    urgency: str
    question: str
    to: UUID | None = None


@transaction.atomic
def draft(access: VascularAccess, *, referral_id: UUID, body: Draft, acting: Acting) -> Referral:
    """Create a draft, or change one that is still a draft; one open referral an access.

    Raises
    ------
    Missing, Invalid
    """
    clinic = clinic_of(acting)
    must_care(access.patient_id, clinic=clinic.pk, bedside_at=acting.at, now=acting.at)
    VascularAccess.objects.select_for_update().get(pk=access.pk)
    existing = Referral.objects.filter(pk=referral_id).first()
    if existing is not None:
        return _changed(existing, access=access, body=body, clinic=clinic, acting=acting)
    _check(body, clinic=clinic, acting=acting)
    if Referral.objects.filter(access=access, state__in=OPEN).exists():
        raise Invalid([("access", "There is an open referral of this access already; go on with that one.")])
    referral = Referral.objects.create(
        pk=referral_id,
        clinic=clinic,
        patient_id=access.patient_id,
        access=access,
        urgency=body.urgency,
        question=body.question.strip(),
        to_id=body.to,
        version=1,
        flags=[str(flag.pk) for flag in flags.standing([access.pk])],
        created_by_id=person(acting),
        created_at=acting.at,
    )
    told("referral:create", referral=referral, acting=acting)
    return referral


def _changed(referral: Referral, *, access: VascularAccess, body: Draft, clinic: Clinic, acting: Acting) -> Referral:
    if (referral.access_id, referral.clinic_id) != (access.pk, clinic.pk):
        raise Missing
    must_allow("change", referral=referral)
    _check(body, clinic=clinic, acting=acting)
    referral.urgency, referral.question, referral.to_id = body.urgency, body.question.strip(), body.to
    stored(referral, acting=acting, step="changed")
    return referral


def _check(body: Draft, *, clinic: Clinic, acting: Acting) -> None:
    wrong = []
    if body.urgency not in URGENCIES:
        wrong.append(("urgency", f"This is not one of: {', '.join(URGENCIES)}."))
    if not body.question.strip() or len(body.question) > LONGEST_QUESTION:
        wrong.append(("question", f"Say what is asked (at most {LONGEST_QUESTION} characters)."))
    if body.to is not None and not _nephrologist(body.to, clinic=clinic, acting=acting):
        wrong.append(("to", "This person is no nephrologist of this clinic."))
    if wrong:
        raise Invalid(wrong)


def _nephrologist(person: UUID, *, clinic: Clinic, acting: Acting) -> bool:
    memberships = clinic.memberships.filter(user=person, role="nephrologist", since__lte=acting.at)
    return memberships.exclude(until__lte=acting.at).exists()


@transaction.atomic
def send(referral: Referral, *, acting: Acting) -> Referral:
    """Send a draft: its summary is frozen as the record stands now, with the flags that stand."""
    found, by = locked("send", referral=referral, acting=acting), User.objects.get(pk=person(acting))
    access = VascularAccess.objects.select_related("patient").get(pk=found.access_id)
    found.summary = summary(
        access,
        clinic=clinic_of(acting),
        urgency=found.urgency,
        question=found.question,
        by=by,
        to=found.to,
        as_of=acting.at,
    )
    found.flags = [one["id"] for one in found.summary["findings"]]
    found.state, found.sent_by, found.sent_at = "sent", by, acting.at
    stored(found, acting=acting, step="sent", action="referral:send")
    return found


@transaction.atomic
def acknowledge(referral: Referral, *, acting: Acting) -> Referral:
    """Say that a referral has been read and is taken on."""
    found = locked("acknowledge", referral=referral, acting=acting)
    found.state, found.acknowledged_by_id, found.acknowledged_at = "acknowledged", person(acting), acting.at
    stored(found, acting=acting, step="acknowledged")
    return found


@transaction.atomic
def decide(referral: Referral, *, decision: str, acting: Acting) -> Referral:
    """Keep what is to be done; a referral decided straight away counts as acknowledged by the same person."""
    found = locked("decide", referral=referral, acting=acting)
    found.decision = needed_text("decision", decision, most=LONGEST_DECISION, ask="Say what is to be done")
    if found.state == "sent":
        found.acknowledged_by_id, found.acknowledged_at = person(acting), acting.at
    found.state, found.decided_by_id, found.decided_at = "decided", person(acting), acting.at
    stored(found, acting=acting, step="decided")
    return found


@transaction.atomic
def withdraw(referral: Referral, *, why: str, acting: Acting) -> Referral:
    """Take back a referral that is not decided yet, and say why; its flags stand as they did."""
    found = locked("withdraw", referral=referral, acting=acting)
    found.withdrawn_why = needed_text("why", why, most=LONGEST_WHY, ask="Say why this is withdrawn")
    found.state, found.withdrawn_at = "withdrawn", acting.at
    stored(found, acting=acting, step="withdrawn")
    return found


def locked(step: str, *, referral: Referral, acting: Acting) -> Referral:
    """The referral as it stands, its row locked, if this clinic cares for the patient and its state allows the step."""
    clinic = clinic_of(acting)
    must_care(referral.patient_id, clinic=clinic.pk, bedside_at=acting.at, now=acting.at)
    found = Referral.objects.select_for_update().get(pk=referral.pk)
    must_allow(step, referral=found)
    return found


def must_allow(step: str, *, referral: Referral) -> None:
    """Refuse a step that this state does not allow."""
    if referral.state not in ALLOWED[step]:
        needed = " or ".join(_said(state) for state in ALLOWED[step])
        raise Invalid([("state", f"This referral is {_said(referral.state)}. To {step} it, it must be {needed}.")])


def _said(state: str) -> str:
    return "a draft" if state == "draft" else state


def needed_text(field: str, text: str, *, most: int, ask: str) -> str:
    """A text that must be there and may not be longer than it can be kept."""
    if not text.strip() or len(text) > most:
        raise Invalid([(field, f"{ask} (at most {most} characters).")])
    return text.strip()


def stored(referral: Referral, *, acting: Acting, step: str, action: str = "referral:change") -> None:
    """Save a step as a new version, and write it into the trail."""
    referral.version += 1
    referral.save()
    told(action, referral=referral, acting=acting, step=step)


def told(action: str, *, referral: Referral, acting: Acting, step: str = "drafted") -> None:
    """Write a step into the trail, by ids."""
    detail: dict[str, object] = {"step": step, "version": referral.version}
    subjects = [referral.pk, referral.access_id]
    trail.write(action, acting=acting, subjects=subjects, patients=[referral.patient_id], detail=detail)


def person(acting: Acting) -> UUID:
    if acting.user is None:
        raise Missing
    return acting.user
