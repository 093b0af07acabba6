"""Who did what: one append-only table."""

from django.apps import AppConfig


class AuditConfig(AppConfig):
    """Makes the tables of this package known to Django."""

    name = "access.audit"
    label = "audit"
