"""Writes the trail. It is called inside the writers, in their transaction; it never reads."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from access.audit.models import AuditEntry

# Every tag is ``subject:action``; a tag that is not here cannot be written.
ACTIONS: frozenset[str] = frozenset(
    {
        "access:change",
        "access:create",
        "access:read",
        "bench:change",
        "care-period:change",
        "clinic:change",
        "clinic:create",
        "decision:create",
        "dose:change",
        "dose:create",
        "event:change",
        "event:create",
        "examination:change",
        "examination:create",
        "flag:change",
        "flag:close",
        "flag:raise",
        "flow:change",
        "flow:create",
        "hold:change",
        "lab:change",
        "lab:create",
        "limit:change",
        "patient:change",
        "patient:create",
        "patient:list",
        "patient:read",
        "prescription:change",
        "recirculation:change",
        "recirculation:create",
        "referral:change",
        "referral:create",
        "referral:read",
        "referral:send",
        "session:fail",
        "session:lock-out",
        "session:sign-in",
        "session:sign-out",
        "treatment:change",
        "treatment:create",
        "treatment:load",
        "treatment:read",
        "user:create",
        "zone:change",
    }
)


@dataclass(frozen=True, kw_only=True)
class Acting:
    """Who acts, for which clinic, when and from where; handed down from the API or a command."""

    user: UUID | None
    clinic: UUID | None
    at: datetime
    device: UUID | None = None
    address: str = ""
    request: str = ""

    @property
    def person(self) -> UUID:
        """The person who acts, for acts that somebody must stand behind.

        Raises
        ------
        LookupError
            When nobody acts.
        """
        if self.user is None:
            raise LookupError("This act needs a person.")
        return self.user


def entry(
    action: str,
    *,
    acting: Acting,
    subjects: Iterable[UUID] = (),
    patients: Iterable[UUID] = (),
    detail: dict[str, object] | None = None,
) -> AuditEntry:
    """An unsaved entry, for writers that store many at once.

    Raises
    ------
    KeyError
        When the tag is not one of ``ACTIONS``.
    """
    if action not in ACTIONS:
        raise KeyError(action)
    return AuditEntry(
        at=acting.at,
        action=action,
        actor=acting.user,
        clinic=acting.clinic,
        device=acting.device,
        address=acting.address,
        request=acting.request,
        subjects=[str(one) for one in subjects],
        patients=[str(one) for one in patients],
        detail=detail or {},
    )


def write(
    action: str,
    *,
    acting: Acting,
    subjects: Iterable[UUID] = (),
    patients: Iterable[UUID] = (),
    detail: dict[str, object] | None = None,
) -> None:
    """Store one entry of the trail."""
    entry(action, acting=acting, subjects=subjects, patients=patients, detail=detail).save(force_insert=True)
