"""What needs attention: flags that findings raised, and what a reviewer decided each week."""

from django.db import models
from django.db.models import Q
from uuid_utils.compat import uuid7

from access.accounts.models import Clinic, User
from access.measures.words import URGENCIES
from access.records.models import Patient, VascularAccess

FLAG_STATES = ("open", "kept", "closed")
DECISIONS = ("no change", "check again", "refer", "already planned")


class Flag(models.Model):
    """A finding that stands until a person, or measurements, close it; explained by what it saw."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    clinic = models.ForeignKey(Clinic, on_delete=models.PROTECT, related_name="+")
    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="+")
    access = models.ForeignKey(VascularAccess, on_delete=models.PROTECT, related_name="flags")
    rule = models.CharField(max_length=60)
    protocol = models.CharField(max_length=60)
    protocol_version = models.CharField(max_length=40)
    basis = models.CharField(max_length=12)
    urgency = models.CharField(max_length=8)
    first_seen_at = models.DateTimeField()
    last_seen_at = models.DateTimeField()
    raised_at = models.DateTimeField()
    # The whole finding as it stood, with the readings it rests on.
    finding = models.JSONField()
    state = models.CharField(max_length=8, default="open")
    closed_at = models.DateTimeField(null=True, blank=True)
    # None with a closed flag: measurements closed it, as ``closed_why`` says.
    closed_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    closed_why = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["-raised_at", "-id"]
        constraints = [
            models.CheckConstraint(name="flag_urgency", condition=Q(urgency__in=URGENCIES)),
            models.CheckConstraint(name="flag_state", condition=Q(state__in=FLAG_STATES)),
            models.CheckConstraint(
                name="flag_closed_says_why",
                condition=~Q(state="closed") | (Q(closed_at__isnull=False) & ~Q(closed_why="")),
            ),
            models.UniqueConstraint(
                name="flag_one_open", fields=["access", "rule"], condition=Q(state__in=["open", "kept"])
            ),
        ]
        indexes = [models.Index(fields=["clinic", "state", "urgency"], name="flag_worklist")]

    def __str__(self) -> str:
        return f"{self.rule} ({self.state})"


class Decision(models.Model):
    """What a reviewer decided about an access in one week."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    clinic = models.ForeignKey(Clinic, on_delete=models.PROTECT, related_name="+")
    access = models.ForeignKey(VascularAccess, on_delete=models.PROTECT, related_name="decisions")
    week = models.DateField()
    reviewer = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    outcome = models.CharField(max_length=16)
    note = models.CharField(max_length=400, blank=True)
    check_again_on = models.DateField(null=True, blank=True)
    flags = models.JSONField(default=list)

    class Meta:
        ordering = ["-at", "-id"]
        constraints = [
            models.CheckConstraint(name="decision_outcome", condition=Q(outcome__in=DECISIONS)),
            models.CheckConstraint(
                name="decision_check_again_has_date",
                condition=~Q(outcome="check again") | Q(check_again_on__isnull=False),
            ),
        ]
        indexes = [models.Index(fields=["access", "-at"], name="decision_access")]

    def __str__(self) -> str:
        return f"{self.outcome} {self.week}"
