"""What is sent on: one referral with its summary frozen when it was sent, and what came back."""

from django.db import models
from django.db.models import Q
from uuid_utils.compat import uuid7

from access.accounts.models import Clinic, User
from access.measures.words import URGENCIES
from access.records.models import Patient, VascularAccess

STATES = ("draft", "sent", "acknowledged", "decided", "done", "withdrawn")


class Referral(models.Model):
    """A question about an access put to a nephrologist, its decision and its outcome."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    clinic = models.ForeignKey(Clinic, on_delete=models.PROTECT, related_name="+")
    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="+")
    access = models.ForeignKey(VascularAccess, on_delete=models.PROTECT, related_name="referrals")
    to = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    urgency = models.CharField(max_length=8)
    question = models.CharField(max_length=400)
    state = models.CharField(max_length=14, default="draft")
    version = models.PositiveIntegerField(default=0)
    flags = models.JSONField(default=list)
    summary = models.JSONField(default=dict)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField()
    sent_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    sent_at = models.DateTimeField(null=True, blank=True)
    acknowledged_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    acknowledged_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    decided_at = models.DateTimeField(null=True, blank=True)
    decision = models.CharField(max_length=600, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    outcome = models.CharField(max_length=600, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_why = models.CharField(max_length=400, blank=True)
    # The ids of the events that the outcome wrote.
    events = models.JSONField(default=list)

    class Meta:
        ordering = ["-created_at", "-id"]
        constraints = [
            models.CheckConstraint(name="referral_state", condition=Q(state__in=STATES)),
            models.CheckConstraint(name="referral_urgency", condition=Q(urgency__in=URGENCIES)),
            models.CheckConstraint(
                name="referral_sent_is_frozen", condition=Q(state__in=["draft", "withdrawn"]) | Q(sent_at__isnull=False)
            ),
            models.UniqueConstraint(
                name="referral_one_open",
                fields=["access"],
                condition=Q(state__in=["draft", "sent", "acknowledged", "decided"]),
            ),
        ]
        indexes = [models.Index(fields=["clinic", "state", "-created_at"], name="referral_list")]

    def __str__(self) -> str:
        return f"referral ({self.state})"
