"""From the weekly list to a referral: a decision to refer writes the draft in the same transaction.

The draft asks in plain words what the heaviest flag leads to; the coordinator changes it before it is sent.
"""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db import transaction
from uuid_utils.compat import uuid7

from access.audit.trail import Acting
from access.records.history import title
from access.records.models import VascularAccess
from access.referral.models import Referral
from access.referral.states import LONGEST_QUESTION, OPEN, Draft, draft
from access.review import decisions, flags
from access.review.models import Decision


@dataclass(frozen=True, kw_only=True)
class Decided:
    """A decision, and the referral that it began or goes on with."""

    decision: Decision
    referral: Referral | None


@transaction.atomic
def decide(
    access: VascularAccess,
    *,
    decision_id: UUID,
    outcome: str,
    acting: Acting,
    note: str = "",
    check_again_on: date | None = None,
    after: UUID | None = None,
) -> Decided:
    """Store a reviewer's decision and, where it is to refer, see that there is an open referral."""
    decision = decisions.decide(
        access,
        decision_id=decision_id,
        outcome=outcome,
        acting=acting,
        note=note,
        check_again_on=check_again_on,
        after=after,
    )
    open_one = Referral.objects.filter(access=access, state__in=OPEN).first()
    if outcome == "refer" and open_one is None:
        open_one = draft(access, referral_id=uuid7(), body=proposed(access, note=decision.note), acting=acting)
    return Decided(decision=decision, referral=open_one if outcome == "refer" else None)


def proposed(access: VascularAccess, *, note: str = "") -> Draft:
    """The draft that the flags of an access lead to."""
    standing = flags.standing([access.pk])
    seen = standing[0].finding["sentence"] if standing else ""
    parts = [f"Imaging of the {title(access)}, and treatment if it shows a narrowing?", note, seen]
    text = " ".join(part.strip() for part in parts if part.strip())
    urgency = standing[0].urgency if standing else "routine"
    return Draft(urgency=urgency, question=_cut(text))


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST_QUESTION else f"{text[: LONGEST_QUESTION - 1].rstrip()}…"
