"""What was observed at the access."""

from django.apps import AppConfig


class RecordsConfig(AppConfig):
    """Makes the tables of this package known to Django."""

    name = "access.records"
    label = "records"
