"""What every observed record holds, and the append-only versions behind all of them."""

from typing import Any

from django.db import models
from django.db.models import F, Q
from uuid_utils.compat import uuid7

from access.accounts.models import Clinic, Device, User
from access.measures.plausibility import BOUNDS


def one_of(name: str, *, field: str, words: tuple[str, ...], blank: bool = False) -> models.CheckConstraint:
    """A constraint that a column holds one of these words."""
    allowed = (*words, "") if blank else words
    return models.CheckConstraint(name=name, condition=Q(**{f"{field}__in": allowed}))


def within(name: str, *, field: str, bound: str) -> models.CheckConstraint:
    """A constraint that a column is missing or inside what plausibility does not refuse."""
    limits = BOUNDS[bound]
    inside: dict[str, Any] = {f"{field}__gte": limits.refuse_below, f"{field}__lte": limits.refuse_above}
    return models.CheckConstraint(name=name, condition=Q(**{f"{field}__isnull": True}) | Q(**inside))


class Versioned(models.Model):
    """A record that is corrected by new versions and never deleted."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    clinic = models.ForeignKey(Clinic, on_delete=models.PROTECT, related_name="+")
    version = models.PositiveIntegerField(default=0)
    made_in_error = models.BooleanField(default=False)

    class Meta:
        abstract = True


class Observed(Versioned):
    """Something seen at the bedside: whose, when, by whom entered and by whom sent."""

    patient = models.ForeignKey("records.Patient", on_delete=models.PROTECT, related_name="+")
    measured_at = models.DateTimeField()
    received_at = models.DateTimeField()
    recorded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    sent_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    device = models.ForeignKey(Device, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        abstract = True


class VersionRow(models.Model):
    """One saved version of a record as it was sent; append-only by trigger."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    clinic = models.ForeignKey(Clinic, on_delete=models.PROTECT, related_name="+")
    number = models.PositiveIntegerField()
    save_id = models.UUIDField(unique=True)
    document = models.JSONField()
    # What was sent, where merging with another's save made the stored document a different one.
    sent = models.JSONField(null=True, blank=True)
    author = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    sent_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    device = models.ForeignKey(Device, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    reason = models.CharField(max_length=400, blank=True)
    received_at = models.DateTimeField()
    # How far the server's clock was ahead of the device's when this was sent, in seconds.
    device_offset_s = models.FloatField(null=True, blank=True)
    # The answer given to this save, so that a repeated save gets it again.
    answer = models.JSONField(default=dict)

    class Meta:
        abstract = True


class RecordVersion(VersionRow):
    """A version of any record but the Treatment, which has its own table."""

    subject = models.CharField(max_length=30)
    record = models.UUIDField()

    class Meta:
        ordering = ["record", "number"]
        constraints = [models.UniqueConstraint(name="record_version_number", fields=["record", "number"])]

    def __str__(self) -> str:
        return f"{self.subject} version {self.number}"


def in_order(name: str, *, start: str, end: str, equal: bool = True) -> models.CheckConstraint:
    """A constraint that an end, where there is one, does not lie before its start."""
    lookup = f"{end}__{'gte' if equal else 'gt'}"
    return models.CheckConstraint(
        name=name,
        condition=Q(**{f"{end}__isnull": True}) | Q(**{f"{start}__isnull": True}) | Q(**{lookup: F(start)}),
    )
