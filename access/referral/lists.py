"""Readers of referrals: one, a page of them, those that came back, and which access has an open one.

A referral is seen through its patient; absent and forbidden end in the same ``Missing``.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet

from access.accounts.models import Clinic, User
from access.records.history import access_title, patient_card, patients_in_care, patients_visible_to, sight_of
from access.records.history.sight import SEES_ALL, Sight
from access.records.models import VascularAccess
from access.records.problems import Invalid, Missing
from access.referral.models import STATES, Referral
from access.referral.states import OPEN
from access.referral.summary import summary

PAGE = 50
# How long an answer stays on the coordinator's list after it came.
RETURNED_WITHIN = timedelta(days=28)
_PEOPLE = ("to", "created_by", "sent_by", "acknowledged_by", "decided_by")


def get_referral(referral_id: UUID, *, user: User, clinic: Clinic, at: datetime) -> Referral:
    """This referral with its access, patient and people, or ``Missing``."""
    visible = patients_visible_to(user, clinic=clinic, at=at)
    rows = Referral.objects.filter(patient__in=visible).select_related("access", "patient", "clinic", *_PEOPLE)
    found = rows.filter(pk=referral_id).first()
    if found is None:
        raise Missing
    until = sight_of(found.patient, clinic=clinic, at=at).until
    if until is not None and (found.created_at > until or found.clinic_id != clinic.pk):
        raise Missing
    return found


def referrals(clinic: Clinic, *, at: datetime, state: str = "", cursor: UUID | None = None) -> dict[str, Any]:
    """A page of the referrals of patients in a clinic's care, newest first; the next cursor is an id or None."""
    if state and state not in STATES:
        raise Invalid([("state", f"This is not one of: {', '.join(STATES)}.")])
    rows = Referral.objects.filter(patient__in=patients_in_care(clinic, at=at))
    if state:
        rows = rows.filter(state=state)
    if cursor is not None:
        last = Referral.objects.filter(pk=cursor).values("created_at").first()
        if last is None:
            raise Invalid([("cursor", "This is not a place in the list. Open the list from its start.")])
        at_last = Q(created_at=last["created_at"], pk__lt=cursor)
        rows = rows.filter(Q(created_at__lt=last["created_at"]) | at_last)
    found = list(_with_people(rows).order_by("-created_at", "-pk")[: PAGE + 1])
    shown = found[:PAGE]
    return {
        "rows": [row(one) for one in shown],
        "next": str(shown[-1].pk) if len(found) > PAGE else None,
    }


def returned(clinic: Clinic, *, as_of: datetime) -> list[dict[str, Any]]:
    """What came back in the last four weeks: decided and done referrals, the newest answer first."""
    since = as_of - RETURNED_WITHIN
    came_back = Q(state="decided", decided_at__gte=since) | Q(state="done", done_at__gte=since)
    rows = Referral.objects.filter(came_back, patient__in=patients_in_care(clinic, at=as_of))
    found = sorted(_with_people(rows), key=lambda one: one.done_at or one.decided_at or one.created_at, reverse=True)
    return [row(one) for one in found[:PAGE]]


def open_referrals(accesses: Iterable[UUID]) -> dict[UUID, dict[str, Any]]:
    """The open referral of each access that has one: id and state."""
    rows = Referral.objects.filter(access__in=list(accesses), state__in=OPEN).values_list("access_id", "pk", "state")
    return {access: {"id": str(pk), "state": state} for access, pk, state in rows}


def of_access(access: VascularAccess, *, sight: Sight = SEES_ALL) -> list[dict[str, Any]]:
    """The referrals of an access, newest first; of an ended care those begun until its end."""
    rows = _with_people(Referral.objects.filter(access=access)).order_by("-created_at", "-pk")
    if sight.until is not None:
        rows = rows.filter(created_at__lte=sight.until, clinic=sight.clinic)
    return [row(one) for one in rows[:PAGE]]


def row(referral: Referral) -> dict[str, Any]:
    """A referral as lists show it."""
    return {
        "id": str(referral.pk),
        "version": referral.version,
        "state": referral.state,
        "access": access_title(referral.access),
        "patient": patient_card(referral.patient),
        "urgency": referral.urgency,
        "question": referral.question,
        "to": _name(referral.to),
        "to_id": str(referral.to_id) if referral.to_id else None,
        "created_at": _at(referral.created_at),
        "created_by": _name(referral.created_by),
        "sent_at": _at(referral.sent_at),
        "sent_by": _name(referral.sent_by),
        "acknowledged_at": _at(referral.acknowledged_at),
        "acknowledged_by": _name(referral.acknowledged_by),
        "decided_at": _at(referral.decided_at),
        "decided_by": _name(referral.decided_by),
        "decision": referral.decision,
        "done_at": _at(referral.done_at),
        "outcome": referral.outcome,
        "withdrawn_at": _at(referral.withdrawn_at),
        "withdrawn_why": referral.withdrawn_why,
    }


def summary_of(referral: Referral, *, as_of: datetime) -> dict[str, Any]:
    """The frozen summary, or of a draft the summary as the record stands now."""
    if referral.summary:
        frozen: dict[str, Any] = referral.summary
        return frozen
    access = VascularAccess.objects.select_related("patient").get(pk=referral.access_id)
    return summary(
        access,
        clinic=referral.clinic,
        urgency=referral.urgency,
        question=referral.question,
        by=referral.created_by,
        to=referral.to,
        as_of=as_of,
        sent=False,
    )


def _with_people(rows: QuerySet[Referral]) -> QuerySet[Referral]:
    return rows.select_related("access", "patient", *_PEOPLE)


def _name(user: User | None) -> str:
    return user.full_name if user else ""


def _at(moment: datetime | None) -> str | None:
    return moment.isoformat() if moment else None
