"""Open flags and decisions as the API answers with them; what they mean is decided in ``review``."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from typing import Any
from uuid import UUID

from access.accounts.models import Clinic, User
from access.records.history import Sight, patients_visible_to
from access.records.history.sight import SEES_ALL
from access.records.models import VascularAccess
from access.records.problems import Missing
from access.review.flags import standing
from access.review.models import Decision, Flag
from access.review.shown import flag_row
from access.review.worklist import decision_row

MOST_DECISIONS = 50


def flags_of(flags: Iterable[Flag]) -> list[dict[str, Any]]:
    """Flags as rows."""
    return [flag_row(one) for one in flags]


def open_flags(accesses: Iterable[Any], *, sight: Sight = SEES_ALL) -> list[dict[str, Any]]:
    """The flags that stand for some accesses, most urgent first; of an ended care those raised until its end."""
    return flags_of(standing([UUID(str(one)) for one in accesses], sight=sight))


def brief_flags_by_access(accesses: Iterable[Any]) -> dict[str, list[dict[str, Any]]]:
    """Urgency and sentence of the flags that stand, by access, in one query."""
    found: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for flag in standing([UUID(str(one)) for one in accesses]):
        row = flag_row(flag)
        found[str(flag.access_id)].append({key: row[key] for key in ("urgency", "time_in_words", "sentence")})
    return found


def decisions_of(access: VascularAccess, *, sight: Sight) -> list[dict[str, Any]]:
    """What was decided about an access, newest first; of an ended care what was decided until its end."""
    rows = Decision.objects.filter(access=access).select_related("reviewer")
    if sight.until is not None:
        rows = rows.filter(at__lte=sight.until, clinic=sight.clinic)
    return [decision_row(one) for one in rows[:MOST_DECISIONS]]


def get_flag(flag_id: UUID, *, user: User, clinic: Clinic, at: datetime) -> Flag:
    """A flag of a visible patient's access, or ``Missing``."""
    found = Flag.objects.filter(pk=flag_id, patient__in=patients_visible_to(user, clinic=clinic, at=at)).first()
    if found is None:
        raise Missing
    return found
