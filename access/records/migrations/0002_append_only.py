"""Versions can be added and never changed."""

from django.db import migrations

from access.audit.append_only import append_only


class Migration(migrations.Migration):
    dependencies = [("records", "0001_initial")]
    operations = [append_only("records_treatmentversion"), append_only("records_recordversion")]
