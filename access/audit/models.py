"""The trail of who did what: one append-only table with ids, never names.

No foreign keys, so that the trail outlives what it speaks of; triggers in the
migration forbid UPDATE and DELETE (and TRUNCATE on PostgreSQL).
"""

from django.db import models
from uuid_utils.compat import uuid7


class AuditEntry(models.Model):
    """One act: reading or changing, by whom, from where, about which records and patients."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    at = models.DateTimeField()
    action = models.CharField(max_length=60)
    actor = models.UUIDField(null=True)
    clinic = models.UUIDField(null=True)
    device = models.UUIDField(null=True)
    address = models.CharField(max_length=45, blank=True)
    request = models.CharField(max_length=36, blank=True)
    subjects = models.JSONField(default=list)
    patients = models.JSONField(default=list)
    detail = models.JSONField(default=dict)

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["clinic", "-at"], name="audit_clinic_at")]

    def __str__(self) -> str:
        return f"{self.action} {self.at:%Y-%m-%d %H:%M}"
