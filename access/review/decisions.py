"""What a reviewer decides about an access in a week: four outcomes, kept with the flags that stood.

A decision closes no flag and sends nothing; the draft of a referral is written one layer up.
"""

from datetime import date
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction

from access.audit import trail
from access.audit.trail import Acting
from access.records.entry.saving import clinic_of, must_care
from access.records.models import VascularAccess
from access.records.problems import Conflict, Invalid, Missing
from access.review import flags
from access.review.models import DECISIONS, Decision
from access.review.worklist import decision_row, week_of

LONGEST_NOTE = 400
# Own choice: an access is not put off for longer than this.
LONGEST_WAIT_DAYS = 183


def decide(
    access: VascularAccess,
    *,
    decision_id: UUID,
    outcome: str,
    acting: Acting,
    note: str = "",
    check_again_on: date | None = None,
    after: UUID | None = None,
) -> Decision:
    """Store a reviewer's decision about an access; the same one again is answered as before.

    Parameters
    ----------
    after : UUID, optional
        The last decision that the reviewer saw: another's of this week that she did not see is handed back.

    Raises
    ------
    Missing, Invalid, Conflict
    """
    with transaction.atomic():
        clinic, reviewer = clinic_of(acting), acting.user
        if reviewer is None:
            raise Missing
        must_care(access.patient_id, clinic=clinic.pk, bedside_at=acting.at, now=acting.at)
        VascularAccess.objects.select_for_update().get(pk=access.pk)
        today = acting.at.astimezone(ZoneInfo(clinic.time_zone)).date()
        standing = flags.standing([access.pk])
        if existing := Decision.objects.filter(pk=decision_id).select_related("reviewer").first():
            return _repeated(existing, access=access, outcome=outcome, acting=acting)
        _check(outcome, note=note, check_again_on=check_again_on, today=today)
        _must_have_seen(access, week=week_of(today), after=after, outcome=outcome, note=note, acting=acting)
        decision = Decision.objects.create(
            pk=decision_id,
            clinic=clinic,
            access=access,
            week=week_of(today),
            reviewer_id=reviewer,
            at=acting.at,
            outcome=outcome,
            note=note.strip(),
            check_again_on=check_again_on if outcome == "check again" else None,
            flags=[str(flag.pk) for flag in standing],
        )
        subjects = [decision.pk, access.pk]
        trail.write("decision:create", acting=acting, subjects=subjects, patients=[access.patient_id])
    return decision


def _repeated(existing: Decision, *, access: VascularAccess, outcome: str, acting: Acting) -> Decision:
    same = (existing.access_id, existing.clinic_id, existing.reviewer_id) == (access.pk, acting.clinic, acting.user)
    if not same or existing.outcome != outcome:
        raise Missing
    return existing


def _check(outcome: str, *, note: str, check_again_on: date | None, today: date) -> None:
    wrong = []
    if outcome not in DECISIONS:
        wrong.append(("outcome", f"This is not one of: {', '.join(DECISIONS)}."))
    if len(note) > LONGEST_NOTE:
        wrong.append(("note", f"This is longer than {LONGEST_NOTE} characters."))
    if outcome == "check again":
        if check_again_on is None:
            wrong.append(("check_again_on", "Say by which day it is to be checked again."))
        elif check_again_on <= today:
            wrong.append(("check_again_on", "This day is not after today."))
        elif (check_again_on - today).days > LONGEST_WAIT_DAYS:
            wrong.append(("check_again_on", "This is more than half a year away; choose an earlier day."))
    if wrong:
        raise Invalid(wrong)


def _must_have_seen(
    access: VascularAccess, *, week: date, after: UUID | None, outcome: str, note: str, acting: Acting
) -> None:
    """Hand back another reviewer's decision of this week that this one was made without having seen."""
    last = Decision.objects.filter(access=access).select_related("reviewer").order_by("-at", "-id").first()
    if last is None or last.week != week or last.reviewer_id == acting.user or last.pk == after:
        return
    raise Conflict(["decision"], yours={"outcome": outcome, "note": note}, theirs=decision_row(last), version=0)
