"""How far a clinic sees into a patient's record: all of it while its care is open, else what it knew at the end.

It is a condition on rows and reads none.
"""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Q


@dataclass(frozen=True, kw_only=True)
class Sight:
    """How far a clinic sees into one patient's record; ``until`` is None while its care is open."""

    clinic: UUID
    until: datetime | None = None

    def observed(self) -> Q:
        """What a clinic knows of observed records: all, or what reached the server, or it saw itself, in time."""
        if self.until is None:
            return Q()
        return Q(received_at__lte=self.until) | Q(clinic=self.clinic, measured_at__lte=self.until)

    def dated(self, field: str = "since") -> Q:
        """The same for records that carry a day only; on the last day the clinic sees its own."""
        if self.until is None:
            return Q()
        day = self.until.date()
        return Q(**{f"{field}__lt": day}) | Q(**{f"{field}__lte": day, "clinic": self.clinic})

    def clock(self, as_of: datetime) -> datetime:
        """The time at which this clinic's view of the record stands."""
        return as_of if self.until is None else min(as_of, self.until.astimezone(as_of.tzinfo))


# Judging sees all, whichever clinic asks.
SEES_ALL = Sight(clinic=UUID(int=0))
